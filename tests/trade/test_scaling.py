"""Rules of thumb, against textbooks and recommended practices."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import scaling as d

from ..evidence import evidence
from ..published import balances as known
from .holding import arrays_are_scalars, refuses_nonsense

TAYLOR = "Taylor 1986, Trans. Instn Min. Metall. A 95, recalled"

GOOD = {
    d.scaled_cost: {
        "cost": 1e5,
        "size": 10,
        "new_size": 20,
        "exponent": 0.6,
        "index_ratio": 1.1,
    },
    d.taylor_life: {"reserve": 1e5},
    d.taylor_rate: {"reserve": 1e5},
    d.diluted_grade: {"grade": 10, "dilution": 0.25, "waste_grade": 1},
    d.dilution_of_ore: {"dilution_of_feed": 0.2},
    d.mined_tons: {"ore": 1000, "dilution": 0.25, "mining_recovery": 0.9},
    d.cost_between: {"cost": 100, "below": -0.3, "above": 0.5},
}


@evidence("scaled_cost", "read", known.DOUBLED_SOURCE)
def test_twice_the_size():
    assert d.scaled_cost(1, 1, 2) == pytest.approx(known.DOUBLED, abs=5e-3)
    assert d.scaled_cost(1, 1, 2) == pytest.approx(2**0.6, rel=1e-14)


def test_index_ratio_and_ore_left_behind():
    assert d.scaled_cost(1000, 5, 5, index_ratio=1.3) == pytest.approx(1300)
    assert d.mined_tons(1000, 0, mining_recovery=0.9) == pytest.approx(900)


@given(st.floats(1, 1e6), st.floats(0.1, 100), st.floats(0.1, 100), st.floats(0, 1.5))
def test_scaling_there_and_back(cost, size, new_size, exponent):
    there = d.scaled_cost(cost, size, new_size, exponent, 1.3)
    back = d.scaled_cost(there, new_size, size, exponent, 1 / 1.3)
    assert back == pytest.approx(cost, rel=1e-12)


@evidence("taylor_life", "memory", TAYLOR)
@evidence("taylor_rate", "memory", TAYLOR)
@pytest.mark.parametrize(("reserve", "years"), known.TAYLOR)
def test_taylor(reserve, years):
    assert d.taylor_life(reserve) == pytest.approx(years, abs=5e-3)
    assert d.taylor_rate(reserve) == pytest.approx(5 * reserve**0.75, rel=1e-14)


@evidence("dilution_of_ore", "read", known.DILUTION_SOURCE)
@evidence("mined_tons", "read", known.DILUTION_SOURCE)
def test_two_ways_to_count_dilution():
    case = known.DILUTION
    of_feed = case["waste"] / (case["ore"] + case["waste"])
    assert of_feed == pytest.approx(case["of_feed"], abs=5e-4)
    of_ore = d.dilution_of_ore(of_feed)
    assert of_ore == pytest.approx(case["of_ore"], rel=1e-12)
    assert d.mined_tons(case["ore"], of_ore) == pytest.approx(110, rel=1e-12)


@evidence("diluted_grade", "derived", known.DILUTION_SOURCE + " (its mean is wrong)")
def test_diluted_grade():
    case = known.DILUTION_GRADES
    found = d.diluted_grade(case["ore"], 0.10, case["waste"])
    assert found == pytest.approx(case["right"], abs=5e-7)
    assert found == pytest.approx((100 * 10 + 10 * 4) / 110, rel=1e-14)
    assert abs(found - case["printed"]) > 0.3
    assert d.diluted_grade(10, 0) == 10


@evidence("estimate_range", "read", known.CLASSES_SOURCE)
@evidence("cost_between", "derived", known.CLASSES_SOURCE)
@pytest.mark.parametrize("number", known.CLASSES)
def test_classes_of_estimates(number):
    low, high = known.CLASSES[number]
    found = d.estimate_range(200_000, number)
    assert found == pytest.approx((200_000 * (1 + low), 200_000 * (1 + high)))


def test_classes_tighten_one_after_another():
    ends = [d.ESTIMATE_CLASSES[number] for number in (5, 4, 3, 2, 1)]
    for looser, tighter in pairwise(ends):
        assert looser["low"][0] < tighter["low"][0] < tighter["low"][1] < 0
        assert looser["high"][1] > tighter["high"][1] > tighter["high"][0] > 0
    for wrong in (0, 6, "five"):
        with pytest.raises(BadValue, match="must be 5, 4, 3, 2 or 1"):
            d.estimate_range(100, wrong)
    with pytest.raises(BadValue, match="cost"):
        d.estimate_range(np.nan, 5)


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_nonsense(function):
    refuses_nonsense(function, **GOOD[function])


@pytest.mark.parametrize(
    "function",
    [function for function in GOOD if function is not d.cost_between],
    ids=lambda f: f.__name__,
)
def test_arrays(function):
    row = tuple(GOOD[function].values())
    arrays_are_scalars(function, row, tuple(0.9 * value for value in row))
