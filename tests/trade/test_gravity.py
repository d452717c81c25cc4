"""Liberation and table capture of gold, against published recoveries."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.trade import gravity as g
from pennyweight.trade.quantiles import normal_quantile

from ..evidence import evidence
from ..published import gravity_recovery as known
from .holding import arrays_are_scalars, refuses_nonsense

GOOD = {
    g.liberated_fraction: {"gold_size": 100, "product_p80": 300, "liberation_ratio": 4},
    g.freed_size: {
        "gold_size": 100,
        "product_p80": 300,
        "liberation_ratio": 4,
        "breakage": 0.2,
    },
    g.table_capture: {"gold_size": 100, "half_caught_size": 40},
    g.gravity_response: {
        "gold_size": 100,
        "product_p80": 300,
        "liberation_ratio": 4,
        "breakage": 0.2,
        "half_caught_size": 40,
    },
    g.recovery_at_grind: {
        "measured_recovery": 0.6,
        "response": 0.4,
        "measured_response": 0.5,
        "recoverable": 0.9,
    },
    g.table_capacity_at_grind: {
        "measured_capacity": 1,
        "measured_p80": 300,
        "product_p80": 150,
    },
}
SIZES = np.geomspace(20, 5000, 60)


def grains(median, spread=3.0):
    """Ten grain sizes of equal gold, lognormal."""
    return median * spread ** normal_quantile((np.arange(10) + 0.5) / 10)


def response(p80, median=120.0, **others):
    return np.mean(g.gravity_response(grains(median), p80, **others))


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_nonsense(function):
    refuses_nonsense(function, **GOOD[function])


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_arrays(function):
    row = tuple(GOOD[function].values())
    arrays_are_scalars(function, row, tuple(0.99 * value for value in row))


@evidence("liberated_fraction", "built", "fitted: " + known.BY_FRACTION_SOURCE)
def test_coarse_fractions_hold_locked_gold():
    size, recovery = np.array(known.BY_FRACTION).T
    found = g.liberated_fraction(known.BY_FRACTION_GRAIN, size)
    assert np.max(np.abs(found - recovery)) <= known.BY_FRACTION_MISFIT


@evidence("table_capture", "read", known.SLUICE_SOURCE)
def test_fine_gold_is_lost():
    size, recovery = np.array(known.SLUICE).T
    found = g.table_capture(size, known.SLUICE_HALF_CAUGHT)
    assert np.max(np.abs(found - recovery)) <= known.SLUICE_MISFIT


@evidence("recovery_at_grind", "read", known.STAMPS_SOURCE)
@pytest.mark.parametrize("median", [40, 120, 400])
def test_stamps_recover_less_than_hammer_mills(median):
    """Anchored on the hammer mill's grind, for fine and for coarse gold."""
    fine, coarse = (response(at["p80"], median) for at in (known.HAMMERS, known.STAMPS))
    found = g.recovery_at_grind(known.HAMMERS["at_least"], coarse, fine, 0.9)
    assert found <= known.STAMPS["at_most"]


@evidence("gravity_response", "read", known.RECOVERABLE_SOURCE)
def test_fine_gold_is_little_recoverable_and_coarse_gold_nearly_all():
    """A centrifuge catches finer gold than a table: half at 30 um, assumed."""
    for median, recovery in known.RECOVERABLE.items():
        each = g.gravity_response(
            grains(median, 2), known.RECOVERABLE_P80, half_caught_size=30
        )
        assert abs(np.mean(each) - recovery) <= known.RECOVERABLE_MISFIT


@evidence("freed_size", "derived", "limits: coarse grind, and no breakage")
def test_grains_keep_their_size_until_they_are_free():
    assert g.freed_size(100, 1e9) == pytest.approx(100, rel=1e-5)
    assert g.freed_size(100, 50, breakage=0) == 100
    assert np.all(np.diff(g.freed_size(100, SIZES)) > 0)


@evidence("table_capacity_at_grind", "memory", "Wills: 2 t/h at 1.5 mm, 0.5 at 125 um")
def test_tables_take_less_of_finer_feed():
    found = g.table_capacity_at_grind(2.0, 1500, 125)
    assert found == pytest.approx(0.5, rel=0.15)


@given(st.floats(0.01, 0.99), st.floats(0.01, 0.99), st.floats(0.3, 1))
def test_measured_recovery_holds_at_the_measured_grind(recovery, at, most):
    assert g.recovery_at_grind(recovery, at, at, most) == pytest.approx(recovery)


@given(
    st.floats(0.05, 0.95),
    st.floats(10, 2000),
    st.floats(1, 20),
    st.floats(0, 1),
    st.floats(10, 200),
    st.floats(50, 2000),
    st.floats(0.1, 1),
)
def test_recovery_turns_at_most_once(recovery, median, ratio, breakage, half, at, most):
    options = {
        "liberation_ratio": ratio,
        "breakage": breakage,
        "half_caught_size": half,
    }
    each = g.gravity_response(grains(median)[:, None], SIZES, **options)
    anchor = response(at, median, **options)
    found = g.recovery_at_grind(recovery, np.mean(each, axis=0), anchor, most)
    assert np.all((found > 0) & (found <= 1))
    steps = np.diff(found)
    steps = np.sign(steps[np.abs(steps) > 1e-12])
    assert np.all(np.diff(steps) <= 0), "rises towards one grind, then falls"
    if breakage == 0:
        assert np.all(steps <= 0)


@given(st.floats(0.05, 0.9), st.floats(0.05, 0.9), st.floats(0.05, 0.95))
def test_directions_of_the_anchor(recovery, response, measured):
    here = g.recovery_at_grind(recovery, response, measured, 0.9)
    assert g.recovery_at_grind(recovery + 0.05, response, measured, 0.9) >= here
    assert g.recovery_at_grind(recovery, response + 0.02, measured, 0.9) >= here
    assert (here - recovery) * (response - measured) >= -1e-15
