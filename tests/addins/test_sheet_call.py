"""Worksheet functions called with the contents of cells, as both add-ins call them."""

import collections
import math
from types import SimpleNamespace

import numpy as np
import pytest

import pennyweight
from pennyweight.addins import reasons
from pennyweight.addins.cell_values import CellError
from pennyweight.addins.model_cells import inputs_from
from pennyweight.addins.registry import registry
from pennyweight.addins.sheet_call import answer
from pennyweight.model.judgement import RESULTS
from pennyweight.model.mill_model import MODEL
from tests.addins.examples import at_estimates, expected, same, trade_calls
from tests.thorough import sampled


@pytest.fixture(autouse=True)
def own_log(tmp_path, monkeypatch):
    monkeypatch.setenv("PENNYWEIGHT_LOG", str(tmp_path / "reasons.log"))
    return tmp_path / "reasons.log"


def ask(name, *given, place=""):
    return answer(registry()[name], given, place)


def reason():
    return ask("DWT_REASON")[0][0]


def test_equals_the_engine():
    for entry, given, wanted in trade_calls():
        assert same(answer(entry, given), expected(wanted)), (entry.name, given)


def column(*cells):
    return tuple((cell,) for cell in cells)


def test_one_bad_cell_spoils_no_other():
    cells = column(14.0, None, "x", CellError("#DIV/0!"), 0.0, True, 10.0)
    found = ask("DWT_BOND_ENERGY", cells, 2000.0, 100.0)
    assert [row[0] for row in found[1:-1]] == [
        "#N/A",
        "#VALUE!",
        "#DIV/0!",
        "#NUM!",
        "#VALUE!",
    ]
    assert found[0][0] == pennyweight.bond_energy(14.0, 2000.0, 100.0)
    assert found[-1][0] == pennyweight.bond_energy(10.0, 2000.0, 100.0)


def test_column_and_row_make_a_block():
    found = ask("DWT_BOND_ENERGY", column(10.0, 14.0), 2000.0, ((100.0, 150.0, 75.0),))
    wanted = pennyweight.bond_energy(np.array([[10.0], [14.0]]), 2000.0, [100, 150, 75])
    assert np.array_equal(found, wanted)


def test_shapes_that_do_not_fit():
    found = ask("DWT_BOND_ENERGY", column(1.0, 2.0), column(1.0, 2.0, 3.0), 1.0)
    assert found == [["#VALUE!"]]
    assert "work_index 2 by 1" in reason()


@pytest.mark.parametrize("error", ["#N/A", "#DIV/0!", "#REF!", "#NAME?", "#NULL!"])
def test_an_error_in_gives_the_same_error_out(error):
    assert ask("DWT_BOND_ENERGY", CellError(error), 2000.0, 100.0) == [[error]]
    flows = ((-1.0, CellError(error), 2.0),)
    assert ask("DWT_NET_PRESENT_VALUE", 0.1, flows) == [[error]]


def test_left_out_and_blank_optional_arguments_take_the_default():
    wanted = pennyweight.mill_power(1.2, 2.4, 0.35, 0.7)
    for end in ((), (None, None), (((None,),), ((None,),))):
        assert ask("DWT_MILL_POWER", 1.2, 2.4, 0.35, 0.7, *end) == [[wanted]]


def test_words_and_switches_down_a_column():
    found = ask(
        "DWT_MILL_POWER",
        column(1.2, 1.0, 1.2),
        2.4,
        0.35,
        0.7,
        column("grate", "Overflow", "sieve"),
        column(True, 0.0, False),
    )
    assert found == [
        [pennyweight.mill_power(1.2, 2.4, 0.35, 0.7, "grate", True)],
        [pennyweight.mill_power(1.0, 2.4, 0.35, 0.7, "overflow", False)],
        ["#VALUE!"],
    ]
    assert "overflow, grate" in reason()


def test_blank_among_optional_numbers():
    found = ask("DWT_FUNDAMENTAL_ERROR", 1000.0, 50.0, column(None, 2000.0, 5000.0))
    assert found == [
        [pennyweight.fundamental_error(1000.0, 50.0)],
        [pennyweight.fundamental_error(1000.0, 50.0, 2000.0)],
        [pennyweight.fundamental_error(1000.0, 50.0, 5000.0)],
    ]


def test_lists_lose_a_blank_end_but_no_blank_within():
    wanted = pennyweight.lognormal_mean([1.0, 2.0, 4.0])
    assert ask("DWT_LOGNORMAL_MEAN", column(1.0, 2.0, 4.0, None, None)) == [[wanted]]
    assert ask("DWT_LOGNORMAL_MEAN", column(1.0, None, 4.0)) == [["#N/A"]]
    assert ask("DWT_LOGNORMAL_MEAN", column(None, None)) == [["#N/A"]]
    assert ask("DWT_LOGNORMAL_MEAN", column(1.0, "<0.1", 4.0)) == [["#VALUE!"]]


def test_paired_lists_end_together():
    openings, passing = column(1000.0, 500.0, 100.0, None), column(0.9, 0.6, 0.2, None)
    found = ask("DWT_FIT_GAUDIN_SCHUHMANN", openings, passing)
    wanted = pennyweight.fit_gaudin_schuhmann([1000, 500, 100], [0.9, 0.6, 0.2])
    assert found == [list(wanted)]
    short = column(0.9, 0.6, None, None)
    assert ask("DWT_FIT_GAUDIN_SCHUHMANN", openings, short) == [["#N/A"]]


def test_lists_of_different_lengths():
    found = ask("DWT_FIT_GAUDIN_SCHUHMANN", column(3.0, 2.0, 1.0), column(0.9, 0.5))
    assert found[0][0] in ("#VALUE!", "#NUM!")


def test_every_row_of_a_block_is_a_list():
    flows = ((-1.0, 2.0, 3.0), (-2.0, 1.0, 1.0))
    found = ask("DWT_NET_PRESENT_VALUE", column(0.1, 0.2), flows)
    assert found == [
        [pennyweight.net_present_value(0.1, [-1, 2, 3])],
        [pennyweight.net_present_value(0.2, [-2, 1, 1])],
    ]


def test_a_list_comes_back_as_it_lay():
    shares = list(pennyweight.graded_charge([50.0, 40.0, 30.0]))
    assert ask("DWT_GRADED_CHARGE", column(50.0, 40.0, 30.0)) == [[s] for s in shares]
    assert ask("DWT_GRADED_CHARGE", ((50.0, 40.0, 30.0),)) == [shares]


def test_not_a_number_says_why():
    assert ask("DWT_INTERNAL_RATE", column(1.0, 2.0)) == [["#N/A"]]
    assert "no money is put in" in reason()
    assert ask("DWT_PAYBACK", column(-5.0, 1.0)) == [["#N/A"]]


def test_out_of_range_says_what_is_allowed():
    assert ask("DWT_BOND_ENERGY", -1.0, 2000.0, 100.0) == [["#NUM!"]]
    assert "work_index is -1 kWh/ton; it must be above 0" in reason()


def test_beyond_where_it_holds_gives_the_number_and_a_word():
    found = ask("DWT_OPEN_CIRCUIT_FACTOR", 0.3)
    assert isinstance(found[0][0], float)
    assert "Warning: " in reason()


def test_a_missing_argument():
    assert ask("DWT_BOND_ENERGY", 14.0, 2000.0) == [["#N/A"]]
    assert "product_p80 is missing" in reason()


def test_reason_of_a_cell_and_of_a_function():
    ask("DWT_BOND_ENERGY", -1.0, 2000.0, 100.0, place="[A.xlsm]S!$B$1")
    ask("DWT_MILL_POWER", -2.0, 2.4, 0.35, 0.7, place="[A.xlsm]S!$B$2")
    assert "work_index is -1" in ask("DWT_REASON", "[A.xlsm]S!$B$1")[0][0]
    assert "work_index is -1" in ask("DWT_REASON", "dwt_bond_energy")[0][0]
    ask("DWT_BOND_ENERGY", 14.0, 2000.0, 100.0, place="[A.xlsm]S!$B$1")
    assert ask("DWT_REASON", "[A.xlsm]S!$B$1") == [[""]]


def test_reasons_go_to_the_log_once(own_log):
    reasons._written.clear()
    for _ in range(3):
        ask("DWT_BOND_ENERGY", -7.5, 2000.0, 100.0)
    message = own_log.read_text("utf-8")
    assert message.count("work_index is -7.5") == 1


def test_a_log_that_cannot_be_written_spoils_nothing(monkeypatch, tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("")
    monkeypatch.setenv("PENNYWEIGHT_LOG", str(blocked / "reasons.log"))
    reasons._written.clear()
    assert ask("DWT_BOND_ENERGY", -8.5, 2000.0, 100.0) == [["#NUM!"]]


def test_ten_thousand_rows_in_one_call(monkeypatch):
    entry = registry()["DWT_BOND_ENERGY"]
    calls = []
    function = entry.function
    monkeypatch.setitem(
        entry.__dict__, "function", lambda **k: calls.append(1) or function(**k)
    )
    index = np.linspace(5.0, 25.0, 10_000)
    found = answer(entry, (column(*index.tolist()), 2000.0, 100.0))
    assert calls == [1]
    assert np.array_equal(np.ravel(found), function(index, 2000.0, 100.0))


def test_judge_gives_figures_for_every_case():
    names = column("gold_price", "Grade of the ore", None)
    values = ((3000.0, 4000.0), (0.3, 0.2), (None, None))
    found = ask("DWT_JUDGE", names, values, (("margin_per_ton",), ("verdict",)))
    worked = at_estimates({"gold_price": [3000.0, 4000.0], "ore_grade": [0.3, 0.2]})
    waits = ["not yet: 15 figures are missing"] * 2
    assert found == [worked["margin_per_ton"].tolist(), waits]
    everything = ask("DWT_JUDGE", names, values)
    assert len(everything) == 1 + len(RESULTS) + 3
    assert [row[1] for row in everything[-3:-1]] == [15.0, 0.0]


def test_judge_knows_labels_of_results():
    by_name = ask("DWT_JUDGE", None, None, (("margin_per_ton",),))
    assert ask("DWT_JUDGE", None, None, (("Operating margin per ton",),)) == by_name
    rows = ask("DWT_LINE", "In season (1) or not (0)")
    assert rows == ask("DWT_LINE", "in_season")
    assert ask("DWT_JUDGE", None, None, (("Margin of the moon",),)) == [["#VALUE!"]]


def test_what_was_left_at_the_estimate_and_what_is_unusual_is_reported():
    names = column("gold_price", "ore_grade")
    ask("DWT_JUDGE", names, column(3000.0, 9.0), "margin_per_ton")
    ((message,),) = ask("DWT_WARNINGS", names, column(3000.0, 9.0))
    assert message.startswith(
        "Unusual, check the unit and the digits: Ore grade in place"
    )
    assert "9 oz/ton" in message and "left at the estimate: Ore in place" in message
    assert message in reason()


def test_all_that_is_needed_leaves_nothing_to_say():
    plan = pennyweight.example()
    names = [name for name in plan.given if plan.given[name] != ""]
    values = column(*(plan.given[name] for name in names))
    assert ask("DWT_WARNINGS", column(*names), values) == [[""]]
    found = ask(
        "DWT_JUDGE",
        column(*names),
        values,
        (("verdict",), ("net present value after tax",)),
    )
    worth = plan.results["net_present_value"]
    assert found[0] == [plan.judge().verdict]
    assert found[1][0] == pytest.approx(worth, rel=1e-12)


def test_the_risk_analysis_in_cells(monkeypatch):
    """The pages' recipe runs the real analysis; here is what reaches it."""
    asked = []

    def risk(plan, trials, seed):
        asked.append((plan.given, plan.units, trials, seed))
        figures = collections.defaultdict(lambda: SimpleNamespace(value=math.nan))
        figures["pays"] = SimpleNamespace(value=0.62)
        figures["margin_per_ton_p50"] = SimpleNamespace(value=41.5)
        return SimpleNamespace(risk=SimpleNamespace(figures=figures))

    monkeypatch.setattr(pennyweight.Plan, "risk", risk)
    found = ask("DWT_RISK", "Gold price", 3000.0, "metric", 256.0, 3.0)
    assert asked == [({"gold_price": 3000.0}, "metric", 256, 3)]
    assert found[0] == ["Probability that it pays", 0.62, "16 figures are missing", ""]
    assert ["Operating margin per tonne", "#N/A", 41.5, "#N/A"] in found
    ask("DWT_RISK")
    assert asked[1] == ({}, "us", 4096, 0)
    assert ask("DWT_RISK", "gold_price", ((3000.0, 4000.0),)) == [["#VALUE!"]]


def test_judge_knows_metric():
    found = ask("DWT_JUDGE", None, None, (("cost_per_ton",),), "metric")
    assert found == [[at_estimates({}, "metric")["cost_per_ton"].item()]]


@pytest.mark.parametrize(
    ("names", "values", "marker", "message"),
    [
        (column("gold_prise"), column(1.0), "#VALUE!", "gold_price"),
        (column("gold_price"), column("dear"), "#VALUE!", "text"),
        (column("gold_price"), column(None), "#N/A", "blank"),
        (
            column("gold_price"),
            column(CellError("#REF!")),
            "#REF!",
            "correct that cell",
        ),
        (column("gold_price"), column(-5.0), "#NUM!", "out of range"),
        (column("gold_price", "gold_price"), column(1.0, 2.0), "#VALUE!", "twice"),
        (column("gold_price"), column(1.0, 2.0), "#VALUE!", "1 cells"),
        (column("gold_price"), None, "#N/A", "go together"),
    ],
)
def test_judge_refuses(names, values, marker, message):
    assert ask("DWT_JUDGE", names, values) == [[marker]]
    assert message in reason()


def test_margin_table_follows_how_its_inputs_lie():
    prices, grades = (2000.0, 3000.0), (0.2, 0.3, 0.4)
    down = ask("DWT_MARGIN_TABLE", column(*prices), (grades,))
    across = ask("DWT_MARGIN_TABLE", (prices,), column(*grades))
    assert np.array_equal(np.transpose(down), across)
    for row, price in enumerate(prices):
        for place, grade in enumerate(grades):
            worked = at_estimates({"gold_price": price, "ore_grade": grade})
            margin = worked["margin_per_ton"].item()
            assert math.isclose(down[row][place], margin, rel_tol=1e-12)


def test_table_of_any_two_inputs():
    found = ask(
        "DWT_TWO_INPUTS",
        "work_index",
        column(10.0, 14.0),
        "gold_price",
        ((3000.0,),),
        "cost_per_ton",
    )
    wanted = at_estimates({"work_index": [10.0, 14.0], "gold_price": 3000.0})[
        "cost_per_ton"
    ]
    assert np.ravel(found).tolist() == wanted.tolist()
    same_twice = ("gold_price", 1.0, "Gold price", 2.0)
    assert ask("DWT_TWO_INPUTS", *same_twice) == [["#VALUE!"]]


def test_a_figure_that_is_none_shows_no_number():
    found = ask("DWT_JUDGE", "gold_price", 500.0, "payback_month")
    assert found == [["#N/A"]]


def test_a_line_along_its_months():
    names = [row[0] for row in ask("DWT_LINES")]
    monthly = next(name for name in names if MODEL.lines[name].over == ("month",))
    wanted = at_estimates({"gold_price": [3000.0, 4000.0]})[monthly]
    found = ask("DWT_LINE", monthly, "gold_price", ((3000.0, 4000.0),))
    assert [row[0] for row in found] == [
        float(month) for month in MODEL.axes["month"].values
    ]
    shown = [row[1:] for row in found]
    assert np.array_equal(
        shown, np.broadcast_to(wanted.T, (2, 120)).T if wanted.ndim == 1 else wanted
    )
    assert ask("DWT_LINE", "margin_per_ton") == [["#VALUE!"]]


@pytest.fixture(scope="module")
def example():
    return at_estimates({})


@pytest.mark.parametrize(
    "name", sampled([n for n, line in MODEL.lines.items() if line.over], 20)
)
def test_every_line_along_an_axis_comes_as_a_block(example, name):
    worked = example[name]
    found = ask("DWT_LINE", name)
    assert len(found) == worked.shape[0]
    assert len(found[0]) == 1 + worked.size // worked.shape[0]


def test_lists_of_the_model():
    assert ["gold_price", "Gold price", "$/oz"] in [
        row[:3] for row in ask("DWT_INPUTS")
    ]
    assert "margin_per_ton" in [row[0] for row in ask("DWT_FIGURES")]
    assert ask("DWT_VERSION") == [[pennyweight.__version__]]


def test_inputs_may_lie_in_rows():
    found = inputs_from((("gold_price", "ore_grade"),), ((3000.0, 0.3),))
    assert found == {"gold_price": 3000.0, "ore_grade": 0.3}
