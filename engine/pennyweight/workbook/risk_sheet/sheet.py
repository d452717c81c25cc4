"""The risk sheet: results of the simulation, and whether they are up to date.

The sheet is written empty, its tables and charts in hidden rows. ``pennyweight risk``
enters the results and shows the rows, in this workbook or in a copy that a partner has
changed.
"""

import numpy as np
from xlsxwriter.utility import xl_rowcol_to_cell

from ...formulas import Reference, alike, chosen, live
from ...model.inputs import INPUTS
from ...risk.report import CURVES
from ...risk.sensitivity import GRADE_STEPS, PRICE_STEPS
from ..live_cells import write_live
from ..style import ACCENT, BAD, GOOD, input_format, mark
from .charts import CHARTS
from .layout import (
    CHANGED,
    CHECKSUM,
    DRAWN,
    FLAG,
    LAST_COLUMN,
    OWN_ENDS,
    SHEET,
    STATE,
    TRIALS,
    UNIT,
    VALUE,
    WRITTEN,
    chart_places,
    named,
    placed,
    recorded,
)

EMPTY = (
    "No risk analysis has been entered yet: to enter one, save this workbook and run "
    "'pennyweight risk' on it."
)
CURRENT = "for the present inputs"
OUT_OF_DATE = "out of date: inputs have changed, see the end of this sheet"
"""Texts of the status cell."""

SHORT, LONG = 16, 56
"""Most characters of a heading on one line; and of that of the first column."""
RECORD_HEADS = (
    "Inputs of these results",
    "Value used",
    "Unit",
    "Changed",
    "Distribution",
    "P10",
    "Median",
    "P90",
    "Your low",
    "Your high",
)


def write_risk_sheet(package, sheet, formats, book, names, analysis):
    """Write the sheet without results.

    Parameters
    ----------
    package : xlsxwriter.Workbook
    sheet : xlsxwriter.worksheet.Worksheet
    formats : Formats
    book : Book
    names : callable
        Defines a name for a cell of a sheet.
    analysis : Analysis
    """
    found, record = placed(book.units)
    for at in found.values():
        _table(sheet, formats, book, at)
    for name, row, column in chart_places(book.units):
        table, draw = CHARTS[name]
        chart = draw(package, SHEET, found[table], book.shown("$"))
        # 4: move and size with the cells, as if their rows were shown.
        across = {"x_offset": 4, "y_offset": 4, "object_position": 4}
        sheet.insert_chart(row, column, chart, across)
    _name_curves(sheet, formats, found["curves"], found["ranked"], analysis)
    _colour(sheet, formats, found)
    _record(sheet, formats, book, record, analysis)
    _state(sheet, formats, analysis, names)
    hide_rows(sheet, range(TRIALS, record + len(recorded()) + 1))


def hide_rows(sheet, rows):
    """Hide rows with their charts; their heights stay."""
    for row in rows:
        sheet.set_row_pixels(row, sheet._size_row(row, 4), None, {"hidden": True})


def _table(sheet, formats, book, at):
    table, row = at.table, at.title
    if table.title:
        formats.heading(sheet, row, LAST_COLUMN, book.worded(table.title))
        row += 1
    if table.note:
        sheet.write_string(row, 0, table.note, formats.note())
    for column, head in enumerate(table.heads):
        align = {"align": "right"} if 0 < column < table.columns.stop else {}
        sheet.write_string(at.head, column, book.worded(head), formats.head(**align))
    first, *others = map(book.worded, table.heads or ("",))
    if max(map(len, others), default=0) > SHORT or len(first) > LONG:
        sheet.set_row(at.head, 30)
    for place in range(table.rows):
        _row(sheet, formats, book, table, place, at.top + place)


NONE = "n/a"
"""Name of a curve without an input; programs invent names for empty ones."""


def _name_curves(sheet, formats, curves, ranked, analysis):
    """Head each curve by its input, in the order of the ranking."""
    for place in range(CURVES):
        name = live(_named, analysis.at(ranked.top + place, 0))
        write_live(sheet, curves.head, 1 + place, name, formats.head(align="right"))
    sheet.set_row(curves.head, 30)


def _named(label):
    return chosen(alike(label, ""), NONE, label)


def _row(sheet, formats, book, table, place, row):
    if table.labels:
        sheet.write_string(row, 0, table.labels[place], formats())
    numbers = table.numbers
    if place < len(table.rows_of_numbers):
        numbers = (table.rows_of_numbers[place],) * len(table.columns)
    for column, number in zip(table.columns, numbers, strict=True):
        look = {"num_format": number, "align": "right"}
        if not column or not table.heads:
            look["align"] = "left"
        elif number == "@" and not table.wrapped:
            look |= {"align": "left", "indent": 1}
        if table.wrapped and column and place:
            look |= {"text_wrap": True, "font_size": 9.5}
            sheet.set_row(row, 38)
        sheet.write_blank(row, column, None, formats(**look))
    if table.units:
        unit = book.worded(table.units[place])
        sheet.write_string(row, len(table.heads) - 1, unit, formats.unit())


def _colour(sheet, formats, found):
    """Colour the good and the bad cells of the grids."""
    for name in ("net_present_value", "margin_per_ton", "verdict"):
        at = found[f"grid_{name}"]
        cells = (at.top + 1, 1, at.top + len(PRICE_STEPS), len(GRADE_STEPS))
        text = name == "verdict"
        value, *relations = ('"pays"', "==", "!=") if text else (0, ">=", "<")
        good = formats.colour(GOOD)
        mark(sheet, cells, good, None, type="blanks", stop_if_true=True)
        for relation, look in zip(relations, (good, formats.colour(BAD)), strict=True):
            mark(sheet, cells, look, relation, type="cell", value=value)


def _record(sheet, formats, book, record, analysis):
    """The inputs that the results belong to, with a flag for each that has changed."""
    for column, head in enumerate(RECORD_HEADS):
        align = {"align": "right"} if column not in (WRITTEN, UNIT, DRAWN) else {}
        sheet.write_string(record, column, head, formats.head(**align))
    sheet.set_row(record, 30)
    changed = formats(num_format='"changed";;""', font_color=ACCENT, bold=True)
    for row, name in enumerate(recorded(), record + 1):
        entry = INPUTS[name]
        look = formats(num_format=input_format(name, book.units), align="right")
        sheet.write_string(row, WRITTEN, entry.label, formats())
        sheet.write_blank(row, VALUE, None, look)
        sheet.write_string(row, UNIT, book.shown(entry.unit), formats.unit())
        write_live(sheet, row, FLAG, analysis.flags[row], changed)
        sheet.write_blank(row, DRAWN, None, formats())
        for column in (*range(DRAWN + 1, DRAWN + 4), *OWN_ENDS):
            sheet.write_blank(row, column, None, look)


def _status(trials, changes):
    told = np.where(changes == 0, CURRENT, OUT_OF_DATE)
    return np.where(trials == 0, EMPTY, told)


def _state(sheet, formats, analysis, names):
    """The status cell, the number of trials and the checksum."""
    bold = formats(bold=True)
    sheet.write_string(STATE, WRITTEN, "Results on this sheet", bold)
    changes = Reference(xl_rowcol_to_cell(CHANGED, VALUE)), analysis.changes.value
    status = live(_status, analysis.trials, changes)
    write_live(sheet, STATE, VALUE, status, bold)
    whole = formats(num_format="#,##0", align="left")
    sheet.write_string(TRIALS, WRITTEN, "Trials", formats())
    sheet.write_blank(TRIALS, VALUE, None, whole)
    sheet.write_string(CHANGED, WRITTEN, "Inputs changed since then", formats())
    write_live(sheet, CHANGED, VALUE, analysis.changes, whole)
    sheet.write_string(CHECKSUM, WRITTEN, "Checksum", formats())
    sheet.write_blank(CHECKSUM, VALUE, None, formats(align="left"))
    note = "Of all results on this sheet: pennyweight inspect finds overtyped values."
    sheet.write_string(CHECKSUM, UNIT, note, formats.note())
    for name, place in named(analysis.book.units).items():
        names(name, SHEET, *place)
    for text, colour in ((CURRENT, GOOD), ("out of date", BAD)):
        cell, look = (STATE, VALUE) * 2, formats.colour(colour)
        mark(sheet, cell, look, "containing", type="text", value=text)
