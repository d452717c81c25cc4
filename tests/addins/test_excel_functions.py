"""The functions as Excel calls them: xlwings' own decorators and server, no Excel."""

import datetime
import decimal
import math
import re
from pathlib import Path

import numpy as np
import pytest

import pennyweight
from pennyweight.addins.registry import registry
from tests.addins import com
from tests.addins.examples import at_estimates, cells, expected, same, trade_calls

GOLDEN = Path(__file__).with_name("golden")
MODULE = "pennyweight.addins.excel.functions"


@pytest.fixture(scope="module")
def excel():
    """xlwings' server object and a workbook."""
    with com.windows() as xlwings:
        from xlwings import com_server

        yield Excel(xlwings, com_server.XLPython())


@pytest.fixture(autouse=True)
def own_log(tmp_path, monkeypatch):
    monkeypatch.setenv("PENNYWEIGHT_LOG", str(tmp_path / "reasons.log"))


class Excel:
    """Calls as the macros do, and gives the answer as rows."""

    def __init__(self, xlwings, server):
        self.xlwings, self.server, self.book = xlwings, server, com.Book()

    def call(self, name, *given, place=""):
        left_out = len(registry()[name].arguments) - len(given)
        given = [*given, *[com.MISSING] * left_out, place]
        return self.server.CallUDF(MODULE, name, given, self.book, self.book.cells([0]))

    def rows(self, name, *given):
        found = self.call(name, *given)
        if not isinstance(found, list):
            return [[found]]
        return found if isinstance(found[0], list) else [found]


def test_the_real_decorators_were_at_work(excel):
    from pennyweight.addins.excel import functions

    function = functions.DWT_BOND_ENERGY
    assert excel.xlwings.__pro__ is False
    assert function.__xlfunc__["category"] == "Pennyweight comminution"
    assert [a["name"] for a in function.__xlfunc__["args"]][:1] == ["work_index"]


def test_every_function_equals_the_engine(excel):
    for entry, given, wanted in trade_calls():
        from_cells = [
            com.MISSING if block is None else excel.book.cells(*block)
            for block in given
        ]
        found = excel.rows(entry.name, *from_cells)
        assert same(found, expected(wanted)), (entry.name, given)


def test_values_without_cells(excel):
    for entry, given, wanted in trade_calls():
        if entry.lists:
            continue
        plain = [
            com.MISSING if block is None else block[0][0] if _single(block) else block
            for block in given
        ]
        assert same(excel.rows(entry.name, *plain), expected(wanted)), (
            entry.name,
            given,
        )


def _single(block):
    return len(block) == len(block[0]) == 1


def test_columns_rows_and_blocks(excel):
    column = excel.book.cells([10.0], [14.0])
    row = excel.book.cells([100.0, 150.0, 75.0])
    block = excel.book.cells([1000.0, 2000.0, 3000.0], [1500.0, 2500.0, 3500.0])
    wanted = pennyweight.bond_energy(
        np.array([[10.0], [14.0]]),
        np.array([[1000.0, 2000.0, 3000.0], [1500.0, 2500.0, 3500.0]]),
        np.array([[100.0, 150.0, 75.0]]),
    )
    assert np.array_equal(excel.rows("DWT_BOND_ENERGY", column, block, row), wanted)


def test_shapes_that_do_not_fit(excel):
    found = excel.call(
        "DWT_BOND_ENERGY",
        excel.book.cells([1.0], [2.0]),
        excel.book.cells([1.0], [2.0], [3.0]),
        1.0,
    )
    assert found == "#VALUE!"


@pytest.mark.parametrize("shown", ["#N/A", "#DIV/0!", "#VALUE!", "#REF!", "#NULL!"])
def test_an_error_in_gives_the_same_out(excel, shown):
    spoilt = excel.book.cells([com.error(shown)], [14.0])
    found = excel.rows("DWT_BOND_ENERGY", spoilt, 2000.0, 100.0)
    assert found[0] == [shown]
    assert found[1] == [pennyweight.bond_energy(14.0, 2000.0, 100.0)]


def test_newer_errors_are_no_large_negative_numbers(excel):
    spoilt = excel.book.cells([com.error("#SPILL!")])
    assert excel.call("DWT_OPPORTUNITY_COST_PER_HOUR", spoilt, 1.0) == "#VALUE!"


def test_blank_text_and_boolean(excel):
    mixed = excel.book.cells([None], ["14"], [""], [True], [14.0])
    found = excel.rows("DWT_BOND_ENERGY", mixed, 2000.0, 100.0)
    markers = [row[0] for row in found[:-1]]
    assert markers == ["#N/A", "#VALUE!", "#VALUE!", "#VALUE!"]
    assert found[-1] == [pennyweight.bond_energy(14.0, 2000.0, 100.0)]


def test_money_cells_keep_every_digit(excel):
    price = 3987.123456789
    money = excel.book.cells([price], formatted=decimal.Decimal("3987.1235"))
    found = excel.call("DWT_BREAK_EVEN_GRADE", 150.0, 0.6, money)
    assert found == pennyweight.break_even_grade(150.0, 0.6, price)


def test_dates_are_their_serial_numbers(excel):
    moment = com.Time(2026, 6, 1, tzinfo=datetime.UTC)
    cell = excel.book.cells([46174.0], formatted=moment)
    wanted = pennyweight.grams_to_ounces(46174.0)
    assert excel.call("DWT_GRAMS_TO_OUNCES", cell) == wanted
    assert excel.call("DWT_GRAMS_TO_OUNCES", moment) == wanted
    assert excel.call("DWT_GRAMS_TO_OUNCES", decimal.Decimal("31.1035")) == (
        pennyweight.grams_to_ounces(31.1035)
    )


def test_whole_numbers_from_a_macro(excel):
    assert excel.call("DWT_GRAMS_TO_OUNCES", 31) == pennyweight.grams_to_ounces(31.0)


def test_left_out_in_the_middle(excel):
    found = excel.call(
        "DWT_MILL_POWER", 1.2, 2.4, 0.35, 0.7, com.MISSING, excel.book.cells([True])
    )
    assert found == pennyweight.mill_power(1.2, 2.4, 0.35, 0.7, dry=True)


def test_whole_columns_read_only_what_is_in_use(excel):
    used = excel.book.cells([1.0], [2.0], [4.0], [None])
    column = excel.book.cells([0.0])
    column.Rows.Count = 1_048_576
    column.Worksheet.UsedRange = "used"
    column.Application.Intersect = lambda cells, other: used
    wanted = pennyweight.lognormal_mean([1.0, 2.0, 4.0])
    assert excel.call("DWT_LOGNORMAL_MEAN", column) == wanted


def test_reason_of_the_cell_that_asked(excel):
    excel.call("DWT_BOND_ENERGY", -3.0, 2000.0, 100.0, place="[a.xlsm]S!$B$2")
    excel.call("DWT_BOND_ENERGY", -4.0, 2000.0, 100.0, place="[a.xlsm]S!$B$3")
    message = excel.call("DWT_REASON", "[a.xlsm]S!$B$2")
    assert "work_index is -3 kWh/ton; it must be above 0" in message


def test_model_functions_over_blocks(excel):

    names = excel.book.cells(["gold_price"], ["ore_grade"])
    values = excel.book.cells([3000.0, 4000.0], [0.3, 0.2])
    found = excel.rows("DWT_JUDGE", names, values, "margin_per_ton")
    wanted = at_estimates({"gold_price": [3000.0, 4000.0], "ore_grade": [0.3, 0.2]})
    assert found == [wanted["margin_per_ton"].tolist()]


def test_nothing_that_goes_back_is_not_a_number(excel):
    found = excel.call("DWT_PAYBACK", excel.book.cells([-5.0, 1.0]))
    assert found == "#N/A"
    assert not (isinstance(found, float) and math.isnan(found))


def test_ten_thousand_rows_go_through_one_call(excel):
    index = np.linspace(5.0, 25.0, 10_000)
    found = excel.rows(
        "DWT_BOND_ENERGY", excel.book.cells(*index[:, None].tolist()), 2000.0, 100.0
    )
    assert np.array_equal(
        np.ravel(found), pennyweight.bond_energy(index, 2000.0, 100.0)
    )


@pytest.fixture(scope="module")
def imported(excel):
    """A workbook into which xlwings' own Import Functions brought everything."""
    book = com.Book()
    excel.xlwings.import_udfs(MODULE, book)
    return book


@pytest.mark.parametrize("name", ["DWT_BOND_ENERGY", "DWT_MILL_POWER"])
def test_import_functions_writes_the_macro_as_it_should_be(imported, name):
    (module,) = imported.VBProject.VBComponents
    assert module.Name == "xlwings_udfs"
    golden = (GOLDEN / "import_functions.bas").read_text("utf-8")
    assert _macro(module.text.replace("\r\n", "\n"), name) == _macro(golden, name)


def _macro(text, name):
    start = text.index(f"Function {name}(")
    return text[start : text.index("End Function", start)]


def test_our_macro_module_is_as_it_should_be():
    from pennyweight.addins.excel import vba

    names = ("DWT_BOND_ENERGY", "DWT_MILL_POWER", "DWT_REASON", "DWT_VERSION")
    functions = [vba.macro_function(registry()[name]) for name in names]
    golden = (GOLDEN / "macro_module.bas").read_text("utf-8")
    assert vba.HEAD + "".join(functions) == golden
    module = vba.macro_module()
    assert all(text.replace("\n", "\r\n").strip() in module for text in functions)


def test_our_macro_module_fits_the_macro_editor():
    from pennyweight.addins.excel.vba import macro_module

    text = macro_module()
    assert text.isascii()
    assert max(map(len, text.splitlines())) < 1000
    assert text.count("\n") == text.count("\r\n")
    opened = len(re.findall(r"^(?:Public|Private) Function", text, re.MULTILINE))
    assert opened == len(re.findall(r"^End Function", text, re.MULTILINE))


def test_import_functions_brings_every_function_with_its_help(imported):
    text = imported.VBProject.VBComponents[0].text
    named = set(re.findall(r"^Function (\w+)\(", text, re.MULTILINE))
    assert named == set(registry())
    described = imported.described["'my_mill.xlsm'!DWT_BOND_ENERGY"]
    entry = registry()["DWT_BOND_ENERGY"]
    assert described["Description"] == entry.help
    assert described["Category"] == entry.category
    assert described["ArgumentDescriptions"] == [a.help for a in entry.arguments]


def test_our_macros_have_the_signatures_that_xlwings_writes(imported):
    from pennyweight.addins.excel.vba import macro_module

    pattern = re.compile(r"^(?:Public )?Function (DWT_\w+)\((.*)\)", re.MULTILINE)
    theirs = dict(pattern.findall(imported.VBProject.VBComponents[0].text))
    ours = dict(pattern.findall(macro_module()))
    assert {name: ours[name] for name in theirs} == theirs


def test_shapes_of_examples_reach_excel_as_cells():
    assert cells([1.0, 2.0]) == ((1.0, 2.0),)
    assert cells("grate") == (("grate",),)
