"""Imports run one way, as DEVELOPERS.md says, and never in a circle."""

import ast
import functools
import re
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

import pennyweight

ROOT = Path(pennyweight.__file__).parent
LAYERS = (
    ("errors", "arguments", "plain_values"),
    ("trade", "formulas"),
    ("model",),
    ("risk", "season"),
    ("workbook",),
    ("documents",),
    ("plan", "frames", "plots", "opening"),
    ("cli", "addins"),
)
"""Each layer may read those before it, and its own folder."""
SPREADSHEETS = ("openpyxl", "xlsxwriter", "xlwings")


def module_name(path):
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


MODULES = {module_name(path): path for path in ROOT.rglob("*.py")}


@functools.cache
def parsed(name):
    return ast.parse(MODULES[name].read_text("utf-8"))


def imports(name, everywhere=True):
    """Modules of this package, and other packages, that a module imports."""
    path = MODULES[name]
    tree = parsed(name)
    nodes = ast.walk(tree) if everywhere else tree.body
    package = name.split(".") if path.name == "__init__.py" else name.split(".")[:-1]
    for node in nodes:
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and not node.level:
            yield node.module
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1]
            source = ".".join([*base, *filter(None, [node.module])])
            for alias in node.names:
                inner = ".".join(filter(None, [source, alias.name]))
                yield inner if inner in MODULES else source


def rank(name):
    folder = name.split(".")[0]
    for place, folders in enumerate(LAYERS):
        if folder in folders:
            return place
    return len(LAYERS)


def test_imports_run_downwards():
    assert not [
        (name, read)
        for name in MODULES
        if name and rank(name) < len(LAYERS)
        for read in imports(name)
        if read and read in MODULES and rank(read) > rank(name)
    ]


PUBLIC = ("plan", "opening", "errors")
READ_BY = {
    "cli": (*PUBLIC, "cli"),
    "addins": (*PUBLIC, "addins", "trade", "formulas", "workbook.files"),
}
"""The public API; add-ins also trace the trade functions, and write files whole."""
MORE = {
    "cli.functions": ("trade.catalogue", "addins"),
    "cli.excel": ("addins",),
    "cli.calc": ("addins",),
    # Answers that are tables have not-a-number, which JSON does not have.
    "cli.screen": ("plain_values",),
    "cli.new": ("addins",),
    # Worksheet functions of the model give one figure of many, and each is one call.
    "addins.model_blocks": ("model", "risk.figures"),
    "addins.model_cells": ("model",),
    # The function book is a table like the papers.
    "addins.function_book": ("workbook.style", "workbook.table"),
    # Names come into a file of somebody else without a change of anything else.
    "addins.named_functions": ("workbook.package",),
    # A workbook that is open in Excel is no file that the public API could read.
    "addins.excel.open_book": ("workbook.package", "workbook.read"),
    "addins.excel.jobs": ("workbook.risk_sheet",),
    "addins.excel.macro_workbook": ("workbook.write",),
    "addins.excel.doctor": ("workbook.package.contents",),
}
"""What else a module reads, and why; a new one needs a reason."""


def test_commands_and_add_ins_call_the_public_api_alone():
    own = {module.split(".")[0] for module in MODULES if module}
    for name in MODULES:
        if not name.startswith(("cli.", "addins.")):
            continue
        read = {read for read in imports(name) if (read or "").split(".")[0] in own}
        usual, more = READ_BY[name.split(".")[0]], MORE.get(name, ())
        below = [one for one in read if not within(one, (*usual, *more))]
        unread = [part for part in more if not any(within(r, (part,)) for r in read)]
        assert (below, unread) == ([], []), name


def within(module, folders):
    return any(f"{module}.".startswith(f"{folder}.") for folder in folders)


def test_spreadsheet_libraries_stay_outside_the_model():
    assert not [
        (name, read)
        for name in MODULES
        if name.split(".")[0] not in ("workbook", "documents", "addins")
        for read in imports(name)
        if read.split(".")[0] in SPREADSHEETS
    ]


WRITES = re.compile(
    r"\.write_(bytes|text)\(|os\.(replace|rename|fdopen)\(|savefig\("
    r"|open\([^)]*[\"'][rbt]*[wax+]"
)
WRITERS = {
    "workbook.files",  # whole or not at all: tests/workbook/test_atomic.py
    "risk.kernel.build",  # its own cache
    "addins.reasons",  # its own log
}


def test_files_are_written_in_one_place():
    """So what kills and full disks cannot harm there is safe for every command."""
    found = {n for n, p in MODULES.items() if WRITES.search(p.read_text("utf-8"))}
    assert found == WRITERS


def test_no_module_reads_itself_in_a_circle():
    graph = {
        name: {read for read in imports(name, everywhere=False) if read in MODULES}
        for name in MODULES
    }
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        pytest.fail(f"A circle of imports: {' -> '.join(error.args[1])}")


def test_trade_and_formulas_have_no_circle_inside_functions_either():
    graph = {
        name: {read for read in imports(name) if read in MODULES}
        for name in MODULES
        if name.split(".")[0] in ("trade", "formulas")
    }
    assert list(TopologicalSorter(graph).static_order())
