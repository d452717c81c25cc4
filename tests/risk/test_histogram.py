"""The histogram against NumPy on all values at once."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pennyweight.risk.histogram import Bins, Histogram

VALUES = np.random.default_rng(3).lognormal(1, 0.8, 50_000)


def histogram(values, first=1000, parts=7):
    found = Histogram(Bins.around(values[:first]))
    for part in np.array_split(values, parts):
        found.add(part)
    return found


@pytest.mark.parametrize("share", [0.01, 0.1, 0.5, 0.9, 0.99])
def test_quantiles_are_numpys_to_a_bin(share):
    found = histogram(VALUES)
    assert found.quantile(share) == pytest.approx(
        np.quantile(VALUES, share), abs=found.bins.width
    )


def test_mean_and_shortfall_are_exact():
    found, ordered = histogram(VALUES), np.sort(VALUES)
    assert found.mean() == pytest.approx(VALUES.mean(), rel=1e-12)
    assert found.shortfall(0.1) == pytest.approx(ordered[:5000].mean(), rel=1e-4)


def test_merging_is_as_adding():
    whole, halves = (
        histogram(VALUES),
        [Histogram(Bins.around(VALUES[:1000])) for _ in "ab"],
    )
    halves[0].add(VALUES[:20_000])
    halves[1].add(VALUES[20_000:])
    halves[0].merge(halves[1])
    assert (halves[0].counts == whole.counts).all()
    assert halves[0].quantile(0.3) == whole.quantile(0.3)


def test_no_figure_counts_as_above_all():
    found = Histogram(Bins.of_whole(0, 120))
    found.add(np.array([10.0, 20.0, 30.0, np.nan]))
    assert found.quantile(0.5) == 20
    assert np.isnan(found.quantile(0.9))
    assert (found.none, found.trials) == (1, 4)


def test_all_equal_gives_the_value_itself():
    found = histogram(np.full(300, 0.1 + 0.2))
    assert found.quantile(0.1) == found.mean() == found.shortfall(0.1) == 0.1 + 0.2


def test_empty():
    found = Histogram(Bins.around(np.array([np.nan])))
    found.add(np.array([np.nan, np.nan]))
    assert np.isnan(found.mean()) and np.isnan(found.quantile(0.5))


@settings(max_examples=50, deadline=None)
@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=300))
def test_quantiles_rise_and_stay_within(values):
    values = np.array(values)
    found = histogram(values, first=2, parts=2)
    steps = [found.quantile(share) for share in (0.1, 0.3, 0.5, 0.7, 0.9)]
    assert steps == sorted(steps)
    assert values.min() <= steps[0] and steps[-1] <= values.max()


def test_histogram_holds_every_trial_on_round_edges():
    edges, shares = histogram(VALUES).columns()
    assert shares.sum() == pytest.approx(1)
    assert len(edges) == len(shares) + 1
    step = edges[1] - edges[0]
    np.testing.assert_allclose(edges / step, np.round(edges / step), atol=1e-9)
