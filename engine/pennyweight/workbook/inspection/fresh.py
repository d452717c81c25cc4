"""A workbook written afresh, and its cells without packing and reading them back.

Cells are most of a workbook. What stands beside them is packed and read.
"""

import io
import zipfile

from ..package.contents import contents_of
from ..package.sheet_part import StoredCell
from ..write import PlainFormulas, book_bytes

DIGITS = ".15G"
"""Of the numbers that a workbook keeps."""


class KeptCells(PlainFormulas):
    """A worksheet that keeps its cells as a reader would find them."""

    def _write_sheet_data(self):
        self.kept = {}
        super()._write_sheet_data()

    def _write_cell(self, row, col, cell):
        style = cell.format._get_xf_index() if cell.format else 0
        kind = type(cell).__name__
        if kind == "Formula":
            told = _kind_of(cell.value)
            self.kept[row, col] = StoredCell(*told, "=" + cell.formula, style)
        elif kind == "Number":
            number = float(format(cell.number, DIGITS))
            self.kept[row, col] = StoredCell("n", number, "", style)
        elif kind == "String":
            text = self.str_table._get_shared_string(cell.string)
            self.kept[row, col] = StoredCell("text", text, "", style)
        elif kind != "Blank":
            super()._write_cell(row, col, cell)


def _kind_of(value):
    """Kind and value as stored beside a formula; an empty text is no value."""
    if isinstance(value, bool):
        return "b", value
    if isinstance(value, str):
        return ("text", value) if value else ("none", None)
    return "n", float(value)


def contents_of_fresh(book, lines):
    """Contents of a workbook that is written afresh.

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
