"""The sheet Start: the must-haves, and the answer beside them, on one screen."""

import itertools

import numpy as np
from xlsxwriter.utility import xl_rowcol_to_cell

from ..formulas import Live, Reference, alike, appended, chosen, joined, live
from ..formulas.writing import NO_ANSWER
from ..model.currency import still_shown
from ..model.entries import bill_words, charge_estimates, charge_words
from ..model.inputs import INPUTS
from ..model.jobs import (
    BILL,
    CLAIM,
    CONTRACT,
    EVERYTHING,
    HEADLINES,
    MILL,
    TEST,
    rests_on,
)
from ..model.lines.cash.answers import (
    CONTRADICTED,
    DOES_NOT_PAY,
    MILL_PAID,
    PAYS,
    UNCONTRADICTED,
)
from ..model.lines.plant.grinding import BEYOND, LARGE_ENOUGH, TOO_SMALL, WEAK_MOTOR
from ..model.lines.plant.throughput import OWN_MILL
from ..model.mill_model import MODEL
from ..model.sources import IN_USE
from ..risk.figures import EVEN_ODDS
from .entry_cells import HINT
from .entry_cells import STATE as STATE_ON_INPUTS
from .input_sheet import fill, mark_states
from .job_view import hidden_rows, shown_sheets
from .layout import HEAD, LABEL, START, UNIT, entry_place, layout
from .live_cells import write_live
from .risk_sheet.rows import MEASURED
from .sentence import sentence
from .sheets import REGISTRY
from .style import (
    BAD,
    GOOD,
    INK,
    INPUT_FILL,
    PALE_BAD,
    PALE_GOOD,
    PALE_WAIT,
    START_FILL,
    input_format,
    mark,
    number_format,
)
from .texts import PURPOSES

ENTERED, USED, STATE, GAP, ANSWER, FIGURE, FIGURE_UNIT = 1, 3, 4, 5, 6, 7, 8
WIDTHS = (33, 13, 10, 13, 13, 18, 36, 14, 10)
HEADS = {
    LABEL: "Your figures",
    ENTERED: "Enter here",
    UNIT: "Unit",
    USED: "Figure used",
    STATE: "Whose",
    ANSWER: "The answer",
}

GREEN = (PAYS, MILL_PAID, UNCONTRADICTED, LARGE_ENOUGH)
RED = (DOES_NOT_PAY, CONTRADICTED, TOO_SMALL, WEAK_MOTOR, BEYOND)
"""Verdicts by their colour. A doubt stands behind a verdict, and takes green away."""


LOOK_FIRST = (
    *("reclamation_bond", "closure_cost", "product_p80", "availability", "burden"),
)
"""Estimates with the largest effect on cost or ore that are not entered on Start: the
first ones with a hired mill, too."""
WITH_HIRED_MILL = 2


def write_start(book, sheet, formats, analysis):
    """Write the sheet.

    Parameters
    ----------
    book : Book
    sheet : xlsxwriter.worksheet.Worksheet
    formats : Formats
    analysis : Analysis
    """
    for column, width in enumerate(WIDTHS):
        more = book.unit_room if column in (UNIT, FIGURE_UNIT) else 0
        sheet.set_column(column, column, width + more)
    for column, head in HEADS.items():
        right = {"align": "right"} if column in (ENTERED, USED) else {}
        left = {"indent": 1} if column in (UNIT, STATE) else {}
        sheet.write_string(HEAD, column, head, formats.head(**right, **left))
    for column in (FIGURE, FIGURE_UNIT):
        sheet.write_blank(HEAD, column, None, formats.head())
    last = _last_row(book.inputs["job"])
    for name, place in layout().entered.items():
        if place.sheet == START:
            _must_have(book, sheet, formats, name, place.row)
    mark_states(sheet, formats, HEAD + 1, last, STATE)
    _answer(book, sheet, formats, analysis)
    note = sentence(
        "{own_figures:0} figures are your own, {estimated_figures:0} are estimates on "
        "the sheet Inputs.",
        book.counts,
    )
    words = str(still_shown(book.inputs["currency"], book.currency))
    note = live(_noted, (Reference("Currency_words"), words), note)
    write_live(sheet, last + 1, LABEL, note, formats.note())
    cell = last + 1, LABEL, last + 1, LABEL
    mark(sheet, cell, formats.colour(BAD), '=Currency_words<>""')
    sheet.write_string(last + 2, LABEL, _look_first(book.inputs), formats.note())
    _contents(book, sheet, formats, last + 4)


def _noted(words, note):
    return np.where(words == "", note, words)


def _look_first(inputs):
    """Sentence on what to enter after the must-haves."""
    job, own = inputs["job"], inputs["ore_milled_by"] == OWN_MILL
    if job == MILL:
        return (
            "Enter the rock, the grind, the mill, its motor and the running time on "
            "the sheet Inputs; the sheet Mills compares other mills."
        )
    if job == TEST:
        return (
            "Enter weights, button and assays on the sheet Inputs, and the screens and "
            "the tailings on the sheet Test lot."
        )
    asked = rests_on(job)[1]
    listed = LOOK_FIRST if own else LOOK_FIRST[:WITH_HIRED_MILL]
    first = "; ".join(INPUTS[name].label for name in listed if name in asked)
    return f"Look first at these on Inputs: {first}." if first else ""


def last_printed_row(job):
    """Row below the count of figures; the links under it are for the screen."""
    return _last_row(job) + 2


def _last_row(job):
    """Row of the last must-have, or of the last figure of the answer."""
    asked = (p.row for p in layout().entered.values() if p.sheet == START)
    *_, answered = zip(range(3 + len(HEADLINES[job])), _in_sight(job), strict=False)
    return max(*asked, answered[1])


def _in_sight(job):
    """Rows below the heads that the job shows."""
    hidden = hidden_rows(job)[START]
    return (row for row in itertools.count(HEAD + 1) if row not in hidden)


def _contents(book, sheet, formats, row):
    """Write the purpose of the workbook, the colours, and a link to each sheet."""
    job = book.inputs["job"]
    formats.heading(sheet, row, len(WIDTHS) - 1, "In this workbook")
    sheet.write_string(row + 1, LABEL, book.worded(PURPOSES[job]), formats())
    row = write_colours(sheet, formats, row + 2)
    for name in shown_sheets(job):
        if name != START:
            entry = REGISTRY[name]
            link = f"internal:'{name}'!A1"
            sheet.write_url(row, LABEL, link, formats.link(), name)
            purpose = book.worded(entry.purpose)
            sheet.write_string(row, ENTERED, purpose, formats.note())
            row += 1


def write_colours(sheet, formats, row):
    """Write what the colours mean; return the next row."""
    for words, look in (
        ("an input: yours to change", formats(bg_color=INPUT_FILL)),
        ("a formula: read it, leave it", formats()),
        ("an opening value, before the first period", formats(bg_color=START_FILL)),
    ):
        sheet.write_string(row, LABEL, f"Colours: {words}", look)
        row += 1
    return row


def _must_have(book, sheet, formats, name, row):
    """Write the row of a must-have: its yellow cell, the figure used and its state."""
    entry = INPUTS[name]
    sheet.write_string(row, LABEL, entry.label, formats())
    fill(sheet, formats, book, name)
    if name == "job":
        sheet.write_string(row, ENTERED, book.inputs[name], formats(align="left"))
        return  # chosen by new --for: locked
    sheet.write_string(row, UNIT, book.shown(entry.unit), formats.unit())
    if entry.kind != "text":  # a long name runs over the empty cells beside it
        look = formats(num_format=input_format(name, book.units), align="right")
        read = IN_USE.get(name, name)
        write_live(sheet, row, USED, book.cell(read), look)
    at = xl_rowcol_to_cell(layout().places[name].row, STATE_ON_INPUTS)
    state = Live(Reference(f"Inputs!{at}"), book.rows[name].values[STATE_ON_INPUTS])
    write_live(sheet, row, STATE, state, formats(indent=1))
    if HINT in book.rows[name].cells:
        at = xl_rowcol_to_cell(layout().places[name].row, HINT)
        told = live(
            appended, (Reference(f"Inputs!{at}"), book.rows[name].values[HINT]), ""
        )
        write_live(sheet, row, GAP, told, formats.note(shrink=True))


def _answer(book, sheet, formats, analysis):
    """Write the banner and the figures below it, on rows that the job shows."""
    job = book.inputs["job"]
    free = _in_sight(job)
    banner = (next(free), ANSWER, next(free), FIGURE_UNIT)
    large = formats(bold=True, font_size=14, text_wrap=True, align="center", border=1)
    odds = None
    next(free)
    for name, row in zip(HEADLINES[job], free, strict=False):
        line = MODEL.lines[name]
        label = book.worded(line.label)
        sheet.write_string(row, ANSWER, label, formats())
        figure = formats(
            num_format=number_format(line.unit, book.units),
            align="right",
            bold=True,
            shrink=True,
        )
        write_live(sheet, row, FIGURE, when_complete(book, book.cell(name)), figure)
        unit = book.shown(line.unit)
        sheet.write_string(row, FIGURE_UNIT, unit, formats.unit())
    if job in (EVERYTHING, CLAIM):
        _change_of_worth(book, sheet, formats, next(free))
        odds = next(free), FIGURE
        write_probability(analysis, sheet, formats, odds[0], ANSWER, FIGURE)
        _measure_next(book, sheet, formats, free, analysis)
        _tell_bill(book, sheet, formats)
    elif job == CONTRACT:
        next(free)
        look = formats(bold=True, font_color=BAD, text_wrap=True, valign="top")
        top, *_, bottom = (next(free) for _ in range(5))
        place = (top, ANSWER, bottom, FIGURE_UNIT)
        _contract_warnings(book, sheet, place, look)
    write_banner(book, sheet, formats, banner, large, odds)


def _contract_warnings(book, sheet, place, look):
    """Write a warning of estimated charges and of an old power bill."""
    sheet.merge_range(*place, "", look)
    charges = (name for _, name, _ in charge_estimates(book.units))
    names = BILL, "contract_kind", "exchange_rate", "charges_agreed", *charges

    def warnings(*cells):
        read = dict(zip(names, cells, strict=True)).get
        charges = charge_words(read, book.units, entry_place)
        return joined(charges, bill_words(read(BILL)))

    told = live(warnings, *map(book.cell, names))
    write_live(sheet, *place[:2], told, look)


def _tell_bill(book, sheet, formats):
    """Write a warning beside a power bill that does not fit the planned hours."""
    row = layout().entered["energy_bill"].row
    look = formats(bold=True, font_color=BAD, text_wrap=True, valign="top")
    sheet.merge_range(row, ANSWER, row + 2, FIGURE_UNIT, "", look)
    write_live(sheet, row, ANSWER, live(bill_words, book.cell(BILL)), look)


def _change_of_worth(book, sheet, formats, row):
    """Write the change of NPV since the issue or the last renewal."""
    from .answer_sheet import WORTH, missing_at_issue

    sheet.write_string(row, ANSWER, CHANGE_OF_NPV, formats())
    before = Reference(f"Answer!{xl_rowcol_to_cell(*WORTH)}"), book.worth
    now = book.cell("net_present_value")
    reads = book.cell("changed_inputs"), missing_at_issue(book), now, before
    change = live(_change, *reads)
    look = formats(num_format="+#,##0;-#,##0;0", align="right", bold=True)
    write_live(sheet, row, FIGURE, when_complete(book, change), look)
    sheet.write_string(row, FIGURE_UNIT, book.shown("$"), formats.unit())


def _change(changed, missing, now, before):
    return chosen(changed == 0, 0, chosen(missing > 0, NO_ANSWER, now - before))


CHANGE_OF_NPV = "NPV change since file was written"
PROBABILITY = "Probability_that_it_pays"
"""Name of the cell on the sheet Risk."""


def write_probability(analysis, sheet, formats, row, label, value):
    """Write the probability that the claim pays, from the last risk analysis."""
    sheet.write_string(row, label, "Probability that it pays", formats())
    look = formats(num_format="0.0%", align="right", bold=True)
    write_live(sheet, row, value, analysis.current(analysis.named(PROBABILITY)), look)


def _measure_next(book, sheet, formats, free, analysis):
    """Write what to measure next, from the last risk analysis."""
    next(free)
    row = next(free)
    right = formats.head(align="right")
    sheet.write_string(row, ANSWER, "Measure next", formats.head())
    write_live(sheet, row, FIGURE, analysis.current("NPV changes by"), right)
    sheet.write_string(row, FIGURE_UNIT, "", formats.head())
    amount = formats(num_format="#,##0", align="right", bold=True)
    for place, row in zip(range(1, MEASURED + 1), free, strict=False):
        label = analysis.named(f"Measure_next_{place}")
        change = analysis.named(f"Measure_next_change_{place}")
        for column, found, look in (
            (ANSWER, live(appended, label, ""), formats()),
            (FIGURE, live(_beside, change, change), amount),
            (FIGURE_UNIT, live(_beside, change, book.shown("$")), formats.unit()),
        ):
            write_live(sheet, row, column, analysis.current(found, "", ""), look)


def _beside(change, value):
    return chosen(alike(change, ""), "", value)


def write_banner(book, sheet, formats, place, look, odds=None):
    """Write the answer in its colour: green pays, red does not, amber in between.

    A plan that pays is amber if it is more likely not to pay: ``odds`` is the place of
    the probability on the same sheet. All rules are formulas: LibreOffice takes rules
    of text first, whatever their order.
    """
    first_row, first, *_ = place
    sheet.merge_range(*place, "", look)
    write_live(sheet, first_row, first, book.cell("answer"), look)
    answer = xl_rowcol_to_cell(first_row, first, True, True)
    if odds:
        chance = xl_rowcol_to_cell(*odds, True, True)
        unlikely = f"ISNUMBER({chance}),{chance}<{EVEN_ODDS}"
        condition = f'=AND({answer}="{PAYS}",{unlikely})'
        look = formats.banner(INK, PALE_WAIT)
        mark(sheet, place, look, condition, stop_if_true=True)
    for colour, condition in verdict_colours(answer):
        look = formats.banner(colour, PALE[colour])
        mark(sheet, place, look, condition, stop_if_true=True)


PALE = {GOOD: PALE_GOOD, BAD: PALE_BAD, INK: PALE_WAIT}


def verdict_colours(cell):
    """Colours of the answer in a cell, each with the formula of its condition."""
    green = ",".join(f'{cell}="{verdict}"' for verdict in GREEN)
    red = ",".join(f'LEFT({cell},{len(words)})="{words}"' for words in RED)
    return (GOOD, f"=OR({green})"), (BAD, f"=OR({red})"), (INK, f'={cell}<>""')


def when_complete(book, shown, otherwise="not yet"):
    """A cell that shows other words while must-haves are missing."""
    counts = map(book.cell, ("missing_figures", "unusable_figures"))
    return live(_complete, *counts, shown, otherwise)


def _complete(missing, unusable, shown, otherwise):
    return chosen(missing + unusable == 0, shown, otherwise)
