"""Reading an open book through xlwings, saved or not, and answering into it."""

from types import SimpleNamespace

import xlwings as xw

from ...errors import WorkbookError
from ...workbook.read import _read as read_package
from .cells import SheetBlock

MARK = "Written by pennyweight"
FORMULA_STARTS = ("=", "+", "-", "@")


def read_open(book):
    """Read the inputs of an open book, as `read_book` reads a file's.

    Parameters
    ----------
    book : xlwings.Book

    Returns
    -------
    reading : Reading
    """
    return read_package(_Package(book), book.name)


class _Package:
    """An open book, seen as the reader of files sees one."""

    def __init__(self, book):
        self.book = book
        self.sheetnames = [sheet.name for sheet in book.sheets]
        self.defined_names = {
            name.name: SimpleNamespace(destinations=[_destination(name.refers_to)])
            for name in book.names
            if "!" in name.refers_to and "#REF" not in name.refers_to
        }

    def __getitem__(self, sheet):
        return _Sheet(self.book.sheets[sheet])


def _destination(text):
    """Sheet and address of a name's reference, such as ='Cash flow'!$B$5."""
    sheet, _, address = text.lstrip("=").rpartition("!")
    if sheet.startswith("'"):
        sheet = sheet[1:-1].replace("''", "'")
    return sheet, address


class _Sheet:
    def __init__(self, sheet):
        self.sheet = sheet

    def iter_rows(self, max_row, max_col):
        """Rows of cells, read in one call."""
        area = self.sheet.range((1, 1), (max_row, max_col))
        for row, cells in enumerate(area.options(SheetBlock).value, 1):
            yield [
                SimpleNamespace(
                    row=row, column=column, value=_value(cell), data_type=kind
                )
                for column, cell in enumerate(cells, 1)
                for kind in ("e" if type(cell).__name__ == "CellError" else "n",)
            ]


def _value(cell):
    """Whole numbers as such: layouts are counted."""
    whole = isinstance(cell, float) and cell.is_integer()
    return int(cell) if whole else str(cell) if isinstance(cell, str) else cell


def caller():
    """The book whose button was pressed."""
    try:
        return xw.Book.caller()
    except Exception as error:
        raise WorkbookError(
            f"No open workbook called this ({error}); press a button in one."
        ) from None


def put_sheet(book, name, rows):
    """Lay rows on a sheet of ours; a sheet of the user's is never touched.

    Parameters
    ----------
    book : xlwings.Book
    name : str
    rows : list of list

    Returns
    -------
    sheet : xlwings.Sheet
    """
    sheet = _own_sheet(book, name)
    width = max(map(len, rows))
    table = [
        [_safe(cell) for cell in row] + [None] * (width - len(row)) for row in rows
    ]
    sheet.range("A1").value = MARK
    sheet.range("A3").value = table
    sheet.activate()
    return sheet


def _own_sheet(book, name):
    names = [sheet.name for sheet in book.sheets]
    for number in range(1, 100):
        title = name if number == 1 else f"{name} {number}"
        if title not in names:
            return book.sheets.add(title, after=book.sheets[names[-1]])
        sheet = book.sheets[title]
        if sheet.range("A1").value == MARK:
            sheet.clear_contents()
            return sheet
    raise WorkbookError(f"There are 99 sheets named {name}: delete some.")


def _safe(cell):
    """Text that would be read as a formula stays text."""
    if isinstance(cell, str) and cell.startswith(FORMULA_STARTS):
        return f"'{cell}"
    return cell
