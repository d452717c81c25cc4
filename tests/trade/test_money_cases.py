"""Time value of money, against more published cases."""

import numpy as np
import pytest

from pennyweight.trade import money as m

from ..evidence import evidence
from ..published import money_cases as known

MINE = known.SMALL_MINE


@evidence("net_present_value", "read", known.SMALL_MINE_SOURCE)
def test_net_present_value_of_a_small_mine():
    value = m.net_present_value(MINE["rate"], MINE["flows"])
    assert value == pytest.approx(MINE["value"], abs=0.00005 * 1_500_000)
    # The table rounds each of its five discounted flows to the dollar.
    assert value == pytest.approx(MINE["value_by_table"], abs=2.5)
    annuity = (1 - 1.12**-5) / 0.12
    assert value == pytest.approx(1_500_000 * annuity - 5_000_000, rel=1e-12)


@evidence("internal_rate", "read", known.SMALL_MINE_SOURCE)
def test_rate_of_return_of_a_small_mine():
    assert m.internal_rate(MINE["flows"]) == pytest.approx(
        MINE["internal_rate"], abs=5e-5
    )


@evidence("discount_factor", "read", known.SMALL_MINE_SOURCE)
def test_discounted_flows_of_a_small_mine():
    factors = m.discount_factor(MINE["rate"], np.arange(6))
    discounted = factors * MINE["flows"]
    assert discounted == pytest.approx(MINE["discounted"], abs=0.5)


@evidence("payback", "read", known.SMALL_MINE_SOURCE)
def test_discounted_payback_of_a_small_mine():
    factors = m.discount_factor(MINE["rate"], np.arange(6))
    periods = m.payback(factors * MINE["flows"])
    assert periods == pytest.approx(MINE["discounted_payback"], abs=5e-3)


@evidence("internal_rate", "read", known.CELLWORKS_SOURCE)
def test_rate_of_one_manual():
    flows, printed = known.CELLWORKS
    assert m.internal_rate(flows) == pytest.approx(printed, abs=5e-5)


@evidence("internal_rate", "read", known.GREYTROUT_SOURCE)
def test_rate_of_another_manual():
    flows, printed = known.GREYTROUT
    assert m.internal_rate(flows) == pytest.approx(printed, abs=5e-8)


@evidence("internal_rate", "read", known.CLICKHOUSE_SOURCE)
def test_rate_to_sixteen_digits():
    flows, printed = known.CLICKHOUSE
    assert m.internal_rate(flows) == pytest.approx(printed, rel=1e-13)


def test_a_rate_in_print_that_is_one_of_two_is_not_given():
    flows, printed = known.GREYTROUT_CLOSURE
    for root in (printed, 0.700065025319):
        assert m.net_present_value(root, flows) == pytest.approx(0, abs=1e-5)
    answer = m.internal_rate(flows)
    assert np.isnan(answer)
    assert answer.reason == "none: several rates fit"


def test_tax_after_the_end_does_not_hide_the_rate():
    """A late bill adds a second rate, here -84%; only the other one tells anything."""
    flows = [-100.0, 60.0, 60.0, 60.0, -5.0]
    rate = m.internal_rate(flows)
    assert m.net_present_value(rate, flows) == pytest.approx(0, abs=1e-9)
    assert 0.3 < rate < 0.4
