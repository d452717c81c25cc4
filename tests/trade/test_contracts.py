"""Kinds of contract, against cases worked by hand and published terms."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import contracts as c

from ..evidence import evidence
from .holding import arrays_are_scalars, refuses_nonsense

NEVADA = "ore contract in Kennedy v. Schwartz, 13 Nev. 229 (1878): $10 a ton, and half"
NEVADA += " of the assay value above $60; the sums are ours"
SWEEPS = "a refiner's printed terms, jrginc.com: $3.00 a pound, at least $250; sum ours"
SCHEDULE = {
    "low_grade": 0.1,
    "high_grade": 0.5,
    "low_payable": 0.5,
    "high_payable": 0.8,
}

GOOD = {
    c.charged_tons: {"tons": 3, "least_tons": 5},
    c.cost_plus: {"cost": 800, "markup": 0.25},
    c.milling_charge: {
        "tons": 12,
        "hours": 10,
        "cost_charge": 100,
        "per_ton": 90,
        "per_hour": 20,
        "lot_charge": 400,
        "least_tons": 5,
    },
    c.penalty: {"tons": 10, "measured": 16, "allowed": 14, "rate": 3},
    c.payable_share: {"grade": 0.3, **SCHEDULE},
    c.paid_gold: {"grade": 0.3, **SCHEDULE, "deduction": 0.02},
    c.grade_paid: {"gold": 0.18, **SCHEDULE, "deduction": 0.02},
    c.grade_while_rising: {
        "gold": 0.18,
        "low_grade": 0.1,
        "low_payable": 0.5,
        "rise": 0.75,
        "deduction": 0.02,
    },
    c.grade_by_piece: {
        "gold": 0.18,
        "gold_low": 0.04,
        "gold_high": 0.38,
        "low_payable": 0.5,
        "high_payable": 0.8,
        "rising": 0.3,
        "deduction": 0.02,
    },
    c.purchase_price: {
        "gold": 0.2,
        "price": 3000,
        "price_deduction": 100,
        "treatment": 80,
    },
    c.shared_metal: {"gold": 4, "share": 0.25, "net_price": 3000},
    c.charge_for_margin: {"cost": 900, "margin": 0.25, "other_income": 0, "tons": 10},
    c.least_lot: {"set_up": 600, "margin_per_ton": 40},
    c.risk_carried: {
        "own_grade": 10,
        "own_recovery": 0,
        "own_price": 5,
        "whole_grade": 40,
        "whole_recovery": 20,
        "whole_price": 20,
    },
}


@evidence("charged_tons", "read", SWEEPS)
@evidence("milling_charge", "read", SWEEPS)
@evidence("charged_tons", "derived", "a minimum of $250 at $3 a pound is 83 1/3 pounds")
def test_a_minimum_lot_is_charged_in_full():
    least = 250 / 3.0
    assert c.milling_charge(40, 0, per_ton=3, least_tons=least) == pytest.approx(250)
    assert c.milling_charge(100, 0, per_ton=3, least_tons=least) == pytest.approx(300)


@evidence("purchase_price", "read", NEVADA)
def test_half_of_the_value_above_sixty_dollars():
    # $100 of assay value: 10 + (100 - 60) / 2 = 30; the flat 10 is a credit here.
    assert 10 + c.purchase_price(0.5, 100, price_deduction=60) == 30
    # The same as half the value less a treatment of $30, plus $10.
    assert 10 + c.purchase_price(0.5, 100, treatment=30) == 30


@evidence("paid_gold", "derived", "schedule worked by hand in docs/contracts.md")
@evidence("payable_share", "derived", "proportion between two points, by hand")
@pytest.mark.parametrize(
    ("grade", "share"), [(0, 0.5), (0.1, 0.5), (0.2, 0.575), (0.5, 0.8), (3, 0.8)]
)
def test_the_payable_rises_with_the_grade(grade, share):
    assert c.payable_share(grade, **SCHEDULE) == pytest.approx(share, rel=1e-14)
    expected = max(grade - 0.15, 0) * share
    assert c.paid_gold(grade, **SCHEDULE, deduction=0.15) == pytest.approx(expected)


@evidence("grade_while_rising", "derived", "turned round, through grade_paid")
@evidence("grade_by_piece", "derived", "turned round, through grade_paid")
@evidence("grade_paid", "derived", "turned round: paid_gold of the grade is the gold")
@given(
    grade=st.floats(0.16, 3),
    deduction=st.floats(0, 0.15),
    rise=st.sampled_from([0.0, 1e-9, 0.1, 0.3, 0.5]),
)
def test_grade_and_gold_paid_for_there_and_back(grade, deduction, rise):
    terms = {**SCHEDULE, "high_payable": 0.5 + rise, "deduction": deduction}
    gold = c.paid_gold(grade, **terms)
    assert c.grade_paid(gold, **terms) == pytest.approx(grade, rel=1e-9)


def test_nothing_paid_for_is_at_the_deduction():
    assert c.grade_paid(0, **SCHEDULE, deduction=0.03) == pytest.approx(0.03)


def test_all_paid_without_deductions_is_the_owners_gold():
    whole = {**SCHEDULE, "low_payable": 1, "high_payable": 1}
    gold = c.paid_gold(0.37, **whole)
    assert c.purchase_price(gold, 2900) == pytest.approx(0.37 * 2900, rel=1e-15)


@evidence("cost_plus", "derived", "a quarter on 800 is 1000")
@evidence("milling_charge", "derived", "12 tons at 90, 10 hours at 20, 400 and 100")
@evidence("penalty", "derived", "10 tons, two units too hard, at 3 a unit and ton")
@evidence("shared_metal", "derived", "a quarter of four ounces is one ounce")
@evidence("purchase_price", "derived", "a fifth of 2900, less 80")
@evidence("charge_for_margin", "derived", "cost 900 is 3/4 of an income of 1200")
@evidence("least_lot", "derived", "600 over 40 a ton is 15 tons")
@evidence("risk_carried", "derived", "covariance of a quarter of all is a quarter")
def test_cases_worked_by_hand():
    assert c.cost_plus(800, 0.25) == 1000
    mixed = c.milling_charge(12, 10, 100, per_ton=90, per_hour=20, lot_charge=400)
    assert mixed == 1780
    assert c.penalty(10, 16, 14, 3) == 60
    assert c.penalty(10, 14, 14, 3) == c.penalty(10, 1, 14, 3) == 0
    assert c.shared_metal(4, 0.25, 3000) == 3000
    assert c.purchase_price(0.2, 3000, 100, 80) == pytest.approx(500)
    assert c.charge_for_margin(900, 0.25, 0, 10) == 120
    assert c.least_lot(600, 40) == 15
    assert c.least_lot(-5, 40) == 0
    assert np.isnan(c.least_lot(600, 0))
    assert c.risk_carried(1, 2, 3, 4, 8, 12) == pytest.approx(0.25)


def test_no_gold_no_share_but_the_charge_stays():
    assert c.shared_metal(0, 0.3, 3000) == 0
    assert c.paid_gold(0, **SCHEDULE) == 0
    assert c.milling_charge(10, 8, per_ton=100) == 1000
    assert c.purchase_price(0, 3000, 100, 80) == -80


@given(
    own=st.lists(st.floats(-100, 100), min_size=3, max_size=3),
    other=st.lists(st.floats(-100, 100), min_size=3, max_size=3),
)
def test_the_risks_of_both_sides_make_the_whole(own, other):
    whole = np.array(own) + np.array(other)
    if np.sum(whole**2) > 1e-6:
        both = c.risk_carried(*own, *whole) + c.risk_carried(*other, *whole)
        assert both == pytest.approx(1, abs=1e-6)


def test_contradictions_are_refused():
    with pytest.raises(BadValue, match="high grade"):
        c.payable_share(0.2, 0.5, 0.4, 0.5, 0.8)
    with pytest.raises(BadValue, match="must not fall"):
        c.payable_share(0.2, 0.1, 0.4, 0.8, 0.5)
    with pytest.raises(BadValue, match="high grade"):
        c.grade_paid(0.2, 0.5, 0.4, 0.5, 0.8)
    with pytest.raises(BadValue, match="move the whole"):
        c.risk_carried(1, 1, 1, 0, 0, 0)


@pytest.mark.parametrize("function", GOOD)
def test_nonsense_is_refused(function):
    refuses_nonsense(function, **GOOD[function])


@pytest.mark.parametrize("function", GOOD)
def test_arrays_are_scalars(function):
    row = tuple(float(value) for value in GOOD[function].values())
    arrays_are_scalars(function, row, row)
