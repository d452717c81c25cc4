"""Head grades and mixtures, against an assayer's handbook and common practice."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import balance
from pennyweight.trade import head as h
from pennyweight.trade.exact_units import GRAMS_PER_TONNE_PER_OUNCE_PER_LONG_TON
from pennyweight.trade.units import grams_to_ounces

from ..evidence import evidence
from ..published import balances as known
from .holding import arrays_are_scalars, refuses_nonsense

BUTTON = "3500 lb of ore that give a 16 g button are 0.29 oz/ton of bullion"
CALL = "mine call factor: gold accounted for over gold called for"

GOOD = {
    h.gold_accounted_for: {"gold_recovered": 14, "tails_tons": 1.5, "tails_grade": 3},
    h.calculated_head: {
        "gold_recovered": 14,
        "tails_tons": 1.5,
        "tails_grade": 3,
        "tons": 1.6,
    },
    h.calculated_recovery: {"gold_recovered": 14, "tails_tons": 1.5, "tails_grade": 3},
    h.assay_call_factor: {"assay_head": 12, "calculated_head": 10},
    h.mill_call_factor: {"assay_head": 12, "calculated_head": 10},
    h.mixed_grade: {
        "first_mass": 100,
        "first_grade": 10,
        "second_mass": 10,
        "second_grade": 4,
    },
    h.metallics_grade: {
        "coarse_mass": 20,
        "coarse_grade": 500,
        "fine_mass": 980,
        "fine_grade": 5,
    },
}


@evidence("metallics_grade", "read", known.METALLICS_SOURCE)
@evidence("mixed_grade", "read", known.METALLICS_SOURCE)
def test_silver_ore_with_metallics():
    percent = h.metallics_grade(*known.METALLICS["coarse"], *known.METALLICS["fine"])
    assert percent == pytest.approx(known.METALLICS["percent"], abs=5e-5)
    assert percent == pytest.approx(0.7341875, rel=1e-14)
    ounces = percent * 1e4 / GRAMS_PER_TONNE_PER_OUNCE_PER_LONG_TON
    # The table takes the printed 0.7342 %.
    assert ounces == pytest.approx(known.METALLICS_OUNCES, abs=0.01)


@evidence("calculated_head", "practice", BUTTON)
@evidence("gold_accounted_for", "practice", BUTTON)
def test_button_of_a_test_lot():
    ounces = grams_to_ounces(16)
    assert h.calculated_head(ounces, 0, 0, 3500 / 2000) == pytest.approx(0.29, abs=5e-3)
    assert h.gold_accounted_for(ounces, 1.75, 0.1) == pytest.approx(0.69, abs=5e-3)


@evidence("calculated_recovery", "derived", "two-product formula on the same lot")
def test_a_lot_has_no_more_tails_than_ore():
    with pytest.raises(BadValue, match="tails cannot weigh more than the lot"):
        h.calculated_head(14, 1.7, 3, 1.6)
    assert h.calculated_head(14, 1.6, 3, 1.6) == pytest.approx(11.75)


@evidence("calculated_head", "derived", "the gold of a lot put together again")
@evidence("gold_accounted_for", "derived", "the same lot")
@given(st.floats(0.5, 100), st.floats(0.01, 0.99), st.floats(1e-4, 0.1))
def test_head_and_recovery_by_weights_and_by_assays(head, recovered, pull):
    gold, tails = head * recovered, head * (1 - recovered) / (1 - pull)
    assert h.calculated_head(gold, 1 - pull, tails, 1) == pytest.approx(head, rel=1e-9)
    all_gold = h.gold_accounted_for(gold, 1 - pull, tails)
    assert all_gold == pytest.approx(head, rel=1e-9)
    found = h.calculated_recovery(gold, 1 - pull, tails)
    assert found == pytest.approx(recovered, rel=1e-9)
    richer = 1 + 1e-6  # assays that rounding alone tells apart give no recovery
    if tails * richer < head < gold / pull / richer:
        by_assays = balance.two_product_recovery(head, gold / pull, tails)
        assert by_assays == pytest.approx(found, rel=1e-6)


@evidence("assay_call_factor", "derived", CALL)
@evidence("mill_call_factor", "derived", CALL)
def test_call_factors_are_each_others_inverse():
    assert h.assay_call_factor(12, 10) == pytest.approx(1.2, rel=1e-14)
    assert h.mill_call_factor(12, 10) == pytest.approx(10 / 12, rel=1e-14)
    assert h.mill_call_factor(10, 10) == 1


@given(st.floats(0, 1e3), st.floats(0, 1e3), st.floats(1e-3, 1e6), st.floats(0, 1e6))
def test_a_mixture_lies_between_its_parts(one, other, first, second):
    low, high = sorted([one, other])
    found = h.mixed_grade(first, one, second, other)
    assert low - 1e-9 <= found <= high + 1e-9


def test_nothing_to_weigh():
    with pytest.raises(BadValue, match="some mass"):
        h.mixed_grade(0, 5, 0, 5)
    with pytest.raises(BadValue, match="gold in the bullion or in the tails"):
        h.calculated_recovery(0, 1.5, 0)
    assert h.calculated_recovery(0, 1.5, 1) == 0
    assert h.calculated_recovery(14, 0, 0) == 1


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_nonsense(function):
    refuses_nonsense(function, **GOOD[function])


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_arrays(function):
    row = tuple(GOOD[function].values())
    arrays_are_scalars(function, row, tuple(0.5 * value for value in row))
