"""Ore purchase, against published terms and cases calculated by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import purchase as p

from ..evidence import evidence
from .holding import arrays_are_scalars, refuses_nonsense

NEVADA = "ore contract in Kennedy v. Schwartz, 13 Nev. 229 (1878): $10 a ton, and half"
NEVADA += " of the assay value above $60; the sums are ours"
SCHEDULE = {
    "low_grade": 0.1,
    "high_grade": 0.5,
    "low_payable": 0.5,
    "high_payable": 0.8,
}

GOOD = {
    p.payable_share: {"grade": 0.3, **SCHEDULE},
    p.paid_gold: {"grade": 0.3, **SCHEDULE, "deduction": 0.02},
    p.grade_for_paid_gold: {"gold": 0.18, **SCHEDULE, "deduction": 0.02},
    p.gold_after_deductions: {
        "grade": 0.3,
        "payable": 0.8,
        "deduction": 0.02,
        "minimum_deduction": 0.05,
    },
    p.payable_by_step: {
        "grade": 0.3,
        "step_grade": 0.2,
        "step_payable": 0.8,
        "lower_payable": 0.5,
    },
    p.grade_by_step: {
        "gold": 0.18,
        "step_grade": 0.2,
        "step_payable": 0.8,
        "deduction": 0.02,
    },
    p.grade_on_sliding_scale: {
        "gold": 0.18,
        "low_grade": 0.1,
        "low_payable": 0.5,
        "rise": 0.75,
        "deduction": 0.02,
    },
    p.grade_by_segment: {
        "gold": 0.18,
        "gold_low": 0.04,
        "gold_high": 0.38,
        "low_payable": 0.5,
        "high_payable": 0.8,
        "rising": 0.3,
        "deduction": 0.02,
    },
    p.purchase_price: {
        "gold": 0.2,
        "price": 3000,
        "price_deduction": 100,
        "treatment": 80,
    },
}


@evidence("purchase_price", "derived", NEVADA)
def test_half_of_the_value_above_sixty_dollars():
    # $100 of assay value: 10 + (100 - 60) / 2 = 30; the flat 10 is a credit here.
    assert 10 + p.purchase_price(0.5, 100, price_deduction=60) == 30
    # The same as half the value less a treatment of $30, plus $10.
    assert 10 + p.purchase_price(0.5, 100, treatment=30) == 30


@evidence("paid_gold", "derived", "schedule worked by hand in docs/contracts.md")
@evidence("payable_share", "derived", "proportion between two points, by hand")
@pytest.mark.parametrize(
    ("grade", "share"), [(0, 0.5), (0.1, 0.5), (0.2, 0.575), (0.5, 0.8), (3, 0.8)]
)
def test_the_payable_rises_with_the_grade(grade, share):
    assert p.payable_share(grade, **SCHEDULE) == pytest.approx(share, rel=1e-14)
    expected = max(grade - 0.15, 0) * share
    assert p.paid_gold(grade, **SCHEDULE, deduction=0.15) == pytest.approx(expected)


@evidence("grade_on_sliding_scale", "derived", "turned round, with the whole")
@evidence("grade_by_segment", "derived", "turned round, with the whole")
@evidence("grade_for_paid_gold", "derived", "turned round: paid_gold gives the gold")
@given(
    grade=st.floats(0.16, 3),
    deduction=st.floats(0, 0.15),
    rise=st.sampled_from([0.0, 1e-9, 0.1, 0.3, 0.5]),
    least=st.sampled_from([0.0, 0.05, 0.15]),
)
def test_grade_and_gold_paid_for_there_and_back(grade, deduction, rise, least):
    terms = {**SCHEDULE, "high_payable": 0.5 + rise, "deduction": deduction}
    terms["minimum_deduction"] = least
    gold = p.paid_gold(grade, **terms)
    assert p.grade_for_paid_gold(gold, **terms) == pytest.approx(grade, rel=1e-9)


def test_nothing_paid_for_is_at_the_deduction():
    assert p.grade_for_paid_gold(0, **SCHEDULE, deduction=0.03) == pytest.approx(0.03)


def test_all_paid_without_deductions_is_the_owners_gold():
    whole = {**SCHEDULE, "low_payable": 1, "high_payable": 1}
    gold = p.paid_gold(0.37, **whole)
    assert p.purchase_price(gold, 2900) == pytest.approx(0.37 * 2900, rel=1e-15)


@evidence("purchase_price", "derived", "a fifth of 2900, less 80")
def test_a_price_worked_by_hand():
    assert p.purchase_price(0.2, 3000, 100, 80) == pytest.approx(500)


def test_no_gold_is_paid_for_but_treatment_stays():
    assert p.paid_gold(0, **SCHEDULE) == 0
    assert p.purchase_price(0, 3000, 100, 80) == -80


def test_schedules_that_contradict_themselves():
    with pytest.raises(BadValue, match="high grade"):
        p.payable_share(0.2, 0.5, 0.4, 0.5, 0.8)
    with pytest.raises(BadValue, match="must not fall"):
        p.payable_share(0.2, 0.1, 0.4, 0.8, 0.5)
    with pytest.raises(BadValue, match="high grade"):
        p.grade_for_paid_gold(0.2, 0.5, 0.4, 0.5, 0.8)


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_nonsense(function):
    refuses_nonsense(function, **GOOD[function])


@pytest.mark.parametrize("function", GOOD)
def test_arrays_are_scalars(function):
    row = tuple(float(value) for value in GOOD[function].values())
    arrays_are_scalars(function, row, row)
