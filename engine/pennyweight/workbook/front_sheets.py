"""The sheets About and Sources, and the counts of figures on the sheet Checks."""

import inspect
import math
import re

import numpy as np
from xlsxwriter.utility import xl_range_abs, xl_rowcol_to_cell

from ..formulas import Reference, formula
from ..model.checks import CHECKS
from ..model.currency import still_shown
from ..model.entries import (
    MISSING,
    answer,
    answer_list,
    choices_that_ask,
    empty_word,
    job_needs,
    sound,
    unassayed,
    with_assays,
)
from ..model.inputs import INPUTS
from ..model.jobs import rests_on
from ..model.lines.cash.answers import DOES_NOT_PAY, PAYS
from ..model.mill_model import MODEL
from ..trade.function_contract import CATALOGUE
from ..trade.function_contract_terms import contract_of
from .book import COUNTED, REPORTED
from .cell_formulas import traced
from .entry_cells import CHANGED, LISTS, STATE
from .input_sheet import rows
from .layout import HEAD, LABEL, NOTE, VALUE, defined_name, layout, layout_mark
from .line_sheets import last_column
from .start_sheet import write_colours
from .style import BAD, FAINT, GOOD, ROW_HEIGHT
from .texts import ABOUT, PURPOSES

SYSTEM_WORDS = {
    "us": "US customary: short tons, troy ounces a ton, pounds, feet, gallons",
    "metric": "metric: tonnes, grams a tonne, kilograms, metres, litres",
}
SOURCE_WIDTHS = (23, 34, 64, 60)
SOURCE = 2
"""The last printed column; the range of validity is for the screen."""


def write_about(book, sheet, formats, names):
    """Write the sheet About.

    Parameters
    ----------
    book : Book
    sheet : xlsxwriter.worksheet.Worksheet
    formats : Formats
    names : callable
        Defines a name: ``names(name, sheet, row, column)``.
    """
    row, look = 4, formats(align="left")
    for label, value, shown, name in _facts(book):
        sheet.write_string(row, LABEL, label, formats())
        if shown is not None:
            sheet.write_formula(row, VALUE, value, look, shown)
        else:
            sheet.write(row, VALUE, value, look)
        if name:
            names(name, "About", row, VALUE)
        if name == "Book_currency":
            _currency_words(book, sheet, formats, row)
            names("Currency_words", "About", row, NOTE)
        row += 1
    row = write_colours(sheet, formats, row + 1)
    purpose = {"What it is for": [PURPOSES[book.inputs["job"]]]}
    for title, sentences in (purpose | ABOUT).items():
        row += 1
        sheet.write_string(row, LABEL, title, formats.section())
        for sentence in sentences:
            row += 1
            sheet.merge_range(
                row, LABEL, row, NOTE, sentence, formats(text_wrap=True, valign="top")
            )
            sheet.set_row(row, ROW_HEIGHT * math.ceil(len(sentence) / 150))
        row += 1


def _facts(book):
    """Label, value or formula, the formula's value, and cell name of each fact."""
    return (
        ("Claim", '=Claim_name&""', book.inputs["claim_name"], None),
        ("Prepared by", '=Prepared_by&""', book.inputs["prepared_by"], None),
        ("Money", '=Currency&""', book.inputs["currency"], None),
        ("Prices and costs of", '=Price_date&""', book.inputs["price_date"], None),
        ("Units", SYSTEM_WORDS[book.units], None, None),
        ("Unit system", book.units, None, "Book_units"),
        ("Currency shown on the sheets", book.currency, None, "Book_currency"),
        ("Written by pennyweight", book.version, None, "Book_version"),
        ("Layout", layout_mark(), None, "Book_layout"),
        ("Lines of the model", len(MODEL.lines), None, None),
        ("Formulas that differ", unique_formulas(), None, None),
        ("Checks", checks_count(), None, None),
    )


def _currency_words(book, sheet, formats, row):
    """Write whether the currency was changed since the sheets were written."""
    cell = Reference(defined_name("currency"), "text")
    text = str(still_shown(book.inputs["currency"], book.currency))
    look = formats(bold=True, font_color=BAD)
    sheet.write_formula(
        row, NOTE, formula(still_shown(cell, book.currency)), look, text
    )


def unique_formulas():
    """Number of distinct formulas of the lines, each row counted once."""
    return len({text for _, text in traced().values()})


def checks_count():
    """Number of checks in the workbook."""
    return sum(len(MODEL.axes[table]) for table in CHECKS)


def mark_verdict(sheet, formats):
    """Colour the verdict; show results in grey while figures are missing."""
    place, last = layout().places["verdict"].row, layout().rows["Results"]
    waiting = {"type": "formula", "criteria": "=Missing_figures>0"}
    waiting |= {"format": formats.colour(FAINT), "stop_if_true": True}
    for first, end in ((HEAD + 1, place - 1), (place, place), (place + 1, last)):
        if first <= end:
            sheet.conditional_format(first, VALUE, end, VALUE, waiting)
    for verdict, colour in ((PAYS, GOOD), (DOES_NOT_PAY, BAD)):
        rule = {
            "type": "cell",
            "criteria": "==",
            "value": f'"{verdict}"',
            "format": formats.colour(colour),
        }
        sheet.conditional_format(place, VALUE, place, VALUE, rule)


def dim_unused(sheet, formats):
    """Show unused rows of the table of assays in light grey."""
    used, ranks = layout().places["sample_used"], layout().places["sample_sorted"]
    for place, criteria in (
        (used, f"=${used.cell(0)}=0"),
        (ranks, f"=$A{ranks.row + 1}>Sample_count"),
    ):
        last = place.at(place.lengths[0] - 1)[0]
        rule = {"type": "formula", "criteria": criteria}
        rule["format"] = formats.colour(FAINT)
        sheet.conditional_format(place.row, LABEL, last, last_column("Samples"), rule)


def write_counts(book, sheet, formats, names, last):
    """Write the counts of own, estimated and missing figures below the checks.

    Parameters
    ----------
    book : Book
    sheet : xlsxwriter.worksheet.Worksheet
    formats : Formats
    names : callable
        Defines a name.
    last : int
        Row of the sheet Inputs where the cumulative lists end.
    """
    row = layout().rows["Checks"]
    formats.heading(sheet, row, NOTE, "Whose figures")
    for name, (label, text, value, note) in _counts(book, last).items():
        row += 1
        sheet.write_string(row, LABEL, label, formats())
        words = isinstance(value, str)
        look = formats(align="left", indent=1) if words else formats(num_format="0")
        sheet.write_formula(row, VALUE, text, look, value)
        sheet.write_string(row, NOTE, note, formats.note())
        names(name, "Checks", row, VALUE)


def _counts(book, last):
    """Label, formula, value and note of each cell that counts figures, by name."""
    states = _input_column(STATE)
    cells = {"Missing_assays": _missing_assays(book)}
    cells |= {
        f"{kind.capitalize()}_figures": (
            label,
            f'=COUNTIF({states},"{COUNTED[kind]}")',
            book.counts[f"{kind}_figures"],
            note,
        )
        for kind, label, note in WHOSE
    }
    label, text, *rest = cells["Missing_figures"]
    cells["Missing_figures"] = (label, f"{text}+Missing_assays", *rest)
    label, text, *rest = cells["Own_figures"]
    unusual = f'COUNTIF({states},"{COUNTED["odd"]}")'
    cells["Own_figures"] = (label, f"{text}+{unusual}", *rest)
    for kind in REPORTED:
        state, name = COUNTED[kind], kind.capitalize()
        cell = f"Inputs!{xl_rowcol_to_cell(last, LISTS[state])}"
        text = f'={cell}&""'
        if state == MISSING:
            ends = Reference(cell, "text"), Reference("Missing_assays")
            text = formula(with_assays(*ends))
        cells[f"{name}_list"] = (f"Which: {state}", text, book.labels(state), "")
    missing, wrong, unusual = (Reference(f"{k.capitalize()}_figures") for k in REPORTED)
    lists = [Reference(f"{kind.capitalize()}_list", "text") for kind in REPORTED]
    told = answer(Reference("Job_verdict", "text"), missing, wrong, unusual)
    cells["Answer_if_balanced"] = (
        "Answer, if the balances hold",
        formula(told),
        book.answer,
        "",
    )
    ends = Reference("Answer_if_balanced", "text"), Reference("Balances_failed")
    cells["Answer"] = (
        "Answer",
        formula(sound(*ends)),
        book.answer,
        "On top of every sheet.",
    )
    cells["Answer_list"] = (
        "Figures concerned",
        formula(answer_list(missing, lists[0], wrong, lists[1], lists[2])),
        book.answer_list,
        "",
    )
    cells["Changed_inputs"] = (
        "Inputs changed since the workbook was issued",
        f"=SUM({_input_column(CHANGED, all_inputs=True)})",
        0,
        "Marked on the sheet Inputs.",
    )
    return cells


def _missing_assays(book):
    """The cell that counts empty assays of tailings, which some choices need."""
    job, first = book.inputs["job"], "screen_tails_grade_01"
    text = "=0"
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
        text = formula(count)
    note = "Each screen fraction with mass needs one; 0 if it has no gold."
    return "Tailings assays missing", text, book.unassayed, note


WHOSE = (
    ("own", "Figures of your own", "Entered in the yellow cells."),
    ("estimated", "Figures estimated", "On the sheet Inputs, with their basis."),
    ("missing", "Figures missing", "There is no verdict without them."),
    ("unusable", "Entries that cannot be used", "Correct them."),
    ("odd", "Unusual figures", "Check the unit, or enter your own low and high."),
)


def _input_column(column, all_inputs=False):
    """Address of a column of the sheet Inputs."""
    first, last = rows()
    last = max(layout().issued.values()) if all_inputs else last
    return f"Inputs!{xl_range_abs(first, column, last, column)}"


def write_sources(book, sheet, formats):
    """Write each published equation of the lines, its source and range of validity."""
    for column, head in enumerate(("Line", "Equation", "Source", "Where it holds")):
        sheet.write_string(3, column, head, formats.head())
    row = 4
    for line, function in used_equations(book.inputs["job"]):
        terms = contract_of(function)
        summary, source = terms.summary, source_in_words(terms.source)
        holds = "; ".join(
            _range(terms.parameters[name], interval)
            for name, interval, _ in terms.holds
        )
        look = formats(text_wrap=True, valign="top")
        texts = (line.label, summary, source, holds)
        for column, text in enumerate(texts):
            sheet.write_string(row, column, text, look)
        lines = (len(t) / (1.18 * w) for t, w in zip(texts, SOURCE_WIDTHS, strict=True))
        sheet.set_row(row, 13 * max(1, math.ceil(max(lines))))
        row += 1


def source_in_words(source):
    """A source with the summaries of functions instead of their names."""
    return re.sub(r"`(\w+)`", lambda name: _summary_of(name[1]), source)


def _summary_of(name):
    """Summary of a function; the name in words if it has none."""
    if name not in CATALOGUE:
        return name.replace("_", " ")
    return contract_of(CATALOGUE[name]).summary.rstrip(".")


def _range(parameter, interval):
    """Range of validity of an equation, with the description of the parameter."""
    unit = {"-": "", "um": " µm"}.get(parameter.unit, f" {parameter.unit}")
    what = parameter.description.partition(". ")[0].rstrip(".")
    what = what or parameter.name.replace("_", " ")
    return f"{what}: {interval.text}{unit}"


def used_equations(job):
    """Lines of a job with the trade functions that they call, each function once."""
    seen, found, needed = set(), [], rests_on(job)[0]
    for line in MODEL.lines.values():
        if line.name not in needed:
            continue
        for name in inspect.unwrap(line.function).__code__.co_names:
            if name in CATALOGUE and name not in seen:
                seen.add(name)
                found.append((line, CATALOGUE[name]))
    return found
