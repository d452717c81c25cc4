"""Depreciation and depletion by cost, against published cases."""

import re

import numpy as np
import pytest

from pennyweight.errors import BadValue
from pennyweight.trade import depreciation as d

from ..evidence import evidence
from ..published import depreciation_cases as known
from .holding import arrays_are_scalars, refuses_nonsense


@evidence("straight_line_depreciation", "read", known.METHODS_SOURCE)
def test_straight_line():
    found = d.straight_line_depreciation(known.COST, known.LIFE, known.SALVAGE)
    assert found == known.STRAIGHT


@evidence("straight_line_depreciation", "read", known.HALF_WAY_SOURCE)
def test_worth_half_way():
    case = known.HALF_WAY
    yearly = d.straight_line_depreciation(case["cost"], case["life"], case["salvage"])
    assert case["cost"] - case["life"] / 2 * yearly == case["worth"]


@evidence("declining_balance_depreciation", "read", known.METHODS_SOURCE)
def test_declining_balance():
    years = np.arange(1, known.LIFE + 1)
    found = d.declining_balance_depreciation(known.COST, known.RATE, years)
    assert found == pytest.approx(known.DECLINING, rel=1e-12)


@evidence("years_digits_depreciation", "read", known.METHODS_SOURCE)
def test_sum_of_the_years_digits():
    years = np.arange(1, known.LIFE + 1)
    found = d.years_digits_depreciation(known.COST, known.LIFE, years, known.SALVAGE)
    assert found[:7] == pytest.approx(known.DIGITS, abs=5e-3)
    assert found.sum() == pytest.approx(known.COST - known.SALVAGE, rel=1e-14)
    assert d.years_digits_depreciation(known.COST, known.LIFE, 9) == 0


@evidence("unit_of_production_depreciation", "derived", "a quarter of the tons")
def test_unit_of_production():
    assert d.unit_of_production_depreciation(90_000, 500, 2_000, 10_000) == 20_000


def declining_to_straight(years, factor):
    """Shares by half a year in the first, and straight line once it gives more."""
    left, shares = 1.0, []
    for place in range(years + 1):
        half = 0.5 if place == 0 else 1.0
        remaining = years - max(place - 0.5, 0)
        by_balance = left * factor / years * half
        straight = left * min(half / remaining, 1.0)
        shares.append(max(by_balance, straight))
        left -= shares[-1]
    return shares


@evidence("macrs_share", "read", known.MACRS_SOURCE)
@evidence("macrs_share", "derived", "declining balance, half-year convention")
@pytest.mark.parametrize("recovery_years", d.MACRS_PER_CENT)
def test_macrs_is_declining_balance(recovery_years):
    years = recovery_years
    found = d.macrs_share(np.arange(1, years + 3), years)
    assert found.sum() == pytest.approx(1, abs=1e-12)
    assert found[-1] == 0
    expected = declining_to_straight(years, 1.5 if years > 10 else 2.0)
    # The table ends in rounded places that are shifted so that all add up to 100%.
    assert found[:-1] == pytest.approx(expected, abs=1.1e-4)


@evidence("macrs_share", "read", known.MACRS_CASE_SOURCE)
def test_first_year_of_a_corporation():
    for cost, recovery_years, printed in known.MACRS_CASE:
        assert cost * d.macrs_share(1, recovery_years) == pytest.approx(printed)


@evidence("cost_depletion", "read", known.DEPLETION_SOURCE)
@evidence("cost_depletion", "read", known.MINE_SOURCE)
@pytest.mark.parametrize(
    ("basis", "sold", "left", "printed"), known.DEPLETION + known.MINE
)
def test_cost_depletion(basis, sold, left, printed):
    assert d.cost_depletion(basis, sold, left) == pytest.approx(printed, rel=1e-12)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: d.straight_line_depreciation(100, 5, 101), "salvage must not exceed"),
        (lambda: d.years_digits_depreciation(100, 5, 1, 101), "salvage must not exc"),
        (lambda: d.unit_of_production_depreciation(100, 3, 2), "output must not exc"),
        (lambda: d.unit_of_production_depreciation(1, 1, 2, 3), "salvage must not ex"),
        (lambda: d.cost_depletion(100, 0, 0), "ore must be sold or left"),
        (lambda: d.macrs_share(1.5), "whole"),
        (lambda: d.macrs_share(1, 8), "classes are"),
    ],
)
def test_what_cannot_be(call, said):
    with pytest.raises(BadValue, match=re.compile(said)):
        call()


def test_nonsense_and_arrays():
    refuses_nonsense(d.straight_line_depreciation, cost=100, life=5, salvage=0)
    refuses_nonsense(d.declining_balance_depreciation, cost=100, rate=0.2, year=1)
    refuses_nonsense(d.macrs_share, year=1, recovery_years=7)
    refuses_nonsense(d.cost_depletion, basis=100, sold=1, left=2)
    arrays_are_scalars(d.cost_depletion, (100, 1, 2), (50, 0, 3))
    arrays_are_scalars(d.macrs_share, (1, 7), (3, 5), (9, 7), (40, 20))
    arrays_are_scalars(d.years_digits_depreciation, (100, 5, 1), (100, 5, 7))
