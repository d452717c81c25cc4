"""Fair shares of a change: they add up, are symmetric, and match hand counting."""

from itertools import permutations

import numpy as np
import pytest

from pennyweight.model import shares as module
from pennyweight.model.inputs import INPUTS, complete
from pennyweight.model.run import run
from pennyweight.model.shares import fair_shares

RESULTS = ("net_present_value", "margin_per_ton")
BEFORE = complete({}, "us")


def after(**changes):
    return {**BEFORE, **changes}


def by_hand(changes, result):
    """Average over every order of making the changes, one run each."""
    gains = dict.fromkeys(changes, 0.0)
    orders = list(permutations(changes))
    for order in orders:
        made, worth = {}, float(run(made := {})[result])
        for name in order:
            made = {**made, name: changes[name]}
            now = float(run(made)[result])
            gains[name] += (now - worth) / len(orders)
            worth = now
    return gains


def test_shares_equal_the_average_over_all_orders():
    changes = {"gold_price": 3000.0, "crew": 2.0, "gravity_recovery": 0.7}
    found = fair_shares(BEFORE, after(**changes), RESULTS)
    expected = by_hand(changes, "net_present_value")
    for name, row in zip(found.names, found.fair, strict=True):
        assert row[0] == pytest.approx(expected[name], rel=1e-9)


def test_shares_add_up_to_the_total():
    changes = {"gold_price": 2900.0, "head_grade": 0.31, "wage": 35.0, "crew": 4.0}
    found = fair_shares(BEFORE, after(**changes, power_source="grid"), RESULTS)
    assert found.exact
    assert found.fair.sum(axis=0) == pytest.approx(found.total, rel=1e-9)


def test_a_change_without_effect_has_no_share():
    found = fair_shares(BEFORE, after(hammer_load=0.8, gold_price=3000.0), RESULTS)
    place = found.names.index("hammer_load")
    assert np.all(found.fair[place] == 0) and np.all(found.alone[place] == 0)


def test_changes_that_do_the_same_share_alike():
    found = fair_shares(
        BEFORE, after(insurance_cost=2100.0, permit_cost=1650.0), RESULTS
    )
    assert found.fair[0] == pytest.approx(found.fair[1], rel=1e-9)


def test_one_change_has_all_of_it():
    found = fair_shares(BEFORE, after(gold_price=3000.0), RESULTS)
    assert found.fair[0] == pytest.approx(found.total, rel=1e-12)
    assert found.alone[0] == pytest.approx(found.total, rel=1e-12)


def test_nothing_changed():
    assert fair_shares(BEFORE, BEFORE, RESULTS).names == ()


def test_drawn_shares_come_near_the_exact_ones(monkeypatch):
    changes = {"gold_price": 3000.0, "crew": 2.0, "gravity_recovery": 0.7}
    exact = fair_shares(BEFORE, after(**changes), RESULTS)
    monkeypatch.setattr(module, "EXACT", 2)
    monkeypatch.setattr(module, "ORDERS", 60)
    drawn = fair_shares(BEFORE, after(**changes), RESULTS)
    assert np.all(np.abs(drawn.fair - exact.fair) <= 4 * drawn.errors + 1e-6)
    assert drawn.fair.sum(axis=0) == pytest.approx(exact.total, rel=1e-9)


def test_a_dozen_changes_at_once():
    names = [name for name, entry in INPUTS.items() if entry.unit == "$/month"]
    names += ["gold_price", "head_grade", "gravity_recovery", "crew", "wage"]
    names += ["mining_cost", "fuel_price", "discount_rate", "royalty_rate"]
    changes = {name: BEFORE[name] * 1.05 for name in names}
    found = fair_shares(BEFORE, after(**changes), RESULTS)
    assert len(found.names) == len(names) >= 12 and found.exact
    assert found.fair.sum(axis=0) == pytest.approx(found.total, rel=1e-9)
