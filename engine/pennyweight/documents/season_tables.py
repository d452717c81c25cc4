"""Reading the tables of a season from CSV files, as a spreadsheet saves them."""

from pathlib import Path

import pandas as pd

from ..errors import CallError, WorkbookError
from ..workbook.csv_file import hint, number, read_csv


def read_table(path, what="table"):
    """Read a CSV file with column heads; figures as numbers, a share also as 62%.

    Parameters
    ----------
    path : str or Path
    what : str
        What it holds, for messages.

    Returns
    -------
    table : pandas.DataFrame
        ``attrs`` has the file's name and the line of each row.

    Raises
    ------
    CallError, WorkbookError
    """
    file = Path(path).name
    (_, heads), *lines = read_csv(path, what) or [(1, [])]
    if not heads or not lines:
        raise CallError(f"{file} is empty. Enter column heads and a line for each row.")
    rows = []
    for line, fields in lines:
        if len(fields) > len(heads):
            raise CallError(
                f"{file}, line {line}: {len(fields)} fields for {len(heads)} columns."
            )
        fields = [*fields, *[""] * (len(heads) - len(fields))]
        rows.append(
            [
                _value(field, f"{file}, line {line}, column {head}")
                for head, field in zip(heads, fields, strict=True)
            ]
        )
    table = pd.DataFrame(rows, columns=heads, dtype=object)
    table.attrs = {"file": file, "lines": [line for line, _ in lines]}
    return table


def _value(field, place):
    if field.endswith("%") and (share := number(field[:-1].strip())) is not None:
        return share / 100
    found = number(field)
    if found is None and hint(field):
        raise WorkbookError(f"{place}: {field!r} is not a number.{hint(field)}")
    return field if found is None else found
