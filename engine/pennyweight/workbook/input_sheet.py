"""The sheet Inputs: figures, estimates, ranges, bases, and data validation."""

import math

import numpy as np
from xlsxwriter.utility import quote_sheetname, xl_pixel_width, xl_rowcol_to_cell

from ..formulas import Reference, live
from ..model import entries
from ..model.allowed import allowed
from ..model.inputs import (
    INPUTS,
    STATUSES,
    families,
    inputs_in,
    mass_beside,
    weight_beside,
)
from ..model.units import CONSTANTS, constants
from .entry_cells import (
    BASIS,
    BESIDE_AS_ISSUED,
    CHANGED,
    ENTERED,
    ESTIMATE,
    FILLED,
    HIGH,
    HINT,
    IN_DOLLARS,
    ISSUED,
    LEAST,
    LISTS,
    LOW,
    MEANING,
    MOST,
    NEAR_HIGH,
    NEAR_LOW,
    ORDERED,
    OWN_HIGH,
    OWN_LOW,
    QUESTION,
    RATE,
    STATE,
    STATUS,
    TABLE_HIGH,
    TABLE_LOW,
    USABLE,
    USED,
    estimate_formula,
    in_plan,
    own_ends,
    rows,
)
from .layout import HEAD, LABEL, UNIT, layout
from .live_cells import write_live
from .style import (
    ACCENT,
    BAD,
    GOOD,
    MUTED,
    ROW_HEIGHT,
    bound_format,
    input_format,
    mark,
)

WIDTHS = {
    LABEL: 38,
    ENTERED: 15,
    UNIT: 10,
    USED: 18,
    STATE: 14,
    **dict.fromkeys((OWN_LOW, OWN_HIGH, ESTIMATE, LOW, HIGH), 10),
    BASIS: 66,
    STATUS: 11,
    MEANING: 84,
}
TEXT_SIZE, MEASURED_SIZE = 10, 11
"""Font size in points, of the sheet's text and of the measured widths of text."""
DIGIT, USED_OF_LINE, INDENT = 7, 1.05, 2
"""Pixels of a digit, the unit of column widths; part of a line that text uses, more
than 1 because letters are measured in whole pixels; and characters of an indent."""
HEADING_HEIGHT, BOLD = 18, 0.93
"""Height in points; and width of a column for bold letters, relative to plain ones."""
UNUSED = ';-0;""'
"""End of the number format of a table's entry: 0, in an unused row, shows nothing."""
RIGHT = {"align": "right"}
HEADS = {
    LABEL: "Input",
    ENTERED: "Your figure",
    UNIT: "Unit",
    USED: "Figure used",
    STATE: "Whose",
    OWN_LOW: "Your low",
    OWN_HIGH: "Your high",
    ESTIMATE: "Estimate",
    LOW: "Low",
    HIGH: "High",
    BASIS: "Basis",
    STATUS: "Status",
    MEANING: "What it means",
    LEAST: "At least",
    MOST: "At most",
    TABLE_LOW: "Estimate, low",
    TABLE_HIGH: "Estimate, high",
    NEAR_LOW: "Unusual below",
    NEAR_HIGH: "Unusual above",
    USABLE: "Usable",
    ORDERED: "Range in order",
    FILLED: "When filled",
    **{column: f"List: {word}" for word, column in LISTS.items()},
    ISSUED: "As issued",
    CHANGED: "Changed",
    BESIDE_AS_ISSUED[OWN_LOW]: "Low as issued",
    BESIDE_AS_ISSUED[OWN_HIGH]: "High as issued",
    BESIDE_AS_ISSUED[BASIS]: "Basis as issued",
    BESIDE_AS_ISSUED[STATUS]: "Status as issued",
    QUESTION: "May be",
    HINT: "Beside the entry",
}
STATE_COLOURS = {
    entries.YOURS: GOOD,
    entries.MISSING: BAD,
    entries.UNUSABLE: BAD,
    entries.UNUSUAL: ACCENT,
}


def write_inputs(sheet, formats, book):
    """Write the sheet Inputs.

    Parameters
    ----------
    sheet : xlsxwriter.worksheet.Worksheet
    formats : Formats
    book : Book
    """
    for column, head in HEADS.items():
        text = column in (LABEL, UNIT, STATE, BASIS, STATUS, MEANING)
        right = {} if text else {"align": "right"}
        left = {"indent": 1} if column in (UNIT, STATE, BASIS) else {}
        sheet.write_string(HEAD, column, head, formats.head(**right, **left))
    for column, width in WIDTHS.items():
        more = book.unit_room if column == UNIT else 0
        sheet.set_column(column, column, width + more)
    sheet.set_column(MEANING + 1, max(HEADS), 12)
    for block in (block for block in layout().blocks if block.sheet == "Inputs"):
        sheet.set_row(block.heading, HEADING_HEIGHT)
        formats.heading(sheet, block.heading, MEANING, block.title)
    for row in book.rows.values():
        _input(sheet, formats, book, row.entry, row)
    _tables(sheet, formats, book, row)
    _constants(sheet, formats, book)
    for name, entry in INPUTS.items():
        if entry.over:
            _entry(sheet, formats, book, name, entry)
    mark_states(sheet, formats, *rows(), STATE)


def mark_states(sheet, formats, first, last, column):
    """Colour the states."""
    for word, colour in STATE_COLOURS.items():
        cells, value = (first, column, last, column), f'"{word}"'
        mark(sheet, cells, formats.colour(colour), "==", type="cell", value=value)


def _input(sheet, formats, book, entry, row):
    """Write the row of one input: the yellow cells, and their formulas."""
    at, name = row.row, row.name
    sheet.write_string(at, LABEL, entry.label, formats())
    place = layout().entered[name]
    if place.sheet == "Inputs":
        fill(sheet, formats, book, name)
    else:
        link = f"internal:'{place.sheet}'!{place.cell()}"
        sheet.write_url(at, ENTERED, link, formats.note(), f"on {place.sheet}")
    sheet.write_string(at, UNIT, book.shown(entry.unit), formats.unit())
    wrapped = formats.note(text_wrap=True)
    note = book.worded(entry.description)
    sheet.write_string(at, MEANING, note, wrapped)
    basis = book.bases[name]
    lines = _lines_needed(note, basis)
    if entry.kind == "text":
        entered = book.given.get(name, "") if place.sheet == "Inputs" else ""
        used = str(row.values[USED])
        lines = max(lines, _lines(used, BOLD * WIDTHS[USED]))
        lines = max(lines, _lines(entered, WIDTHS[ENTERED]))
    sheet.set_row(at, ROW_HEIGHT * lines)
    sheet.write_string(at, BASIS, basis, formats.entry(text_wrap=True, indent=1))
    sheet.write_string(at, STATUS, book.statuses[name], formats.entry())
    choices = {"validate": "list", "source": list(STATUSES)}
    sheet.data_validation(at, STATUS, at, STATUS, choices)
    _live(sheet, formats, book, row)
    _own_range(sheet, formats, book, entry, row)
    _beside_as_issued(sheet, formats, book, row)
    issued = _grey(formats, input_format(name, book.units))
    _record(sheet, at, book, name, issued, formats)


def _live(sheet, formats, book, row):
    """Write the formulas of an input's row, and the numbers that they read."""
    number = input_format(row.name, book.units)
    bound = bound_format(row.entry, book.units)
    text = row.entry.kind == "text"
    side = "left" if text else "right"
    # A name longer than its row shows its beginning.
    wrapped = {"text_wrap": True, "valign": "top"} if text else {"shrink": True}
    grey = _grey(formats, bound)
    looks = dict.fromkeys(IN_DOLLARS, grey)
    looks |= {
        ESTIMATE: formats(num_format=number, font_color=MUTED, align=side),
        USED: formats(num_format=number, align=side, bold=True, **wrapped),
        STATE: formats(indent=1),
        LOW: grey,
        HIGH: grey,
    }
    for column, cell in row.cells.items():
        look = looks.get(column) or formats(font_color=MUTED)
        write_live(sheet, row.row, column, cell, look)
    if FILLED not in row.cells:
        sheet.write_string(row.row, FILLED, entries.YOURS, formats(font_color=MUTED))
    for column, value in row.numbers.items():
        sheet.write_number(row.row, column, value, grey)
    if ESTIMATE not in row.cells:
        _put(sheet, row.row, ESTIMATE, row.values[ESTIMATE], looks[ESTIMATE])


def _own_range(sheet, formats, book, entry, row):
    """Write the yellow cells of the user's own low and high."""
    if not entries.has_range(entry):
        return
    look = formats.entry(bound_format(entry, book.units), align="right")
    for column, value in zip(
        (OWN_LOW, OWN_HIGH), own_ends(row.name, book.ranges), strict=True
    ):
        _put(sheet, row.row, column, value, look)


def _beside_as_issued(sheet, formats, book, row):
    """Write the record of the user's own low, high, basis and status."""
    grey = _grey(formats, bound_format(row.entry, book.units))
    plain = formats(font_color=MUTED)
    low, high, basis, status = BESIDE_AS_ISSUED.values()
    for column, value in zip((low, high), own_ends(row.name, book.ranges), strict=True):
        _put(sheet, row.row, column, value, grey)
    _put(sheet, row.row, basis, book.bases[row.name], plain)
    _put(sheet, row.row, status, book.statuses[row.name], plain)


def _tables(sheet, formats, book, last):
    """Write a row for each column of a table of inputs: its unusable cells."""
    before = last.row
    for name, at in layout().tables.items():
        place, first = layout().places[name], INPUTS[families()[name][0]]
        cells = f"{quote_sheetname(place.sheet)}!{place.range}"
        label = f"{place.sheet}: {first.label.rpartition(', ')[0]}"
        sheet.write_string(at, LABEL, label, formats())
        least, most = (xl_rowcol_to_cell(at, column) for column in (LEAST, MOST))
        grey = formats(font_color=MUTED)
        for column, bound in zip((LEAST, MOST), first.within(book.units), strict=True):
            if first.is_money:
                write_live(sheet, at, column, in_plan(bound, book.inputs[RATE]), grey)
            else:
                sheet.write_number(at, column, bound, grey)
        wrong = (
            f"=COUNTA({cells})-COUNT({cells})"
            f'+COUNTIF({cells},"<"&{least})+COUNTIF({cells},">"&{most})'
        )
        sheet.write_formula(at, USABLE, wrong, grey, 0)
        state = live(_state, (Reference(xl_rowcol_to_cell(at, USABLE)), 0))
        write_live(sheet, at, STATE, state, formats(indent=1))
        _go_on(sheet, at, before, last.values, grey)
        before = at


def _state(wrong):
    return np.where(wrong == 0, "", entries.UNUSABLE)


def _go_on(sheet, at, before, values, look):
    """Continue the cumulative lists through the row of a table."""
    for wanted, column in LISTS.items():
        above, state, label = (
            Reference(xl_rowcol_to_cell(row, place), "text")
            for row, place in ((before, column), (at, STATE), (at, LABEL))
        )
        reads = (above, values[column]), (state, ""), wanted, (label, "")
        write_live(sheet, at, column, live(entries.listed, *reads), look)


def _constants(sheet, formats, book):
    for name, value in constants(book.units).items():
        row = layout().places[name].row
        label, unit = CONSTANTS[name][:2]
        sheet.write_string(row, LABEL, label, formats())
        sheet.write_number(row, USED, value, formats(num_format="#,##0.########"))
        sheet.write_string(row, UNIT, book.shown(unit), formats.unit())
        note = "Not an input; formulas name it."
        sheet.write_string(row, MEANING, note, formats.note())


def _entry(sheet, formats, book, name, entry):
    """Write the record of an entry of a table: present value and value as issued."""
    row = layout().issued[name]
    number = input_format(name, book.units) + UNUSED if entry.numeric else "General"
    grey = _grey(formats, number)
    sheet.write_string(row, LABEL, entry.label, formats())
    here = formats(num_format=number, align="right")
    write_live(sheet, row, USED, book.cell(name), here)
    sheet.write_string(row, UNIT, book.shown(entry.unit), formats.unit())
    where = f"Change it on the sheet {layout().places[name].sheet}."
    sheet.write_string(row, MEANING, where, formats.note())
    _record(sheet, row, book, name, grey, formats)


def _record(sheet, row, book, name, form, formats):
    """Write the value as issued, and whether the figure used differs from it."""
    _put(sheet, row, ISSUED, book.inputs[name], form)
    present, issued = (Reference(xl_rowcol_to_cell(row, at)) for at in (USED, ISSUED))
    values = book.inputs[name], book.before.inputs[name]
    flag = live(entries.changed, (present, values[0]), (issued, values[1]))
    write_live(sheet, row, CHANGED, flag, _changed(formats))


def _grey(formats, number):
    """Format of a read-only figure beside an input."""
    return formats(font_color=MUTED, num_format=number, align="right")


def _lines_needed(note, basis):
    """Lines of the taller of two cells with wrapped text."""
    return max(_lines(note, WIDTHS[MEANING]), _lines(basis, WIDTHS[BASIS] - INDENT))


def _lines(text, width):
    """Number of lines of a wrapped text."""
    wide = xl_pixel_width(text) * TEXT_SIZE / MEASURED_SIZE
    return max(1, math.ceil(wide / (width * DIGIT * USED_OF_LINE)))


def fill(sheet, formats, book, name):
    """Write the yellow cell of one input, with its bounds."""
    place, entry = layout().entered[name], INPUTS[name]
    number = input_format(name, book.units)
    value = book.given.get(name, "")
    if entry.over:
        value = book.inputs[name]
        counts = book.inputs.get(weight_beside(entry))
        if mass_beside(name):
            counts = name in book.given and book.inputs[mass_beside(name)]
        if entry.numeric and entry.minimum <= 0 and not value and not counts:
            value = ""
    side = {"align": "left"} if entry.kind == "text" else RIGHT
    if entry.kind == "text" and place.sheet == "Inputs":
        side["text_wrap"] = True  # its row is high enough
    look = formats.entry(number, **side)
    estimate = "" if name in book.given else estimate_formula(entry, book.units)
    if estimate:
        sheet.write_formula(place.row, place.column, estimate, look, value)
    else:
        _put(sheet, place.row, place.column, value, look)
    _validate(sheet, place, inputs_in(book.inputs)[name], book)


def _limits(entry, units):
    """Bounds of an input; those of money follow the exchange rate."""
    bounds = INPUTS[entry.name].within(units)
    return [in_plan(b).formula for b in bounds] if entry.is_money else bounds


def _changed(formats):
    return formats(num_format='"changed";;""', font_color=ACCENT, bold=True)


def _put(sheet, row, column, value, form):
    if value in ("", None):
        sheet.write_blank(row, column, None, form)
    elif isinstance(value, str):
        sheet.write_string(row, column, value, form)
    else:
        sheet.write_number(row, column, value, form)


def _validate(sheet, place, entry, book):
    """Add data validation with the engine's bounds and a help text."""
    if entry.kind == "text":
        return
    words = allowed(entry, book.units)
    rule = {
        "input_title": entry.label[:32],
        "input_message": f"{book.worded(entry.description)} {words}"[:255],
        "error_title": "Invalid entry",
        "error_message": words[:255],
        "ignore_blank": True,
    }
    if entry.kind == "choice":
        rule |= {"validate": "list", "source": list(entry.choices)}
    else:
        least, most = _limits(entry, book.units)
        kind = "integer" if entry.kind == "whole" else "decimal"
        rule |= {
            "validate": kind,
            "criteria": "between",
            "minimum": least,
            "maximum": most,
        }
    here = (place.row, place.column)
    sheet.data_validation(*here, *here, rule)
