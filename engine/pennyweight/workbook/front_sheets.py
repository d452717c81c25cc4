"""About, and what the answer and check sheets hold beside their lines."""

import inspect
import math

from ..model.inputs import INPUTS
from ..model.lines.cash.answers import DOES_NOT_PAY, PAYS
from ..model.lines.contract.indifference import BOUNDED
from ..model.mill import MODEL
from ..model.units import shown
from ..trade.contract import CATALOGUE, contract_of
from . import words
from .cells import traced
from .input_sheet import CHANGED, STATUS, rows
from .layout import LABEL, NOTE, UNIT, VALUE, layout, layout_mark, listed
from .line_sheets import last_column
from .style import BAD, FAINT, GOOD, INPUT_FILL, START_FILL, number_format

SYSTEM_WORDS = {
    "us": "US customary: short tons, troy ounces a ton, pounds, feet, gallons",
    "metric": "metric: tonnes, grams a tonne, kilograms, metres, litres",
}


def write_about(book, sheet, formats, names):
    """Write the first sheet; returns nothing.

    Parameters
    ----------
    book : Book
    sheet : xlsxwriter.worksheet.Worksheet
    formats : Formats
    names : callable
        Defines a name: ``names(name, sheet, row, column)``.
    """
    facts = (
        ("Claim", '=Claim_name&""', book.inputs["claim_name"], None),
        ("Prepared by", '=Prepared_by&""', book.inputs["prepared_by"], None),
        ("Money", '=Currency&""', book.inputs["currency"], None),
        ("Prices and costs of", '=Price_date&""', book.inputs["price_date"], None),
        ("Units", SYSTEM_WORDS[book.units], None, None),
        ("Unit system", book.units, None, "Book_units"),
        ("Written by pennyweight", book.version, None, "Book_version"),
        ("Layout", layout_mark(), None, "Book_layout"),
        ("Lines of the model", len(MODEL.lines), None, None),
        ("Formulas that differ", unique_formulas(), None, None),
        ("Checks", checks_count(), None, None),
    )
    row = 4
    for label, value, answer, name in facts:
        sheet.write_string(row, LABEL, label, formats())
        look = formats(align="left")
        if answer is not None:
            sheet.write_formula(row, VALUE, value, look, answer)
        else:
            sheet.write(row, VALUE, value, look)
        if name:
            names(name, "About", row, VALUE)
        row += 1
    row = _key(sheet, formats, row + 1)
    for title, sentences in (
        ("What it is for", (words.PURPOSE,)),
        ("How to use it", words.HOW_TO),
        ("What it covers", words.SCOPE),
        ("What it is not", words.LIMITS),
        ("Cautions", words.CAUTIONS),
    ):
        row += 1
        sheet.write_string(row, LABEL, title, formats.section())
        for sentence in sentences:
            row += 1
            sheet.merge_range(
                row, LABEL, row, NOTE, sentence, formats(text_wrap=True, valign="top")
            )
            sheet.set_row(row, 15 * math.ceil(len(sentence) / 150))
        row += 1


def _key(sheet, formats, row):
    """What the colours mean."""
    sheet.write_string(row, LABEL, "Colours", formats.section())
    for words_, look in (
        (
            "an input: yours to change",
            formats(bg_color=INPUT_FILL, font_color="#1F4E8C"),
        ),
        ("a formula: read it, leave it", formats()),
        ("an opening value, before the first period", formats(bg_color=START_FILL)),
    ):
        row += 1
        sheet.write_string(row, LABEL, words_, look)
    return row + 1


def unique_formulas():
    """How many formulas of the lines differ, each row counted once."""
    return len({text for _, text in traced().values()})


def checks_count():
    """How many checks the book makes."""

    return len(MODEL.axes["balance"]) + len(MODEL.axes["limit"])


def mark_verdict(sheet, formats):
    """Colour the verdict by what it says."""
    place = layout().places["verdict"]
    for verdict, colour in ((PAYS, GOOD), (DOES_NOT_PAY, BAD)):
        rule = {
            "type": "cell",
            "criteria": "==",
            "value": f'"{verdict}"',
            "format": formats.colour(colour),
        }
        sheet.conditional_format(place.row, VALUE, place.row, VALUE, rule)


def dim_unused(sheet, formats):
    """Leave rows of the table of assays that hold no sample in a light grey."""
    used, ranks = layout().places["sample_used"], layout().places["sample_sorted"]
    for place, criteria in (
        (used, f"=${used.cell(0)}=0"),
        (ranks, f"=$A{ranks.row + 1}>Sample_count"),
    ):
        last = place.at(place.lengths[0] - 1)[0]
        rule = {"type": "formula", "criteria": criteria}
        rule["format"] = formats.colour(FAINT)
        sheet.conditional_format(place.row, LABEL, last, last_column("Samples"), rule)


def say_none(sheet, formats):
    """Say none where a working holds the grade that stands for it."""
    look = formats.none()
    for name in BOUNDED:
        place = layout().places[name]
        row, column = place.at(0)
        rule = {"type": "formula", "format": look}
        rule["criteria"] = f"=ABS({place.cell(0)})>=Grade_for_none"
        sheet.conditional_format(row, column, *place.at(place.lengths[0] - 1), rule)


def write_turnings(book, sheet, formats):
    """What would turn the verdict, below the lines of the answer sheet.

    Solved by the engine; a live cell says whether the figures still belong to the
    inputs.
    """
    row = layout().rows["Answer"]
    for column in range(NOTE + 1):
        sheet.write_blank(row, column, None, formats.section())
    pays = book.turnings and not book.turnings[0].pays_beyond
    title = "One change alone that would end this" if pays else "One change that pays"
    sheet.write_string(row, LABEL, title, formats.section())
    row += 1
    sheet.write_string(row, LABEL, "These figures", formats())
    sheet.write_formula(
        row,
        VALUE,
        '=IF(Changed_inputs=0,"belong to the inputs","are out of date")',
        formats(align="right", bold=True),
        "belong to the inputs",
    )
    sheet.write_string(
        row,
        NOTE,
        "Solved by the engine; pennyweight renew brings them up to date.",
        formats.note(),
    )
    for turning in book.turnings:
        row += 1
        entry = INPUTS[turning.name]
        sheet.write_string(row, LABEL, entry.label, formats())
        unit = "share" if entry.kind == "share" else entry.unit
        look = {"num_format": number_format(unit, book.units), "align": "right"}
        if math.isnan(turning.needed):
            sheet.write_string(row, VALUE, "nothing possible", formats(align="right"))
        else:
            sheet.write_number(row, VALUE, turning.needed, formats(**look))
        sheet.write_string(row, UNIT, shown(entry.unit, book.units), formats.unit())
        verb = "The claim stops paying here." if pays else "The claim would pay here."
        sheet.write_string(row, NOTE, verb, formats.note())
    return row + 1


def write_counts(book, sheet, formats, names):
    """Counts of example and changed inputs, at the foot of the check sheet."""
    first, last = rows()
    row = layout().rows["Checks"]
    for column in range(NOTE + 1):
        sheet.write_blank(row, column, None, formats.section())
    sheet.write_string(row, LABEL, "Inputs", formats.section())
    status, changed = "ABCDEFGHIJKLMN"[STATUS], "ABCDEFGHIJKLMN"[CHANGED]
    examples = sum(book.statuses[name] == "example" for name, _ in listed())
    for label, name, formula, value, note in (
        (
            "Inputs still marked as example",
            "Example_inputs",
            f'=COUNTIF(Inputs!${status}${first + 1}:${status}${last + 1},"example")',
            examples,
            "Replace them by your own figures, and their status too.",
        ),
        (
            "Inputs changed since the book was issued",
            "Changed_inputs",
            f"=SUM(Inputs!${changed}${first + 1}:${changed}${last + 1})",
            0,
            "Marked on the sheet Inputs.",
        ),
    ):
        row += 1
        sheet.write_string(row, LABEL, label, formats())
        sheet.write_formula(
            row, VALUE, formula, formats(num_format="0", bold=True), value
        )
        sheet.write_string(row, NOTE, note, formats.note())
        names(name, "Checks", row, VALUE)


def write_sources(book, sheet, formats):
    """Each published equation that the lines use, its source and where it holds."""
    for column, head in enumerate(("Line", "Equation", "Source", "Where it holds")):
        sheet.write_string(3, column, head, formats.head())
    row = 4
    for line, function in used_equations():
        terms = contract_of(function)
        summary, source = terms.summary, terms.source
        holds = "; ".join(
            f"{name} {interval.text}" for name, interval, _ in terms.holds
        )
        look = formats(text_wrap=True, valign="top")
        for column, text in enumerate((line.label, summary, source, holds)):
            sheet.write_string(row, column, text, look)
        longest = max(len(summary) / 48, len(source) / 66, len(holds) / 40)
        sheet.set_row(row, 14 * max(1, math.ceil(longest)))
        row += 1


def used_equations():
    """Lines and the trade functions that they call, each function once."""
    seen, found = set(), []
    for line in MODEL.lines.values():
        for name in inspect.unwrap(line.function).__code__.co_names:
            if name in CATALOGUE and name not in seen:
                seen.add(name)
                found.append((line, CATALOGUE[name]))
    return found
