"""Contract types compared: metal value is conserved, and break-even values hold."""

import numpy as np
import pytest

from pennyweight.errors import BadValue
from pennyweight.model.indifference import indifference_grades
from pennyweight.model.inputs import INPUTS
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.trade import purchase

from .drawing import STEPS, steps

KINDS = MODEL.axes["contract"].values


def terms(name, value, kind):
    """Set one term of one kind."""
    return {f"terms_{name}_{KINDS.index(kind) + 1:02d}": value}


def drawn(seed, count=64):
    """Many contracts at random, within what their inputs may be."""
    rng = np.random.default_rng(seed)
    inputs = {}
    for name, entry in INPUTS.items():
        ours = entry.section.startswith("Contract")
        if ours and entry.kind == "choice":
            inputs[name] = rng.choice(entry.choices, count)
        elif ours and entry.numeric and entry.low != "":
            value = rng.uniform(entry.low, entry.high, count)
            inputs[name] = np.round(value) if entry.kind == "whole" else value
        elif ours and entry.numeric and (entry.family not in STEPS):
            high = 1.0 if entry.kind == "share" else 400.0
            value = rng.uniform(0, min(high, entry.maximum), count)
            inputs[name] = np.round(value) if entry.kind == "whole" else value
    each = [steps(rng) for _ in range(count)]
    return inputs | {name: np.array([one[name] for one in each]) for name in each[0]}


@pytest.fixture(scope="module")
def values():
    return run()


@pytest.mark.parametrize("units", ["us", "metric"])
def test_nothing_is_made_or_lost_under_any_contract(units):
    wanted = ["mill_income", "owner_net", "custom_third_parties", "custom_value"]
    for seed in range(10):
        found = run(drawn(seed), units, [*wanted, "checks_flag"])
        shared = found["mill_income"] + found["owner_net"]
        shared = shared + found["custom_third_parties"]
        worth = np.broadcast_to(found["custom_value"], shared.shape)
        assert shared == pytest.approx(worth, abs=0.001)
        assert set(found["checks_flag"]) != {"a balance fails"}


@pytest.mark.parametrize(
    "given",
    [
        {"cleanup_owner": "owner"},
        {"cleanup_owner": "mill"},
        {"cleanup_owner": "mill", "cleanup_share": 0.2},  # above the mill's limit
    ],
)
def test_what_a_lower_recovery_costs_the_mill(given):
    """Against a recovery that is lower by a millionth."""
    asked = ("mill_metal", "mill_recovery_swing", "recovery_risk")
    given = {**given, "custom_recovery": 0.7}
    found, lower = (
        run({**given, "custom_recovery": 0.7 * share}, wanted=asked)
        for share in (1, 1 - 1e-6)
    )
    moved = (found["mill_metal"] - lower["mill_metal"]) / 1e-6
    swing = found["mill_recovery_swing"] / found["recovery_risk"]
    assert swing == pytest.approx(moved, rel=1e-4, abs=0.01)


def test_no_gold_no_share_but_the_charge_stays():
    found = run({"custom_grade": 0.0001, "gold_price": 3000})
    share = KINDS.index("share")
    assert found["contract_shared"][share] == pytest.approx(0, abs=5)
    assert found["contract_charge"][0] == run()["contract_charge"][0]


def test_a_share_of_all_is_ownership():
    found = run(
        {
            **terms("share", 1.0, "share"),
            "cleanup_owner": "mill",
            "middlings_owner": "mill",
        }
    )
    share = KINDS.index("share")
    assert found["mill_metal"][share] == pytest.approx(found["custom_proceeds"])
    assert found["owner_metal"][share] == pytest.approx(-found["shipment_cost"])
    assert np.isnan(found["owner_break_even_grade"][share])
    assert np.isnan(found["owner_break_even_price"][share])


def test_bought_whole_without_deductions_is_the_owners_gold():
    found = run(
        {
            "purchase_low_payable": 1.0,
            "purchase_deduction": 0.0,
            "purchase_price_deduction": 0.0,
            "purchase_treatment": 0.0,
        }
    )
    worth = found["custom_gold"] * found["gold_price"]
    assert found["purchase_paid"] == pytest.approx(worth, rel=1e-12)


STEPPED = {
    **{"step_from_01": 0.1, "step_from_02": 0.35, "step_from_03": 0.6},
    **{"step_paid_01": 0.4, "step_paid_02": 0.55, "step_paid_03": 0.7},
}
BUYING = [{"purchase_least_deduction": 0.17}, STEPPED]
"""Schedules of ore purchase beside the example's, which rises evenly."""


@pytest.mark.parametrize("terms", BUYING)
def test_ore_is_bought_by_steps_and_with_a_minimum_deduction(terms):
    grades = np.array([0.05, 0.1, 0.349, 0.35, 0.9])
    asked = ["custom_payable", "purchase_gold", "settle_payable"]
    found = run(
        {**terms, "custom_grade": grades, "purchase_deduction": 0.01}, wanted=asked
    )
    share = [0, 0.4, 0.4, 0.55, 0.7] if terms is STEPPED else found["custom_payable"]
    least = terms.get("purchase_least_deduction", 0)
    paid = np.maximum(np.minimum((grades - 0.01) * share, grades - least), 0)
    assert found["purchase_gold"] == pytest.approx(paid, rel=1e-12)
    assert np.all(found["settle_payable"] == run(terms, wanted=asked)["settle_payable"])


def test_the_least_grade_of_a_stepped_schedule_is_the_first_that_pays():
    """Just below it the owner loses; at a step the margin may jump past zero."""
    place = KINDS.index("purchase")
    at = {**STEPPED, "owner_ton_cost": np.array([60.0, 185.0, 420.0, 900.0])}
    grades = run(at)["owner_break_even_grade"][place]
    below, there = (
        run({**at, "custom_grade": grades * side}, wanted="owner_margin")
        for side in (1 - 1e-9, 1 + 1e-12)
    )
    assert (below["owner_margin"][place] < 0).all()
    assert (there["owner_margin"][place] >= -1e-6).all()


def test_payable_steps_that_contradict_themselves_are_refused():
    for wrong in (
        {"step_paid_02": 0.0, "step_from_02": 0.0},
        {"step_from_02": 0.1},
        {"step_paid_03": 0.5},
    ):
        with pytest.raises(BadValue, match="payable steps are entered without a gap"):
            run({**STEPPED, **wrong})
    with pytest.raises(BadValue, match=r"step 2.* = 0\.35 oz/ton: the step has no"):
        run({**STEPPED, "step_paid_02": 0.0})


def test_a_minimum_charge_per_lot_is_of_a_charge_that_is_made():
    least = 7000.0
    base, found = run(), run({"least_lot_charge": least})
    raised = np.maximum(base["contract_charge"], least)
    raised[KINDS.index("purchase")] = 0
    assert found["contract_charge"] == pytest.approx(raised)
    # The charges needed are those of the rates, and stay.
    for name in ("ton_charge", "hour_charge", "charge_wanted", "smallest_lot"):
        assert found[name] == pytest.approx(base[name], nan_ok=True), name


def test_the_owner_breaks_even_at_the_grade_and_at_the_price(values):
    """One set of inputs for each kind, so that the kinds' own lie on the diagonal."""
    for name, line in (
        ("custom_grade", "owner_break_even_grade"),
        ("gold_price", "owner_break_even_price"),
    ):
        at = run({name: values[line]}, wanted=["owner_margin"])["owner_margin"]
        assert np.diagonal(at) == pytest.approx(np.zeros(len(KINDS)), abs=1e-6)


def test_the_owners_side_rests_on_the_mills_cost_under_cost_plus_alone(values):
    dear = run({"wage": 60.0, "energy_source": "bill", "energy_bill": 9000.0})
    less = dear["mill_margin"] < values["mill_margin"]
    moved = dear["owner_margin"] != values["owner_margin"]
    assert np.array(KINDS)[moved].tolist() == np.array(KINDS)[~less].tolist()
    assert np.array(KINDS)[moved].tolist() == ["cost plus"]


@pytest.mark.parametrize("agreed", KINDS)
def test_both_sides_are_equal_at_one_grade(agreed):
    place, sides = KINDS.index(agreed), ["owner_margin", "mill_margin"]
    grades = indifference_grades({"contract_kind": agreed}, "us")
    (others,) = np.nonzero(np.isfinite(grades) & (grades > 0.0001))
    at = run({"contract_kind": agreed, "custom_grade": grades[others]}, wanted=sides)
    for side in sides:
        met = at[side][others, np.arange(len(others))]
        assert met == pytest.approx(at[side][place], abs=1e-6)
    assert len(others) >= 3 and np.isnan(grades[place])


@pytest.mark.parametrize("schedule", [{}, *BUYING])
def test_every_meeting_of_two_kinds_is_found(schedule):
    grades = np.linspace(0.005, 3, 400)
    agreed = {**schedule, "contract_kind": "purchase"}
    swept = run({**agreed, "custom_grade": grades}, wanted=["owner_margin"])
    met = indifference_grades(agreed, "us")
    gap = swept["owner_margin"] - swept["owner_margin"][KINDS.index("purchase")]
    for kind, row in enumerate(gap):
        crossed = np.flatnonzero(row[:-1] * row[1:] < 0)
        grade = met[kind]
        if len(crossed):
            low, high = grades[crossed[0]], grades[crossed[0] + 1]
            assert low <= grade <= high
        else:
            assert not 0.005 < grade < 3


def test_the_charge_wanted_leaves_the_margin_wanted(values):
    for kind in ("by the ton", "charge and share", "own mixture"):
        place = KINDS.index(kind)
        charge = values["charge_wanted"][place]
        at = run(terms("per_ton", charge, kind))
        margin = at["mill_margin_share"][place]
        assert margin == pytest.approx(values["target_margin"], rel=1e-9)


def test_the_charge_against_waiting_equals_the_waiting_lot(values):
    charge = values["charge_against_waiting"][0]
    at = run(terms("per_ton", charge, "by the ton"))
    assert at["mill_margin_over_waiting"][0] == pytest.approx(0, abs=1e-9)


def test_the_smallest_lot_has_no_margin(values):
    (some,) = np.nonzero(values["smallest_lot"] > 0)
    wet = values["smallest_lot"][some] / (1 - values["custom_moisture"])
    lot = {"custom_wet_tons": wet, "least_lot_tons": 0.0}
    margins = run(lot, wanted=["mill_margin"])["mill_margin"]
    assert margins[some, np.arange(len(some))] == pytest.approx(0, abs=1e-6)


def test_tables_are_the_contract_at_other_grades_and_prices(values):
    for name, moved in (("custom_grade", "grade"), ("gold_price", "price")):
        steps = np.array(MODEL.axes[f"contract_{moved}"].values, float)
        some = steps > 0  # no lot is without gold
        at = run({name: values[name] * steps[some]})
        for side in ("mill", "owner"):
            expected = at[f"{side}_margin_per_ton"].T
            assert values[f"{side}_by_{moved}"][some] == pytest.approx(expected)


def test_shares_of_risk_are_those_of_drawn_lots(values):
    """The variance carried, against lots drawn with small spreads."""
    rng = np.random.default_rng(7)
    spreads = {"grade": 0.02, "recovery": 0.02, "price": 0.02}
    names = {
        "grade": "custom_grade",
        "recovery": "custom_recovery",
        "price": "gold_price",
    }
    lots = {
        names[source]: values[names[source]] * (1 + rng.normal(0, spread, 20_000))
        for source, spread in spreads.items()
    }
    told = run({f"{source}_risk": spread for source, spread in spreads.items()})
    wanted = ("mill_margin", "owner_margin", "mill_risk")
    found = run(lots, wanted=wanted)
    both = found["mill_margin"] + found["owner_margin"]
    for place, _ in enumerate(KINDS):
        mill = found["mill_margin"][place]
        expected = np.cov(mill, both[place])[0, 1] / np.var(both[place], ddof=1)
        # Silver follows no price of gold, so that a little is of second order.
        assert told["mill_risk"][place] == pytest.approx(expected, abs=0.015)
        spread = np.std(mill, ddof=1)
        assert told["mill_swing"][place] == pytest.approx(spread, rel=0.03, abs=5)


def test_a_better_lot_that_waits_raises_the_charge(values):
    at = run({"waiting_margin": 200.0})
    assert np.all(at["charge_against_waiting"] > values["charge_against_waiting"])
    none = run({"waiting_margin": -50.0})
    assert none["waiting_hour_worth"] == 0


def test_the_lot_by_hand(values):
    """26 wet tons with 6 % water are 24.44 dry; 0.42 oz a ton make 10.2648 oz."""
    assert values["custom_tons"] == pytest.approx(24.44)
    assert values["custom_gold"] == pytest.approx(10.2648)
    # Half a unit of work index too much, at $4: $48.88. No other penalty.
    assert values["custom_penalties"] == pytest.approx(48.88)
    # 24.44 tons at 260, set-up 480, assays and melt 210.
    assert values["contract_charge"][0] == pytest.approx(24.44 * 260 + 690)
    # At 0.42: 0.4 + 0.16 x (0.42 - 0.15) / 0.6 = 0.472 of 0.40 oz.
    assert values["purchase_gold"] == pytest.approx(0.1888)
    price = purchase.purchase_price(0.1888, 3440 * 0.985, 0, 65)
    assert values["purchase_paid"] == pytest.approx(24.44 * price)


def test_a_season_that_loses_is_in_the_verdict():
    """Three lots bear little of a season's fixed cost, whatever each leaves."""
    full, few, poor = run(
        {"job": "contract", "season_lots": [40, 3, 3], "wage": [30, 30, 200]}
    )["job_verdict"]
    assert (full, poor) == ("pays the mill", "does not pay the mill")
    assert few == "covers the lot, but not the booked season"
