"""Conversion of Excel's cells: full precision, error values apart from blanks.

The converters of xlwings round a cell in currency format to four decimals and read an
error value as a blank; this accessor reads the plain values instead.
"""

import datetime
import decimal

from xlwings.conversion import Accessor, Pipeline

from ..cell_values import CellError, block_of

ERROR_BASE = -2146828288
"""Offset that COM adds to an error number."""

ERROR_NUMBERS = {
    2000: "#NULL!",
    2007: "#DIV/0!",
    2015: "#VALUE!",
    2023: "#REF!",
    2029: "#NAME?",
    2036: "#NUM!",
    2042: "#N/A",
}
"""Error values by number; newer ones count as #VALUE!."""

DAY_ZERO = datetime.datetime(1899, 12, 30)
LARGEST_READ = 1_000_000


class SheetBlock(Accessor):
    """Reads an argument as rows of cells and writes an answer as it is."""

    @classmethod
    def reader(cls, options):
        """Read plain values."""
        return Pipeline().append_stage(_read)

    @classmethod
    def writer(cls, options):
        """Write the answer as it is: `sheet_call.answer` gives cells."""
        return Pipeline()


def _read(context):
    value = context.value
    if context.range is not None:
        value = _plain_values(context.range.api)
    context.value = tuple(
        tuple(cell_from(item) for item in row) for row in block_of(value)
    )


def _plain_values(cells):
    """Values without formats; of whole columns only the used range."""
    if cells.Rows.Count * cells.Columns.Count > LARGEST_READ:
        cells = cells.Application.Intersect(cells, cells.Worksheet.UsedRange)
        if cells is None:
            return None
    return cells.Value2


def cell_from(value):
    """The content of one cell, from its value in COM.

    Parameters
    ----------
    value : object

    Returns
    -------
    cell : float, str, bool, CellError or None
    """
    if type(value) is float or value is None or isinstance(value, str | bool):
        return value
    if isinstance(value, int):
        number = value - ERROR_BASE
        if 2000 <= number < 2100:
            return CellError(ERROR_NUMBERS.get(number, "#VALUE!"))
        return float(value)
    if isinstance(value, decimal.Decimal):
        return float(value)
    if isinstance(value, datetime.datetime):
        return (value.replace(tzinfo=None) - DAY_ZERO) / datetime.timedelta(days=1)
    return CellError("#VALUE!")
