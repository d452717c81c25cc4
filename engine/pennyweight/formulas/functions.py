"""Functions that NumPy lacks or defines differently, for numbers and cells."""

import functools
from typing import Any

import numpy as np

from ..errors import BadValue
from .expression import Operation, Reference, express


def rounded(value: Any, digits: int = 0) -> Any:
    """Round halves away from zero, as spreadsheets do.

    Parameters
    ----------
    value : array_like or Expression
    digits : int
        Digits after the decimal point.

    Returns
    -------
    rounded : ndarray, float or Expression

    Examples
    --------
    >>> float(rounded(2.5)), float(rounded(-0.125, 2))
    (3.0, -0.13)
    """
    if hasattr(value, "__formula__"):
        return Operation("ROUND", (value, express(digits)))
    value, power = np.asarray(value, float), 10.0**digits
    return np.copysign(np.floor(np.abs(value) * power + 0.5) / power, value)[()]


def smallest(values: Any, place: Any) -> Any:
    """Value at a given place in ascending order.

    Parameters
    ----------
    values : sequence or Expression
        Along their first axis.
    place : int, array of int or Expression
        1 for the smallest.

    Returns
    -------
    value : scalar, array or Expression

    Examples
    --------
    >>> float(smallest([5.0, 3.0, 9.0], 2))
    5.0
    """
    if hasattr(values, "__formula__") or hasattr(place, "__formula__"):
        return Operation("SMALL", (express(values), express(place)))
    ordered, at = np.sort(values, axis=0), np.asarray(place, int) - 1
    shape = np.broadcast_shapes(ordered.shape[1:], at.shape)
    ordered = np.broadcast_to(ordered, (len(ordered), *shape))
    return ordered[at, *np.indices(shape, sparse=True)]


EPOCH = np.datetime64("1899-12-30")
"""Day 0 of spreadsheet date numbers."""


def month_start(year: Any, month: Any) -> Any:
    """Date number of the first day of a month, from March 1900.

    Parameters
    ----------
    year, month : array_like or Expression
        Month 1 is January.

    Returns
    -------
    date : ndarray, float or Expression

    Source
    ------
    Microsoft, DATE function: 1 January 2008 is 39448.

    Examples
    --------
    >>> float(month_start(2008, 1))
    39448.0
    """
    if hasattr(year, "__formula__") or hasattr(month, "__formula__"):
        return Operation("DATE", (express(year), express(month), express(1)))
    since = (np.asarray(year, int) - 1970) * 12 + np.asarray(month, int) - 1
    days = since.astype("datetime64[M]").astype("datetime64[D]") - EPOCH
    return days.astype(float)[()]


def lookup(value: Any, keys: Any, results: Any) -> Any:
    """Result at the first key equal to a value.

    Parameters
    ----------
    value : scalar, array or Expression
    keys, results : sequence or Expression
        Equally long; along their first axis.

    Returns
    -------
    result : scalar, array or Expression
        The entry of ``results`` whose key equals the value.

    Raises
    ------
    BadValue
        If no key equals the value.

    Examples
    --------
    >>> lookup(3, [5, 3, 9], ["mill", "tables", "pump"])
    'tables'
    """
    if any(hasattr(part, "__formula__") for part in (value, keys, results)):
        match = Operation("MATCH", (express(value), express(keys), express(0)))
        across = isinstance(results, Reference) and results.across
        results = express(results)
        # Both places are given: Gnumeric takes a single one as the row.
        first = express(1)
        places = (first, match) if across else (match, first)
        return Operation("INDEX", (results, *places), results.kind)
    same = np.equal(keys, value)
    if not np.all(np.any(same, axis=0)):
        raise BadValue(f"None of the keys equals {value!r}; a sheet would show #N/A.")
    place = np.argmax(same, axis=0)
    if np.ndim(results) > 1:
        found = np.take_along_axis(np.asarray(results), place[None], axis=0)[0]
    else:
        found = results[place] if np.ndim(place) == 0 else np.asarray(results)[place]
    return found.item() if isinstance(found, np.generic) else found


def is_blank(value: Any) -> Any:
    """Whether a cell is empty; in Python, whether a value is NaN or an empty text.

    Examples
    --------
    >>> is_blank(float("nan")), is_blank(""), is_blank(0.0)
    (True, True, False)
    """
    if hasattr(value, "__formula__"):
        return Operation("ISBLANK", (value,), "truth")
    return value == "" if isinstance(value, str) else bool(np.isnan(value))


def is_number(value: Any) -> Any:
    """Whether a cell has a number, not text, an error or nothing.

    Examples
    --------
    >>> bool(is_number(3.5)), is_number("3.5"), bool(is_number(float("nan")))
    (True, False, False)
    """
    if hasattr(value, "__formula__"):
        return Operation("ISNUMBER", (value,), "truth")
    return False if isinstance(value, str) else np.logical_not(np.isnan(value))


def is_text(value: Any) -> Any:
    """Whether a cell has a text.

    Examples
    --------
    >>> is_text("ball mill"), is_text("")
    (True, False)
    """
    if hasattr(value, "__formula__"):
        return Operation("ISTEXT", (value,), "truth")
    return isinstance(value, str) and value != ""


def joined(*parts: Any) -> Any:
    """Concatenate texts.

    Examples
    --------
    >>> joined(2, " ", "tons")
    '2 tons'
    """
    if any(hasattr(part, "__formula__") for part in parts):
        return Operation("CONCATENATE", tuple(express(part) for part in parts), "text")
    return "".join(map(str, parts))


def appended(*parts: Any) -> Any:
    """Texts one after the other, written with ``&``; an empty cell is no text.

    Examples
    --------
    >>> appended(2.0, " tons", None)
    '2 tons'
    """
    if any(hasattr(part, "__formula__") for part in parts):
        return functools.reduce(
            lambda before, part: Operation("&", (before, part), "text"),
            map(express, parts),
        )
    return "".join(map(_as_text, parts))


def _as_text(value: Any) -> str:
    if value is None:
        return ""
    return f"{value:.15g}" if isinstance(value, int | float) else str(value)


def begins(text: Any, words: str) -> Any:
    """Whether a text begins with some words.

    Examples
    --------
    >>> begins("not yet: 2 figures are missing", "not yet")
    True
    """
    if hasattr(text, "__formula__"):
        return Operation("LEFT", (text, express(len(words))), "text") == words
    return str(text).startswith(words)


def grouped(number: Any, decimals: int) -> Any:
    """A number as text, its thousands apart, as the reader's program writes them.

    Examples
    --------
    >>> grouped(50_000.0, 0), grouped(0.0005, 4)
    ('50,000', '0.0005')
    """
    if hasattr(number, "__formula__"):
        return Operation("FIXED", (number, express(decimals)), "text")
    return f"{number:,.{decimals}f}"


def count_of(values: Any, wanted: Any) -> Any:
    """How many cells of a range are equal to a value.

    Examples
    --------
    >>> count_of(["mill", "tables", "mill"], "mill")
    2
    """
    if hasattr(values, "__formula__"):
        return Operation("COUNTIF", (values, express(wanted)))
    return sum(value == wanted for value in values)


def alike(one: Any, other: Any) -> Any:
    """Whether two cells are equal, as spreadsheets compare them.

    Numbers count to 15 digits, letters in any case, and an empty cell is like "" and 0.

    Examples
    --------
    >>> alike("Mill", "mill"), alike(0.1 + 0.2, 0.3), alike(None, ""), alike("0", 0)
    (True, True, True, False)
    """
    if hasattr(one, "__formula__") or hasattr(other, "__formula__"):
        return np.equal(one, other)
    if one is None or other is None:
        return one in (None, "", 0) and other in (None, "", 0)
    if isinstance(one, str) != isinstance(other, str):
        return False
    return _as_text(one).lower() == _as_text(other).lower()


def chosen(condition: Any, yes: Any, no: Any) -> Any:
    """One of two values, as `np.where`; one may be a number and the other a text.

    ``yes`` may be a function without arguments, for what cannot always be worked out.

    Examples
    --------
    >>> chosen(True, 2.5, "n/a"), chosen(False, lambda: 1 / 0, "never")
    (2.5, 'never')
    """
    live = hasattr(condition, "__formula__")
    if callable(yes) and (live or condition):
        yes = yes()
    if live:
        return np.where(condition, yes, no)
    return yes if condition else no
