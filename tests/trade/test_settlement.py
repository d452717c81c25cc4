"""Settlement of a lot, to the cent."""

import math
from decimal import ROUND_CEILING, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.trade import settlement as s
from pennyweight.trade.head import mill_call_factor

from ..evidence import evidence
from .holding import arrays_are_scalars, refuses_nonsense

GOOD = {
    s.net_to_owner: {"metal": 5000, "charges": 1800, "deposit": 500, "advances": 20},
    s.gold_balance_difference: {"gold_fed": 4, "gold_found": 3.8},
    s.round_to_cents: {"amount": 12.3456},
    s.cumulative_rounding: {"before": 0.334, "amount": 0.335},
}


@evidence("net_to_owner", "derived", "worked by hand in docs/contracts.md")
def test_net_to_the_owner_and_what_the_owner_owes():
    assert s.net_to_owner(5000, 1800, 500, 2000) == 1700
    assert s.net_to_owner(300, 1800, 500) == -1000


@evidence(
    "gold_balance_difference",
    "derived",
    "the call factor less one",
)
def test_gap_is_the_call_factor_less_one():
    assert s.gold_balance_difference(4.0, 3.8) == pytest.approx(3.8 / 4 - 1, rel=1e-14)
    called = mill_call_factor(4.0, 3.8)
    assert s.gold_balance_difference(4.0, 3.8) == pytest.approx(called - 1, rel=1e-12)


@evidence("round_to_cents", "derived", "rounding by hand, half a cent up")
def test_whole_cents():
    for amount, cents in ((0.005, 0.01), (2.004, 2.0), (-0.005, 0.0), (-1.996, -2.0)):
        assert s.round_to_cents(amount) == pytest.approx(cents, abs=1e-12)


@given(st.integers(-(10**8), 10**8))
def test_half_a_cent_goes_up_however_it_is_stored(cents):
    """1.005 is stored as a little less, 1.015 as a little more."""
    halves = Decimal(2 * cents + 1) / 200
    up = halves.quantize(Decimal("0.01"), ROUND_CEILING)
    assert s.round_to_cents(float(halves)) == pytest.approx(float(up), abs=1e-9)


@evidence("cumulative_rounding", "derived", "the sums of the parts, in whole cents")
@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=12))
def test_printed_amounts_add_up_and_stay_within_a_cent(amounts):
    before, printed = 0.0, 0.0
    for amount in amounts:
        shown = s.cumulative_rounding(before, amount)
        assert abs(shown - amount) < 0.01 + 1e-6
        before, printed = before + amount, printed + shown
    assert printed == pytest.approx(s.round_to_cents(before), abs=1e-6)
    assert math.isclose(printed, before, abs_tol=0.00501)


@pytest.mark.parametrize("function", GOOD)
def test_nonsense_and_arrays(function):
    refuses_nonsense(function, **GOOD[function])
    row = tuple(float(value) for value in GOOD[function].values())
    arrays_are_scalars(function, row, row)
