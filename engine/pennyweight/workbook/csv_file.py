"""Reading and writing of CSV tables, as spreadsheet programs save them."""

import csv
import io
import re
import stat
from dataclasses import dataclass
from pathlib import Path

from ..errors import CallError, unreadable
from ..model.columns import checked_columns, fields_called
from .package.text_part import csv_text

SEPARATORS = ",;\t"
SEP = re.compile(r"\s*sep=([,;\t])[^\n]*\n", re.IGNORECASE)
"""A first line with which some programs declare the separator of the fields."""
LARGEST = 20_000_000
"""Most bytes of a file."""
MOST_COLUMNS = 2_000
AGAIN = "Save it from the spreadsheet again as CSV UTF-8."


def read_csv(path, what, skipped=None):
    """Read the rows of a CSV file.

    Parameters
    ----------
    path : str or Path
    what : str
        Kind of table, for messages: ``"table of lots"``.
    skipped : list, optional
        Receives the numbers of empty lines before the last row.

    Returns
    -------
    rows : list of (int, list of str)
        As given by `csv_rows`.

    Raises
    ------
    CallError
        When it cannot be read, or is not CSV in UTF-8.
    """
    try:
        status = Path(path).stat()
        if not stat.S_ISREG(status.st_mode) and not stat.S_ISDIR(status.st_mode):
            raise CallError(f"{path} is a device or a pipe, not a file.")
        if status.st_size > LARGEST:
            raise CallError(f"{path} is larger than {LARGEST:,} bytes. Split it.")
        text = Path(path).read_text(encoding="utf-8-sig")
    except OSError as error:
        raise CallError(unreadable(path, error)) from None
    except UnicodeDecodeError:
        raise CallError(f"{path} is not text in UTF-8. {AGAIN}") from None
    return csv_rows(text, f"{what} {Path(path).name}", skipped)


def csv_rows(text, what, skipped=None):
    """Read the rows of a table separated by commas, semicolons or tabs.

    Parameters
    ----------
    text : str
        Its separator is the one that its first line has most of.
    what : str
        Kind of table, for messages.
    skipped : list, optional
        Receives the numbers of empty lines before the last row.

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
    sep = SEP.match(text)
    first = next(filter(str.strip, text[sep.end() if sep else 0 :].splitlines()), "")
    separator = sep[1] if sep else max(SEPARATORS, key=first.count)
    reader = csv.reader(io.StringIO(text, ""), delimiter=separator, strict=True)
    rows, empty = [], []
    try:
        for line in reader:
            if len(line) > MOST_COLUMNS:
                raise CallError(
                    f"The {what}: line {reader.line_num} has {len(line):,} columns; "
                    f"{MOST_COLUMNS:,} are allowed. Delete those that are not needed."
                )
            fields = [field.strip() for field in line]
            while fields and not fields[-1]:
                fields.pop()
            if not fields:
                empty.append(reader.line_num)
            elif not (sep and reader.line_num == sep[0].count("\n")):
                _refuse_other_separator(rows, fields, separator, reader.line_num, what)
                rows.append((reader.line_num, fields))
    except csv.Error as error:
        raise CallError(
            f"The {what} is not valid CSV: line {reader.line_num}, {error}. {AGAIN}"
        ) from None
    if skipped is not None and rows:
        skipped += [line for line in empty if line < rows[-1][0]]
    return rows


@dataclass(frozen=True)
class CsvTable:
    """A table with column heads, its fields as in the file.

    Attributes
    ----------
    what, file : str
        Kind of table, and name of its file, for messages.
    heads : list of str
    lines : list of int
        Line of each row in the file.
    rows : list of list of str
        A field for each head.
    """

    what: str
    file: str
    heads: list
    lines: list
    rows: list

    def place(self, row, head):
        """File, line and column of a field, for a message."""
        return f"{self.file}, line {self.lines[row]}, column {head}"

    def texts(self, fields):
        """Its columns as in the file, by the names of their fields."""
        names = fields_called(self.heads, fields, f"{self.what} {self.file}")
        return dict(zip(names, zip(*self.rows, strict=True), strict=True))

    def checked(self, fields, units):
        """Its values as given by `checked_columns`, by the inputs of the fields.

        The key of a column without an input is the name of its field.
        """
        columns, what = zip(*self.rows, strict=True), f"{self.what} {self.file}"
        found = checked_columns(self.heads, columns, fields, units, what, self.place)
        return {fields[name].input or name: values for name, values in found.items()}


def headed(rows, what, file):
    """Take the first row of a table as its column heads.

    Parameters
    ----------
    rows : list of (int, list of str)
        As given by `read_csv`.
    what, file : str
        Kind of table, and name of its file, for messages.

    Returns
    -------
    table : CsvTable

    Raises
    ------
    CallError
        For an empty table, or a line that is longer than the heads.
    """
    (_, heads), *lines = rows or [(1, [])]
    if not heads or not lines:
        raise CallError(
            f"{file}: the {what} is empty. Enter a line of column heads and one line "
            "for each row."
        )
    for line, fields in lines:
        if len(fields) > len(heads):
            raise CallError(
                f"{file}, line {line}: {len(fields)} fields for {len(heads)} columns. "
                "Delete the extra ones, or name their columns."
            )
        fields += [""] * (len(heads) - len(fields))
    return CsvTable(what, file, heads, *map(list, zip(*lines, strict=True)))


def _refuse_other_separator(rows, fields, separator, line, what):
    """Raise for a row with another separator than the first row."""
    others = set(SEPARATORS) - {separator}
    if rows and len(rows[0][1]) > 2 and len(fields) == 1:
        for other in others:
            if fields[0].count(other) >= len(rows[0][1]) - 1:
                raise CallError(
                    f"The {what}: line {line} is separated by {other!r}, the first "
                    f"line by {separator!r}. Separate all lines alike."
                )


def csv_bytes(rows):
    """Give the bytes of a CSV file.

    A text stays a text in every spreadsheet program.

    Parameters
    ----------
    rows : iterable of sequence
        Numbers are written with all digits; None leaves a field empty; a text that
        looks like a formula gets an apostrophe.

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
    if value is None:
        return ""
    return csv_text(value) if isinstance(value, str) else repr(value)
