"""The sheets About and Sources, and the counts of figures on the sheet Checks."""

import inspect
import math
import re

import numpy as np

from ..formulas import Live, appended, live
from ..model.checks import CHECKS
from ..model.currency import still_shown
from ..model.jobs import rests_on
from ..model.lines.cash.answers import DOES_NOT_PAY, PAYS
from ..model.mill_model import MODEL
from ..trade.function_contract import CATALOGUE
from ..trade.function_contract_terms import contract_of
from .cell_formulas import traced
from .layout import HEAD, LABEL, NOTE, VALUE, defined_name, layout, layout_mark
from .line_sheets import last_column
from .live_cells import write_live
from .start_sheet import write_colours
from .style import BAD, FAINT, GOOD, ROW_HEIGHT, RULE, mark
from .texts import ABOUT, PURPOSES

SYSTEM_WORDS = {
    "us": "US customary: short tons, troy ounces per ton, pounds, feet, gallons",
    "metric": "metric: tonnes, grams per tonne, kilograms, metres, litres",
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
    for label, value, name in _facts(book):
        sheet.write_string(row, LABEL, label, formats())
        if isinstance(value, Live):
            write_live(sheet, row, VALUE, value, look)
        else:
            sheet.write(row, VALUE, value, look)
        if name:
            names(name, "About", row, VALUE)
        if name == "Book_currency":
            _currency_words(book, sheet, formats, row)
            names("Currency_words", "About", row, NOTE)
        row += 1
    row = write_colours(sheet, formats, row + 1)
    purpose = {"What it is for": [book.worded(PURPOSES[book.inputs["job"]])]}
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
    """Label, value and cell name of each fact."""

    def text(name):
        return live(appended, book.cell(name), "")

    return (
        ("Claim", text("claim_name"), None),
        ("Author", text("prepared_by"), None),
        ("Money", text("currency"), None),
        ("Prices and costs of", text("price_date"), None),
        ("Units", SYSTEM_WORDS[book.units], None),
        ("Unit system", book.units, "Book_units"),
        ("Currency shown on the sheets", book.currency, "Book_currency"),
        ("Written by pennyweight", book.version, "Book_version"),
        ("Layout", layout_mark(), "Book_layout"),
        ("Lines of the model", len(MODEL.lines), None),
        ("Formulas that differ", unique_formulas(), None),
        ("Checks", checks_count(), None),
    )


def _currency_words(book, sheet, formats, row):
    """Write whether the currency was changed since the sheets were written."""
    words = live(still_shown, book.cell("currency"), book.currency)
    write_live(sheet, row, NOTE, words, formats(bold=True, font_color=BAD))


def unique_formulas():
    """Number of distinct formulas of the lines, each row counted once."""
    return len({text for _, text in traced().values()})


def checks_count():
    """Number of checks in the workbook."""
    return sum(len(MODEL.axes[table]) for table in CHECKS)


def mark_verdict(sheet, formats):
    """Colour the verdict; show results in grey while figures are missing."""
    place, last = layout().places["verdict"].row, layout().rows["Results"]
    faint = formats.colour(FAINT)
    for first, end in ((HEAD + 1, place - 1), (place, place), (place + 1, last)):
        if first <= end:
            cells = first, VALUE, end, VALUE
            mark(sheet, cells, faint, "=Missing_figures>0", stop_if_true=True)
    cell = place, VALUE, place, VALUE
    for verdict, colour in ((PAYS, GOOD), (DOES_NOT_PAY, BAD)):
        look, value = formats.colour(colour), f'"{verdict}"'
        mark(sheet, cell, look, "==", type="cell", value=value)


def dim_unused(sheet, formats):
    """Show unused rows of the table of assays in light grey."""
    used, ranks = layout().places["sample_used"], layout().places["sample_sorted"]
    for place, criteria in (
        (used, f"=${used.cell(0)}=0"),
        (ranks, f"=$A{ranks.row + 1}>Sample_count"),
    ):
        last = place.at(place.lengths[0] - 1)[0]
        cells = place.row, LABEL, last, last_column("Samples")
        mark(sheet, cells, formats.colour(FAINT), criteria)


ITEMISED = (
    ("equipment_capital", "equipment_capital"),
    ("installation", "mine_opening"),
)
"""Lines of capital that one figure replaces: the first and last of each run of rows."""
UNUSED = "Not used: one figure of capital stands for these."


def mark_unused_capital(book, sheet, formats):
    """Say that estimates of capital are not used, and show them in light grey."""
    top = MODEL.lines[ITEMISED[0][0]]
    (block,) = (block for block in layout().blocks if top in block.singles)
    look = formats(bold=True, font_color=BAD, top=1, top_color=RULE)
    told = live(_unused, book.cell("capital_source"))
    write_live(sheet, block.heading, NOTE, told, look)
    for ends in ITEMISED:
        first, last = (layout().places[name].row for name in ends)
        cells = first, LABEL, last, NOTE
        mark(sheet, cells, formats.colour(FAINT), '=Capital_source="one figure"')


def _unused(source):
    return np.where(source == "one figure", UNUSED, "")


def write_counts(book, sheet, formats, names):
    """Write the counts of own, estimated and missing figures below the checks.

    Parameters
    ----------
    book : Book
    sheet : xlsxwriter.worksheet.Worksheet
    formats : Formats
    names : callable
        Defines a name.
    """
    row = layout().rows["Checks"]
    formats.heading(sheet, row, NOTE, "Whose figures")
    for name, (label, cell, note) in book.counted.items():
        row += 1
        sheet.write_string(row, LABEL, label, formats())
        words = isinstance(cell.value, str)
        look = formats(align="left", indent=1) if words else formats(num_format="0")
        write_live(sheet, row, VALUE, cell, look)
        sheet.write_string(row, NOTE, note, formats.note())
        names(defined_name(name), "Checks", row, VALUE)


def write_sources(book, sheet, formats):
    """Write each published equation of the lines, its source and range of validity."""
    for column, head in enumerate(("Line", "Equation", "Source", "Range of validity")):
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
        texts = (book.worded(line.label), book.worded(summary), source, holds)
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
    unit = {"um": "µm"}.get(parameter.unit, parameter.unit)
    what = parameter.description.partition(". ")[0].rstrip(".")
    what = what or parameter.name.replace("_", " ")
    return f"{what}: {interval.words(unit)}"


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
