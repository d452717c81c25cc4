"""Cells that count figures by their state, and the answer that follows from them."""

import numpy as np
from xlsxwriter.utility import xl_range_abs, xl_rowcol_to_cell

from ..formulas import Live, Reference, appended, count_of, formula, live
from ..model.entries import (
    ESTIMATE,
    MISSING,
    UNUSABLE,
    UNUSUAL,
    YOURS,
    answer,
    answer_list,
    choices_that_ask,
    doubted,
    empty_word,
    job_needs,
    sound,
    unassayed,
    with_assays,
)
from ..model.inputs import INPUTS
from ..model.jobs import TOLD_BY_VERDICT
from .entry_cells import CHANGED, LISTS, STATE, rows
from .layout import defined_name, layout

WHOSE = (
    ("own", YOURS, "Figures of your own", "Entered in the yellow cells."),
    (
        "estimated",
        ESTIMATE,
        "Figures estimated",
        "On the sheet Inputs, with their basis.",
    ),
    ("missing", MISSING, "Figures missing", "There is no verdict without them."),
    ("unusable", UNUSABLE, "Entries that cannot be used", "Correct them."),
    (
        "odd",
        UNUSUAL,
        "Unusual figures",
        "Check the unit, or enter your own low and high.",
    ),
)
REPORTED = {"missing": MISSING, "unusable": UNUSABLE, "odd": UNUSUAL}
"""States of which the answer tells, by the beginning of the names of their cells."""


def count_cells(book):
    """Label, cell and note of each count, and of the answer, by name.

    Parameters
    ----------
    book : Book

    Returns
    -------
    cells : dict of str to (str, Live, str)
    """
    cells = {"missing_assays": _missing_assays(book)}

    def cell(name):
        return Live(Reference(defined_name(name)), cells[name][1].value)

    states = [row.values[STATE] for row in book.rows.values()]
    states = Reference(_input_column(STATE), spread=True), states
    assays = cell("missing_assays")
    more = {MISSING: assays, YOURS: live(count_of, states, UNUSUAL)}
    for kind, state, label, note in WHOSE:
        count = live(count_of, states, state)
        count = live(np.add, count, more[state]) if state in more else count
        cells[f"{kind}_figures"] = label, count, note
    listed = [*book.rows.values()][-1].values
    for kind, state in REPORTED.items():
        place = xl_rowcol_to_cell(rows()[1], LISTS[state])
        labels = Reference(f"Inputs!{place}", "text"), listed[LISTS[state]]
        reads = (appended, labels, "")
        if state == MISSING:
            reads = (with_assays, labels, assays)
        cells[f"{kind}_list"] = f"Which: {state}", live(*reads), ""
    counts = [cell(f"{kind}_figures") for kind in REPORTED]
    lists = [cell(f"{kind}_list") for kind in REPORTED]
    failed = 0
    if book.inputs["job"] not in TOLD_BY_VERDICT:
        tables = ("limits_failed", "measurements_failed")
        failed = live(np.add, *map(book.result, tables))
    told = live(doubted, book.result("job_verdict"), counts[2], lists[2], failed)
    cells["doubted_verdict"] = "Verdict, with what it rests on", told, ""
    told = live(answer, cell("doubted_verdict"), *counts[:2])
    cells["answer_if_balanced"] = "Answer, if the balances hold", told, ""
    told = live(sound, cell("answer_if_balanced"), book.result("balances_failed"))
    cells["answer"] = "Answer", told, "On top of every sheet."
    told = live(answer_list, counts[0], lists[0], counts[1], *lists[1:])
    cells["answer_list"] = "Figures concerned", told, ""
    flags = Reference(_input_column(CHANGED, all_inputs=True), spread=True)
    cells["changed_inputs"] = (
        "Inputs changed since the workbook was issued",
        live(np.sum, (flags, book.changes)),
        "Marked on the sheet Inputs.",
    )
    return cells


def _missing_assays(book):
    """The cell that counts empty assays of tailings, which some choices need."""
    job, first = book.inputs["job"], "screen_tails_grade_01"
    count = 0
    if job_needs(first, job):
        ranges = (
            Reference(f"'Test lot'!{layout().places[name].range}", spread=True)
            for name in ("screen_tails_share", "screen_tails_grade")
        )
        count = unassayed(*ranges)
        asked = [
            (Reference(defined_name(choice), "text"), word)
            for choice, word in choices_that_ask(INPUTS[first], job)
        ]
        if asked:
            count = np.where(empty_word(*asked) == MISSING, count, 0)
    cell = Reference(formula(count).removeprefix("="))
    note = "Each screen fraction with mass needs one; 0 if it has no gold."
    return "Tailings assays missing", Live(cell, book.unassayed), note


def _input_column(column, all_inputs=False):
    """Address of a column of the sheet Inputs."""
    first, last = rows()
    last = max(layout().issued.values()) if all_inputs else last
    return f"Inputs!{xl_range_abs(first, column, last, column)}"
