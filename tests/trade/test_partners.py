"""Catch-up, earn-in and dilution, against published cases."""

import pytest

from pennyweight.trade import partners

from ..evidence import evidence


@evidence("catch_up", "read", "analystforum.com 154723")
def test_catch_up_in_full():
    assert partners.catch_up(4.0, 0.2, 1.0) == pytest.approx(1.0)


@evidence("catch_up", "derived", "half of the tier: k P / (q - k)")
def test_catch_up_by_half():
    assert partners.catch_up(4.0, 0.2, 0.5) == pytest.approx(8 / 3)
    assert partners.catch_up(4.0, 0.2, 0.2) == 0


@evidence("interest_after_dilution", "read", "scribd 372601405: 6m by three, A stops")
def test_three_partners_of_which_one_stops():
    found = partners.interest_after_dilution(2.0, 6.0, 6.0)
    assert found == pytest.approx(0.167, abs=5e-4)
    assert (1 - found) / 2 == pytest.approx(0.417, abs=5e-4)


@evidence("owner_initial_value", "derived", "60% for 3.0m: the owner's 40% are 2.0m")
def test_value_of_the_owner_of_an_earn_in():
    value = partners.owner_initial_value(3e6, 0.6)
    assert value == pytest.approx(2e6)
    left = partners.interest_after_dilution(value, value + 3e6, 1e6)
    assert left == pytest.approx(1 / 3)
