"""Cut-offs, against grades and prices in print."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import cutoff as c
from pennyweight.trade.exact_units import GRAMS_PER_OUNCE
from pennyweight.trade.recovery import tail_recovery

from ..evidence import evidence
from ..published import cut_offs as known
from .holding import arrays_are_scalars, refuses_nonsense

TRADE_OFF = "two lots and one hour, the money written out"

GOOD = {
    c.break_even_gold: {"cost_per_ton": 60, "recovery": 0.7, "net_price": 2346},
    c.break_even_gold_by_tail: {
        "cost_per_ton": 60,
        "net_price": 2346,
        "fixed_tail": 0.03,
        "proportional_tail": 0.1,
    },
    c.break_even_grade: {
        "cost_per_ton": 60,
        "recovery": 0.7,
        "price": 2400,
        "payable": 0.98,
        "refining": 6,
    },
    c.break_even_net_price: {"cost_per_ton": 60, "recovery": 0.7, "gold": 0.2},
    c.break_even_price: {
        "cost_per_ton": 60,
        "recovery": 0.7,
        "grade": 8,
        "payable": 0.98,
        "refining": 6,
    },
    c.mine_limited_cutoff: {
        "milling_cost": 2,
        "price": 25,
        "selling_cost": 5,
        "recovery": 0.9,
    },
    c.mill_limited_cutoff: {
        "milling_cost": 2,
        "fixed_cost": 300,
        "mill_capacity": 50,
        "price": 25,
        "selling_cost": 5,
        "recovery": 0.9,
    },
    c.market_limited_cutoff: {
        "milling_cost": 2,
        "fixed_cost": 300,
        "market_capacity": 40,
        "price": 25,
        "selling_cost": 5,
        "recovery": 0.9,
    },
    c.opportunity_cost_per_hour: {"next_lot_margin": 120, "next_lot_throughput": 0.8},
    c.cost_with_opportunity: {
        "cost_per_ton": 60,
        "throughput": 1.2,
        "opportunity_cost": 96,
    },
}


@evidence("break_even_grade", "read", known.GLOSSARY_SOURCE)
def test_glossary():
    case = known.GLOSSARY
    price = case["price_of_gram"] * GRAMS_PER_OUNCE
    grade = c.break_even_grade(case["cost"], case["recovery"], price)
    assert grade == pytest.approx(case["grade"], abs=0.0053)  # 1.6447, printed 1.65
    assert grade == pytest.approx(50 / (0.95 * 32), rel=1e-14)


@evidence("break_even_gold", "read", known.TUNGSTEN_SOURCE)
def test_tungsten():
    case = known.TUNGSTEN
    units = c.break_even_gold(case["worth"], case["recovery"], case["price"])
    assert units == pytest.approx(case["units"], rel=1e-14)


@evidence("break_even_gold", "read", known.MISTAKEN_SOURCE)
def test_ounces_right_and_grams_wrong():
    case = known.MISTAKEN
    assert c.break_even_gold(case["cost"], 1, case["price"]) == pytest.approx(
        case["ounces"], rel=1e-14
    )
    grade = c.break_even_grade(case["cost"], 1, case["price"])
    assert grade == pytest.approx(3.11034768, rel=1e-14)
    assert grade / case["printed"] == pytest.approx(31.1034768 / 28.35, rel=1e-3)


@evidence("break_even_gold", "derived", known.EXERCISE_SOURCE)
def test_exercise():
    case = known.EXERCISE
    gold = c.break_even_gold(case["cost"], case["recovery"], case["price"])
    assert gold == pytest.approx(case["ounces"], abs=5e-6)


@evidence("break_even_price", "read", known.MINES_SOURCE)
@evidence("break_even_net_price", "read", known.MINES_SOURCE)
@evidence("break_even_grade", "read", known.MINES_SOURCE)
def test_two_mines():
    first, second = known.MINES, known.SECOND_MINE
    # The cost is printed to the dollar, so the grade follows within half a dollar.
    assert c.break_even_grade(first["cost"], 1, first["price"]) == pytest.approx(
        first["grade"], rel=0.5 / 111
    )
    price = c.break_even_price(second["cost"], 1, second["grade"])
    assert price == pytest.approx(second["price"], abs=0.5)
    ounces = second["grade"] / GRAMS_PER_OUNCE
    assert c.break_even_net_price(second["cost"], 1, ounces) == price


@evidence("break_even_grade", "built", "consistency with the settlement")
@pytest.mark.parametrize(("cost", "grade"), known.BUILT)
def test_payable_and_refining(cost, grade):
    found = c.break_even_grade(cost, 0.70, 2400, payable=0.98, refining=6)
    assert found == pytest.approx(grade, abs=5e-4)


@given(
    st.floats(1, 1e3),
    st.floats(0.05, 1),
    st.floats(200, 1e4),
    st.floats(0.5, 1),
    st.floats(0, 50),
)
def test_grade_and_price_agree(cost, recovery, price, payable, refining):
    grade = c.break_even_grade(cost, recovery, price, payable, refining)
    assert c.break_even_price(
        cost, recovery, grade, payable, refining
    ) == pytest.approx(price, rel=1e-12)
    # At the break-even grade a ton earns exactly its cost.
    ounces = grade / GRAMS_PER_OUNCE * recovery
    assert ounces * (payable * price - refining) == pytest.approx(cost, rel=1e-12)


@evidence("break_even_grade", "derived", "a royalty leaves 1 - r of the sales")
@given(st.floats(1, 1e3), st.floats(200, 1e4), st.floats(0, 0.3))
def test_a_royalty_counts_as_cost(cost, price, royalty):
    grade = c.break_even_grade(cost / (1 - royalty), 0.7, price, 0.98, 6)
    sales = grade / GRAMS_PER_OUNCE * 0.7 * (0.98 * price - 6)
    assert sales * (1 - royalty) == pytest.approx(cost, rel=1e-12)


@evidence("break_even_gold_by_tail", "derived", "recovery at the break-even itself")
@given(st.floats(1, 1e3), st.floats(500, 4e3), st.floats(0, 1), st.floats(0, 0.9))
def test_break_even_by_tail(cost, net_price, fixed, proportional):
    gold = c.break_even_gold_by_tail(cost, net_price, fixed, proportional)
    recovery = tail_recovery(gold, fixed, proportional)
    assert c.break_even_gold(cost, recovery, net_price) == pytest.approx(gold, rel=1e-6)
    assert c.break_even_gold_by_tail(cost, net_price) == c.break_even_gold(
        cost, 1, net_price
    )


@evidence("mine_limited_cutoff", "memory", known.LANE_SOURCE)
@evidence("mill_limited_cutoff", "memory", known.LANE_SOURCE)
@evidence("market_limited_cutoff", "memory", known.LANE_SOURCE)
def test_lane():
    case = known.LANE
    sale = case["price"], case["selling"]
    mine, mill, market = case["cutoffs"]
    assert c.mine_limited_cutoff(case["milling"], *sale) == pytest.approx(mine)
    assert c.mill_limited_cutoff(
        case["milling"], case["fixed"], case["mill"], *sale
    ) == pytest.approx(mill)
    assert c.market_limited_cutoff(
        case["milling"], case["fixed"], case["market"], *sale
    ) == pytest.approx(market)


@evidence("opportunity_cost_per_hour", "derived", TRADE_OFF)
@evidence("cost_with_opportunity", "derived", TRADE_OFF)
def test_an_hour_for_one_lot_or_the_other():
    # No example in print was found. The waiting lot leaves 120 a ton at 0.8 t/h:
    # 96 an hour. A lot at 1.2 t/h that costs 60 a ton must bring 168 an hour.
    hour = c.opportunity_cost_per_hour(120, 0.8)
    least = c.break_even_gold(c.cost_with_opportunity(60, 1.2, hour), 0.7, 2000)
    earned = 1.2 * (least * 0.7 * 2000 - 60)
    assert earned == pytest.approx(0.8 * 120, rel=1e-14)


def test_a_losing_lot_is_no_opportunity():
    assert c.opportunity_cost_per_hour(-50, 1) == 0
    assert c.cost_with_opportunity(60, 1.2, 0) == 60


def test_fixed_cost_of_an_hour_is_lanes_mill_limit():
    ton = c.cost_with_opportunity(2, 50, 300)  # 50 tons and 300 of money in a period
    assert c.break_even_gold(ton, 1, 20) == c.mill_limited_cutoff(2, 300, 50, 25, 5)


@given(st.floats(1, 1e3), st.floats(1, 1e3))
def test_dearer_tons_need_more_gold(one, other):
    low, high = sorted([one, other])
    assert c.break_even_grade(low, 0.6, 2000) <= c.break_even_grade(high, 0.6, 2000)


def test_what_never_pays():
    with pytest.raises(BadValue, match="exceed the refining charge"):
        c.break_even_grade(60, 0.7, 6, refining=6)
    with pytest.raises(BadValue, match="exceed the cost of selling"):
        c.mine_limited_cutoff(2, 5, 5)
    with pytest.raises(BadValue, match="exceed the cost of selling"):
        c.market_limited_cutoff(2, 300, 10, 25, 5)
    with pytest.raises(BadValue, match="recovery"):
        c.break_even_grade(60, 0, 2400)
    assert c.break_even_grade(0, 0.7, 2400) == 0


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_nonsense(function):
    refuses_nonsense(function, **GOOD[function])


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_arrays(function):
    row = tuple(GOOD[function].values())
    arrays_are_scalars(function, row, tuple(0.99 * value for value in row))


def test_broadcast_over_costs_and_prices():
    costs, prices = np.array([[60.0], [150.0]]), np.array([1800.0, 2400.0, 3000.0])
    grades = c.break_even_grade(costs, 0.7, prices)
    assert grades.shape == (2, 3)
    assert grades[1, 2] == c.break_even_grade(150, 0.7, 3000)


@evidence("mine_limited_cutoff", "derived", "profit of a ton at the cut-off is zero")
@evidence("mill_limited_cutoff", "derived", "the same, with the mill's time charged")
@evidence("market_limited_cutoff", "derived", "the same, with the time to sell")
@given(
    st.floats(10, 100),
    st.floats(0, 5),
    st.floats(0.5, 5),
    st.floats(1, 500),
    st.floats(10, 200),
    st.floats(0.3, 1),
)
def test_a_ton_at_the_cut_off_earns_nothing(price, selling, milling, fixed, pace, gain):
    sale = (price, selling, gain)
    mine = c.mine_limited_cutoff(milling, *sale)
    assert (price - selling) * gain * mine == pytest.approx(milling)
    mill = c.mill_limited_cutoff(milling, fixed, pace, *sale)
    cost = milling + fixed / pace
    assert (price - selling) * gain * mill == pytest.approx(cost)
    if fixed / pace < 0.9 * (price - selling):
        market = c.market_limited_cutoff(milling, fixed, pace, *sale)
        earned = (price - selling - fixed / pace) * gain * market
        assert earned == pytest.approx(milling)
