"""Distributions against SciPy's, and the parameters that they refuse."""

import numpy as np
import pytest
from scipy import stats

from pennyweight.errors import BadValue
from pennyweight.risk.distribution_kinds import check_bounds, distribution
from pennyweight.risk.distributions import MeanOf
from pennyweight.trade.lognormal import lognormal_interval
from pennyweight.trade.samples import arithmetic_interval

CHANCES = np.linspace(0.001, 0.999, 97)

SAME = (
    # ours, scipy's
    (("uniform", [2, 5]), stats.uniform(2, 3)),
    (("triangular", [1, 2, 4]), stats.triang(1 / 3, 1, 3)),
    (("triangular", [1, 1, 4]), stats.triang(0, 1, 3)),
    (("triangular", [1, 4, 4]), stats.triang(1, 1, 3)),
    (("pert", [1, 2, 4]), stats.beta(1 + 4 / 3, 5 - 4 / 3, 1, 3)),
    (("normal", [3, 2]), stats.norm(3, 2)),
    (("lognormal", [3, 0.4]), stats.lognorm(0.4, scale=3)),
)


@pytest.mark.parametrize(("ours", "theirs"), SAME, ids=[str(pair[0]) for pair in SAME])
def test_quantiles_are_scipys(ours, theirs):
    found = distribution(*ours).quantile(CHANCES)
    np.testing.assert_allclose(found, theirs.ppf(CHANCES), rtol=1e-12)


@pytest.mark.parametrize(
    ("low", "high", "scale", "back"),
    [(1, 8, np.log, np.exp), (0, 8, np.array, np.array), (-3, 5, np.array, np.array)],
)
def test_the_middle_value_is_the_median_between_two_halves_of_triangles(
    low, high, scale, back
):
    """Of logarithms by scipy's triangle, on each side of 2; of 0 or less by values."""
    ends, middle = [float(scale(end)) for end in (low, high)], float(scale(2))
    left = stats.triang(1, ends[0], middle - ends[0])
    right = stats.triang(0, middle, ends[1] - middle)
    below = CHANCES < 0.5
    wanted = np.where(below, left.ppf(2 * CHANCES), right.ppf(2 * CHANCES - 1))
    found = distribution("median", [low, 2, high])
    np.testing.assert_allclose(found.quantile(CHANCES), back(wanted), rtol=1e-12)
    assert found.middle() == 2.0 and found.ends == (low, high)


def test_pert_mean_is_the_one_of_1959():
    """Malcolm and others 1959: (low + 4 likely + high) / 6."""
    chances = (np.arange(200_000) + 0.5) / 200_000
    found = distribution("pert", [1, 2, 6]).quantile(chances)
    assert found.mean() == pytest.approx((1 + 8 + 6) / 6, rel=1e-6)


@pytest.mark.parametrize("lognormal", [False, True])
def test_mean_of_measures_ends_where_the_interval_does(lognormal):
    """At 90 % confidence, the interval's ends are the 5 and 95 % quantiles."""
    measures = (2.0, 4.0, 4.0, 7.0, 12.0, 30.0)
    interval = lognormal_interval if lognormal else arithmetic_interval
    found = MeanOf(measures, lognormal).quantile(np.array([0.05, 0.95]))
    np.testing.assert_allclose(found, interval(measures, 0.9), rtol=1e-12)


def test_mean_of_lots_is_students_t():
    lots = np.array([0.58, 0.66, 0.61, 0.63])
    theirs = stats.t(3, lots.mean(), lots.std(ddof=1) / 2)
    found = MeanOf(tuple(lots)).quantile(CHANCES)
    np.testing.assert_allclose(found, theirs.ppf(CHANCES), rtol=1e-9)


@pytest.mark.thorough
def test_mean_of_lots_covers_the_truth_as_often_as_it_says():
    """Built: 4000 sets of five normal lots; 80 % must hold the truth."""
    rng = np.random.default_rng(5)
    sets = rng.normal(0.6, 0.05, (4000, 5))
    held = 0
    for lots in sets:
        low, high = MeanOf(tuple(lots)).quantile(np.array([0.1, 0.9]))
        held += low <= 0.6 <= high
    assert held / 4000 == pytest.approx(0.8, abs=4 * np.sqrt(0.8 * 0.2 / 4000))


def test_middle_moves_and_spread_with_it():
    free, moved = MeanOf((1.0, 2.0, 3.0)), MeanOf((1.0, 2.0, 3.0), False, 4.0)
    assert moved.middle() == pytest.approx(4.0)
    np.testing.assert_allclose(
        moved.quantile(CHANCES), 2 * free.quantile(CHANCES), rtol=1e-12
    )


@pytest.mark.parametrize(
    ("kind", "numbers"),
    [
        ("triangular", [3, 2, 1]),
        ("triangular", [1, 5, 4]),
        ("pert", [1, 0, 2]),
        ("uniform", [2, 1]),
        ("normal", [1, -1]),
        ("lognormal", [0, 0.1]),
        ("lognormal", [1, float("nan")]),
        ("fixed", [float("inf")]),
        ("normal", [1]),
        ("bell", [1, 2]),
        ("lots", [0.6]),
        ("assays", []),
        ("assays", [0.0, 1.0]),
    ],
)
def test_refused(kind, numbers):
    with pytest.raises(BadValue):
        distribution(kind, numbers)


def test_low_above_high_is_said():
    with pytest.raises(BadValue, match="low 3, most likely 2, high 1"):
        distribution("triangular", [3, 2, 1])


def test_ends_beyond_bounds_are_refused_and_thin_tails_are_not():
    with pytest.raises(BadValue, match="Share of it"):
        check_bounds(distribution("uniform", [0.5, 1.1]), 0, 1, "Share of it", "")
    with pytest.raises(BadValue, match="98% of it"):
        check_bounds(distribution("normal", [0.9, 0.1]), 0, 1, "Share", "")
    check_bounds(distribution("normal", [0.5, 0.1]), 0, 1, "Share", "")
