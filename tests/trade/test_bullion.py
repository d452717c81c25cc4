"""Bullion and its settlement, against refiners' documents."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import bullion as b
from pennyweight.trade.assay_exchange import settled_assay
from pennyweight.trade.exact_units import GRAMS_PER_OUNCE
from pennyweight.trade.units import fine_gold, troy_mass

from ..evidence import evidence
from ..published import settlements as known
from .holding import arrays_are_scalars, refuses_nonsense

COMPOSITION_SOURCE = "parts add up to 1000, by definition of fineness"
MIDDLE_SOURCE = "the middle one of three assays, by sorting"

GOOD = {
    b.net_gold_price: {"price": 2400, "payable": 0.98, "refining": 6},
    b.mass_after_melting: {"mass": 200, "melt_loss": 0.02},
    b.melt_loss: {"mass_before": 200, "mass_after": 190},
    b.bullion_mass: {"gold": 170, "fineness": 850},
    b.bullion_composition: {"gold": 85, "silver": 10, "base": 5},
    b.metal_received: {"melt_mass": 200, "fineness": 850, "melt_loss": 0.02},
    b.metal_paid_for: {
        "melt_mass": 200,
        "fineness": 850,
        "payable": 0.98,
        "melt_loss": 0.02,
    },
    b.dore_payment: {
        "melt_mass": 200,
        "fineness": 850,
        "payable": 0.98,
        "price": 2400,
        "refining": 6,
        "charges": 150,
        "silver_fineness": 100,
        "silver_payable": 0.9,
        "silver_price": 28,
        "penalties": 20,
        "melt_loss": 0.01,
    },
}


@evidence("metal_paid_for", "read", known.HONG_KONG_SOURCE)
@evidence("metal_received", "read", known.HONG_KONG_SOURCE)
@evidence("melt_loss", "derived", "weights of a settlement; no loss is printed")
@evidence("mass_after_melting", "derived", "weights of a settlement, there and back")
def test_settlement_of_a_refinery():
    case = known.HONG_KONG
    lost = b.melt_loss(case["mass_before"], case["mass_after"])
    assert b.mass_after_melting(case["mass_before"], lost) == pytest.approx(
        case["mass_after"], rel=1e-14
    )
    fine = b.metal_received(case["mass_before"], case["fineness"], lost)
    # Printed cut off, not rounded: 0.0042 g and 0.0105 g short.
    assert troy_mass(fine) == pytest.approx(case["fine_content"], abs=0.005)
    assert troy_mass(fine) == pytest.approx(14_736.1842, rel=1e-12)
    paid = b.metal_paid_for(case["mass_after"], case["fineness"], case["payable"])
    assert troy_mass(paid) == pytest.approx(case["net_content"], abs=0.011)
    assert troy_mass(paid) == pytest.approx(14_441.460516, rel=1e-12)


@evidence("metal_paid_for", "read", known.WORKED_SOURCE)
@evidence("metal_received", "read", known.WORKED_SOURCE)
def test_worked_settlement():
    case = known.WORKED
    fine = b.metal_received(case["mass"], case["fineness"])
    assert fine == pytest.approx(case["fine_ounces"], abs=0.05)
    paid = b.metal_paid_for(case["mass"], case["fineness"], case["payable"])
    # The page goes on from the rounded 732.7.
    assert paid == pytest.approx(case["payable_ounces"], abs=0.07)


@evidence("dore_payment", "derived", known.HONG_KONG_SOURCE + ", in grams")
def test_payment_of_a_settlement():
    # The refinery credited grams: a gram's price of 1 makes money of them.
    case = known.HONG_KONG
    credit = b.dore_payment(
        case["mass_after"], case["fineness"], case["payable"], GRAMS_PER_OUNCE
    )
    assert credit == pytest.approx(case["net_content"], abs=0.011)


@evidence("dore_payment", "derived", "the sum written out, ounce by ounce")
def test_payment_part_by_part():
    after = 200 * 0.99
    gold = after * 0.850 / 31.1034768
    silver = after * 0.100 / 31.1034768
    expected = gold * 0.98 * 2400 - gold * 6
    expected += silver * 0.9 * 28 - 150 - 20
    assert b.dore_payment(**GOOD[b.dore_payment]) == pytest.approx(expected, rel=1e-14)


@evidence("net_gold_price", "derived", "98% of 2400 less 6 by hand")
def test_net_price():
    # No worked example with a refining charge was found in print.
    assert b.net_gold_price(2400, 0.98, 6) == pytest.approx(2346, rel=1e-14)
    assert b.net_gold_price(2400) == 2400
    assert b.net_gold_price(5, 1, 6) == -1


@evidence("bullion_mass", "memory", known.COIN_SOURCE)
@evidence("bullion_mass", "derived", "gold over its share of the mass")
def test_coin():
    gold = troy_mass(known.COIN_OUNCES)
    assert b.bullion_mass(gold, known.COIN_FINENESS) == pytest.approx(
        known.COIN_MASS, abs=0.005
    )


@given(st.floats(1e-3, 1e6), st.floats(1, 1000))
def test_bullion_and_back(gold, fineness):
    mass = b.bullion_mass(gold, fineness)
    assert fine_gold(mass, fineness) == pytest.approx(gold, rel=1e-13)


@evidence("bullion_composition", "derived", COMPOSITION_SOURCE)
@given(st.floats(0.01, 1e4), st.floats(0, 1e4), st.floats(0, 1e4))
def test_composition(gold, silver, base):
    found = b.bullion_composition(gold, silver, base)
    assert sum(found.values()) == pytest.approx(1000, rel=1e-12)
    assert fine_gold(gold + silver + base, min(found["gold"], 1000)) == pytest.approx(
        gold, rel=1e-12
    )


def test_composition_of_pure_gold_and_of_arrays():
    assert b.bullion_composition(3)["gold"] == 1000
    found = b.bullion_composition(np.array([85, 1]), np.array([15, 1]))
    assert found["silver"] == pytest.approx([150, 500])


@evidence("settled_assay", "derived", MIDDLE_SOURCE)
@given(st.floats(0, 1000), st.floats(0, 1000), st.floats(0, 1000))
def test_umpire_decides(seller, buyer, umpire):
    found = settled_assay(seller, buyer, 0, umpire)
    assert found == pytest.approx(sorted([seller, buyer, umpire])[1], rel=1e-14)


def test_assays_within_the_limit_are_halved():
    assert settled_assay(852, 850, 2) == 851
    assert settled_assay(852, 850, 2, umpire=700) == 851
    with pytest.raises(BadValue, match="too far apart"):
        settled_assay(855, 850, 2)
    assert settled_assay([852, 860], 850, 3, umpire=858).tolist() == [851, 858]


def test_charges_may_eat_the_bar():
    assert b.dore_payment(1, 500, 0.95, 2400, charges=500) < 0
    assert b.dore_payment(0, 850, 0.98, 2400, charges=50) == -50


@given(st.floats(0, 1000), st.floats(0, 1000))
def test_payment_rises_with_fineness(one, other):
    low, high = sorted([one, other])
    assert b.dore_payment(100, low, 0.98, 2400, 6) <= b.dore_payment(
        100, high, 0.98, 2400, 6
    )


def test_impossible_bars():
    assert b.melt_loss(100, 100) == 0
    with pytest.raises(BadValue, match="1000 parts"):
        b.dore_payment(100, 900, 0.98, 2400, silver_fineness=101)
    with pytest.raises(BadValue, match="must be some metal"):
        b.bullion_composition(0)
    with pytest.raises(BadValue, match="does not add mass"):
        b.melt_loss(100, 100.1)


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_nonsense(function):
    refuses_nonsense(function, **GOOD[function])


@pytest.mark.parametrize(
    "function",
    [function for function in GOOD if function is not b.bullion_composition],
    ids=lambda f: f.__name__,
)
def test_arrays(function):
    row = tuple(GOOD[function].values())
    arrays_are_scalars(function, row, tuple(0.99 * value for value in row))
