"""Writing a book: every sheet, formulas with the engine's values beside them."""

import datetime
import io
import itertools

import xlsxwriter

from ..model.inputs import INPUTS
from ..model.mill import MODEL
from ..model.units import CONSTANTS
from . import charts, front_sheets, words
from .files import write_whole
from .input_sheet import BASIS, BASIS_WIDTH, CHANGED, NOTE_WIDTH, STATUS, write_inputs
from .layout import FIRST, HEAD, LABEL, NOTE, SHEETS, UNIT, VALUE, defined_name, layout
from .line_sheets import LineSheet, last_column
from .risk_sheet.layout import LAST_COLUMN
from .risk_sheet.sheet import write_chance
from .sheet_names import title_of
from .style import BAD, GOOD, WIDTHS, Formats

CREATED = datetime.datetime(2026, 1, 1)
"""Fixed, so that the same inputs give the same bytes."""

SIDES = ("mill", "owner")
PAGES = {
    "About": 1,
    "Answer": 1,
    "Test lot": 1,
    "Cost per ton": 1,
    "Return per ton": 1,
    "Capital": 1,
    "Years": 1,
    "Rate of return": 1,
    "Checks": 1,
}
"""Printed pages of a sheet; others take as many as they need."""
PAGE_STARTS = {
    "Inputs": (
        "Jaw crusher",
        "Classifier, water and pumps",
        "Other running cost",
        "Grind choice",
        "Contract: terms",
        "Lot to settle",
    ),
    "Plant": ("Mill", "Pace of the plant"),
    "Mills": ("Grind choice",),
    "Contract": (
        "Kinds of contract: terms",
        "Break-even of the owner, and the charge to ask for",
        "One standard deviation of the mill's money, $ a lot",
        "Mill's margin of a ton at other grades, $",
        "Mill's margin of a ton at other gold prices, $",
        "Lot to settle: weights and assays",
    ),
}
"""Sections that begin a printed page, so that no table is torn."""
PRINTED = {"Samples": "Assays", "Rate of return": "What was found, before tax"}
"""Last printed section of a sheet; the steps below are for reading on the screen."""
TABS = {"Inputs": "#E2B84B", "Answer": "#B07D1A", "Checks": "#2E7D4F"}
HEADS = {LABEL: "Line", VALUE: "Value", UNIT: "Unit", NOTE: "Note"}


def write_book(book, path, force=False):
    """Write a book as an .xlsx file.

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
        When it cannot be written; nothing is then left behind.
    """
    return write_whole(path, book_bytes(book), force)


def book_bytes(book, furnish=None):
    """Give the bytes of a book's .xlsx file.

    Parameters
    ----------
    book : Book
    furnish : callable, optional
        Called with the package and its formats at the end, to add to it.

    Returns
    -------
    content : bytes
        The same for the same book.
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
    sheets = {name: package.add_worksheet(name) for name in SHEETS}
    names = _namer(package)
    _define_names(names)
    for name, sheet in sheets.items():
        _furnish(package, sheet, name, formats, book)
    _fill(package, sheets, formats, book, names)
    _draw(package, sheets, book)
    sheets["Answer"].activate()
    if furnish:
        furnish(package, formats)
    package.close()
    return target.getvalue()


def _namer(package):
    def define(name, sheet, row, column):
        from xlsxwriter.utility import xl_rowcol_to_cell

        cell = xl_rowcol_to_cell(row, column, True, True)
        package.define_name(name, f"='{sheet}'!{cell}")

    return define


def _define_names(define):
    single = [name for name, line in MODEL.lines.items() if not line.over]
    for name in (*INPUTS, *CONSTANTS, *single):
        place = layout().places[name]
        define(defined_name(name), place.sheet, place.row, place.column)


def _fill(package, sheets, formats, book, names):
    for name, sheet in sheets.items():
        if name == "About":
            front_sheets.write_about(book, sheet, formats, names)
        elif name == "Inputs":
            write_inputs(sheet, formats, book)
        elif name == "Sources":
            front_sheets.write_sources(book, sheet, formats)
        elif name == "Chance":
            write_chance(package, sheet, formats, book, names)
        else:
            LineSheet(sheet, formats, book, name).write()
    front_sheets.mark_verdict(sheets["Answer"], formats)
    front_sheets.dim_unused(sheets["Samples"], formats)
    front_sheets.say_none(sheets["Contract"], formats)
    front_sheets.write_turnings(book, sheets["Answer"], formats)
    front_sheets.write_counts(book, sheets["Checks"], formats, names)


def _furnish(package, sheet, name, formats, book):
    """Title, state of the book, column heads, widths, printing, protection."""
    sheet.hide_gridlines(2)
    sheet.set_row(0, 26)
    sheet.write_string(0, LABEL, title_of(name), formats.title())
    purpose = words.SHEET_PURPOSE.get(name, words.PURPOSE)
    sheet.write_string(1, LABEL, purpose, formats.note())
    _state(sheet, formats, book)
    if name not in ("About", "Inputs", "Chance", "Sources"):
        for column, head in HEADS.items():
            looks = {VALUE: {"align": "right"}, UNIT: {"indent": 1}}.get(column, {})
            sheet.write_string(HEAD, column, head, formats.head(**looks))
    _widths(sheet, name)
    _printing(sheet, name, book)
    sheet.protect(
        "",
        {"format_columns": True, "format_rows": True, "select_locked_cells": True},
    )
    if name in TABS:
        sheet.set_tab_color(TABS[name])


def _state(sheet, formats, book):
    """Verdict and state of the checks, on every sheet."""
    sheet.write_formula(
        2,
        LABEL,
        '=Claim_name&": "&Verdict&"; "&Checks_flag',
        formats(bold=True),
        f"{book.inputs['claim_name']}: {book.values['verdict']}; "
        f"{book.values['checks_flag']}",
    )
    for relation, colour in (("=", GOOD), ("<>", BAD)):
        rule = {
            "type": "formula",
            "criteria": f'=Checks_flag{relation}"all checks hold"',
            "format": formats.colour(colour),
        }
        sheet.conditional_format(2, LABEL, 2, LABEL, rule)


def _widths(sheet, name):
    for column, width in enumerate(
        (WIDTHS["label"], WIDTHS["value"], WIDTHS["unit"], WIDTHS["note"])
    ):
        sheet.set_column(column, column, width)
    if name == "Inputs":
        sheet.set_column(NOTE, NOTE, NOTE_WIDTH)
        sheet.set_column(NOTE + 1, NOTE + 4, 11)
        sheet.set_column(BASIS, BASIS, BASIS_WIDTH)
        sheet.set_column(NOTE + 6, CHANGED, 12)
    elif name == "Sources":
        for column, width in enumerate((40, 48, 66, 40)):
            sheet.set_column(column, column, width)
    elif name == "Chance":
        sheet.set_column(VALUE, LAST_COLUMN, 14)
    elif name != "About":
        sheet.set_column(FIRST, max(FIRST + 1, last_column(name)), WIDTHS["period"])
    if name == "Checks":
        sheet.set_column(FIRST, FIRST + 1, 16)
    if _only_down(name):
        # Notes run over into empty cells; the columns of a table stand together.
        sheet.set_column(NOTE, NOTE, WIDTHS["period"])


def _only_down(name):
    """Whether all tables of a sheet run down, and none stands beside notes."""
    blocks = [block for block in layout().blocks if block.sheet == name]
    down = any(block.down for block in blocks)
    return down and not any(block.across for block in blocks)


def _printing(sheet, name, book):
    sheet.set_landscape()
    sheet.set_paper(1 if book.units == "us" else 9)
    sheet.set_margins(0.5, 0.5, 0.6, 0.6)
    sheet.set_footer("&L&8Estimates; not a mineral reserve, not advice&R&8&A  &P/&N")
    sheet.repeat_rows(0, HEAD)
    starts = PAGE_STARTS.get(name, ())
    if name == "Inputs":
        sheet.print_area(0, 0, _end_of(name, "Fixed numbers"), STATUS)
    if name in PRINTED:
        sheet.print_area(0, 0, _end_of(name, PRINTED[name]), last_column(name))
    sheet.set_h_pagebreaks([_section(name, title)[0] for title in starts])
    if name == "Cash flow":
        sheet.repeat_columns(LABEL)
        sheet.fit_to_pages(6, 1)
        sheet.freeze_panes(HEAD + 1, 1)
    elif name == "Chance":
        sheet.set_print_scale(62)
        sheet.freeze_panes(HEAD + 1, 0)
    else:
        sheet.fit_to_pages(1, PAGES.get(name, 0))
        sheet.freeze_panes(HEAD + 1, 1 if name in ("Inputs", "Years") else 0)


def _section(name, title):
    """Row of the heading of a section, and of the next one's."""
    blocks = [block for block in layout().blocks if block.sheet == name]
    rows = [block.heading for block in blocks] + [layout().rows[name]]
    place = [block.title for block in blocks].index(title)
    return rows[place], rows[place + 1]


def _end_of(name, title):
    """Last row of a section."""
    return _section(name, title)[1] - 2


def _draw(package, sheets, book):
    """Charts beside the figures that they show."""
    for sheet, row, chart in (
        ("Answer", HEAD, charts.cash_chart(package)),
        ("Answer", HEAD + 17, charts.margin_chart(package, book.units, "price")),
        ("Answer", HEAD + 34, charts.margin_chart(package, book.units, "grade")),
        ("Cost per ton", HEAD, charts.cost_chart(package)),
        ("Mills", HEAD, charts.grind_chart(package, book.units)),
    ):
        column = FIRST + (4 if sheet == "Mills" else 0)
        sheets[sheet].insert_chart(row, column, chart, {"x_offset": 12, "y_offset": 4})
    for position, (side, by) in enumerate(itertools.product(SIDES, ("grade", "price"))):
        chart = charts.contract_chart(package, book.units, side, by)
        row = HEAD + 1 + charts.CONTRACT_ROWS * position
        sheets["Contract"].insert_chart(row, FIRST, chart, {"x_offset": 12})
