"""Contents of a newly written workbook.

Its cells, by far the largest part, are taken before they are packed. Everything else is
packed and read back.
"""

import io
import zipfile

from ..package.contents import contents_of
from ..package.sheet_part import StoredCell
from ..write import PlainFormulas, book_bytes

DIGITS = ".15G"
"""Format of the numbers that a workbook stores."""


class KeptCells(PlainFormulas):
    """A worksheet that keeps its cells as `StoredCell`."""

    def _write_sheet_data(self):
        self.kept = {}
        super()._write_sheet_data()

    def _write_cell(self, row, col, cell):
        style = cell.format._get_xf_index() if cell.format else 0
        kind = type(cell).__name__
        if kind == "Formula":
            stored = _kind_of(cell.value)
            self.kept[row, col] = StoredCell(*stored, "=" + cell.formula, style)
        elif kind == "Number":
            number = float(format(cell.number, DIGITS))
            self.kept[row, col] = StoredCell("n", number, "", style)
        elif kind == "String":
            text = self.str_table._get_shared_string(cell.string)
            self.kept[row, col] = StoredCell("text", text, "", style)
        elif kind != "Blank":
            super()._write_cell(row, col, cell)


def _kind_of(value):
    """Kind and value as stored with a formula; an empty text is no value."""
    if isinstance(value, bool):
        return "b", value
    if isinstance(value, str):
        return ("text", value) if value else ("none", None)
    return "n", float(value)


def contents_of_fresh(book, lines):
    """Contents of a newly written workbook.

    Parameters
    ----------
    book : Book
    lines : collection of str
        As for `book_bytes`.

    Returns
    -------
    contents : Contents
    """
    sheets = []
    content = book_bytes(
        book,
        furnish=lambda package, _formats: sheets.extend(package.worksheets()),
        lines=lines,
        kind=KeptCells,
    )
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        found = contents_of(package, "the book as it should be")
    for sheet in sheets:
        found.sheets[sheet.name] |= sheet.kept
    return found
