"""Random settlements and ledgers compared with decimal arithmetic, to the cent."""

import pytest

from ..thorough import sampled
from . import naive


@pytest.mark.parametrize("units", sampled(["us", "metric"], 2))
def test_a_naive_settlement_in_decimals_agrees_to_the_cent(units):
    """And the parties share exactly the metal there is."""
    assert naive.settlements_that_differ(500, 16, units) == []


@pytest.mark.parametrize("units", sampled(["metric", "us"], 2))
def test_a_naive_ledger_in_decimals_agrees_to_the_cent(units):
    for seed in range(4):
        assert naive.ledgers_that_differ(25, seed, units) == []
