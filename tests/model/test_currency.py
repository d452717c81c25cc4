"""A plan in another currency: the dollar plan's results times the exchange rate."""

import numpy as np
import pytest

import pennyweight as pw
from pennyweight.documents.compare import compare_plans
from pennyweight.errors import BadValue, CallError
from pennyweight.model.currency import foreign
from pennyweight.model.inputs import BEFORE, INPUTS
from pennyweight.model.mill_model import MODEL
from pennyweight.model.units import MIXED
from tests.thorough import sampled

from ..money import in_money

APART = ("Bisection", "Settlement")
"""Sections with noise about zero, and with whole cents."""
CENTS = {"component_key", "contract_cost_rated"}
"""A tie-breaker, and amounts in whole cents."""
NOISE = {"break_even_margin", "contract_gap"}
"""Differences that are zero but for rounding."""


def proportional():
    """Lines whose money is in proportion to the exchange rate; all others stay."""
    for name, line in MODEL.lines.items():
        several_units = line.unit == MIXED
        section = line.section.startswith(APART)
        if not (several_units or section or name in CENTS | NOISE):
            yield name, line


def apart(one, other, rate):
    """Lines of a plan in another currency that are not those in dollars times rate."""
    for name, line in proportional():
        was, now = other.values[name], one.values[name]
        if was.dtype.kind != "f":
            if np.any(was != now):
                yield name
            continue
        wanted = was * (rate if line.unit.startswith("$") else 1.0)
        most = np.max(np.abs(wanted[np.isfinite(wanted)]), initial=0.0)
        if not np.allclose(now, wanted, rtol=1e-12, atol=1e-12 * most, equal_nan=True):
            yield name


@pytest.mark.parametrize(
    ("currency", "rate"),
    sampled([("UGX", 3700.0), ("Ghana cedi", 15.37), ("KWD", 0.3071)], 3),
)
@pytest.mark.parametrize("units", ["us", "metric"])
def test_estimates_follow_the_exchange_rate(currency, rate, units):
    plan = pw.Plan(currency=currency, exchange_rate=rate, units=units)
    assert list(apart(plan, pw.Plan(units=units), rate)) == []


@pytest.mark.parametrize("given", [{}, {"job": "contract"}, {"energy_source": "bill"}])
def test_entered_money_and_estimates_give_the_same_plan(given):
    dollars = pw.example().change(given)
    some = dict(list(dollars.given.items())[::2]) | given  # the others are estimates
    dollars = pw.Plan(some)
    assert list(apart(in_money(dollars, "UGX", 3700.0), dollars, 3700.0)) == []


def test_entered_money_is_never_converted():
    plan = pw.Plan(currency="GHS", exchange_rate=15.0, wage=90.0)
    assert plan.inputs["wage"] == 90.0
    later = plan.change(exchange_rate=30.0)
    assert later.inputs["wage"] == 90.0
    assert later.inputs["mining_cost"] == 2 * plan.inputs["mining_cost"]


def test_limits_of_money_follow_the_exchange_rate():
    shilling = {"currency": "UGX", "exchange_rate": 3700.0}
    assert pw.Plan(gold_price=15.7e6, **shilling).inputs["gold_price"] == 15.7e6
    with pytest.raises(BadValue, match="Enter a number from UGX 740,000/oz to UGX 185"):
        pw.Plan(gold_price=4000.0, **shilling)
    with pytest.raises(BadValue, match="from GHS 200/oz to GHS 50,000/oz"):
        pw.Plan(gold_price=15.7e6, currency="GHS")
    with pytest.raises(BadValue, match="out of range"):
        pw.Plan(**shilling, ranges={"wage": (1.0, 1e9)})
    plan = pw.Plan(**shilling).change(gold_price=15.7e6)
    assert plan.break_even("gold_price").values


def test_a_figure_is_unusual_by_the_exchange_rate():
    shilling = {"currency": "UGX", "exchange_rate": 3700.0}
    states = [
        pw.Plan(wage=wage, **money).judge().entries["wage"].state
        for wage, money in (
            (30.0, {}),
            (30.0 * 3700, shilling),
            (300.0, {}),
            (300.0 * 3700, shilling),
        )
    ]
    assert states == ["yours", "yours", "unusual", "unusual"]
    (told,) = pw.Plan(wage=300.0 * 3700, **shilling).judge().look_again
    assert "look again at UGX 1,110,000/hour, unusually high" in told


def test_the_rate_is_a_must_have_of_another_currency_only():
    def state(**given):
        return pw.Plan(**given).judge().entries["exchange_rate"].state

    assert state() == state(currency="usd") == "not needed"
    assert state(currency="GHS") == "missing"
    assert state(currency="GHS", exchange_rate=1.0) == "yours"
    assert state(currency="GHS", job="mill") == "not needed"
    note = pw.Plan(currency="GHS").judge().currency_note
    assert "estimates of money are amounts in US dollars" in note
    note = pw.Plan(currency="GHS", exchange_rate=15.5).judge().currency_note
    assert "at 15.5 to the US dollar" in note
    assert pw.Plan().judge().currency_note == ""


def test_the_rate_of_dollars_is_one():
    assert pw.Plan(exchange_rate=15.0).inputs["exchange_rate"] == 1.0
    plan = pw.Plan(currency="GHS", exchange_rate=15.0).change(currency="US$")
    assert plan.inputs["wage"] == INPUTS["wage"].estimate
    assert BEFORE["exchange_rate"] == 1.0


def test_us_dollars_have_several_names():
    names = ("US dollars", "USD", "$", "", "Ghana cedi", "Canadian dollars")
    assert [bool(foreign(n)) for n in names] == [False, False, False, False, True, True]


def test_one_run_has_one_exchange_rate():
    plan = pw.Plan(currency="GHS", exchange_rate=15.0)
    for words in ({"exchange_rate": [10.0, 15.0]}, {"currency": ["GHS", "USD"]}):
        with pytest.raises(CallError, match="cannot differ between cases"):
            plan.grid(**words)
    with pytest.raises(CallError, match="cannot differ between cases"):
        plan.cases({"weak": {"exchange_rate": 20.0}})


def test_plans_in_two_currencies_are_not_compared():
    plan = pw.Plan(currency="GHS", exchange_rate=15.0)
    with pytest.raises(
        CallError, match=r"GHS in the first .* US dollars in the second"
    ):
        compare_plans(plan, pw.Plan())
    small = pw.Plan(currency="ghs")
    assert compare_plans(small, pw.Plan(currency="GHS")).shares is None


@pytest.mark.thorough
def test_another_rate_is_a_change_beside_those_of_the_estimates():
    plan = pw.Plan(currency="GHS", exchange_rate=15.0)
    found = compare_plans(plan, plan.change(exchange_rate=16.0))
    assert "exchange_rate" in {change.name for change in found.changes}
    assert (
        compare_plans(pw.Plan(currency="ghs"), pw.Plan(currency="GHS")).shares is None
    )


@pytest.mark.thorough
def test_a_risk_analysis_is_in_proportion():
    dollars = pw.example().risk(trials=2000, seed=1).risk
    shilling = in_money(pw.example(), "UGX", 3700.0).risk(trials=2000, seed=1).risk
    assert shilling.figures["pays"].value == dollars.figures["pays"].value
    assert np.allclose(shilling.fan, dollars.fan * 3700, rtol=1e-9)


def test_tables_name_the_currency():
    plan = pw.Plan(currency="GHS", exchange_rate=15.0)
    frames = (plan.cash_flow, plan.years, plan.costs, plan.contracts)
    frames += (plan.grid(gold_price=[60_000.0]),)
    units = [unit for frame in frames for unit in frame.attrs["units"].values()]
    assert "GHS" in units and not [unit for unit in units if "$" in unit]
    assert set(plan.costs["rate_unit"]) >= {"GHS/ton"}
