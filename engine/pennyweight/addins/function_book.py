"""The function book: every named function with help, a live example and its check.

The sheet Functions uses every name, so that a copy of it carries them all into
another workbook.
"""

import io
import math
import zipfile
from importlib.resources import files
from pathlib import Path

import numpy as np
import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell

from ..formulas import Reference, formula
from ..trade.function_contract_terms import contract_of
from ..workbook.files import refuse_other_ending, write_whole
from ..workbook.style import ACCENT, BAD, FONT, GOOD, INK, MUTED, START_FILL
from ..workbook.write import CREATED
from .carry_names import with_functions
from .lambdas import WHY, lambdas
from .registry import PREFIX
from .tracing import steers, traced_functions

FUNCTIONS, HELP, LISTS, READ_ME = "Functions", "Arguments", "Lists", "Read me"
HEAD_ROW = 3
TOPIC, NAME, GIVES, UNIT, CALL, LIVE, ENGINE, PLAIN, CHECK, REASON, FIRST = range(11)
HEADS = (
    ("Topic", 15),
    ("Function", 34),
    ("What it gives", 48),
    ("Unit", 11),
    ("How to call it", 44),
    ("Live example", 14),
    ("Engine's value", 14),
    ("Plain formula", 14),
    ("Check", 12),
    ("Why it shows an error", 26),
)
HELP_HEADS = (
    ("Function", 34),
    ("Argument", 24),
    ("Unit", 14),
    ("Needed", 9),
    ("Help", 90),
)
AGREES, DIFFERS, UNKNOWN = "agrees", "differs", "unknown here"
TOLERANCE = 1e-9
ROW_HEIGHT = 15
NOTICE = (
    "This program does not know named functions (LAMBDA). They work in Excel 365, "
    "Excel 2024 and Excel on the web. Elsewhere use the plain formulas of column H."
)
WORDS = files(__package__).joinpath("function_book.txt").read_text("ascii")
"""The sheet Read me: a paragraph a line; a heading begins with #."""


def write_function_book(path, force=False):
    """Write the function book.

    Parameters
    ----------
    path : str or Path
        Ends in ``.xlsx``.
    force : bool
        Whether a file that is there already may be replaced.

    Returns
    -------
    path : Path
    """
    refuse_other_ending(Path(path))
    return write_whole(path, function_book(), force)


def function_book():
    """Give the bytes of the function book.

    Returns
    -------
    content : bytes
    """
    target = io.BytesIO()
    with xlsxwriter.Workbook(target, {"in_memory": True}) as package:
        package.set_properties({"title": "Trade functions", "created": CREATED})
        package.set_calc_mode("auto")
        looks = _looks(package)
        sheets = [package.add_worksheet(n) for n in (READ_ME, FUNCTIONS, HELP, LISTS)]
        _read_me(sheets[0], looks)
        _functions(sheets[1], sheets[3], looks)
        _arguments(sheets[2], looks)
    with zipfile.ZipFile(target) as package:
        return with_functions(package, "The function book")


def _looks(package):
    def look(**more):
        return package.add_format(
            {"font_name": FONT, "font_color": INK, "valign": "top", **more}
        )

    return {
        "": look(text_wrap=True),
        "title": look(bold=True, font_size=16, font_color=ACCENT),
        "head": look(bold=True, bg_color=START_FILL, text_wrap=True),
        "notice": look(bold=True, font_color=BAD),
        "name": look(bold=True),
        "number": look(num_format="General"),
        "own": look(font_color=MUTED),
        "good": package.add_format({"font_color": GOOD}),
        "bad": package.add_format({"font_color": BAD}),
        "hidden": package.add_format({"font_color": "#FFFFFF"}),
    }


def _read_me(sheet, looks):
    sheet.hide_gridlines(2)
    sheet.set_column(0, 0, 90)
    sheet.fit_to_pages(1, 0)
    sheet.write_string(0, 0, "pennyweight: functions", looks["title"])
    for row, line in enumerate(WORDS.splitlines(), 2):
        words = line.removeprefix("# ")
        sheet.set_row(row, _height((words, 90)))
        sheet.write_string(row, 0, words, looks["" if words == line else "head"])


def _height(*texts):
    """Height of a row whose texts, each with its column's width, wrap."""
    return ROW_HEIGHT * max(math.ceil(len(text) / width) for text, width in texts)


def _heads(sheet, row, heads, looks):
    for column, (head, width) in enumerate(heads):
        sheet.set_column(column, column, width)
        sheet.write_string(row, column, head, looks["head"])


def _functions(sheet, lists, looks):
    sheet.freeze_panes(HEAD_ROW + 1, NAME + 1)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(HEAD_ROW)
    sheet.write_string(0, 0, "Functions", looks["title"])
    _heads(sheet, HEAD_ROW, HEADS, looks)
    sheet.write_string(HEAD_ROW, FIRST, "Arguments of the example", looks["head"])
    first = xl_rowcol_to_cell(HEAD_ROW + 1, LIVE)
    sheet.write_formula(
        1, 0, f'=IF(ISERROR({first}),"{NOTICE}","")', looks["notice"], ""
    )
    entries = [t.entry for name, t in traced_functions().items() if name in lambdas()]
    entries.sort(key=lambda entry: "key_figures" not in entry.category)
    for row, entry in enumerate(entries, HEAD_ROW + 1):
        _function(sheet, lists, looks, row, entry)
    last = HEAD_ROW + len(entries)
    for column in (LIVE, REASON):  # programs without LAMBDA show errors there
        where = (HEAD_ROW + 1, column, last, column)
        cell = xl_rowcol_to_cell(HEAD_ROW + 1, LIVE)
        rule = {"type": "formula", "criteria": f"=ISERROR(${cell})"}
        sheet.conditional_format(*where, {**rule, "format": looks["hidden"]})
    for words, look in ((AGREES, "good"), (DIFFERS, "bad")):
        sheet.conditional_format(
            *(HEAD_ROW + 1, CHECK, last, CHECK),
            {
                "type": "cell",
                "criteria": "==",
                "value": f'"{words}"',
                "format": looks[look],
            },
        )


def _function(sheet, lists, looks, row, entry):
    given, cells = example(entry), []
    for column, argument in enumerate(entry.arguments, FIRST):
        if argument.parameter in given:
            value = given[argument.parameter]
            cells.append(_example_cell(sheet, lists, looks, row, column, value))
        else:
            cells.append(None)
    value = float(entry.function(**given))
    terms = contract_of(entry.function)
    topic = entry.category.removeprefix("Pennyweight ").replace("_", " ")
    unit = terms.returns[0][1]
    sheet.set_row(row, _height((terms.summary, 46), (called(entry), 42)))
    sheet.write_string(row, TOPIC, topic, looks["own"])
    sheet.write_string(row, NAME, entry.name, looks["name"])
    sheet.write_string(row, GIVES, terms.summary, looks[""])
    sheet.write_string(row, UNIT, "" if unit == "-" else unit, looks[""])
    sheet.write_string(row, CALL, called(entry), looks[""])
    for column, name, stored in (
        (LIVE, entry.name, value),
        (REASON, WHY + entry.name.removeprefix(PREFIX), ""),
    ):
        call = f"={name}({_arguments_text(cells)})"
        sheet.write_dynamic_array_formula(
            row, column, row, column, call, looks["number"], stored
        )
    sheet.write_number(row, ENGINE, value, looks["number"])
    sheet.write_formula(
        row, PLAIN, plain_formula(entry, given, cells), looks["number"], value
    )
    live, plain, engine = (xl_rowcol_to_cell(row, c) for c in (LIVE, PLAIN, ENGINE))
    near = [f"ABS({c}-{engine})<={TOLERANCE}*ABS({engine})" for c in (live, plain)]
    check = f'IF(AND({",".join(near)}),"{AGREES}","{DIFFERS}")'
    check = f'=IF(ISERROR({live}),"{UNKNOWN}",{check})'
    sheet.write_formula(
        row, CHECK, check, looks[""], ""
    )  # empty: worked out on opening


def example(entry):
    """The example of a function's own help, in single cells and lists.

    Returns
    -------
    given : dict of str to float, str, bool or list
    """
    lists = {a.parameter for a in entry.arguments if a.kind == "list"}
    given = contract_of(entry.function).example
    return {
        name: value if name in lists else np.asarray(value).flat[0].item()
        for name, value in given.items()
    }


def _example_cell(sheet, lists, looks, row, column, value):
    """Lay an argument of an example down, and give its address."""
    if not isinstance(value, list):
        sheet.write(row, column, value, looks["own"])
        return xl_rowcol_to_cell(row, column)
    place = row * 3 + column - FIRST  # a row of its own on the sheet of lists
    lists.write_row(place, 0, value, looks["own"])
    last = xl_rowcol_to_cell(place, len(value) - 1, True, True)
    return f"{LISTS}!{xl_rowcol_to_cell(place, 0, True, True)}:{last}"


def _arguments_text(cells):
    return ",".join("" if cell is None else cell for cell in cells).rstrip(",")


def plain_formula(entry, given, cells):
    """The function as a formula that every spreadsheet program knows."""
    references = {}
    for argument, cell in zip(entry.arguments, cells, strict=True):
        name = argument.parameter
        if cell is None:
            continue
        if (steers(argument) and argument.kind == "choice") or name == "units":
            references[name] = given[name]
            continue
        kind = "truth" if argument.kind == "switch" else "number"
        references[name] = Reference(cell, kind, argument.kind == "list")
    return formula(entry.function(**references))


def called(entry):
    """How a function is called: its arguments, optional ones in brackets."""
    return f"{entry.name}({entry.signature()})"


def _arguments(sheet, looks):
    sheet.freeze_panes(1, 1)
    _heads(sheet, 0, HELP_HEADS, looks)
    row = 0
    for name, traced in traced_functions().items():
        for argument in traced.entry.arguments if name in lambdas() else ():
            row += 1
            unit = argument.terms.unit
            cells = (
                name,
                argument.name,
                "" if unit == "-" else unit,
                "yes" if argument.required else "no",
                argument.help,
            )
            sheet.set_row(row, _height((argument.help, 90)))
            for column, words in enumerate(cells):
                sheet.write_string(row, column, words, looks[""])
