"""Cost per ounce, owner's return, sources and uses of money, debt service cover."""

import numpy as np
import pytest

from pennyweight.model.figures import money as money_text
from pennyweight.model.judgement import judge
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.trade import money
from tests.thorough import sampled

from .drawing import stacked, usual_sets

pytestmark = pytest.mark.filterwarnings("ignore::pennyweight.errors.OutsideRange")


TERM = "Loan: its term is longer than grace period and construction"


@pytest.fixture(scope="module")
def values():
    return run()


@pytest.fixture(scope="module", params=sampled([120, 1000], 2))
def drawn(request):
    return run(stacked(usual_sets(request.param)))


def test_the_chart_of_cash_ends_with_the_last_cash_flow(drawn):
    cash = np.moveaxis(drawn["owner_cash"], 0, -1)
    for scenario, flows in enumerate(cash):
        last = np.flatnonzero(flows)[-1] + 1
        shown = drawn["charted_month"][:, scenario]
        assert shown.max() == last == drawn["last_cash_month"][scenario]
        assert list(shown[:last]) == list(range(1, last + 1))


MOVING = {
    "inflation": 0.06,
    "metal_rise": -0.02,
    "wage_rise": 0.01,
    "gold_price_by_year_02": 0.8,
    "retreat_payable": 0.2,
}
"""Prices that all move, and tailings that are sold."""


@pytest.mark.parametrize("changed", [{"inflation": 0.0}, MOVING, {}])
def test_mean_price_less_all_in_cost_is_the_cash_of_the_plan(changed):
    """Before tax, loan and working capital, per ounce, in money of the price date."""
    drawn = run({**stacked(usual_sets(60)), **changed})
    cash = (drawn["cash_before_tax"] + drawn["tied_up"]) / drawn["price_level"]
    left = drawn["mean_gold_price"] - drawn["all_in_cost_per_ounce"]
    assert left * drawn["ounces_sold"] == pytest.approx(cash.sum(axis=0), rel=1e-9)
    if changed == {"inflation": 0.0}:
        assert cash.sum(axis=0) == pytest.approx(drawn["cash_before_tax"].sum(axis=0))


def test_inflation_alone_leaves_the_cost_of_an_ounce():
    """All but the capital, quoted once for all, rises with the general price level."""
    real, nominal = run(), run({"inflation": 0.05})
    for name in ("mean_gold_price", "site_cost_per_ounce", "sustaining_cost_per_ounce"):
        assert nominal[name] == pytest.approx(float(real[name]), rel=1e-12)
    assert nominal["mean_gold_price"] == pytest.approx(float(real["gold_price"]))
    assert nominal["all_in_cost_per_ounce"] < real["all_in_cost_per_ounce"]


def test_each_step_of_the_cost_adds(values):
    steps = (
        "site_cost_per_ounce",
        "sustaining_cost_per_ounce",
        "all_in_cost_per_ounce",
    )
    assert np.all(np.diff([values[name] for name in steps]) > 0)


def test_owner_without_a_loan_has_the_plan():
    at = run({"loan_share": 0.0})
    assert at["owner_net_present_value"] == pytest.approx(at["net_present_value"])
    assert at["owner_internal_rate"] == pytest.approx(at["internal_rate"], rel=1e-12)
    assert at["owner_payback_month"] == at["payback_month"]


def test_owner_rate_and_value_are_the_trades_own(values):
    years = values["discount_years"]
    rate = money.internal_rate(values["owner_cash"], years=years)
    assert values["owner_internal_rate"] == pytest.approx(rate, rel=1e-12)
    worth = money.present_value_at(0.12, values["owner_cash"], years)
    assert values["owner_net_present_value"] == pytest.approx(worth, rel=1e-12)


def test_sources_are_uses_in_every_plan(drawn):
    assert drawn["all_sources"] == pytest.approx(drawn["all_uses"], rel=1e-9)
    needs = drawn["peak_funding"] > 0
    assert drawn["source_owner"][needs] == pytest.approx(drawn["peak_funding"][needs])


def test_everything_closes_in_every_plan(drawn):
    sold = drawn["gold_sold"].sum(axis=0) + drawn["gold_to_middlings"].sum(axis=0)
    fed = drawn["gold_milled"].sum(axis=0)
    assert sold + drawn["gold_lost"].sum(axis=0) == pytest.approx(fed, rel=1e-9)
    size = np.abs(drawn["cash_before_tax"]).sum(axis=0)
    for name in ("tied_up",):
        assert np.all(np.abs(drawn[name].sum(axis=0)) <= 1e-9 * size)
    for name in ("closing_receivable", "closing_stores", "closing_bond"):
        assert np.all(np.abs(drawn[name][-1]) <= 1e-9 * size), name
        assert np.all(drawn[name] >= -1e-9 * size), name
    assert np.all(np.abs(drawn["closing_loan"][-1]) <= 1e-9 * size)
    written = drawn["depreciation"].sum(axis=0)
    assert written == pytest.approx(drawn["capital_spent"].sum(axis=0), rel=1e-9)
    assert np.all(drawn["tax_paid"].sum(axis=0) >= -1e-9 * size)
    assert np.all(drawn["balances_failed"] == 0)


def test_no_result_jumps_when_an_input_moves_by_a_billionth():
    """Round figures, where a month is just enough, are the ones that jump."""
    round_plan = {
        "mill_kind": "hammer mill",
        "hammer_capacity": 0.7,
        "days_per_month": 20,
        "availability": 0.85,
        "ramp_start": 1.0,
        "mining_recovery": 1.0,
        "dilution": 0.0,
        "ore_tons": 595.0,
    }
    base = run(round_plan)
    for name in ("ore_tons", "hammer_capacity", "availability", "gold_price"):
        for factor in (1 - 1e-9, 1 + 1e-9):
            moved = run({**round_plan, name: base[name].item() * factor})
            for result in (
                "net_present_value",
                "peak_funding",
                "owner_net_present_value",
            ):
                assert moved[result] == pytest.approx(float(base[result]), rel=1e-6)


def test_a_loan_with_one_payment_is_repaid_at_the_end_of_its_term():
    at = run({"loan_grace": 5, "loan_months": 6, "build_months": 1})
    owed = at["loan_paid"] - at["interest"] > 1e-6
    assert np.flatnonzero(owed).tolist() == [6]
    assert at["shortest_term"] == at["loan_months"] == 6
    assert run({"loan_share": 0.0})["shortest_term"] == 0


def test_a_workbook_shows_a_term_that_the_engine_refuses():
    place = MODEL.axes["limit"].values.index(TERM)
    reads = MODEL.lines["limit_actual"].parameters[place]
    assert reads == "shortest_term"
    assert MODEL.lines[reads].function(0.4, grace_used=6) == 7


def test_cover_of_each_year(values):
    """Of what comes from the first month milled on, which is month 4 here."""
    assert np.argmax(values["ore_milled"] > 0) == 3
    months = {
        name: np.where(np.arange(120) >= 3, values[name], 0)
        for name in ("owner_cash", "loan_paid", "loan_drawn", "capital_spent")
    }
    by_year = values["plan_year"] == np.arange(1, 12)[:, None]
    paid = by_year @ months["loan_paid"]
    cash = by_year @ (
        months["owner_cash"] - months["loan_drawn"] + months["capital_spent"]
    )
    cash = cash + paid
    years = paid > 0
    assert values["debt_cover"][years] == pytest.approx(cash[years] / paid[years])
    assert np.isnan(values["debt_cover"][~years]).all()
    assert values["lowest_cover"] == np.min(values["debt_cover"][years])
    assert np.isnan(run({"loan_share": 0.0})["lowest_cover"])


@pytest.mark.parametrize("build_months", [14, 25, 36])
def test_construction_is_not_measured_by_the_lender(build_months):
    """Years without production have no cover; -50 was told for 25 months."""
    at = run({"build_months": build_months, "loan_months": 80})
    last = at["plan_year"][np.argmax(at["ore_milled"] > 0)]
    before = np.arange(1, len(at["debt_cover"]) + 1) < last
    assert before.any() and np.isnan(at["debt_cover"][before]).all()
    assert at["lowest_cover"] == np.nanmin(at["debt_cover"][~before])
    cash = at["cash_for_loan"]
    assert (cash[before] == 0).all() and at["loan_term_value"] > 0


def test_loan_at_the_wanted_cover():
    """1m a year for ten years at 8% is worth 6,710,081: 1.34 times a loan of 5m."""
    worth = 1e6 * (1 - 1.08**-10) / 0.08
    assert worth == pytest.approx(6_710_081, abs=1)
    assert worth / 5e6 == pytest.approx(1.34, abs=0.005)
    low, high = (run({"wanted_cover": cover})["loan_at_cover"] for cover in (1.5, 3.0))
    assert low == pytest.approx(2 * high)


def test_loan_left_when_the_mine_ends_early():
    at = run({"loan_months": 110, "ore_tons": 3000.0})
    end = int(at["life_months"]) - 1
    assert at["loan_at_end"] == pytest.approx(at["closing_loan"][end - 1])
    assert at["loan_at_end"] > 0


@pytest.mark.parametrize(
    ("timing", "first"), [("end", 1), ("middle", 0.5), ("start", 0)]
)
def test_cash_falls_in_its_month(timing, first):
    """Valued at the start of month 1: month 1 is not the start itself."""
    years = run({"payment_timing": timing})["discount_years"]
    assert years[:2] == pytest.approx([first / 12, (first + 1) / 12])


def test_a_loan_that_turns_the_plan_against_its_owner_is_told():
    dear = {"loan_share": 1.0, "loan_rate": 0.9, "loan_months": 48.0}
    worth = run(dear)
    assert worth["net_present_value"] > 0 > worth["owner_net_present_value"]
    told = " ".join(judge(dear).reasons)
    assert "Net present value after tax and before the loan is $" in told
    amount = money_text(worth["owner_net_present_value"].item(), 0)
    assert f"With the loan, the owner's net present value is {amount}." in told
    assert "The loan costs the owner more than the plan is worth." in told
    assert "the loan" not in " ".join(judge({"loan_share": 0.0}).reasons)
