"""The function book: every named function with help, a live example and its check.

The sheet Functions uses every name, so a copy of the sheet takes them all along to
another workbook.
"""

import io
import zipfile
from importlib.resources import files
from pathlib import Path

import numpy as np
from xlsxwriter.utility import xl_range_abs

from ..formulas import Reference, formula
from ..trade.function_contract_terms import contract_of
from ..workbook.files import refuse_other_ending, write_whole
from ..workbook.style import BAD, GOOD, MUTED
from ..workbook.table import Cell, Column, Table, table_bytes
from .lambdas import WHY, lambdas
from .named_functions import with_functions
from .registry import PREFIX
from .tracing import steers, traced_functions

FUNCTIONS, HELP, LISTS, READ_ME = "Functions", "Arguments", "Lists", "Read me"
HEAD_ROW = 3
NAME, LIVE, ENGINE, PLAIN, FIRST = 1, 5, 6, 7, 10
AGREES, DIFFERS, UNKNOWN = "agrees", "differs", "unknown here"
TOLERANCE = 1e-9
WRAPPED, OWN = {"text_wrap": True, "valign": "top"}, {"font_color": MUTED}
MOST = 12
"""The most numbers in a list of an example."""
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
    entries = [t.entry for name, t in traced_functions().items() if name in lambdas()]
    lists = Table(LISTS, [Column("", "General", looks=OWN)] * MOST, "us", LISTS)
    tables = [_read_me(), _functions(entries, lists), _arguments(entries), lists]
    content = io.BytesIO(table_bytes(tables, "Trade functions"))
    with zipfile.ZipFile(content) as package:
        return with_functions(package, "The function book")


def _read_me():
    columns = [Column("", width=90, looks=WRAPPED)]
    table = Table("pennyweight: functions", columns, "us", READ_ME, landscape=False)
    for line in WORDS.splitlines():
        words = line.removeprefix("# ")
        add = table.row if words == line else table.heading
        add(words)
    return table


def _columns(count):
    """Columns of the sheet of functions; the last are for arguments of examples."""
    first = HEAD_ROW + 2
    hidden = {f"=ISERROR($F{first})": "#FFFFFF"}  # errors of programs without LAMBDA
    colours = {f'=$I{first}="{AGREES}"': GOOD, f'=$I{first}="{DIFFERS}"': BAD}
    return (
        Column("Topic", width=15, looks=OWN),
        Column("Function", width=34, looks={"bold": True}),
        Column("What it gives", width=48, looks=WRAPPED),
        Column("Unit", width=11),
        Column("How to call it", width=50, looks={**WRAPPED, "font_size": 9}),
        Column("Live example", "General", 14, colours=hidden),
        Column("Engine's value", "General", 14),
        Column("Plain formula", "General", 14),
        Column("Check", width=12, colours=colours),
        Column("Why it shows an error", width=26, colours=hidden),
        Column("Arguments of the example", "", 12, "right", looks=OWN),
        *[Column("", "", 9, "right", looks=OWN)] * (count - 1),
    )


def _functions(entries, lists):
    columns = _columns(max(len(entry.arguments) for entry in entries))
    table = Table(FUNCTIONS, columns, "us", FUNCTIONS, top=1)
    table.frozen = NAME + 1
    live = table.place(LIVE, HEAD_ROW + 1)
    notice = f'=IF(ISERROR({live}),"{NOTICE}","")'
    table.row(Cell("", notice, looks={"bold": True, "font_color": BAD}))
    table.blank()
    table.heads()
    for entry in sorted(entries, key=lambda one: "key_figures" not in one.category):
        table.row(*_function(table, lists, entry), valign="top")
    return table


def _function(table, lists, entry):
    """Cells of a function's row."""
    given = example(entry)
    values = [given.get(argument.parameter) for argument in entry.arguments]
    cells = [_address(table, lists, *pair) for pair in enumerate(values, FIRST)]
    value, terms = float(entry.function(**given)), contract_of(entry.function)
    unit = terms.returns[0][1]
    arguments = ",".join(cell or "" for cell in cells).rstrip(",")
    why = WHY + entry.name.removeprefix(PREFIX)
    live, engine, plain = (table.place(column) for column in (LIVE, ENGINE, PLAIN))
    near = [f"ABS({c}-{engine})<={TOLERANCE}*ABS({engine})" for c in (live, plain)]
    check = f'IF(AND({",".join(near)}),"{AGREES}","{DIFFERS}")'
    return (
        entry.category.removeprefix("Pennyweight ").replace("_", " "),
        entry.name,
        terms.summary,
        "" if unit == "-" else unit,
        f"{entry.name}({entry.signature()})",
        Cell(value, f"={entry.name}({arguments})", array=True),
        value,
        Cell(value, plain_formula(entry, given, cells)),
        Cell("", f'=IF(ISERROR({live}),"{UNKNOWN}",{check})'),  # worked out on opening
        Cell("", f"={why}({arguments})", array=True),
        *(None if isinstance(value, list) else value for value in values),
    )


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


def _address(table, lists, column, value):
    """The address of an argument of an example; a list gets a row of its own."""
    if not isinstance(value, list):
        return None if value is None else table.place(column)
    row = lists.next_row
    lists.row(*value)
    return f"{LISTS}!{xl_range_abs(row, 0, row, len(value) - 1)}"


def plain_formula(entry, given, cells):
    """The function as a formula for any spreadsheet program."""
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


def _arguments(entries):
    columns = (
        Column("Function", width=34),
        Column("Argument", width=24),
        Column("Unit", width=14),
        Column("Needed", width=9),
        Column("Help", width=90, looks=WRAPPED),
    )
    table = Table(HELP, columns, "us", HELP)
    table.heads()
    for entry in entries:
        for argument in entry.arguments:
            unit = "" if argument.terms.unit == "-" else argument.terms.unit
            needed = "yes" if argument.required else "no"
            table.row(entry.name, argument.name, unit, needed, argument.help)
    return table
