"""The function book: native LAMBDAs, recalculated and compared with the engine."""

import io
import random
import re
import zipfile
from xml.etree import ElementTree

import numpy as np
import pytest
import xlsxwriter
from typer.testing import CliRunner

import pennyweight
from pennyweight.addins import function_book as book
from pennyweight.addins.cell_values import CellError
from pennyweight.addins.lambdas import WHY, lambdas
from pennyweight.addins.named_functions import add_functions
from pennyweight.addins.registry import LONGEST_HELP, PREFIX, registry
from pennyweight.addins.sheet_call import answer
from pennyweight.addins.tracing import traced_functions
from pennyweight.cli.main import app
from pennyweight.errors import CallError, WorkbookError
from pennyweight.workbook.inspection.inspect import inspect_book
from tests.addins.examples import expected, same, trade_calls
from tests.addins.naming_rules import name_faults
from tests.addins.test_addin_pages import LINE
from tests.addins.test_addin_pages import recipes as page_recipes
from tests.books import book_at
from tests.thorough import sampled

TOLERANCE = 1e-12
SPACE = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


def names():
    return [name for name in traced_functions() if name in lambdas()]


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    path = tmp_path_factory.mktemp("book") / "functions.xlsx"
    return book.write_function_book(path)


@pytest.fixture(autouse=True)
def own_log(tmp_path, monkeypatch):
    monkeypatch.setenv("PENNYWEIGHT_LOG", str(tmp_path / "reasons.log"))


def column(cells, letter):
    first = book.HEAD_ROW + 2
    return [
        cells[book.FUNCTIONS].get(f"{letter}{first + n}") for n in range(len(names()))
    ]


def test_every_live_example_agrees_by_name(written, iron):
    cells = iron.recalculate(written)
    live, engine, plain = (column(cells, letter) for letter in "FGH")
    assert live == pytest.approx(engine, rel=TOLERANCE)
    assert plain == pytest.approx(engine, rel=TOLERANCE)
    assert set(column(cells, "I")) == {book.AGREES}
    assert {words or "" for words in column(cells, "J")} == {""}
    assert len(names()) > 145


@pytest.mark.parametrize("program", sampled(["gnumeric", "libreoffice"], 2))
def test_other_programs_have_the_plain_formulas_and_say_so(written, program, request):
    cells = request.getfixturevalue(program).recalculate(written)
    engine, plain = (column(cells, letter) for letter in "GH")
    assert plain == pytest.approx(engine, rel=1e-9)
    assert set(column(cells, "I")) == {book.UNKNOWN}
    assert cells[book.FUNCTIONS]["A2"] == book.NOTICE


def test_the_text_of_every_name_fits_excel():
    for name, function in lambdas().items():
        assert len(function.text) <= 8192 and len(name) <= LONGEST_HELP, name
        assert 0 < len(function.comment) <= LONGEST_HELP, name
        assert not re.search(r"\b(AND|OR|NOT)\(", function.text), name
        for inside in re.findall(r"\b(?:MAX|MIN)\(([^()]*)\)", function.text):
            assert "," not in inside, name  # of a whole list, never of single values
        texts = re.findall('"((?:[^"]|"")*)"', function.text)
        assert all(len(text) <= 255 for text in texts), name
        bare = re.sub('"(?:[^"]|"")*"', "", function.text)
        assert _depth(bare) <= 64 and bare.count("_xlpm.x_") < 10_000, name
        for parameter in set(re.findall(r"_xl[po][mp]\.(\w+)", function.text)):
            assert not name_faults(parameter), (name, parameter)


def _depth(text):
    depth = deepest = 0
    for letter in text:
        depth += (letter == "(") - (letter == ")")
        deepest = max(deepest, depth)
    assert depth == 0
    return deepest


def test_names_carry_their_help(written):
    with zipfile.ZipFile(written) as package:
        root = ElementTree.fromstring(package.read("xl/workbook.xml"))
    names = root.iter(f"{SPACE}definedName")
    comments = {name.get("name"): name.get("comment") for name in names}
    for what in ("Titles", "Area"):  # which sheets print, and their heads
        comments.pop(f"_xlnm.Print_{what}")
    assert comments.keys() == lambdas().keys()
    assert "kWh/ton" in comments["DWT_BOND_ENERGY"]
    assert comments["DWT_TAIL_GRADE"].startswith("(head, [fixed_tail],")


def work_out(iron, tmp_path, calls):
    """Values of calls by name, each a name and rows of cells or None."""
    path = tmp_path / "calls.xlsx"
    used = {name for name, _ in calls}
    with xlsxwriter.Workbook(path) as package:
        sheet = package.add_worksheet("Calls")
        for name in used:
            package.define_name(name, f"={lambdas()[name].text}")
        for row, (name, given) in enumerate(calls):
            cells = [
                _laid(sheet, row, 20 * n, block) for n, block in enumerate(given, 1)
            ]
            text = ",".join(cells).rstrip(",")
            sheet.write_dynamic_array_formula(row, 0, row, 0, f"={name}({text})")
    cells = iron.recalculate(path)["Calls"]
    found = [cells.get(f"A{row}") for row in range(1, len(calls) + 1)]
    return [getattr(value, "text", value) for value in found]


def _laid(sheet, row, column, block):
    if block is None:
        return ""
    for place, cell in enumerate(block[0]):
        if isinstance(cell, CellError):
            sheet.write_formula(row, column + place, "=1/0")
        elif cell is not None:
            sheet.write(row, column + place, cell)
    first = xlsxwriter.utility.xl_rowcol_to_cell(row, column)
    last = xlsxwriter.utility.xl_rowcol_to_cell(row, column + len(block[0]) - 1)
    return first if first == last else f"{first}:{last}"


def good_call(entry):
    given = book.example(entry)
    blocks = []
    for argument in entry.arguments:
        value = given.get(argument.parameter)
        cells = value if isinstance(value, list) else [value]
        blocks.append(None if value is None else (tuple(map(_cell, cells)),))
    return blocks


def _cell(value):
    return value if isinstance(value, str | bool) else float(value)


def bad_cells(argument):
    """Cells that are wrong for an argument, or right where it says so."""
    yield from (None, "ore", CellError("#DIV/0!"))
    if argument.kind != "switch":
        yield True
    if argument.kind in ("number", "list"):
        low, high = argument.terms.interval.low, argument.terms.interval.high
        yield from (edge for edge in (low, low - 1) if np.isfinite(edge))
        yield from (edge for edge in (high, high + 1) if np.isfinite(edge))
    else:
        yield 5.0


def altered_calls(names):
    """Each good example with one cell of one argument put wrong, or left out."""
    for name in names:
        entry = registry()[name]
        good = good_call(entry)
        for place, argument in enumerate(entry.arguments):
            whole = good[place] or ((None,),)
            for cell in bad_cells(argument):
                block = ((cell, *whole[0][1:]),)
                yield name, [*good[:place], block, *good[place + 1 :]]
            if not argument.required:
                yield name, [*good[:place], None, *good[place + 1 :]]


def refused_alike(iron, tmp_path, names):
    """Compare bad calls by name with those of the add-ins; return their number."""
    calls = list(altered_calls(names))
    found = work_out(iron, tmp_path, calls)
    twins = [(WHY + name.removeprefix(PREFIX), given) for name, given in calls]
    reasons = work_out(iron, tmp_path, twins)
    for (name, given), shown, reason in zip(calls, found, reasons, strict=True):
        ((wanted,),) = answer(registry()[name], given)
        case = (name, given, shown, wanted, reason)
        if isinstance(wanted, str):
            # Python's infinite answer is the sheet's division by zero.
            divided = shown == "#DIV/0!" and wanted == "#NUM!" and not reason
            assert shown == wanted or divided, case
            assert reason or divided or wanted == "#N/A", case
        else:
            assert shown == pytest.approx(wanted, rel=TOLERANCE, abs=1e-300), case
            assert not reason or reason.startswith("Warning: "), case
    return len(calls)


def test_bad_calls_are_refused_as_everywhere(iron, tmp_path):
    chosen = random.Random(18).sample(names(), 12)
    assert refused_alike(iron, tmp_path, sorted({*chosen, "DWT_POWER_DRAWN"})) > 150


def test_the_reason_is_said_in_words(iron, tmp_path):
    blank, good = ((None,),), ((10.0,),)
    calls = [
        ("DWT_WHY_BOND_ENERGY", [blank, good, good]),
        ("DWT_WHY_BOND_ENERGY", [good, good, ((20.0,),)]),
        ("DWT_WHY_TAIL_GRADE", [((-1.0,),), None, None, (("us",),)]),
        (
            "DWT_WHY_PRICE_SENSITIVITY",
            [((2400.0,),), ((9.0,),), ((0.7,),), good, None, None, None, (("us",),)],
        ),
        ("DWT_WHY_MILL_POWER", [good, good, ((0.4,),), ((0.7,),), (("open",),)]),
    ]
    assert work_out(iron, tmp_path, calls) == [
        "work_index is blank: enter a number.",
        "The product must not be coarser than the feed.",
        "head must be at least 0 g/t (us: at least 0 oz/ton).",
        "Warning: grade is outside [0, 150]: above 150 g/t (4.4 oz/ton) check the unit "
        "and the assay.",
        "discharge must be one of overflow, grate.",
    ]


def test_examples_of_the_help_give_the_same(iron, tmp_path):
    calls, wanted = [], []
    for entry, given, found in trade_calls():
        if entry.name in lambdas() and np.ndim(found) == 0 and found == found:
            calls.append((entry.name, given))
            wanted.append(expected(found)[0][0])
    calls, wanted = calls[::3], wanted[::3]
    found = work_out(iron, tmp_path, calls)
    for call, one, other in zip(calls, found, wanted, strict=True):
        assert same([[one]], [[other]], TOLERANCE), call


def recipes():
    """Blocks of the page of recipes whose functions need no Python."""
    for parameter in page_recipes():
        (block,) = parameter.values
        used = set(re.findall(r"DWT_[A-Z_]+", block))
        if used and used <= lambdas().keys() and "#" not in block:
            yield block.strip().splitlines()


def test_recipes_work_by_name(iron, tmp_path):
    path, wanted = tmp_path / "recipes.xlsx", {}
    blocks = list(recipes())
    with xlsxwriter.Workbook(path) as package:
        for name in set(re.findall(r"DWT_[A-Z_]+", str(blocks))):
            package.define_name(name, f"={lambdas()[name].text}")
        for number, lines in enumerate(blocks):
            sheet = package.add_worksheet(f"R{number}")
            for address, content, shown in (
                LINE.match(line).groups() for line in lines
            ):
                if content.startswith("="):
                    sheet.write_dynamic_array_formula(address, content)
                    wanted[f"R{number}", address] = shown
                else:
                    sheet.write_number(address, float(content))
    cells = iron.recalculate(path)
    for (sheet, address), shown in wanted.items():
        found = cells[sheet][address.partition(":")[0]]
        assert isinstance(found, float), (sheet, address, found)
        if shown:
            assert found == pytest.approx(float(shown), rel=1e-4), (sheet, address)
    assert len(wanted) > 14


def test_columns_and_tables_go_cell_by_cell(iron, tmp_path):
    path = tmp_path / "table.xlsx"
    prices, grades = [2000.0, 2500.0, 3000.0], [5.0, 10.0]
    with xlsxwriter.Workbook(path) as package:
        sheet = package.add_worksheet("Table")
        for name in ("DWT_PRICE_SENSITIVITY", "DWT_DIAMETER_FACTOR", "DWT_TAIL_GRADE"):
            package.define_name(name, f"={lambdas()[name].text}")
        sheet.write_row(0, 1, prices)
        sheet.write_column(1, 0, grades)
        table = "=DWT_PRICE_SENSITIVITY(B1:D1,A2:A3,0.7,120)"
        sheet.write_dynamic_array_formula("B2:D3", table)
        for place, call in enumerate(("DIAMETER_FACTOR(A2:A3)", "TAIL_GRADE(A2:A3,8)")):
            area = f"{'FG'[place]}2:{'FG'[place]}3"
            sheet.write_dynamic_array_formula(area, f"=DWT_{call}")
    cells = iron.recalculate(path)["Table"]
    wanted = pennyweight.price_sensitivity(prices, np.array([[5.0], [10.0]]), 0.7, 120)
    found = [[cells[f"{letter}{row}"] for letter in "BCD"] for row in (2, 3)]
    assert np.allclose(found, wanted, rtol=TOLERANCE)
    factors = pennyweight.diameter_factor(np.array(grades))
    assert [cells["F2"], cells["F3"]] == pytest.approx(factors.tolist())
    assert [cells["G2"], cells["G3"]] == [5.0, 8.0]


@pytest.mark.thorough
def test_the_names_travel_into_a_workbook_of_ones_own(iron, tmp_path):
    path, out = tmp_path / "own.xlsx", tmp_path / "with.xlsx"
    with xlsxwriter.Workbook(path) as package:
        sheet = package.add_worksheet("Mine")
        sheet.write_row(0, 0, [14, 2000, 100])
        package.define_name("Price", "=Mine!$A$1")
        sheet.write_dynamic_array_formula("E1", "=DWT_BOND_ENERGY(A1,B1,C1)")
    before = path.read_bytes()
    add_functions(path, out)
    assert path.read_bytes() == before
    cells = iron.recalculate(out)["Mine"]
    assert cells["E1"] == pytest.approx(pennyweight.bond_energy(14, 2000, 100))
    with zipfile.ZipFile(path) as one, zipfile.ZipFile(out) as other:
        assert one.namelist() == other.namelist()
        same_parts = [n for n in one.namelist() if one.read(n) == other.read(n)]
    assert len(same_parts) == len(before and one.namelist()) - 1
    again = add_functions(out, tmp_path / "again.xlsx")
    assert again.read_bytes() == out.read_bytes()


def test_a_claim_workbook_keeps_working_with_the_functions(tmp_path, monkeypatch):
    monkeypatch.setattr(pennyweight.Plan, "write", lambda plan, path: book_at(path))
    out = tmp_path / "with.xlsx"
    done = CliRunner().invoke(app, ["new", str(out), "--example", "--with-functions"])
    assert done.exit_code == 0, done.output
    assert pennyweight.read(out).judge().verdict == "pays"
    added = add_functions(book_at(tmp_path / "bare.xlsx"), tmp_path / "added.xlsx")
    assert added.read_bytes() == out.read_bytes()
    (note,) = inspect_book(out).findings
    assert f"{len(lambdas())} functions" in note.found and not note.grave


def test_what_cannot_be_added_to_is_refused(tmp_path, written):
    text = tmp_path / "own.xlsx"
    text.write_bytes(b"no workbook")
    with pytest.raises(WorkbookError):
        add_functions(text, tmp_path / "out.xlsx")
    with pytest.raises(CallError, match="input file"):
        add_functions(written, written, force=True)
    content = io.BytesIO()
    with zipfile.ZipFile(written) as one, zipfile.ZipFile(content, "w") as other:
        for name in one.namelist():
            other.writestr(name, one.read(name))
        other.writestr("_xmlsignatures/sig1.xml", "<a/>")
    text.write_bytes(content.getvalue())
    with pytest.raises(WorkbookError, match="signed"):
        add_functions(text, tmp_path / "out.xlsx")
