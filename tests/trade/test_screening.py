"""Screens and classifiers, against published cases and their balance."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import screening as s

from ..evidence import evidence
from ..published import pulps as known
from .holding import arrays_are_scalars, refuses_nonsense


@evidence("screen_effectiveness", "read", known.SCREEN_SOURCE)
def test_effectiveness_of_a_question():
    shares, printed = known.SCREEN
    assert s.screen_effectiveness(*shares) == pytest.approx(printed, abs=5e-4)


@evidence("screen_effectiveness", "memory", known.MCCABE_SCREEN_SOURCE)
def test_effectiveness_of_a_textbook():
    shares, printed = known.MCCABE_SCREEN
    assert s.screen_effectiveness(*shares) == pytest.approx(printed, abs=5e-4)


@evidence("screen_efficiency", "derived", "fines followed through a screen")
@given(st.floats(0.1, 0.9), st.floats(0.05, 0.99), st.floats(0, 0.2))
def test_fines_followed_through_a_screen(fines, caught, coarse):
    """Of the fines a share falls through, and of the coarse a smaller one."""
    through, lost = fines * caught, fines * (1 - caught)
    stray = (1 - fines) * coarse * caught
    undersize = through / (through + stray)
    oversize = lost / (lost + (1 - fines) - stray)
    found = s.screen_efficiency(fines, oversize, undersize)
    if oversize < fines < undersize:
        assert found == pytest.approx(caught, rel=1e-6)


@evidence("circulating_load", "derived", "solids and fines followed round a mill")
@given(st.floats(0.3, 6), st.floats(0, 0.3), st.floats(0.5, 1))
def test_fines_followed_round_a_mill(load, sands, overflow):
    discharge = (load * sands + overflow) / (load + 1)
    found = s.circulating_load(discharge, sands, overflow)
    assert found == pytest.approx(load, rel=1e-9)


@evidence("circulating_load", "derived", "the same by the water with a ton of solids")
def test_load_by_water():
    # 250 t of sands with 60 t of water, 100 t of overflow with 300 t.
    found = s.circulating_load(360 / 350, 60 / 250, 300 / 100)
    assert found == pytest.approx(2.5, rel=1e-12)


def test_impossible_balances():
    with pytest.raises(BadValue, match="above the sands"):
        s.circulating_load(0.2, 0.3, 0.8)
    with pytest.raises(BadValue, match="above the overflow"):
        s.circulating_load(0.9, 0.3, 0.8)
    with pytest.raises(BadValue, match="more fines than the feed"):
        s.screen_efficiency(0.5, 0.6)


def test_nonsense_and_arrays():
    refuses_nonsense(s.circulating_load, discharge=0.4, sands=0.2, overflow=0.8)
    refuses_nonsense(s.screen_efficiency, feed=0.6, oversize=0.2, undersize=1)
    arrays_are_scalars(s.screen_effectiveness, (0.4, 0.05, 0.9), (0.5, 0.1, 0.8))
