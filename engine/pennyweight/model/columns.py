"""Columns of the tables that users fill, and checks of their values."""

import dataclasses
import datetime
import math
import re
from dataclasses import dataclass

import numpy as np

from ..errors import BadValue, CallError, WorkbookError, nearest
from .allowed import LONGEST_TEXT, allowed, check
from .inputs import INPUTS, inputs_in
from .parsing import as_name, hint, number

SUM = re.compile(r"(grand\s+|sub-?\s*)?totals?\b|sum\b|all lots\b", re.IGNORECASE)
"""Beginning of the name of a row of totals."""
BETWEEN = re.compile(r"[\s\-\u2010-\u2015\u2212._]+")
"""Blanks, dashes and dots in a name."""
DAYS = ("%Y-%m-%d", "%d %B %Y", "%B %d, %Y", "%d %b %Y")
"""Formats of unambiguous dates."""


@dataclass(frozen=True)
class Field:
    """A column of a table.

    Attributes
    ----------
    label : str
    kind : {"text", "choice", "number", "money", "date"}
        Money is in whole cents.
    input : str
        Input of the model whose bounds and unit apply.
    least, most : float
        Bounds of a number that has no such input.
    unit : str
        Unit of these bounds, for messages.
    choices : tuple of str
    required, filled : bool
        Whether the table must have the column, and the column a value in each row.
    if_none : str
        Sentence for an empty cell: what to enter if nothing was paid or found.
    also : tuple of str
        Other heads of the same column.
    inputs : dict of str to Input
        The table of inputs; see `in_plan`.
    """

    label: str
    kind: str = "number"
    input: str = ""
    least: float = 0.0
    most: float = 1e12
    unit: str = ""
    choices: tuple = ()
    required: bool = False
    filled: bool = False
    if_none: str = ""
    also: tuple = ()
    inputs: dict = dataclasses.field(default_factory=lambda: INPUTS, repr=False)

    def at(self, place):
        """Label and place of a value, for a message."""
        return f"{self.label} ({place})"


def of_input(name, kind="", **more):
    """The column of an input, under the input's own label."""
    entry = INPUTS[name]
    kind = kind or ("number" if entry.numeric else entry.kind)
    return Field(entry.label, kind, name, choices=entry.choices, **more)


def in_plan(fields, inputs):
    """The columns with their bounds of money in the currency of a plan.

    Parameters
    ----------
    fields : dict of str to Field
    inputs : mapping or None
        Inputs of the plan; without them it is in US dollars.
    """
    table = inputs_in(inputs or {})
    return {
        name: dataclasses.replace(one, inputs=table) for name, one in fields.items()
    }


def checked_columns(heads, columns, fields, units, what, place):
    """Check the columns of a table against their fields.

    Parameters
    ----------
    heads : sequence of str
    columns : sequence of sequence
        Values below each head: texts as in a file, numbers or dates; None or an empty
        text if nothing is entered.
    fields : dict of str to Field
    units : {"us", "metric"}
    what : str
        Name of the table, with its file, for messages.
    place : callable
        Function from row number, from 0, and head to file, line and column.

    Returns
    -------
    values : dict of str to list
        By field, in the order of the heads. Empty cells: NaN for a number, an empty
        text, None for a choice or a date.

    Raises
    ------
    CallError
        For a column that is unknown, missing or given twice.
    WorkbookError
        For a value that is not allowed in its column, with its place.
    """
    names = fields_called(heads, fields, what)
    return {
        name: [
            _value(fields[name], value, units, place(row, head))
            for row, value in enumerate(column)
        ]
        for name, head, column in zip(names, heads, columns, strict=True)
    }


def fields_called(heads, fields, what):
    """The field that each head of a table names; raises as `checked_columns`.

    Returns
    -------
    names : list of str
    """
    names = [_field_called(head, fields, what) for head in heads]
    for name in names:
        if names.count(name) > 1:
            raise CallError(f"The {what} has two columns for {name}. Delete one.")
    missing = [n for n, field in fields.items() if field.required and n not in names]
    if missing:
        names = ", ".join(missing)
        raise CallError(f"The {what} lacks columns: {names}. Add them.")
    return names


def refuse_twice(names, keys, place, advice):
    """Raise for a row with the key of an earlier one.

    Parameters
    ----------
    names, keys : sequence
        Of each row: its name as entered, and what must differ.
    place : callable
        Function from row number, from 0, to file, line and column.
    advice : str
    """
    rows = {}
    for row, (name, key) in enumerate(zip(names, keys, strict=True)):
        if key in rows:
            raise WorkbookError(
                f"{place(row)}: {name!r} is also in {place(rows[key])}. {advice}"
            )
        rows[key] = row


def refuse_names(names, place, owners=None):
    """Raise for a row of totals, and for a lot with the name of an earlier one.

    Parameters
    ----------
    names : sequence of str
    place : callable
        Function from row number, from 0, to file, line and column.
    owners : sequence of str, optional
        Lots of different owners may then have one name.
    """
    for row, name in enumerate(names):
        if SUM.match(name):
            raise WorkbookError(
                f"{place(row)}: {name!r} is the name of a total. Delete this line, as "
                "the lots are added up without it; or give the lot another name."
            )
    pairs = zip(owners or [""] * len(names), names, strict=True)
    advice = (
        "Names that differ only in capitals, blanks, dashes or dots are the same. Give "
        "each lot its own name, or delete one line."
    )
    refuse_twice(names, [tuple(map(_same_name, pair)) for pair in pairs], place, advice)


def _same_name(name):
    """What a name says without capitals, blanks, dashes and dots.

    Between digits one stays: lot 1-1 is not lot 11.

    Examples
    --------
    >>> _same_name("HD-1") == _same_name("hd 1"), _same_name("1-1") == _same_name("11")
    (True, False)
    """
    spaced = BETWEEN.sub(" ", name.casefold()).strip()
    return re.sub(r"(?<!\d) | (?!\d)", "", spaced)


def _field_called(head, fields, what):
    """The field that a head names, by its name, label or another word for it."""
    word = as_name(head)
    for name, field in fields.items():
        if word in (name, as_name(field.label), *field.also):
            return name
    raise CallError(
        f"The {what}: column {head!r} is unknown. Columns may be {', '.join(fields)}."
        + nearest(word, fields)
    )


def _value(field, value, units, place):
    if isinstance(value, str):
        value = value.strip()
    if value is not None and value != "":
        return _READ[field.kind](field, value, units, place)
    if field.filled:
        fit = allowed(field.inputs[field.input], units) if field.input else "Enter it."
        message = f"it is empty. {fit} {field.if_none}".rstrip()
        raise WorkbookError(f"{field.at(place)}: {message}")
    return {"text": "", "number": math.nan, "money": math.nan}.get(field.kind)


def _of_input(field, value, units, place):
    try:
        return entered(field.input, value, units, place, field.inputs)
    except BadValue as error:
        message = str(error).replace(INPUTS[field.input].label, field.label, 1)
        raise WorkbookError(message) from None


def entered(name, value, units, place, inputs=INPUTS):
    """Parse and check the value of an input; a share may be written in percent.

    Parameters
    ----------
    name : str
        Of the input.
    value : str or float
    units : {"us", "metric"}
    place : str
        Line and column, for the message.
    inputs : dict of str to Input, optional
        The table of inputs in the currency of a plan.

    Returns
    -------
    value : float or str

    Raises
    ------
    BadValue
        If the value is not allowed.

    Examples
    --------
    >>> entered("moisture", "5.5 %", "us", "line 2, moisture")
    0.055
    """
    entry = inputs[name]
    if entry.numeric and isinstance(value, str):
        share = entry.kind == "share" and value.endswith("%")
        found = number(value.removesuffix("%").strip() if share else value)
        if found is not None:
            value = found / 100 if share else found
        elif value.casefold() in ("nan", "inf", "-inf"):
            value = float(value)
    return check(entry, value, units, place)


def _number(field, value, units, place):
    if field.input:
        return _of_input(field, value, units, place)
    found = number(value) if isinstance(value, str) else _as_float(value)
    if found is None:
        hinted = hint(value) if isinstance(value, str) else ""
        raise WorkbookError(f"{field.at(place)}: {value!r} is not a number.{hinted}")
    if not field.least <= found <= field.most:
        now, least, most = (
            f"{value:,.6f}".rstrip("0").rstrip(".") + f" {field.unit}".rstrip()
            for value in (found, field.least, field.most)
        )
        raise WorkbookError(
            f"{field.at(place)}: {now} is out of range. Enter a number from {least} to "
            f"{most}."
        )
    return found


def _as_float(value):
    try:
        return None if isinstance(value, bool | np.bool_) else float(value)
    except (TypeError, ValueError):
        return None


def _money(field, value, units, place):
    found = _number(field, value, units, place)
    if abs(round(found, 2) - found) > 1e-6:
        raise WorkbookError(
            f"{field.at(place)}: {value} has fractions of a cent. Enter whole cents."
        )
    return found


def _text(field, value, units, place):
    text = str(value)
    if len(text) > LONGEST_TEXT or not text.isprintable():
        raise WorkbookError(
            f"{field.at(place)}: it has {len(text):,} characters. Enter a text of at "
            f"most {LONGEST_TEXT} characters on one line."
        )
    return text


def _choice(field, value, units, place):
    word = str(value).casefold()
    if word not in field.choices:
        raise WorkbookError(
            f"{field.at(place)}: {value!r} is not one of the choices. Choose one of: "
            f"{', '.join(field.choices)}."
        )
    return word


def _date(field, value, units, place):
    try:
        return day_of(value)
    except ValueError:
        raise WorkbookError(
            f"{field.at(place)}: {value!r} is not a date. Enter it as year-month-day, "
            "for example 2026-07-14, or as 14 July 2026."
        ) from None


def day_of(value):
    """A date, from a date or from text in one of the formats of `DAYS`."""
    if isinstance(value, datetime.datetime):
        return value.date()
    if isinstance(value, datetime.date):
        return value
    text = str(value).strip()
    return day_in(text) or datetime.date.fromisoformat(text[:10])


def day_in(text):
    """The day that a text names; None if it is in none of the formats of `DAYS`."""
    for form in DAYS:
        try:
            return datetime.datetime.strptime(text, form).date()
        except ValueError:
            continue
    return None


_READ = {
    "text": _text,
    "choice": _choice,
    "number": _number,
    "money": _money,
    "date": _date,
}
