"""CSV tables: the one reader of what spreadsheet programs save, and the one writer."""

import csv
import io
from pathlib import Path

from ..errors import CallError
from ..model.inputs import INPUTS, check
from .package.text_part import csv_text

SEPARATORS = ",;\t"
AGAIN = "Save it from the spreadsheet again as CSV UTF-8."


def read_csv(path, what):
    """Read the rows of a CSV file.

    Parameters
    ----------
    path : str or Path
    what : str
        What it holds, for messages: ``"table of lots"``.

    Returns
    -------
    rows : list of (int, list of str)
        As `csv_rows`.

    Raises
    ------
    CallError
        When it cannot be read, or is not CSV in UTF-8.
    """
    try:
        text = Path(path).read_text(encoding="utf-8-sig")
    except OSError as error:
        raise CallError(f"{path} cannot be read: {error.strerror}.") from None
    except UnicodeDecodeError:
        raise CallError(f"{path} is not text in UTF-8. {AGAIN}") from None
    return csv_rows(text, f"{what} {Path(path).name}")


def csv_rows(text, what):
    """Read the rows of a table, whatever separates its fields.

    Parameters
    ----------
    text : str
        Separated by commas, semicolons or tabs: what its first line has most of.
    what : str
        What it holds, for messages.

    Returns
    -------
    rows : list of (int, list of str)
        Number of the line in which a row ends, and its fields. Empty rows are left
        out, and so are empty fields at the end of a row.

    Raises
    ------
    CallError
        When it is not valid CSV.

    Examples
    --------
    >>> csv_rows("lot;net\\n;\\n A;2,5\\n", "table of lots")
    [(1, ['lot', 'net']), (3, ['A', '2,5'])]
    """
    first = next(filter(str.strip, text.splitlines()), "")
    separator = max(SEPARATORS, key=first.count)
    reader = csv.reader(io.StringIO(text, ""), delimiter=separator, strict=True)
    rows = []
    try:
        for line in reader:
            fields = [field.strip() for field in line]
            while fields and not fields[-1]:
                fields.pop()
            if fields:
                rows.append((reader.line_num, fields))
    except csv.Error as error:
        raise CallError(
            f"The {what} is not valid CSV: line {reader.line_num}, {error}. {AGAIN}"
        ) from None
    return rows


def entered(name, field, units, place):
    """A field as the value of an input; a share may be written in per cent.

    Parameters
    ----------
    name : str
        Of the input.
    field : str
    units : {"us", "metric"}
    place : str
        Line and column, for the message.

    Returns
    -------
    value : float or str

    Raises
    ------
    BadValue
        When the input cannot take it.

    Examples
    --------
    >>> entered("moisture", "5.5 %", "us", "line 2, moisture")
    0.055
    """
    entry = INPUTS[name]
    if entry.numeric:
        share = entry.kind == "share" and field.endswith("%")
        try:
            number = float(field.removesuffix("%") if share else field)
            field = number / 100 if share else number
        except ValueError:
            pass  # the check says what it wants instead
    return check(entry, field, units, place)


def csv_bytes(rows):
    """Give the bytes of a CSV file.

    What was typed as text stays text wherever the file is opened.

    Parameters
    ----------
    rows : iterable of sequence
        Numbers are written in full; no text begins as a formula would.

    Returns
    -------
    content : bytes
        In UTF-8.

    Examples
    --------
    >>> csv_bytes([("lot", "net"), ("=1+1", -2.5)])
    b"lot,net\\n'=1+1,-2.5\\n"
    """
    target = io.StringIO()
    csv.writer(target, lineterminator="\n").writerows(map(_safe, row) for row in rows)
    return target.getvalue().encode()


def _safe(value):
    return csv_text(value) if isinstance(value, str) else repr(value)
