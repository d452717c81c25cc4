"""The sheet of inputs: one table, drawn, bounded and explained."""

import math

from xlsxwriter.utility import xl_pixel_width, xl_rowcol_to_cell

from ..model.inputs import INPUTS, STATUSES, allowed
from ..model.units import CONSTANTS, constants, shown
from .layout import HEAD, LABEL, NOTE, UNIT, VALUE, defined_name, layout, listed
from .style import ACCENT, bound_format, input_format

LOW, HIGH, LEAST, MOST, BASIS, STATUS, ISSUED, CHANGED = range(NOTE + 1, NOTE + 9)
NOTE_WIDTH, BASIS_WIDTH = 62, 46
INDENT = 2
"""Characters that an indent takes from the width of a cell."""
TEXT_SIZE, MEASURED_SIZE = 10, 11
"""Points: of the sheet's text, and of what the widths of text are known for."""
DIGIT, FILLED = 7, 1.05
"""Pixels of a digit, in which widths of columns are counted; and how much of a line
gets used: whole pixels make letters look wider than they are printed, by an eighth."""
UNUSED = ';-0;""'
"""Ends the number format of a table's entry: an unused row looks empty."""
HEADS = {
    LABEL: "Input",
    VALUE: "Value",
    UNIT: "Unit",
    NOTE: "What it means",
    LOW: "Low",
    HIGH: "High",
    LEAST: "At least",
    MOST: "At most",
    BASIS: "Basis",
    STATUS: "Status",
    ISSUED: "As issued",
    CHANGED: "Changed",
}


def write_inputs(sheet, formats, book):
    """Write the sheet of inputs.

    Parameters
    ----------
    sheet : xlsxwriter.worksheet.Worksheet
    formats : Formats
    book : Book
    """
    for column, head in HEADS.items():
        right = {"align": "right"} if column in (VALUE, *range(LOW, BASIS)) else {}
        left = {"indent": 1} if column in (UNIT, BASIS) else {}
        sheet.write_string(HEAD, column, head, formats.head(**right, **left))
    for block in (block for block in layout().blocks if block.sheet == "Inputs"):
        for column in range(CHANGED + 1):
            sheet.write_blank(block.heading, column, None, formats.section())
        sheet.write_string(block.heading, LABEL, block.title, formats.section())
    for name, entry in listed():
        _input(sheet, formats, book, name, entry)
    for name, value in constants(book.units).items():
        row = layout().places[name].row
        label, unit = CONSTANTS[name][:2]
        sheet.write_string(row, LABEL, label, formats())
        sheet.write_number(row, VALUE, value, formats(num_format="#,##0.########"))
        sheet.write_string(row, UNIT, shown(unit, book.units), formats.unit())
        sheet.write_string(row, NOTE, "Not an input; formulas name it.", formats.note())
    for name, entry in INPUTS.items():
        if entry.over:
            _entry(sheet, formats, book, name, entry)


def rows():
    """First and last row of the record of all inputs."""
    return min(layout().issued.values()), max(layout().issued.values())


def _input(sheet, formats, book, name, entry):
    row = layout().places[name].row
    grey = _grey(formats, bound_format(entry, book.units))
    sheet.write_string(row, LABEL, entry.label, formats())
    fill(sheet, formats, book, name)
    sheet.write_string(row, UNIT, shown(entry.unit, book.units), formats.unit())
    wrapped = formats.note(text_wrap=True)
    sheet.write_string(row, NOTE, entry.description, wrapped)
    sheet.set_row(row, 15 * _lines_needed(entry.description, book.bases[name]))
    for column, value in _range(entry, book.units).items():
        if value != "":
            _put(sheet, row, column, value, grey)
    basis = formats.entry(text_wrap=True, indent=1)
    sheet.write_string(row, BASIS, book.bases[name], basis)
    sheet.write_string(row, STATUS, book.statuses[name], formats.entry())
    issued = _grey(formats, input_format(name, book.units))
    _record(sheet, row, book.inputs[name], issued, formats)
    sheet.data_validation(
        row, STATUS, row, STATUS, {"validate": "list", "source": list(STATUSES)}
    )


def _entry(sheet, formats, book, name, entry):
    """The record of an entry of a table: what stands there, and what was issued."""
    row = layout().issued[name]
    number = input_format(name, book.units) + UNUSED if entry.numeric else "General"
    grey = _grey(formats, number)
    sheet.write_string(row, LABEL, entry.label, formats())
    here = formats(num_format=number, align="right")
    value = book.inputs[name]
    sheet.write_formula(row, VALUE, f"={defined_name(name)}", here, value)
    sheet.write_string(row, UNIT, shown(entry.unit, book.units), formats.unit())
    where = f"Change it on the sheet {layout().places[name].sheet}."
    sheet.write_string(row, NOTE, where, formats.note())
    _record(sheet, row, value, grey, formats)


def _record(sheet, row, value, form, formats):
    """What was issued, and whether the value still is the same."""
    _put(sheet, row, ISSUED, value, form)
    present, issued = (xl_rowcol_to_cell(row, at) for at in (VALUE, ISSUED))
    formula = f"=IF({present}={issued},0,1)"
    sheet.write_formula(row, CHANGED, formula, _changed(formats), 0)


def _grey(formats, number):
    """What stands beside an input, to be read only."""
    return formats(font_color="#5B6B73", num_format=number, align="right")


def _lines_needed(note, basis):
    """Lines of the taller of two wrapped cells."""
    return max(_lines(note, NOTE_WIDTH), _lines(basis, BASIS_WIDTH - INDENT))


def _lines(text, width):
    """Lines that a text takes; breaking between words leaves some of each unused."""
    wide = xl_pixel_width(text) * TEXT_SIZE / MEASURED_SIZE
    return max(1, math.ceil(wide / (width * DIGIT * FILLED)))


def fill(sheet, formats, book, name):
    """Write the cell of one input, with its bounds."""
    place, entry = layout().places[name], INPUTS[name]
    number = input_format(name, book.units)
    if entry.over and entry.numeric:
        number += UNUSED
    look = formats.entry(number, align="right")
    _put(sheet, place.row, place.column, book.inputs[name], look)
    _validate(sheet, place, entry, book.units)


def _changed(formats):
    return formats(num_format='"changed";;""', font_color=ACCENT, bold=True)


def _range(entry, units):
    """Low, high, and bounds as shown; a text has none."""
    if not entry.numeric:
        return {}
    least, most = entry.within(units)
    return {
        LOW: entry.value(units, "low"),
        HIGH: entry.value(units, "high"),
        LEAST: least,
        MOST: most,
    }


def _put(sheet, row, column, value, form):
    if value == "":
        sheet.write_blank(row, column, None, form)
    elif isinstance(value, str):
        sheet.write_string(row, column, value, form)
    else:
        sheet.write_number(row, column, value, form)


def _validate(sheet, place, entry, units):
    """Data validation equal to the engine's bounds, with words that help."""
    if entry.kind == "text":
        return
    words = allowed(entry, units)
    rule = {
        "input_title": entry.label[:32],
        "input_message": f"{entry.description} {words}"[:255],
        "error_title": "Not possible",
        "error_message": words[:255],
        "ignore_blank": False,
    }
    if entry.kind == "choice":
        rule |= {"validate": "list", "source": list(entry.choices)}
    else:
        least, most = entry.within(units)
        kind = "integer" if entry.kind == "whole" else "decimal"
        rule |= {
            "validate": kind,
            "criteria": "between",
            "minimum": least,
            "maximum": most,
        }
    here = (place.row, place.column)
    sheet.data_validation(*here, *here, rule)
