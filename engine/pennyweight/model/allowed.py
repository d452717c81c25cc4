"""Check values against the table of inputs."""

import contextlib
import functools
import math
from decimal import Decimal
from fractions import Fraction

import numpy as np

from ..arguments import shown as short
from ..errors import BadValue
from ..formulas import grouped, joined
from .currency import rate_of
from .inputs import INPUTS, amount, input_called, inputs_in
from .parsing import hint
from .slips import slip
from .units import pint_unit, shown

LONGEST_TEXT = 255
RATE = "exchange_rate"


def complete(given, units, rest="example"):
    """Check the inputs given, and add the example's values or estimates for the rest.

    Parameters
    ----------
    given : mapping of str to float, str or array
        In the units of ``units``.
    units : {"us", "metric"}
    rest : {"example", "estimate"}

    Returns
    -------
    inputs : dict
        Every input under its name, in the order of the table.

    Raises
    ------
    CallError
        For an unknown name.
    BadValue
        For a value that is not of the input's kind or outside its bounds.
    """
    if not given.keys() <= INPUTS.keys():
        given = {input_called(name): value for name, value in given.items()}
    if RATE in given:
        rate = check(INPUTS[RATE], given[RATE], units)
        given = {**given, RATE: rate_of({**given, RATE: rate})}
    return {
        name: check(entry, given[name], units)
        if name in given
        else entry.value(units, rest)
        for name, entry in inputs_in(given).items()
    }


def check(entry, value, units, place=""):
    """Check a value against its input's row of the table.

    Parameters
    ----------
    entry : Input
    value : object
    units : {"us", "metric"}
    place : str, optional
        Sheet and cell, for the message.

    Returns
    -------
    value : float, ndarray or str

    Raises
    ------
    BadValue
        Saying what is wrong, the value, what is allowed, where, and what to do.
    """
    if _is_plainly_allowed(entry, value, units):
        return value
    if entry.numeric and isinstance(value, Decimal | Fraction):
        with contextlib.suppress(OverflowError):
            value = float(value)
    elif entry.numeric and hasattr(value, "magnitude"):
        value = _magnitude(entry, value, units)
    where = f" ({place})" if place else ""
    problem = _problem(entry, value, units)
    if problem:
        sheet, _, cell = place.rpartition("!")
        words = allowed(entry, units)
        raise BadValue(
            f"{entry.label}{where}: {problem} {words}",
            input=entry.name,
            sheet=sheet,
            cell=cell,
            value=value,
            allowed=words,
        )
    if not entry.numeric:
        return str(value) if np.ndim(value) == 0 else np.asarray(value)
    number = np.asarray(value, float)
    return number if number.ndim else float(number)


def _magnitude(entry, value, units):
    """Convert a pint quantity to the unit of an input."""
    unit = shown(entry.unit, units) or "no unit"
    try:
        return value.to(pint_unit(entry.unit, units)).magnitude
    except (AttributeError, TypeError, ValueError):  # base classes of pint's errors
        raise BadValue(
            f"{entry.label}: {value} cannot be converted to {unit}. Enter a number "
            f"in {unit}.",
            input=entry.name,
            value=value,
        ) from None


def _is_plainly_allowed(entry, value, units):
    """Whether a number or a choice is allowed; much faster than `_problem`."""
    if type(value) is str:
        return value in entry.choices
    if type(value) is not float or entry.exchange_rate != 1 or not entry.numeric:
        return False
    low, high = bounds(entry.name, units)
    return low <= value <= high and (entry.kind != "whole" or value.is_integer())


@functools.cache
def bounds(name, units):
    """Bounds of an input of the table in a unit system."""
    return INPUTS[name].within(units)


def _problem(entry, value, units):
    """Problem with a value, in words; empty for a valid value."""
    if np.ma.is_masked(value):
        return "it is masked."
    if value is None or (isinstance(value, str) and not value.strip()):
        return "" if entry.kind == "text" and value is not None else "it is empty."
    if entry.kind == "text":
        return _text_problem(value)
    if entry.kind == "choice":
        unknown = set(np.atleast_1d(value).tolist()) - set(entry.choices)
        return f"{short(unknown.pop())} is not one of the choices." if unknown else ""
    array = np.asarray(value)
    if array.dtype.kind not in "iuf":
        share = entry.kind == "share"
        told = hint(value, share or "%" not in value) if isinstance(value, str) else ""
        return f"{short(value)} is not a number.{told}"
    low, high = entry.within(units)
    slack = 1e-12 * np.maximum(abs(low), abs(high))
    wrong = ~((array >= low - slack) & (array <= high + slack))
    if entry.kind == "whole":
        wrong |= array != np.floor(array)
    if not wrong.any():
        return ""
    worst = array[wrong].flat[0]
    asked = slip(entry, worst, units)
    hinted = f" Is it {asked}" if asked else ""
    return f"{amount(worst, entry, units)} is out of range.{hinted}"


def _text_problem(value):
    if not isinstance(value, str):
        dated = hasattr(value, "isoformat")
        hinted = f" Write the date as '{value:%Y-%m-%d}'." if dated else ""
        return f"{short(value)} is not text.{hinted}"
    if len(value) > LONGEST_TEXT:
        return f"it has {len(value)} characters; {LONGEST_TEXT} are the most."
    # Line breaks, control characters and surrogates cannot be shown.
    return "" if value.isprintable() else f"{value!r} cannot be shown on one line."


def allowed(entry, units):
    """Values that an input may have, as a sentence with units."""
    if entry.kind == "choice":
        return f"Choose one of: {', '.join(entry.choices)}."
    if entry.kind == "text":
        return "Enter a text."
    low, high = (amount(bound, entry, units) for bound in entry.within(units))
    kind = "a whole number" if entry.kind == "whole" else "a number"
    return f"Enter {kind} from {low} to {high}."


def allowed_words(least, most, places, more_places, unit):
    """The numbers that a cell takes, in short; with so many decimals each."""
    ends = grouped(least, places), grouped(most, more_places)
    return joined("use ", ends[0], f"{unit} to ", ends[1], *filter(None, [unit]))


def decimals(number):
    """Decimals that show a bound in four digits; four at most.

    Examples
    --------
    >>> decimals(50_000.0), decimals(0.0001), decimals(5511.56)
    (0, 4, 0)
    """
    places = (
        d for d in range(4) if math.isclose(round(number, d), number, rel_tol=1e-3)
    )
    return next(places, 4)
