"""Tables that the user fills: their columns, and holding each value to its column."""

import datetime
import math
from dataclasses import dataclass

import numpy as np
import pandas as pd

from ..errors import BadValue, CallError, WorkbookError, nearest
from ..model.inputs import INPUTS, check
from ..model.typed import as_name

YES, NO = "yes", "no"


@dataclass(frozen=True)
class Field:
    """A column of a table.

    Attributes
    ----------
    label : str
    kind : {"text", "choice", "number", "date"}
    input : str
        Input of the model whose bounds and unit hold.
    least, most : float
        Bounds of a number that has no such input.
    unit : str
        Of these bounds, for messages.
    choices : tuple of str
    required : bool
    also : tuple of str
        Other heads of the same column.
    """

    label: str
    kind: str = "number"
    input: str = ""
    least: float = 0.0
    most: float = 1e9
    unit: str = ""
    choices: tuple = ()
    required: bool = False
    also: tuple = ()


def checked_table(table, fields, units, what):
    """Hold a table to its columns.

    Parameters
    ----------
    table : pandas.DataFrame
        ``attrs["lines"]`` may have the line of each row in its file, and
        ``attrs["file"]`` its name.
    fields : dict of str to Field
    units : {"us", "metric"}
    what : str
        What the table holds, for messages.

    Returns
    -------
    frame : pandas.DataFrame
        All columns of ``fields``; None or NaN where nothing is entered.

    Raises
    ------
    CallError
        For an empty table, and a column that is unknown, missing or given twice.
    WorkbookError
        For a value that its column cannot take, with file, line and column.
    """
    if not len(table):
        raise CallError(f"The {what} is empty. Enter one line for each row.")
    heads = {head: field_called(str(head), fields, what) for head in table.columns}
    names = list(heads.values())
    for name in names:
        if names.count(name) > 1:
            raise CallError(f"The {what} has two columns for {name}. Delete one.")
    missing = [n for n, field in fields.items() if field.required and n not in names]
    if missing:
        file = f" {table.attrs['file']}" if "file" in table.attrs else ""
        told = ", ".join(missing)
        raise CallError(f"The {what}{file} lacks columns: {told}. Add them.")
    found = {
        name: [
            _value(fields[name], value, units, place_of(table, row, head))
            for row, value in enumerate(table[head])
        ]
        for head, name in heads.items()
    }
    frame = pd.DataFrame(
        {
            name: pd.Series(
                found.get(name, [None] * len(table)),
                dtype=float if field.kind == "number" else object,
            )
            for name, field in fields.items()
        }
    )
    frame.attrs = {**table.attrs, "heads": dict(zip(names, heads, strict=True))}
    return frame


def field_called(head, fields, what):
    """The column that a head names; its name, its label or another word for it."""
    word = as_name(head)
    for name, field in fields.items():
        label = as_name(field.label)
        if word in (name, label, *field.also):
            return name
    known = ", ".join(fields)
    raise CallError(
        f"The {what}: column {head!r} is unknown. Columns may be {known}."
        + nearest(word, fields)
    )


def place_of(table, row, column=""):
    """File, line and column of a value, for a message."""
    lines = table.attrs.get("lines")
    line = f"line {lines[row]}" if lines else f"row {row + 1}"
    file = table.attrs.get("file", "")
    column = table.attrs.get("heads", {}).get(column, column)
    told = f", column {column}" if column else ""
    return f"{file}, {line}{told}" if file else f"{line}{told}"


def _value(field, value, units, place):
    if isinstance(value, str):
        value = value.strip()
    if value is None or value == "" or (not isinstance(value, str) and pd.isna(value)):
        if field.required:
            raise WorkbookError(f"{field.label} ({place}): it is empty. Enter it.")
        return math.nan if field.kind == "number" else None
    return _READ[field.kind](field, value, units, place)


def _text(field, value, units, place):
    text = str(value)
    if len(text) > 255 or not text.isprintable():
        raise WorkbookError(
            f"{field.label} ({place}): enter a text of at most 255 characters on "
            "one line."
        )
    return text


def _choice(field, value, units, place):
    word = str(value).casefold()
    if word not in field.choices:
        raise WorkbookError(
            f"{field.label} ({place}): {value!r} is not one of the choices. Choose one "
            f"of: {', '.join(field.choices)}."
        )
    return word


def _number(field, value, units, place):
    try:
        found = math.nan if isinstance(value, bool | np.bool_) else float(value)
    except (TypeError, ValueError):
        found = math.nan
    if math.isnan(found):
        raise WorkbookError(f"{field.label} ({place}): {value!r} is not a number.")
    if field.input:
        try:
            return check(INPUTS[field.input], found, units, place)
        except BadValue as error:
            told = str(error).replace(INPUTS[field.input].label, field.label, 1)
            raise WorkbookError(told) from None
    if not field.least <= found <= field.most:
        now, least, most = (
            f"{value:,.6f}".rstrip("0").rstrip(".") + f" {field.unit}".rstrip()
            for value in (found, field.least, field.most)
        )
        raise WorkbookError(
            f"{field.label} ({place}): {now} is out of range. Enter a number from "
            f"{least} to {most}."
        )
    return found


def _date(field, value, units, place):
    try:
        return day_of(value)
    except ValueError:
        raise WorkbookError(
            f"{field.label} ({place}): {value!r} is not a date. Enter it as "
            "year-month-day, for example 2026-07-14."
        ) from None


def day_of(value):
    """A date, from one or from its text, year-month-day."""
    if isinstance(value, datetime.datetime):
        return value.date()
    if isinstance(value, datetime.date):
        return value
    return datetime.date.fromisoformat(str(value).strip()[:10])


_READ = {"text": _text, "choice": _choice, "number": _number, "date": _date}


def plain_rows(frame):
    """Rows of a table as plain values."""
    rows = frame.to_dict("records")
    return [{name: _plain(value) for name, value in row.items()} for row in rows]


def _plain(value):
    if hasattr(value, "isoformat"):
        return value.isoformat()
    if isinstance(value, float | np.floating):
        return float(value) if np.isfinite(value) else None
    return value.item() if hasattr(value, "item") else value
