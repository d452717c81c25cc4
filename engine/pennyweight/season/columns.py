"""Check a table of lots or actuals against its columns."""

import pandas as pd

from ..errors import CallError
from ..model.columns import checked_columns
from ..model.entries import UNUSUAL, unlikely_beyond, word_of
from ..model.inputs import inputs_in
from ..model.judgement import unusual

YES, NO = "yes", "no"
NEEDED = {"required": True, "filled": True}
"""Of a column that must be present, with a value in each row."""


def checked_table(table, fields, units, what):
    """Check a table against its columns.

    Parameters
    ----------
    table : pandas.DataFrame
        ``attrs["lines"]`` may have the line of each row in its file, and
        ``attrs["file"]`` its name.
    fields : dict of str to Field
    units : {"us", "metric"}
    what : str
        Name of the table, for messages.

    Returns
    -------
    frame : pandas.DataFrame
        All columns of ``fields``; None or NaN where nothing is entered.

    Raises
    ------
    CallError, WorkbookError
        As `checked_columns`; and for an empty table.
    """
    if not len(table):
        raise CallError(f"The {what} is empty. Enter one line for each row.")
    heads = [str(head) for head in table.columns]
    entered = table.astype(object).where(table.notna(), None)
    found = checked_columns(
        heads,
        [entered.iloc[:, at].tolist() for at in range(len(heads))],
        fields,
        units,
        f"{what} {table.attrs.get('file', '')}".rstrip(),
        lambda row, head: place_of(table, row, head),
    )
    frame = pd.DataFrame(
        {
            name: pd.Series(
                found.get(name, [None] * len(table)),
                dtype=float if field.kind == "number" else object,
            )
            for name, field in fields.items()
        }
    )
    frame.attrs = {**table.attrs, "heads": dict(zip(found, heads, strict=True))}
    return frame


def look_again(table, names, columns, inputs, units):
    """Sentences on figures far from the usual range of the inputs that they stand for.

    Parameters
    ----------
    table : pandas.DataFrame
    names : sequence of str
        Name of each row.
    columns : mapping of str to (str, str)
        By column: its label and its input.
    inputs : mapping
        Of the workbook.
    units : {"us", "metric"}

    Returns
    -------
    sentences : tuple of str
    """
    entries, none, found = inputs_in(inputs), float("nan"), []
    for row, name in enumerate(names):
        for column, (label, entry) in columns.items():
            value, entry = table[column].iloc[row], entries[entry]
            ends = unlikely_beyond(entry, units)
            told = word_of(entry)(value, *ends, none, none)
            if value == value and told == UNUSUAL:
                found.append(unusual(entry, value, units, f"{name}, {label}"))
    return tuple(found)


def place_of(table, row, column=""):
    """File, line and column of a value, for a message."""
    lines = table.attrs.get("lines")
    line = f"line {lines[row]}" if lines else f"row {row + 1}"
    column = table.attrs.get("heads", {}).get(column, column)
    named = column and f"column {column}"
    return ", ".join(filter(None, (table.attrs.get("file"), line, named)))
