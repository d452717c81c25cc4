"""Contract types, against cases calculated by hand and published terms."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import contracts as c

from ..evidence import evidence
from .holding import arrays_are_scalars, refuses_nonsense

SWEEPS = "a refiner's printed terms, jrginc.com: $3.00 a pound, at least $250; sum ours"

GOOD = {
    c.charged_tons: {"tons": 3, "minimum_tons": 5},
    c.cost_plus: {"cost": 800, "markup": 0.25},
    c.with_minimum: {"charge": 50, "minimum_charge": 75},
    c.milling_charge: {
        "tons": 12,
        "hours": 10,
        "cost_charge": 100,
        "per_ton": 90,
        "per_hour": 20,
        "lot_charge": 400,
        "minimum_tons": 5,
    },
    c.penalty: {"tons": 10, "measured": 16, "allowed": 14, "rate": 3},
    c.shared_metal: {"gold": 4, "share": 0.25, "net_price": 3000},
    c.charge_for_margin: {"cost": 900, "margin": 0.25, "other_income": 0, "tons": 10},
    c.break_even_lot: {"set_up": 600, "margin_per_ton": 40},
    c.risk_carried: {
        "own_grade": 10,
        "own_recovery": 0,
        "own_price": 5,
        "whole_grade": 40,
        "whole_recovery": 20,
        "whole_price": 20,
    },
}


@evidence("milling_charge", "derived", SWEEPS)
@evidence("charged_tons", "derived", "a minimum of $250 at $3 a pound is 83 1/3 pounds")
def test_a_minimum_lot_is_charged_in_full():
    least = 250 / 3.0
    assert c.milling_charge(40, 0, per_ton=3, minimum_tons=least) == pytest.approx(250)
    assert c.milling_charge(100, 0, per_ton=3, minimum_tons=least) == pytest.approx(300)


@evidence("cost_plus", "derived", "a quarter on 800 is 1000")
@evidence("milling_charge", "derived", "12 tons at 90, 10 hours at 20, 400 and 100")
@evidence("penalty", "derived", "10 tons, two units too hard, at 3 a unit and ton")
@evidence("shared_metal", "derived", "a quarter of four ounces is one ounce")
@evidence("charge_for_margin", "derived", "cost 900 is 3/4 of an income of 1200")
@evidence("break_even_lot", "derived", "600 over 40 a ton is 15 tons")
@evidence("risk_carried", "derived", "covariance of a quarter of all is a quarter")
def test_cases_worked_by_hand():
    assert c.cost_plus(800, 0.25) == 1000
    mixed = c.milling_charge(12, 10, 100, per_ton=90, per_hour=20, lot_charge=400)
    assert mixed == 1780
    assert c.penalty(10, 16, 14, 3) == 60
    assert c.penalty(10, 14, 14, 3) == c.penalty(10, 1, 14, 3) == 0
    assert c.shared_metal(4, 0.25, 3000) == 3000
    assert c.charge_for_margin(900, 0.25, 0, 10) == 120
    assert c.break_even_lot(600, 40) == 15
    assert c.break_even_lot(-5, 40) == 0
    assert np.isnan(c.break_even_lot(600, 0))
    assert c.risk_carried(1, 2, 3, 4, 8, 12) == pytest.approx(0.25)


def test_no_gold_no_share_but_the_charge_stays():
    assert c.shared_metal(0, 0.3, 3000) == 0
    assert c.milling_charge(10, 8, per_ton=100) == 1000


@given(
    own=st.lists(st.floats(-100, 100), min_size=3, max_size=3),
    other=st.lists(st.floats(-100, 100), min_size=3, max_size=3),
)
def test_the_risks_of_both_sides_make_the_whole(own, other):
    whole = np.array(own) + np.array(other)
    if np.sum(whole**2) > 1e-6:
        both = c.risk_carried(*own, *whole) + c.risk_carried(*other, *whole)
        assert both == pytest.approx(1, abs=1e-6)


def test_a_whole_that_nothing_moves_is_refused():
    with pytest.raises(BadValue, match="move the whole"):
        c.risk_carried(1, 1, 1, 0, 0, 0)


@pytest.mark.parametrize("function", GOOD)
def test_nonsense_is_refused(function):
    refuses_nonsense(function, **GOOD[function])


@pytest.mark.parametrize("function", GOOD)
def test_arrays_are_scalars(function):
    row = tuple(float(value) for value in GOOD[function].values())
    arrays_are_scalars(function, row, row)
