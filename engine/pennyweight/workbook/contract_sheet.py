"""The indifference grades on the sheet Contract, which the engine solves."""

from ..model.mill_model import MODEL
from ..model.units import shown
from .answer_sheet import write_freshness
from .layout import FIRST, LABEL, NOTE, UNIT, layout
from .live_cells import stored
from .style import number_format

TITLE = "Indifference grade, solved by the engine"


def solved_places():
    """Places of the indifference grade of each contract type."""
    row = layout().rows["Contract"] + 3
    return [(row, FIRST + at) for at, _ in enumerate(MODEL.axes["contract"].values)]


def write_indifference(book, sheet, formats):
    """Write the grade at which each contract type equals the agreed one."""
    row = layout().rows["Contract"]
    formats.heading(sheet, row, NOTE, TITLE)
    write_freshness(book, sheet, formats, row + 1)
    row += 2
    sheet.write_string(row, LABEL, MODEL.axes["contract"].label, formats.head())
    sheet.write_string(row + 1, LABEL, "Indifference grade", formats())
    sheet.write_string(row + 1, UNIT, shown("grade", book.units), formats.unit())
    note = "Both sides earn the same as under the agreed contract."
    sheet.write_string(row + 1, NOTE, note, formats.note())
    look = formats(num_format=number_format("grade", book.units), align="right")
    sheet.set_row(row, 30)
    kinds = MODEL.axes["contract"].values
    solved = zip(solved_places(), book.indifference, kinds, strict=True)
    for place, grade, kind in solved:
        sheet.write_string(row, place[1], kind, formats.head(align="right"))
        sheet.write(*place, stored(grade), look)
