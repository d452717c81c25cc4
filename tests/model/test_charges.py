"""Charges needed: each gives the target margin on its cost basis."""

import numpy as np
import pytest

from pennyweight.model.jobs import HEADLINES
from pennyweight.model.lines.contract.charges import CHARGES
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run

KINDS = MODEL.axes["contract"].values
TERMS = {
    name: (KINDS.index(kind), f"{term}_{KINDS.index(kind) + 1:02d}")
    for name, _, kind, _, term, _ in CHARGES
}


@pytest.fixture(scope="module")
def values():
    return run()


def basis_costs(values):
    """Cost of a lot on each basis, by hand."""
    lots, load = values["season_lots"], values["season_load"]
    idle = values["fixed_ton_cost"] * values["tons_per_year"] * (1 - load) / lots
    capital = values["season_capital"] / lots
    full = values["milling_cost"]
    return [full, full + idle, full + capital * load, full + idle + capital]


def test_the_cost_of_a_lot_on_each_basis(values):
    np.testing.assert_allclose(values["basis_cost"], basis_costs(values))


@pytest.mark.parametrize("name", TERMS)
def test_every_charge_brings_the_target_margin(name, values):
    place, term = TERMS[name]
    for basis, cost in enumerate(basis_costs(values)):
        at = run({term: values[name][basis]})
        income = at["mill_income"][place]
        assert 1 - cost / income == pytest.approx(values["target_margin"])
        left = values["owner_left"][basis]
        assert at["owner_margin_per_ton"][place] == pytest.approx(left)


def test_the_treatment_charge_brings_the_target_margin(values):
    place = KINDS.index("purchase")
    for basis, cost in enumerate(basis_costs(values)):
        at = run({"purchase_treatment": values["treatment_charge"][basis]})
        assert 1 - cost / at["mill_income"][place] == pytest.approx(0.3)


def test_margins_of_a_booked_season_bear_all_fixed_cost(values):
    """The example leaves over a third of the season's hours, and their cost, unsold."""
    gap = values["season_mill_margin"] - values["season_margin_booked"]
    fixed = values["fixed_ton_cost"] * values["tons_per_year"]
    idle = fixed * (1 - values["season_load"])
    assert 0.3 < 1 - values["season_load"] < 0.4 and idle > 30_000
    assert gap == pytest.approx(np.full(len(KINDS), idle))
    left = values["season_margin_booked"] - values["season_margin_left"]
    assert left == pytest.approx(np.full(len(KINDS), values["season_capital"]))


@pytest.mark.parametrize("kind", KINDS[:3])
def test_the_agreed_contracts_season_stands_beside_its_verdict(kind):
    found = run({"job": "contract", "contract_kind": kind, "season_lots": 10})
    place = KINDS.index(kind)
    for name, of in (
        ("agreed_season_margin", "season_margin_booked"),
        ("agreed_season_left", "season_margin_left"),
    ):
        assert name in HEADLINES["contract"]
        assert found[name] == found[of][place]


def test_a_full_season_has_no_unused_hours():
    full = run({"season_lots": 200})
    assert full["season_load"] > 1 and full["season_idle_cost"] == 0
    assert "too few hours" in str(full["season_room"])
    costs = full["basis_cost"]
    assert costs[[1, 3]] == pytest.approx(costs[[0, 2]])


BY_SEASON = (
    *("season_mill_income", "season_milling_cost", "season_mill_margin"),
    *("season_margin_capital", "season_margin_booked", "season_margin_left"),
    *("season_owner_net", "season_owner_margin", "season_tons", "filling_tons"),
)


def test_lots_that_the_season_has_no_hours_for_earn_nothing():
    """By hand: the hours of the season hold so many lots, and no more are milled."""
    fits, full = run({"season_lots": [40, 200]}), run({"season_lots": 200})
    hours = full["hours_per_month"] * full["season_months"]
    most = hours / full["custom_hours"]
    assert 40 < most < 80
    assert fits["lots_milled"] == pytest.approx([40, most])
    assert full["season_mill_margin"] == pytest.approx(full["mill_margin"] * most)
    assert full["season_load"] == pytest.approx(200 / most)
    more = run({"season_lots": 300})
    for name in BY_SEASON:
        assert more[name] == pytest.approx(full[name]), name


def test_the_charge_falls_as_the_season_fills(values):
    for name in ("load_charge", "load_charge_capital"):
        assert np.all(np.diff(values[name]) < 0)
    fixed = values["fixed_ton_cost"] * values["tons_per_year"]
    for place, fill in enumerate(MODEL.axes["season_fill"].values):
        lots = values["season_lots"] * fill / values["season_load"]
        cost = values["milling_cost"] + fixed * (1 - fill) / lots
        at = run({"terms_per_ton_01": values["load_charge"][place]})
        assert 1 - cost / at["mill_income"][0] == pytest.approx(0.3)


def test_capital_by_hand():
    """Level payments of the whole plant: P i / (1 - (1 + i)^-n); sustaining capital."""
    owned = 40_000.0
    more = {"capital_cost_factor": 1.1, "equipment_owned": owned}
    rate, years = 0.12, 7
    annuity = rate / (1 - (1 + rate) ** -years)
    terms = {"discount_rate": rate, "depreciation_years": years} | more
    for source in ("itemised", "one figure"):
        at = run({"capital_source": source} | terms)
        mine = at["mine_capital"] * (1 + at["contingency_rate"]) * 1.1
        whole = at["capital"] - (mine if source == "itemised" else 0)
        assert (
            at["plant_capital"] == pytest.approx(whole) and whole > 0.7 * at["capital"]
        )
        sustained = at["equipment_value"] * 1.1 * at["sustaining_rate"]
        expected = (whole + owned) * annuity + sustained
        assert at["season_capital"] == pytest.approx(expected)


def test_a_contract_recovers_no_mine():
    """The capital of a mine moves the plan's capital, and no charge."""
    plain, mine = run(), run({"mine_capital": 400_000.0})
    assert mine["capital"] > plain["capital"]
    assert mine["season_capital"] == pytest.approx(plain["season_capital"])


def test_a_season_without_the_hours_prices_nothing():
    """Before, the booked lots of 321% of the hours were priced, and the check held."""
    booked = {"season_lots": [40, 200]}
    for name in ("ton_charge", "hour_charge", "share_charge"):
        charge = run(booked)[name]
        assert np.all(np.isfinite(charge[:, 0])) and np.all(np.isnan(charge[:, 1]))
    place = MODEL.axes["limit"].values.index(
        "Hours of the booked lots are at most the season's"
    )
    applies = run(booked | {"job": "contract"})
    assert applies["limit_holds"][place].tolist() == [1, 0]
    assert applies["limits_failed"].tolist() == [0, 1]
    elsewhere = run(booked | {"job": "claim"})
    assert elsewhere["limit_holds"][place].tolist() == [2, 2]


def test_a_crew_hired_for_the_season_is_paid_in_its_unused_hours():
    """Rate of the crew times staffed hours that no lot uses, by hand."""
    by_lot, hired = (
        run({"crew_paid_for": paid, "hours_per_day": 9.0, "days_per_month": 22.0})
        for paid in ("the hours of the lots", "the whole season")
    )
    staffed = 9 * 22 * hired["season_months"]
    unused = hired["cost_of_crew"] * staffed * (1 - hired["season_load"])
    more = hired["season_idle_cost"] - by_lot["season_idle_cost"]
    assert more == pytest.approx(unused)
    lost = by_lot["agreed_season_margin"] - hired["agreed_season_margin"]
    assert lost == pytest.approx(unused)
    assert hired["agreed_margin"] == by_lot["agreed_margin"]
    assert hired["load_charge"][-1] == pytest.approx(by_lot["load_charge"][-1])
    assert np.all(hired["load_charge"][:-1] > by_lot["load_charge"][:-1])


@pytest.mark.parametrize("least", [6000.0, 12_000.0])
def test_a_charge_needed_counts_the_minimum_charge_or_is_not_given(least):
    """Entered, each brings the margin; none is given that the minimum tops up."""
    minimum = {"least_lot_charge": least}
    values, free = run(minimum), run()
    for name, (place, term) in TERMS.items():
        for basis, cost in enumerate(basis_costs(values)):
            found, at_rates = values[name][basis], free[name][basis]
            lowest = 0 if name == "share_charge" else at_rates
            at = run({**minimum, term: lowest if np.isnan(found) else found})
            margin = 1 - cost / at["mill_income"][place]
            if np.isnan(found):
                assert at["contract_charge"][place] == least and margin > 0.3
            else:
                assert margin == pytest.approx(0.3)
            assert name == "share_charge" or found == at_rates or np.isnan(found)
    assert (values["share_charge"][1] < free["share_charge"][1]) == (least < 9000)
    assert np.isnan(values["ton_charge"][0]) == (least > 9000)
