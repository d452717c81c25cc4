"""The risk sheet: results of the simulation, and whether they are up to date.

The sheet is written empty, its tables and charts in hidden rows. ``pennyweight risk``
enters the results and shows the rows, in this workbook or in a copy that a partner has
changed.
"""

from xlsxwriter.utility import quote_sheetname, xl_rowcol_to_cell

from ...model.entries import has_range
from ...model.inputs import INPUTS
from ...risk.report import CURVES
from ...risk.sensitivity import GRADE_STEPS, PRICE_STEPS
from ..entry_cells import OWN_HIGH, OWN_LOW
from ..layout import layout
from ..style import ACCENT, BAD, GOOD, input_format
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
    mean_place,
    placed,
    quantile_place,
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


def write_risk_sheet(package, sheet, formats, book, names):
    """Write the sheet without results.

    Parameters
    ----------
    package : xlsxwriter.Workbook
    sheet : xlsxwriter.worksheet.Worksheet
    formats : Formats
    book : Book
    names : callable
        Defines a name for a cell of a sheet.
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
    _name_curves(sheet, formats, found["curves"], found["ranked"])
    _colour(sheet, formats, found)
    _record(sheet, formats, book, record)
    _state(sheet, formats, book.units, record, names)
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


def _name_curves(sheet, formats, curves, ranked):
    """Head each curve by its input, in the order of the ranking."""
    for place in range(CURVES):
        label = xl_rowcol_to_cell(ranked.top + place, 0)
        formula, look = f'=IF({label}="","{NONE}",{label})', formats.head(align="right")
        sheet.write_formula(curves.head, 1 + place, formula, look, NONE)
    sheet.set_row(curves.head, 30)


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
        good = ('"pays"', "==") if name == "verdict" else (0, ">=")
        bad = ('"pays"', "!=") if name == "verdict" else (0, "<")
        empty = {"type": "blanks", "stop_if_true": True, "format": formats.colour(GOOD)}
        sheet.conditional_format(*cells, empty)
        for (value, relation), colour in ((good, GOOD), (bad, BAD)):
            rule = {"type": "cell", "criteria": relation, "value": value}
            rule["format"] = formats.colour(colour)
            sheet.conditional_format(*cells, rule)


def _record(sheet, formats, book, record):
    """The inputs that the results belong to, with a flag for each that has changed."""
    for column, head in enumerate(RECORD_HEADS):
        align = {"align": "right"} if column not in (WRITTEN, UNIT, DRAWN) else {}
        sheet.write_string(record, column, head, formats.head(**align))
    sheet.set_row(record, 30)
    trials = xl_rowcol_to_cell(TRIALS, VALUE)
    changed = formats(num_format='"changed";;""', font_color=ACCENT, bold=True)
    for row, name in enumerate(recorded(), record + 1):
        entry, place = INPUTS[name], layout().places[name]
        look = formats(num_format=input_format(name, book.units), align="right")
        sheet.write_string(row, WRITTEN, entry.label, formats())
        sheet.write_blank(row, VALUE, None, look)
        sheet.write_string(row, UNIT, book.shown(entry.unit), formats.unit())
        there = f"{quote_sheetname(place.sheet)}!{place.cell()}"
        here = xl_rowcol_to_cell(row, VALUE)
        same = f"{here}={there}"
        if has_range(entry) and not entry.over:
            same = f"AND({same},{_same_ends(row, place.row)})"
        formula = f"=IF({trials}=0,0,IF({same},0,1))"
        sheet.write_formula(row, FLAG, formula, changed, 0)
        sheet.write_blank(row, DRAWN, None, formats())
        for column in (*range(DRAWN + 1, DRAWN + 4), *OWN_ENDS):
            sheet.write_blank(row, column, None, look)


def _same_ends(row, on_inputs):
    """Whether the own low and high are those recorded; as texts, as empty is not 0."""
    same = []
    for here, there in zip(OWN_ENDS, (OWN_LOW, OWN_HIGH), strict=True):
        own = f"Inputs!{xl_rowcol_to_cell(on_inputs, there)}"
        same.append(f'{xl_rowcol_to_cell(row, here)}&""={own}&""')
    return ",".join(same)


def _state(sheet, formats, units, record, names):
    """The status cell, the number of trials and the checksum."""
    found = placed(units)[0]
    trials, changed = (xl_rowcol_to_cell(row, VALUE) for row in (TRIALS, CHANGED))
    first, last = (
        xl_rowcol_to_cell(row, FLAG) for row in (record + 1, record + len(recorded()))
    )
    bold = formats(bold=True)
    sheet.write_string(STATE, WRITTEN, "Results on this sheet", bold)
    sheet.write_formula(
        STATE,
        VALUE,
        f'=IF({trials}=0,"{EMPTY}",IF({changed}=0,"{CURRENT}","{OUT_OF_DATE}"))',
        bold,
        EMPTY,
    )
    whole = formats(num_format="#,##0", align="left")
    sheet.write_string(TRIALS, WRITTEN, "Trials", formats())
    sheet.write_blank(TRIALS, VALUE, None, whole)
    sheet.write_string(CHANGED, WRITTEN, "Inputs changed since then", formats())
    sheet.write_formula(CHANGED, VALUE, f"=SUM({first}:{last})", whole, 0)
    sheet.write_string(CHECKSUM, WRITTEN, "Checksum", formats())
    sheet.write_blank(CHECKSUM, VALUE, None, formats(align="left"))
    note = "Of all results on this sheet: pennyweight inspect finds overtyped values."
    sheet.write_string(CHECKSUM, UNIT, note, formats.note())
    for name, place in (
        ("Risk_trials", (TRIALS, VALUE)),
        ("Risk_inputs_changed", (CHANGED, VALUE)),
        ("Probability_that_it_pays", (found["odds"].top, VALUE)),
        ("Mean_net_present_value", mean_place(units)),
        ("Peak_funding_p90", quantile_place(units, "peak_funding", "P90")),
    ):
        names(name, SHEET, *place)
    measured = found["measure_next"]
    for place, row in enumerate(range(measured.top, measured.last + 1), 1):
        names(f"Measure_next_{place}", SHEET, row, 0)
        names(f"Measure_next_change_{place}", SHEET, row, measured.table.columns[-1])
    for text, colour in ((CURRENT, GOOD), ("out of date", BAD)):
        rule = {"type": "text", "criteria": "containing", "value": text}
        rule["format"] = formats.colour(colour)
        sheet.conditional_format(STATE, VALUE, STATE, VALUE, rule)
