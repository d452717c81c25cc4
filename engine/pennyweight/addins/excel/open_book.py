"""Reading and writing a workbook that is open in Excel, through xlwings."""

import xlwings as xw

from ...errors import WorkbookError
from ...opening import of_reading
from ...workbook.package.contents import Contents
from ...workbook.package.sheet_part import StoredCell, cell_of
from ...workbook.read import input_sheets, reading_of
from ..cell_values import CellError
from .cells import SheetBlock

MARK = "Written by pennyweight"
MOST_ROWS, MOST_COLUMNS = 1000, 16
"""Size of the area that is read; the tables of inputs are within it."""
FORMULA_STARTS = ("=", "+", "-", "@")


def read_open(book):
    """Read the plan in an open workbook, as `pennyweight.read` does from a file.

    Parameters
    ----------
    book : xlwings.Book

    Returns
    -------
    plan : Plan
    """
    names = {
        name.name.lower(): name.refers_to
        for name in book.names
        if "#REF" not in name.refers_to
    }
    here = {sheet.name: sheet for sheet in book.sheets}
    sheets = {name: _cells(here[name]) for name in input_sheets(names) & here.keys()}
    return of_reading(reading_of(Contents(book.name, sheets, names=names)))


def _cells(sheet):
    """Cells of an open sheet that are not blank, read in one call."""
    area = sheet.range((1, 1), (MOST_ROWS, MOST_COLUMNS))
    return {
        (row, column): _cell(value)
        for row, values in enumerate(area.options(SheetBlock).value)
        for column, value in enumerate(values)
        if value is not None
    }


def _cell(value):
    """A cell as the reader of files sees one."""
    if isinstance(value, CellError):
        return StoredCell("e", str(value))
    if isinstance(value, bool):
        return StoredCell("b", value)
    return cell_of(value if isinstance(value, str) else float(value))


def caller():
    """The workbook whose button was pressed."""
    try:
        return xw.Book.caller()
    except Exception as error:
        raise WorkbookError(
            f"No open workbook started this ({error}). Press a button in a workbook."
        ) from None


def put_sheet(book, name, rows):
    """Write rows on a sheet that pennyweight made; never on a sheet of the user.

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
    """A cell as text if Excel would read it as a formula."""
    if isinstance(cell, str) and cell.startswith(FORMULA_STARTS):
        return f"'{cell}"
    return cell
