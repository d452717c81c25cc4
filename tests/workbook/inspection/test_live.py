"""A partner changes a cell: flags, counts and formulas show it."""

import ast
import functools
import inspect
import math
import re
import sys

import pytest
from openpyxl.formula import Tokenizer
from openpyxl.utils import coordinate_to_tuple
from xlsxwriter.utility import xl_rowcol_to_cell

from pennyweight.model import lines as _lines  # noqa: F401
from pennyweight.model.entries import FAULTY
from pennyweight.model.inputs import INPUTS
from pennyweight.model.judgement import judge
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.trade.catalogue import catalogue
from pennyweight.workbook.answer_sheet import OUT_OF_DATE, SOLVED_NOW
from pennyweight.workbook.cell_formulas import traced
from pennyweight.workbook.layout import layout, listed
from pennyweight.workbook.package.contents import read_contents
from tests.books import book_at
from tests.thorough import sampled

from ...oracles.package import defined_names, stored_cells, write_named

LETTERS = r"(?<![A-Za-z_!'.$])[A-Z]{1,3}\d+\b"


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    path = tmp_path_factory.mktemp("live") / "book.xlsx"
    book_at(path)
    return path


def cell(name, *index):
    place = layout().places[name]
    return place.sheet, place.cell(*index)


OVERTYPED = {
    # cell that somebody types a number over: what the book must then say
    "a month's gold": (
        ("gold_sold", 6),
        "Gold sold, in middlings and lost = gold in mill feed",
    ),
    "a month's cumulative cash": (
        ("closing_cash", 119),
        "Final cumulative cash flow = sum of cash flows",
    ),
    "a month's discounted cash": (
        ("closing_discounted", 9),
        "Final cumulative discounted cash flow = NPV",
    ),
    "the ore that is left": (
        ("closing_ore", 8),
        "Ore milled and remaining = mill feed over the plan",
    ),
    "a year's cash": (
        ("cash_after_tax_in_year", 2),
        "Sum of the years = sum of the months",
    ),
    "the loan still owed": (
        ("closing_loan", 12),
        "Loan payments = loan drawn and interest",
    ),
    "the last month's write-off": (
        ("depreciation", 119),
        "Depreciation = capital expenditure",
    ),
    "the cost of the crew": (
        ("cost_of_crew_per_ton",),
        "Operating cost per year: from unit rates = from ore milled",
    ),
    "the revenue of a ton": (
        ("net_return_per_ton",),
        "Revenue of a full month: from its gold = from its ore",
    ),
    "the group of mining costs": (
        ("mine_cost_per_ton",),
        "Mining, variable and fixed cost = operating cost",
    ),
    "the middle of the bracket": (
        ("last_middle",),
        "Money in = money out, discounted at the IRR",
    ),
}


KINDS = ["Own_figures", "Odd_figures", "Unusable_figures"]
TAKEN_OUT = {"Typed_0": 98_765.4, "Crew_entered": 4.0, "Burden_entered": None}
"""A formula typed over, a figure changed, and one taken out."""


@pytest.fixture(scope="module")
def overtyped(path, libreoffice):
    """What the book says of each, the cells named so that a program can type there.

    And, by number, of inputs as issued, one of them changed, and two out of range;
    last of `TAKEN_OUT`.
    """
    named = path.with_name("named.xlsx")
    places = {f"Typed_{n}": cell(*at) for n, (at, _) in enumerate(OVERTYPED.values())}
    write_named(path, named, places | seen(path))
    changes = [{name: 98_765.4} for name in places]
    entered = [{}, {"Gold_price_entered": 3441.0}]
    entered += [{"Gold_price_entered": 1.0, "Crew_entered": 9}, TAKEN_OUT]
    read = ["Checks_flag", "Balances_failed", "Changed_inputs", "Estimated_figures"]
    read += ["Answer", *KINDS, *seen(path)]
    found = libreoffice.scenarios(named, changes + entered, read)
    return dict(zip([*OVERTYPED, *range(4)], found, strict=True))


@functools.cache
def seen(path):
    """Cells without a name in the workbook, under the names that they are given."""
    cells = stored_cells(path)
    heads = {f"Head_{n}": (sheet, "A3") for n, sheet in enumerate(cells)}
    (told,) = (at for at, value in cells["Answer"].items() if value == SOLVED_NOW)
    status = f"E{layout().places['burden'].row + 1}"
    return {**heads, "Turnings": ("Answer", told), "Burden_is": ("Inputs", status)}


@pytest.mark.parametrize("what", OVERTYPED)
def test_a_formula_typed_over_trips_the_flag(what, overtyped):
    assert overtyped[what]["Checks_flag"] == OVERTYPED[what][1]
    assert overtyped[what]["Balances_failed"] >= 1
    assert overtyped[what]["Answer"] == FAULTY


def test_changed_inputs_are_counted(overtyped):
    answers = [overtyped[number] for number in range(3)]
    assert [answer["Changed_inputs"] for answer in answers] == [0, 1, 2]
    empty = sum(entry.value("us") == "" for _, entry in listed())
    inputs = len(list(listed())) - 1 - empty  # without the job
    counts = [[answer[kind] for kind in KINDS] for answer in answers]
    assert counts == [[inputs, 0, 0], [inputs, 0, 0], [inputs - 1, 1, 1]]


def test_the_flag_shows_on_every_sheet(overtyped):
    heads = [text for name, text in overtyped[3].items() if name.startswith("Head_")]
    assert len(heads) > 10
    assert all("failed check: " in text for text in heads)


def test_the_turnings_say_when_they_are_out_of_date(overtyped):
    assert overtyped[0]["Turnings"] == SOLVED_NOW
    assert overtyped[3]["Turnings"] == OUT_OF_DATE


def test_a_figure_taken_out_is_counted_as_an_estimate(overtyped):
    before, after = overtyped[0], overtyped[3]
    assert (before["Burden_is"], after["Burden_is"]) == ("yours", "estimate")
    for name, more in (("Own_figures", -1), ("Estimated_figures", 1)):
        assert after[name] == before[name] + more


VALUES = run()
FOLDED = {0.5 * 0.25, math.log(6)}
"""Worked out before they are written: Gy's usual shape and granulometric factors
multiplied, and the logarithm of the usual reduction ratio of a jaw crusher."""


def published_numbers():
    """Numbers in the source of the trade's functions, worked out where constant."""
    found = {0.0, 1.0, 2.0}
    catalogue()  # reads every module of the trade
    for name in [n for n in sys.modules if n.startswith("pennyweight.trade.")]:
        module = sys.modules[name]
        for node in ast.walk(ast.parse(inspect.getsource(module))):
            if isinstance(node, ast.BinOp | ast.Constant | ast.Name | ast.UnaryOp):
                found |= _constant(node, vars(module))
    return found


def _constant(node, scope):
    """The value of an expression that hangs on nothing but constants."""
    try:
        value = eval(compile(ast.Expression(node), "<constant>", "eval"), dict(scope))
        return {float(value)} if isinstance(value, int | float) else set()
    except Exception:  # it reads an argument
        return set()


def test_numbers_in_formulas_are_0_and_1_or_stand_in_a_published_equation():
    from_tables, published = set(), published_numbers() | FOLDED
    for name, (_, text) in traced().items():
        for token in Tokenizer(text.replace("{", "").replace("}", "")).items:
            if token.subtype == "NUMBER" and float(token.value) not in published:
                from_tables.add((name, token.value))
    # The slopes of a table that is written as ramps follow from its numbers.
    lines = {name for name, _ in from_tables}
    assert all("np.interp" in source_of(name) for name in lines), from_tables


def source_of(name):
    """The source of a line, and of the trade functions that it calls."""
    function = MODEL.lines[name].function
    called = [f for n, f in catalogue().items() if n in function.__code__.co_names]
    return "".join(inspect.getsource(part) for part in (function, *called))


def relative(formula, address):
    """A formula with plain addresses as distances, as a copy down or along keeps."""
    row, column = coordinate_to_tuple(address)

    def distance(match):
        there = coordinate_to_tuple(match[0])
        return f"R{there[0] - row}C{there[1] - column}"

    return re.sub(LETTERS, distance, formula)


def test_one_column_one_formula_down_every_table(path):
    sheets = read_contents(path).sheets
    for line in MODEL.lines.values():
        if line.gathers or len(line.over) != 1 or not MODEL.axes[line.over[0]].down:
            continue
        place = layout().places[line.name]
        cells = [place.at(step) for step in range(place.lengths[0])]
        kinds = {
            relative(sheets[place.sheet][at].formula, xl_rowcol_to_cell(*at))
            for at in cells
        }
        assert len(kinds) == 1, (line.name, kinds)


def test_the_first_sheet_counts_what_is_there(path):
    about = stored_cells(path)["About"]
    said = {about[f"A{row}"]: about.get(f"B{row}") for row in range(5, 17)}
    assert said["Lines of the model"] == len(MODEL.lines)
    checked = ("balance", "limit", "measurement")
    assert said["Checks"] == sum(len(MODEL.axes[table]) for table in checked)
    assert said["Formulas that differ"] == len({text for _, text in traced().values()})


def test_every_calculated_cell_of_a_single_line_has_its_label(path):
    cells = stored_cells(path)
    for name, line in MODEL.lines.items():
        if not line.over:
            sheet, at = cell(name)
            assert cells[sheet][f"A{coordinate_to_tuple(at)[0]}"] == line.label


def test_no_name_stands_for_more_than_one_cell_or_none(path):
    names, cells = defined_names(path), stored_cells(path)
    single = [name for name, line in MODEL.lines.items() if not line.over]
    for name in (*INPUTS, *single):
        area = names.cell(name)
        assert (area.sheet, area.corner) == cell(name)
        empty = name in INPUTS and not INPUTS[name].value("us")
        unused = empty or (name in MODEL.lines and str(VALUES[name]) == "")
        assert unused or area.corner in cells[area.sheet]


@pytest.mark.parametrize("name", sampled(["gravity_recovery", "ore_grade"], 2))
def test_the_sheets_show_the_figure_that_the_plan_uses(name, tmp_path):
    """That of the test lot, where the plan takes it from there."""
    chosen = {"grade_source": "test lot", "recovery_source": "test lot"}
    cells = stored_cells(book_at(tmp_path / "lot.xlsx", **chosen))
    (now,) = (v.now for v in judge(chosen).switching_values if v.name == name)
    label = INPUTS[name].label
    assert now != pytest.approx(INPUTS[name].value("us"), rel=1e-3)
    for sheet, column in (("Start", "D"), ("Answer", "B")):
        (row,) = (
            at[1:]
            for at, value in cells[sheet].items()
            if at[0] == "A" and value in (label, f"{label}, oz/ton")
        )
        assert cells[sheet][column + row] == pytest.approx(now, rel=1e-12)
