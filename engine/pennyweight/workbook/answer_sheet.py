"""The sheet Answer: one page that a partner or a banker can read."""

import math

import numpy as np
from xlsxwriter.utility import xl_rowcol_to_cell

from ..formulas import Live, Reference, chosen, live
from ..model.inputs import INPUTS
from ..model.judgement import CLOSE, close_call
from ..model.lines.cash.answers import PAYS
from ..model.mill_model import MODEL
from ..model.sources import IN_USE
from ..model.switching_values import NEVER, TURNABLE
from ..model.units import TON
from ..risk.figures import EVEN_ODDS
from .layout import HEAD, LABEL, VALUE
from .live_cells import write_live
from .sentence import sentence
from .start_sheet import (
    when_complete,
    write_banner,
    write_probability,
)
from .style import ROW_HEIGHT, RULE, number_format

COLUMNS = 6
WIDTHS = (34, 14, 14, 14, 14, 14)
LARGE = (
    "margin_per_ton",
    "net_present_value",
    "internal_rate",
    "peak_funding",
    "owner_payback_month",
)
"""The five figures in large type."""
FIRST_ROW = HEAD + 1
CHART_ROWS = 12
SOLVED = 7
"""Column, beside the page, of figures that the engine solved at the issue."""
SWITCHING = 20
"""Row of the heading of the switching values."""
FIRST_TURN = SWITCHING + 3
WORTH = (SWITCHING - 1, SOLVED)
"""Place of the net present value of the inputs as issued or last renewed."""
NOT_CLOSE = f"No figure turns the verdict if it alone changes by less than {CLOSE:.0%}."
MISSING_AT_ISSUE = (SWITCHING - 1, SOLVED + 1)
"""Place of the count of figures missing at the issue: the NPV was not shown then."""
SOLVED_NOW = "solved for the present figures"
RENEW = "run pennyweight renew on this file, or send it to whoever runs pennyweight"
OUT_OF_DATE, NOT_SOLVED = f"out of date: {RENEW}", f"not solved yet: {RENEW}"
TO_DRAW = "The command pennyweight risk draws it."
TO_DRAW_AGAIN = "Draw it again: run pennyweight risk."
WITHIN = "Within the ranges on Inputs"
DRAWN = (
    # label, name of the cell on the sheet Risk, note
    (
        "Mean net present value, $",
        "Mean_net_present_value",
        "A range that you did not enter is an estimate.",
    ),
    (
        "Peak funding, P90, $",
        "Peak_funding_p90",
        "The owner's money that is enough in nine of ten trials.",
    ),
)
"""Results of the last risk analysis, below the probability."""


def likely(trials, changes, verdict, probability):
    """Whether the probability that the claim pays agrees with the verdict."""
    drawn = np.logical_and(trials > 0, changes == 0)
    unlikely = np.logical_and(drawn, probability < EVEN_ODDS)
    against = np.logical_and(verdict == PAYS, unlikely)
    in_favour = np.logical_and(verdict != PAYS, probability > EVEN_ODDS)
    agrees = np.where(in_favour, f"{WITHIN} it is more likely to pay.", f"{WITHIN}.")
    told = np.where(against, f"{WITHIN} it is more likely not to pay.", agrees)
    return np.where(trials == 0, TO_DRAW, np.where(changes > 0, TO_DRAW_AGAIN, told))


def current(changed, found):
    """A solved figure; blank when inputs have changed since the issue."""
    return chosen(changed == 0, found, "")


def write_answer(book, sheet, formats, analysis):
    """Write the sheet.

    Parameters
    ----------
    book : Book
    sheet : xlsxwriter.worksheet.Worksheet
    formats : Formats
    analysis : Analysis

    Returns
    -------
    row : int
        First free row, for the charts.
    """
    for column, width in enumerate(WIDTHS):
        sheet.set_column(column, column, width)
    look = formats(bold=True, font_size=16, text_wrap=True, align="center", border=1)
    place = (FIRST_ROW, LABEL, FIRST_ROW + 1, COLUMNS - 1)
    row = FIRST_ROW + 3
    values = {**book.values, **book.counts}
    for template in sentences(book.units):
        told = sentence(template, values, book.currency)
        if "$" in template:
            told = when_complete(book, told, "")
        sheet.merge_range(row, LABEL, row, COLUMNS - 1, "", _wrapped(formats))
        write_live(sheet, row, LABEL, told, _wrapped(formats))
        # A row without height would stay hidden when its sentence appears.
        sheet.set_row(row, ROW_HEIGHT * (math.ceil(len(told.value) / 105) or 2))
        row += 1
    row = _large_figures(book, sheet, formats, row + 1)
    write_probability(analysis, sheet, formats, row + 1, LABEL, VALUE)
    write_banner(book, sheet, formats, place, look, (row + 1, VALUE))
    note = formats.note(indent=1)
    write_live(sheet, row + 1, VALUE + 1, live(likely, *analysis.verdict), note)
    look = formats(num_format="#,##0", align="right", bold=True)
    for below, (label, name, told) in enumerate(DRAWN, row + 2):
        sheet.write_string(below, LABEL, book.worded(label), formats())
        write_live(sheet, below, VALUE, analysis.current(analysis.named(name)), look)
        sheet.write_string(below, VALUE + 1, told, note)
    return write_switching_values(book, sheet, formats)


def sentences(units):
    """Templates of the reasons, in order."""
    ton = TON[units]
    return (
        f"In a full year of work, at a gold price of {{gold_price:$2}} per oz, a {ton} "
        "milled brings {net_return_per_ton:$2} after refiner and royalty and costs "
        "{cost_per_ton:$2} to produce: a margin of {margin_per_ton:$2} "
        f"per {ton}.",
        "The whole plan is worth {net_present_value:$} today, after tax and before "
        "any loan, at {discount_rate:%} per year, real. The gold price is "
        "{gold_price_basis}{gold_price_growth:growth}; money is {money_basis}.",
        "Its operating margin is {life_margin:$}. The owner must put in "
        "{peak_funding:$}, beside any loan. To the owner, loan included, the plan is "
        "worth {owner_net_present_value:$} today.",
        f"Full output is {{tons_per_month:0}} {ton}s per month at the planned grind "
        "and rock. Limited by: {feed_rate_limit}. Stage of the lowest capacity: "
        "{bottleneck}.",
        "{own_figures:0} figures are your own, {estimated_figures:0} are estimates, "
        "{missing_figures:0} are missing. Failed check: {checks_flag}. {answer_list} "
        "{weights_left_out}",
    )


def _wrapped(formats):
    return formats(text_wrap=True, valign="top", font_size=11)


def _large_figures(book, sheet, formats, row):
    """Five figures in large type under their labels."""
    for column, name in enumerate(LARGE, 1):
        line = MODEL.lines[name]
        unit = book.shown(line.unit)
        with_unit = unit and not line.label.endswith(unit)
        label = book.worded(f"{line.label}, {unit}" if with_unit else line.label)
        head = formats(text_wrap=True, align="center", font_size=9, valign="bottom")
        sheet.write_string(row, column, label, head)
        number = number_format(line.unit, book.units)
        large = {"bold": True, "font_size": 15, "shrink": True}
        figure = formats(num_format=number, align="center", **large)
        shown = when_complete(book, book.cell(name))
        write_live(sheet, row + 1, column, shown, figure)
    sheet.set_row(row, 40)
    sheet.set_row(row + 1, 26)
    return row + 2


def solved_places():
    """Places of the figures that the engine solved, and of what was missing then."""
    rows = range(FIRST_TURN, FIRST_TURN + len(TURNABLE) + 1)
    return {WORTH, MISSING_AT_ISSUE, *((row, SOLVED) for row in rows)}


def write_switching_values(book, sheet, formats):
    """Write the switching values, which the engine solves."""
    row = SWITCHING
    formats.heading(sheet, row, COLUMNS - 1, "Switching values")
    note = "At this value of one input, all others unchanged, the verdict turns."
    look = formats.note(indent=1, top=1, top_color=RULE)
    sheet.write_string(row, VALUE, note, look)
    row += 1
    write_freshness(book, sheet, formats, row)
    row += 1
    for column, head in enumerate(("Input", "Now", "Turns at", "Change", "Basis", "")):
        right = {"align": "right"} if column in (1, 2, 3) else {"indent": column > 0}
        sheet.write_string(row, column, head, formats.head(**right))
    sheet.write_string(row, SOLVED, "As issued", formats.head(align="right"))
    sheet.write_string(WORTH[0] - 1, SOLVED, "NPV as issued", formats.head())
    sheet.write_number(*WORTH, book.worth, formats(num_format=number_format("$", "")))
    row, column = MISSING_AT_ISSUE
    sheet.write_string(row - 1, column, "Missing then", formats.head())
    sheet.write_number(row, column, book.counts["missing_figures"], formats())
    for row, value in enumerate(book.switching_values, FIRST_TURN):
        _switching_value(book, sheet, formats, row, value)
    row += 1
    close = close_call(book.switching_values, book.units)
    close = close[0] if close else NOT_CLOSE
    sheet.write_string(row, SOLVED - 1, "As issued:", formats.note(align="right"))
    sheet.write_string(row, SOLVED, close, formats.note())
    waiting = "The charts use estimates until no figure is missing."
    told = _current(book, (Reference(xl_rowcol_to_cell(row, SOLVED)), close), waiting)
    write_live(sheet, row, LABEL, told, formats(bold=True))
    return row + 1


def _current(book, found, waiting="not yet"):
    found = live(current, book.cell("changed_inputs"), found)
    return when_complete(book, found, waiting)


def write_freshness(book, sheet, formats, row):
    """Write whether figures that the engine solved are still up to date."""
    state = live(freshness, book.cell("changed_inputs"), missing_at_issue(book))
    write_live(sheet, row, LABEL, when_complete(book, state), formats(bold=True))


def freshness(changed, missing):
    """Whether figures that the engine solves are of the present inputs."""
    old = np.where(missing > 0, NOT_SOLVED, OUT_OF_DATE)
    return np.where(changed == 0, SOLVED_NOW, old)


def missing_at_issue(book):
    """How many figures were missing at the issue or the last renewal."""
    cell = Reference(f"Answer!{xl_rowcol_to_cell(*MISSING_AT_ISSUE)}")
    return Live(cell, book.before.missing)


def _switching_value(book, sheet, formats, row, value):
    entry = INPUTS[value.name]
    unit = book.shown(entry.unit)
    label = f"{entry.label}, {unit}" if unit else entry.label
    sheet.write_string(row, LABEL, label, formats())
    number = number_format("share" if entry.kind == "share" else entry.unit, book.units)
    look = formats(num_format=number, align="right")
    sheet.write_string(row, 4, value.basis, formats.note(indent=1))
    read = IN_USE.get(value.name, value.name)
    now = book.cell(read)
    write_live(sheet, row, 1, now, look)
    sheet.write(row, SOLVED, value.turns_at, look)
    before, found = (
        (Reference(xl_rowcol_to_cell(row, column)), there)
        for column, there in ((1, now.value), (SOLVED, value.turns_at))
    )
    write_live(sheet, row, 2, _current(book, found), look)
    change = formats(num_format="+0.0%;-0.0%;0%", align="right")
    moved = live(moves, book.cell("changed_inputs"), before, found)
    write_live(sheet, row, 3, when_complete(book, moved, ""), change)


def moves(changed, before, found):
    """Relative change to a switching value."""
    unlike = np.logical_and(before != 0, found != NEVER)
    known = np.logical_and(changed == 0, unlike)
    return chosen(known, lambda: found / before - 1, "")
