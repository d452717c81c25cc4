"""Writing a workbook: every sheet, with formulas and their values."""

import datetime
import io

import numpy as np
import xlsxwriter
from xlsxwriter.utility import quote_sheetname, xl_range_abs, xl_rowcol_to_cell
from xlsxwriter.worksheet import Worksheet

from ..formulas import Reference, appended, live
from ..model.entries import has_range
from ..model.inputs import INPUTS, families
from ..model.jobs import LOT, MILL, SUBJECT
from ..model.lines.cash.checks import PASSED
from ..model.mill_model import MODEL
from ..model.units import CONSTANTS
from . import charts, front_sheets
from .answer_sheet import CHART_ROWS, write_answer
from .contract_sheet import write_indifference
from .entry_cells import HIGH, LOW
from .files import write_whole
from .flow_sheet import write_flow_sheet
from .input_sheet import write_inputs
from .job_view import hidden_rows, shown_sheets
from .layout import (
    FIRST,
    HEAD,
    LABEL,
    LINE_SHEETS,
    NOTE,
    SHEETS,
    START,
    UNIT,
    VALUE,
    defined_name,
    layout,
    listed,
)
from .line_sheets import LineSheet, last_column, widths
from .live_cells import write_live
from .printing import REPEATED, set_up_printing
from .risk_sheet.analysis import Analysis
from .risk_sheet.layout import LAST_COLUMN
from .risk_sheet.sheet import hide_rows, write_risk_sheet
from .sheets import REGISTRY, title_of
from .start_sheet import verdict_colours, write_start
from .style import ACCENT, BAD, INK, ROW_HEIGHT, Formats, mark

CREATED = datetime.datetime(2026, 1, 1)
"""Fixed, so that the same inputs give the same bytes."""

SIDES = ("mill", "owner")
ROWS_TO_FILL = (
    ("Samples", "sample_grade", "sample_weight"),
    ("Test lot", "screen_caught_gold", "screen_tails_share"),
)
"""Sheets with a table that is filled from the top, and two of its columns."""
BESIDE_CHARTS = "Customer lot and season"
"""Section of the sheet Contract beside the first chart."""
PAGE_WIDTH, CHART_HEIGHT = 725, 212
"""Pixels across the sheet Answer, and of its charts."""
ALL_PASSED, FAILED = "all checks passed", "failed check: "
HEADS = {LABEL: "Line", VALUE: "Value", UNIT: "Unit", NOTE: "Note"}


def write_book(book, path, force=False):
    """Write a workbook as an .xlsx file.

    Parameters
    ----------
    book : Book
    path : str or Path
    force : bool
        Whether a file that is there already may be replaced.

    Returns
    -------
    path : Path

    Raises
    ------
    CallError
        When the file exists and ``force`` is not given.
    WorkbookError
        When it cannot be written; nothing is left behind then.
    """
    return write_whole(path, book_bytes(book), force)


def book_bytes(book, furnish=None, lines=LINE_SHEETS, kind=None):
    """Give the bytes of a workbook's .xlsx file.

    Parameters
    ----------
    book : Book
    furnish : callable, optional
        Called with the package and its formats at the end, to add to it.
    lines : collection of str
        Sheets of the model's lines to fill; the others stay empty.
    kind : type of PlainFormulas, optional
        Kind of the worksheets.

    Returns
    -------
    content : bytes
        The same bytes for the same contents.
    """
    target = io.BytesIO()
    package = xlsxwriter.Workbook(target, {"in_memory": True})
    package.set_properties(
        {
            "title": "Economics of a small gold mill",
            "subject": book.inputs["claim_name"],
            "author": book.inputs["prepared_by"],
            "comments": f"Written by pennyweight {book.version}",
            "created": CREATED,
        }
    )
    package.set_calc_mode("auto")
    formats = Formats(package)
    kind = kind or PlainFormulas
    sheets = {name: package.add_worksheet(name, kind) for name in SHEETS}
    names = _namer(package)
    _define_names(names)
    for name, sheet in sheets.items():
        _furnish(sheet, REGISTRY[name], formats, book)
    charts_from = _fill(package, sheets, formats, book, names, lines)
    _draw(package, sheets, book, charts_from)
    for name, sheet in sheets.items():
        set_up_printing(sheet, REGISTRY[name], book)
    _show_the_job(sheets, book.inputs["job"])
    sheets["Start"].activate()
    if furnish:
        furnish(package, formats)
    package.close()
    return target.getvalue()


def _show_the_job(sheets, job):
    """Hide the sheets and rows that the job does not need."""
    for name in sheets.keys() - set(shown_sheets(job)):
        sheets[name].hide()
    for name, rows in hidden_rows(job).items():
        hide_rows(sheets[name], rows)


class PlainFormulas(Worksheet):
    """A worksheet that writes formulas unchanged.

    No formula has a function newer than Excel 2010. The library would look for thirty
    newer functions in every formula, a third of the time of writing a workbook.
    """

    def _prepare_formula(self, formula, expand_future_functions=False):
        return formula.removeprefix("=")

    def _escape_attributes(self, attribute):
        """Skip addresses and numbers: letters and digits need no escape."""
        if isinstance(attribute, str) and not attribute.isalnum():
            return super()._escape_attributes(attribute)
        return attribute

    def _xml_number_element(self, number, attributes=()):
        """Write 15 digits, as spreadsheets store: 0.085 stays 0.085."""
        text = "".join(f' {key}="{value}"' for key, value in attributes)
        self.fh.write(f"<c{text}><v>{number:.15G}</v></c>")


def _namer(package):
    def define(name, sheet, row, column):
        cell = xl_rowcol_to_cell(row, column, True, True)
        package.define_name(name, f"={quote_sheetname(sheet)}!{cell}")

    return define


def _define_names(define):
    single = [name for name, line in MODEL.lines.items() if not line.over]
    for name in (*INPUTS, *CONSTANTS, *single):
        place = layout().places[name]
        define(defined_name(name), place.sheet, place.row, place.column)
    for name, entry in listed():
        place = layout().entered[name]
        define(f"{defined_name(name)}_entered", place.sheet, place.row, place.column)
        row = layout().places[name].row
        if has_range(entry):
            define(f"{defined_name(name)}_low", "Inputs", row, LOW)
            define(f"{defined_name(name)}_high", "Inputs", row, HIGH)


def _fill(package, sheets, formats, book, names, lines):
    analysis = Analysis(book)
    write_inputs(sheets["Inputs"], formats, book)
    write_start(book, sheets["Start"], formats, analysis)
    write_flow_sheet(book, sheets["Flow sheet"], formats)
    charts_from = write_answer(book, sheets["Answer"], formats, analysis)
    front_sheets.write_about(book, sheets["About"], formats, names)
    front_sheets.write_sources(book, sheets["Sources"], formats)
    write_risk_sheet(package, sheets["Risk"], formats, book, names, analysis)
    for name in lines:
        LineSheet(sheets[name], formats, book, name).write()
    front_sheets.mark_verdict(sheets["Results"], formats)
    front_sheets.dim_unused(sheets["Samples"], formats)
    front_sheets.mark_unused_capital(book, sheets["Capital"], formats)
    for name, *columns in ROWS_TO_FILL:
        _tell_gaps(sheets[name], formats, book, columns)
    write_indifference(book, sheets["Contract"], formats)
    front_sheets.write_counts(book, sheets["Checks"], formats, names)
    return charts_from


HALF_FILLED = "A row is half filled: complete it."
EMPTY_ABOVE = "A row above a filled one is empty."


UNASSAYED = "An assay of tailings with mass is empty: enter it, or 0."


def _tell_gaps(sheet, formats, book, columns):
    """Write a warning, above a table to fill, of empty or half filled rows."""
    ends = [(families()[name][0], families()[name][-1]) for name in columns]
    (first, last), (other, _) = [[layout().entered[n] for n in pair] for pair in ends]

    def cells(column, skipped=0, left=0):
        ends = first.row + skipped, column, last.row - left, column
        return Reference(xl_range_abs(*ends), spread=True)

    left, right = (np.array([book.inputs[n] for n in families()[c]]) for c in columns)
    reads = [
        (cells(first.column), left),
        (cells(other.column), right),
        (cells(other.column, left=1), right[:-1]),
        (cells(other.column, 1), right[1:]),
    ]
    if columns == ["screen_caught_gold", "screen_tails_share"]:
        reads.append((Reference("Missing_assays"), book.unassayed))
    look = formats(bold=True, font_color=BAD, top=1)
    write_live(sheet, first.row - 2, NOTE, live(_gaps, *reads), look)


def _gaps(one, two, above, below, unassayed=None):
    """Warning of rows that are empty or half filled, or of assays that are missing.

    A screen of a test lot may hold gold and no tailings.
    """
    told = np.where(np.sum((above == 0) * (below > 0)) > 0, EMPTY_ABOVE, "")
    if unassayed is not None:
        return np.where(unassayed > 0, UNASSAYED, told)
    return np.where(np.sum((one > 0) * (two == 0)) > 0, HALF_FILLED, told)


def _furnish(sheet, entry, formats, book):
    """Set title, state of the workbook, column heads, widths and protection."""
    sheet.hide_gridlines(2)
    if entry.name != "Risk":  # LibreOffice would lose the charts of its hidden rows
        sheet.set_default_row(ROW_HEIGHT)
    sheet.set_row(0, 26)
    sheet.write_string(0, LABEL, title_of(entry.name), formats.title())
    sheet.write_string(1, LABEL, book.worded(entry.purpose), formats.note())
    if entry.name != START:
        sheet.write_url(0, VALUE, f"internal:'{START}'!A1", formats.link(), "to Start")
    wraps = REPEATED.get(entry.name) == LABEL  # the cells beside it are not printed
    if wraps:
        sheet.set_row(2, 2 * ROW_HEIGHT)
    side = "top" if wraps else "vcenter"
    look = formats(bold=True, text_wrap=wraps, valign=side)
    _state(sheet, look, formats, book, named=not wraps)
    if entry.lines:
        for column, head in HEADS.items():
            looks = {VALUE: {"align": "right"}, UNIT: {"indent": 1}}.get(column, {})
            sheet.write_string(HEAD, column, head, formats.head(**looks))
    _widths(sheet, entry.name, book.unit_room)
    sheet.protect(
        "",
        {"format_columns": True, "format_rows": True, "select_locked_cells": True},
    )
    if entry.tab:
        sheet.set_tab_color(entry.tab)


def _state(sheet, look, formats, book, named):
    """Write the answer and the state of the checks."""
    names = ["answer", "checks_flag", "missing_figures", "unusable_figures"]
    # The name last: a page may cut it off, and it stands on Start.
    names += [SUBJECT[book.inputs["job"]]] if named else []
    state = live(_told, *map(book.cell, names))
    write_live(sheet, 2, LABEL, state, look)
    for colour, condition in (
        (ACCENT, '=LEFT(Answer,7)="not yet"'),
        (BAD, f'=Checks_flag<>"{PASSED}"'),
        *verdict_colours("Answer"),
    ):
        colour = ACCENT if colour == INK else colour
        place, look = (2, LABEL, 2, LABEL), formats.colour(colour)
        mark(sheet, place, look, condition, stop_if_true=True)


def _told(told, flag, missing, unusable, called=None):
    """The answer, whether the checks passed, and the name of the claim."""
    passed = np.where(missing + unusable > 0, "", f"; {ALL_PASSED}")
    checks = np.where(flag != PASSED, appended(f"; {FAILED}", flag), passed)
    if called is None:
        return appended(told, checks)
    return appended(told, checks, np.where(called == "", "", appended(". ", called)))


def _widths(sheet, name, room):
    wide = widths(name)
    wide["unit"] += room * REGISTRY[name].lines
    for column, what in enumerate(("label", "value", "unit", "note")):
        sheet.set_column(column, column, wide[what])
    if name == "Sources":
        for column, width in enumerate(front_sheets.SOURCE_WIDTHS):
            sheet.set_column(column, column, width)
    elif name == "Risk":
        sheet.set_column(VALUE, LAST_COLUMN, 13)
    elif REGISTRY[name].lines:
        sheet.set_column(FIRST, max(FIRST + 1, last_column(name)), wide["period"])


def _draw(package, sheets, book, charts_from):
    """Insert charts beside the figures that they show, or below them."""
    price = charts.margin_chart(package, book, "price")
    below = layout().rows["Cost per ton"]
    cash = charts.cash_chart(package, book)
    placed = [
        ("Answer", charts_from, LABEL, cash),
        ("Answer", charts_from + CHART_ROWS, LABEL, price),
        ("Results", HEAD + 1, FIRST, charts.margin_chart(package, book, "grade")),
        ("Cost per ton", below, LABEL, charts.cost_chart(package, book)),
    ]
    if book.inputs["job"] != MILL:  # which has no money
        grinds = charts.grind_chart(package, book)
        placed.append(("Mills", HEAD + 1, FIRST + 3, grinds))
    for sheet, row, column, chart in placed:
        if sheet == "Answer":
            chart.set_size({"width": PAGE_WIDTH, "height": CHART_HEIGHT})
        sheets[sheet].insert_chart(row, column, chart, {"x_offset": 4, "y_offset": 4})
    if book.inputs["job"] != LOT:
        _draw_contracts(package, sheets["Contract"], book)


def _draw_contracts(package, sheet, book):
    """Insert the mill's charts beside the single lines, the owner's beside tables."""
    top = next(b.heading for b in layout().blocks if b.title == BESIDE_CHARTS)
    beside = FIRST + len(MODEL.axes["contract"]) + 1
    made = [(top, FIRST, charts.charge_chart(package, book))]
    for at, by in enumerate(("grade", "price"), 1):
        row = top + charts.CONTRACT_ROWS * at
        mill, owner = (charts.contract_chart(package, book, side, by) for side in SIDES)
        table = layout().places[f"owner_by_{by}"].row
        made += [(row, FIRST, mill), (table - 3, beside, owner)]
    for row, column, chart in made:
        sheet.insert_chart(row, column, chart, {"x_offset": 12, "y_offset": 4})
