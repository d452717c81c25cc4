"""The public API: a plan does the whole job, with clear errors."""

import doctest
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import pennyweight as pw
from pennyweight.cli.judge import judge
from pennyweight.errors import BadValue, CallError
from pennyweight.model.inputs import INPUTS
from pennyweight.model.run import run
from tests.books import book_at
from tests.model.drawing import converted
from tests.thorough import sampled


@pytest.fixture(scope="module")
def plan():
    return pw.example()


def test_a_change_gives_a_new_plan(plan):
    other = plan.change(gold_price=3000)
    assert other.inputs["gold_price"] == 3000
    assert plan.inputs["gold_price"] != 3000
    assert other.results["net_present_value"] < plan.results["net_present_value"]


def test_labels_serve_as_well_as_names(plan):
    label = INPUTS["gold_price"].label
    by_label = plan.change({label: 3000})
    assert by_label.inputs == plan.change(gold_price=3000).inputs
    assert by_label.results[label] == 3000


def test_results_are_those_of_the_lines(plan):
    values = run(plan.inputs)
    assert plan.results["net_present_value"] == values["net_present_value"].item()
    assert len(plan.results) == len(list(plan.results)) == len(dict(plan.results))


def test_tables_have_units_and_the_figures_of_the_lines(plan):
    flow = plan.cash_flow
    assert flow.attrs["units"]["cash_after_tax"] == "$"
    assert flow["cash_after_tax"].sum() == pytest.approx(
        plan.results["life_cash"], rel=1e-12
    )
    years = plan.years
    assert years["cash_after_tax_in_year"].sum() == pytest.approx(
        plan.results["life_cash"], rel=1e-12
    )
    costs = plan.costs
    assert costs["cost_per_ton"].sum() == pytest.approx(
        plan.results["cost_per_ton"], rel=1e-12
    )
    assert plan.contracts.index[0] == "by the ton"
    assert plan.measure_next().attrs["units"]["ore_grade"] == "oz/ton"


@pytest.mark.thorough
def test_a_measured_figure_still_turns_the_verdict_within_its_range(capsys, tmp_path):
    """Measured, it leaves the list to measure; the risk analysis still varies it."""
    made = pw.Plan(pw.example().given, ranges={"ore_grade": (0.05, 1.0)})
    made.statuses["ore_grade"] = "measured"
    plan = pw.read(made.write(tmp_path / "claim.xlsx"))
    assert plan.judge().verdict == "pays"
    assert plan.change(ore_grade=0.05).judge().verdict != "pays"
    assert "ore_grade" not in plan.worth_measuring()
    assert "ore_grade" in plan.turning()
    judge(plan.path)
    assert "alone turn the verdict, within range: Ore grade" in capsys.readouterr().out


def test_tables_and_plan_have_one_unit_and_one_label():
    plan = pw.example("metric")
    for frame in (plan.cash_flow, plan.years, plan.contracts):
        for name in frame.attrs["labels"].keys() - {"indifference_grade"}:
            assert frame.attrs["units"][name] == plan.unit(name)
            assert frame.attrs["labels"][name] == plan.label(name)


def test_the_tables_of_learning_and_of_cases_of_a_season_have_units():
    plan = pw.example().change(currency="GHS", exchange_rate=1)
    month = {"period": "2026-05", "tons": 270, "hours": 158, "gold": 48.0}
    frame = plan.learn(pd.DataFrame([month])).variances
    units = frame.attrs["units"]
    assert set(units) == set(frame.select_dtypes("number"))
    assert set(units.values()) == {"GHS"}
    lots = pd.DataFrame({"lot": ["A"], "wet_tons": [26], "grade": [0.42]})
    frame = plan.season_cases(lots, {}, start="2026-04-01")
    assert frame.attrs["units"] == {"contribution": "GHS", "difference": "GHS"}
    season = plan.season(lots, start="2026-04-01", explain=False)
    assert season.plan.attrs["units"]["contribution"] == "GHS"


def test_the_tables_of_a_season_have_units(plan):
    lots = pd.DataFrame({"lot": ["A"], "wet_tons": [26], "grade": [0.42]})
    season = plan.season(lots, start="2026-04-01", explain=False)
    units = season.plan.attrs["units"]
    numbers = season.plan.select_dtypes("number").columns.drop("part")
    assert list(units) == list(numbers) and units["p80"] == "µm"


def test_a_grid_is_a_run_for_each_combination(plan):
    frame = plan.grid(gold_price=[3000, 3500], wage=[25, 30])
    for price, wage in frame.index:
        alone = plan.change(gold_price=price, wage=wage).results["net_present_value"]
        assert frame.loc[(price, wage), "net_present_value"] == pytest.approx(
            alone, rel=1e-12
        )


def test_each_row_of_a_grid_has_the_verdict_of_its_own_plan(plan):
    tolls = ("toll_charge", "toll_share", "toll_tons")
    own = pw.Plan({n: v for n, v in plan.given.items() if n not in tolls})
    mass, assay = "screen_tails_share_01", "screen_tails_grade_01"
    lot = {n: v for n, v in plan.given.items() if n != assay}
    for begun, moved in (
        (own, {"ore_milled_by": ["own mill", "hired mill"]}),
        (own, {"ore_milled_by": ["hired mill", "own mill"], "wage": [25, 30]}),
        (pw.Plan(lot, job="test"), {mass: [0.0, 0.1]}),
    ):
        rows = begun.grid(moved, results=["job_verdict"])["job_verdict"]
        assert len(set(rows)) == 2
        for values, verdict in rows.items():
            values = values if isinstance(values, tuple) else (values,)
            alone = begun.change(dict(zip(moved, values, strict=True)))
            assert verdict == alone.judge().verdict, values


def test_a_break_even_brings_the_result_to_its_target(plan):
    (price,) = plan.break_even("gold_price").values
    there = plan.change(gold_price=price).results["net_present_value"]
    assert abs(there) < 1


def test_a_comparison_of_plans_shares_out_the_change(plan):
    other = plan.change(gold_price=3000, wage=30)
    found = plan.compare(other)
    assert {change.name for change in found.changes} == {"gold_price", "wage"}
    shares = [found.effect(c.name, "net_present_value")[1] for c in found.changes]
    assert sum(shares) == pytest.approx(
        other.results["net_present_value"] - plan.results["net_present_value"]
    )


BARREN = {"sample_grade_03": 0.0, "sample_weight_03": 4.0}
"""A sample without gold, whose grade is no empty cell."""


@pytest.mark.thorough
@pytest.mark.parametrize("units", sampled(["metric", "us"], 2))
def test_a_plan_written_and_read_is_the_same_plan(units, tmp_path):
    plan = pw.example(units).change(gold_price=3111, grade_source="samples", **BARREN)
    again = pw.read(plan.write(tmp_path / "claim.xlsx"))
    assert again.units == units
    for name, value in plan.inputs.items():
        assert again.inputs[name] == (
            value if isinstance(value, str) else pytest.approx(value, rel=1e-14)
        )
    assert again.inputs["sample_grade_03"] == 0.0
    assert again.given.keys() == plan.given.keys()
    assert again.ranges.keys() == plan.ranges.keys()
    changed = {finding.kind for finding in pw.inspect(tmp_path / "claim.xlsx").inputs}
    assert not changed, "all that the plan has is in the workbook as issued"


@pytest.mark.parametrize("units", sampled(["metric", "us"], 2))
def test_a_plan_read_back_was_given_what_was_written(units, tmp_path):
    """Cells of tables that are empty or filled in are nobody's entry."""
    path = tmp_path / "claim.xlsx"
    for plan in (pw.Plan(wage=30, units=units), pw.example(units)):
        again = pw.read(plan.write(path, force=True))
        assert again.given.keys() - {"job"} == plan.given.keys() - {"job"}
        assert not again.estimates
        states = [one.judge().to_dict()["inputs"] for one in (plan, again)]
        assert states[0].keys() == states[1].keys()
        for name, state in states[0].items():
            assert states[1][name]["whose"] == state["whose"], name


def test_entries_of_tables_stay_the_users(tmp_path):
    entered = {
        "sample_grade_03": 0.0,
        "sample_weight_03": 4.0,
        "screen_tails_share_01": 0.1,
        "screen_tails_grade_01": 0.0,
        "terms_per_ton_01": INPUTS["terms_per_ton_01"].estimate,
        "terms_share_04": 0.0,
        "choice_diameter_01": 3.0,
    }
    again = pw.read(pw.Plan(entered).write(tmp_path / "claim.xlsx"))
    assert {name: again.given.get(name) for name in entered} == entered


@pytest.mark.thorough
def test_a_barren_sample_is_written_and_read_again(tmp_path):
    written = pw.example().change(grade_source="samples", **BARREN)
    again = pw.read(written.write(tmp_path / "samples.xlsx"))
    assert again.inputs == written.inputs


def test_a_workbook_of_other_estimates_is_refused(plan, tmp_path):
    own = {n: v for n, v in plan.given.items() if n not in ("fuel_price", "wage")}
    other = pw.Plan(own, estimates={"Diesel price": 9.0, "wage": 31})
    with pytest.raises(CallError, match=r"Diesel price; Hourly wage.*with change"):
        other.write(tmp_path / "claim.xlsx")
    with pytest.raises(CallError, match="cannot hold those of this plan: Hourly wage"):
        other.change(fuel_price=9.0).book()
    entered = other.change(other.estimates)
    again = pw.read(entered.write(tmp_path / "claim.xlsx"))
    worth = "net_present_value"
    assert again.results[worth] == pytest.approx(other.results[worth], rel=1e-12)


def test_a_plan_read_back_takes_another_currency(tmp_path):
    plan = pw.Plan(wage=30)
    again = pw.read(plan.write(tmp_path / "claim.xlsx"))
    for currency, rate in (("GHS", 12), ("TZS", 2600)):
        moved = again.change(currency=currency, exchange_rate=rate)
        assert moved.inputs == plan.change(currency=currency, exchange_rate=rate).inputs
        assert moved.book()  # its estimates are the engine's at the new rate
        again = moved


def test_what_a_plan_was_given_stays(plan):
    for held in (plan.given, plan.ranges, plan.estimates, plan.inputs):
        with pytest.raises(CallError, match="stays as it is"):
            held["gold_price"] = 2


def test_membership_agrees_with_item_access(plan):
    for values in (plan.inputs, plan.given, plan.values, plan.results):
        assert "Gold price" in values and "gold_price" in values
        assert values.get("Gold price") == values["Gold price"]
        assert "Gold prize" not in values and values.get("Gold prize", 1) == 1
    assert "wage" not in pw.Plan().given and "Wage" not in pw.Plan().given


def test_a_result_by_month_is_told_from_one_that_does_not_exist(plan):
    for name in ("ore_milled", "Ore milled"):
        with pytest.raises(CallError, match="each month, on the sheet Cash flow"):
            plan.grid(gold_price=[3000], results=[name])
    with pytest.raises(CallError, match="no result named ore_mild"):
        plan.grid(gold_price=[3000], results=["ore_mild"])


def test_papers_are_written(plan, tmp_path):
    assert plan.quote(tmp_path / "quote.xlsx").stat().st_size > 0
    assert plan.settle(tmp_path / "statement.xlsx").stat().st_size > 0
    assert (tmp_path / "statement.csv").exists()


def test_no_paper_overwrites_the_plan_itself(tmp_path):
    path = book_at(tmp_path / "claim.xlsx")
    before = path.read_bytes()
    for write in (pw.read(path).quote, pw.read(path).settle):
        with pytest.raises(CallError, match="is the input file"):
            write(path, force=True)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"gold_prize": 3000}, "Did you mean gold_price"),
        ({"gold_price": "dear"}, "not a number"),
        ({"gold_price": [3000, 3100]}, "Use grid"),
        ({"gold_price": pd.DataFrame({"a": [1]})}, "Use grid"),
        ({"gold_price": -1}, "Enter a number from"),
        ({"gold_price": float("nan")}, "out of range"),
        ({"gold_price": None}, "empty"),
    ],
)
def test_bad_inputs_are_reported_in_words(wrong, words):
    with pytest.raises((BadValue, CallError), match=words):
        pw.Plan(**wrong)


def test_an_error_carries_what_is_wrong():
    with pytest.raises(BadValue) as caught:
        pw.Plan(gold_price=-1)
    assert caught.value.input == "gold_price"
    assert caught.value.value == -1
    assert "Enter a number" in caught.value.allowed


def test_an_unknown_unit_system_is_refused():
    with pytest.raises(CallError, match="give 'us' or 'metric', not 'imperial'"):
        pw.Plan(units="imperial")


def test_an_input_given_twice_is_refused():
    with pytest.raises(CallError, match="given twice"):
        pw.Plan({INPUTS["gold_price"].label: 3000}, gold_price=3000)


def test_a_range_turned_round_is_refused():
    with pytest.raises(BadValue, match="Exchange"):
        pw.Plan(ranges={"gold_price": (4000, 3000)})


def test_a_changed_figure_leaves_a_range_of_your_own_that_no_longer_holds_it():
    plan = pw.example()
    low, high = plan.ranges["crew"]
    assert plan.change(crew=high).ranges["crew"] == (low, high)
    beyond = plan.change(crew=1)
    assert "crew" not in beyond.ranges
    assert beyond.judge().entries["crew"].state == "yours"


def test_a_figure_outside_your_own_range_cannot_be_used(plan):
    beyond = {"gold_price": (plan.inputs["gold_price"] + 1, 9000)}
    judged = pw.Plan(plan.given, units=plan.units, ranges=beyond).judge()
    assert judged.entries["gold_price"].state == "cannot be used"
    assert "cannot be used" in judged.verdict


def test_a_comparison_gives_the_verdicts_of_judge():
    plan = pw.example()
    beyond = pw.Plan(plan.given, ranges={"gold_price": (4000, 4100)})
    missing = pw.Plan({n: v for n, v in plan.given.items() if n != "wage"})
    for other in (beyond, missing):
        verdicts = plan.compare(other).verdicts
        assert verdicts == (plan.judge().verdict, other.judge().verdict)
        assert verdicts[1].startswith("not yet")


def test_a_plan_shows_itself(plan):
    assert "of" in repr(plan) and len(repr(plan)) < 90
    assert "<table" in plan._repr_html_()


def test_the_public_names_are_listed():
    assert {"Plan", "read", "example", "bond_energy"} <= set(dir(pw))


def test_metric_and_us_plans_give_the_same_money():
    plan = pw.example()
    same = pw.Plan(converted(plan.inputs, "us", "metric"), units="metric")
    worth = [one.results["net_present_value"] for one in (plan, same)]
    assert np.isclose(*worth, rtol=1e-9)


def test_the_metric_example_is_in_round_figures():
    plan = pw.example("metric")
    told = {name: plan.inputs[name] for name in ("crusher_capacity", "measured_pace")}
    assert told == {"crusher_capacity": 5.4, "measured_pace": 1.55}
    assert plan.judge().verdict == pw.example().judge().verdict


def test_pictures(plan):
    pyplot = pytest.importorskip("matplotlib.pyplot")
    from pennyweight import plots

    for draw in (plots.cash_flow, plots.costs, plots.tornado):
        ax = draw(plan)
        assert ax.get_xlabel()
    pyplot.close("all")


def test_a_tornado_is_in_the_unit_of_its_result(plan):
    pyplot = pytest.importorskip("matplotlib.pyplot")
    from pennyweight import plots

    for book, result, label, ticks in (
        (plan, "mill_capacity", "Mill capacity, tons/hour", "0.8 1 1.2"),
        (plan, "internal_rate", "after tax, per year", "0.0% 25.0% 50.0%"),
        (plan, "net_present_value", "after tax, $", "0 500,000 1,000,000"),
        (pw.example("metric"), "margin_per_ton", "per tonne, $/t", "0 100 200"),
    ):
        ax = plots.tornado(book, result)
        ax.figure.canvas.draw()
        assert ax.get_xlabel().endswith(label)
        told = " ".join(tick.get_text() for tick in ax.get_xticklabels())
        assert ticks in told
    pyplot.close("all")


def test_the_public_names_are_the_trade_functions_and_the_plan():
    from pennyweight.trade.catalogue import catalogue

    errors = {"BadValue", "CallError", "OutsideRange", "PennyweightError"}
    more = {"Plan", "UnknownName", "WorkbookError", "__version__", *pw.OPENING}
    assert set(pw.__all__) == {*catalogue(), *errors, *more}
    assert all(getattr(pw, name) is not None for name in pw.__all__)
    names: dict = {}
    exec("from pennyweight import *", names)
    assert names.keys() - {"__builtins__"} == set(dir(pw)) == set(pw.__all__)


def test_the_package_alone_loads_nothing_else():
    script = "import sys, pennyweight as pw; print(len(pw.__all__), *sys.modules)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True)
    count, *modules = done.stdout.decode().split()
    assert int(count) == len(pw.__all__) and "numpy" not in modules


def test_the_examples_of_all_docstrings_run():
    engine = Path(pw.__file__).parent
    for path in sorted(engine.rglob("*.py")):
        if ">>> " in path.read_text("utf-8"):
            parts = path.relative_to(engine.parent).with_suffix("").parts
            failed, tried = doctest.testmod(import_module(".".join(parts)))
            assert tried and not failed, path
