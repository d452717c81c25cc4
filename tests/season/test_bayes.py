"""Bayesian updates against published examples, and coverage by simulation."""

import math

import numpy as np
import pytest
from scipy import stats

from pennyweight.season.bayes import NormalInverseChiSquared, cusum, prior_of
from pennyweight.season.learn import drift_of

MIDGES = (1.64, 1.70, 1.72, 1.74, 1.82, 1.82, 1.82, 1.90, 2.08)


def test_normal_mean_with_unknown_scatter():
    """Hoff 2009, A First Course in Bayesian Statistical Methods, chapter 5."""
    after = NormalInverseChiSquared(1.9, 1.0, 1.0, 0.01).update(MIDGES)
    assert after.mean == pytest.approx(1.814, abs=5e-4)
    assert after.variance == pytest.approx(0.015324, abs=2e-5)
    assert (after.weight, after.degrees, after.count) == (10, 10, 9)


def test_variance_as_boost_math_has_it():
    """Inverse chi-squared example of the Boost Math documentation."""
    values = np.array([-1.0, 1.0] * 50) * math.sqrt(55 * 99 / 100)
    after = NormalInverseChiSquared(0.0, 1e-9, 20.0, 25.0).update(values)
    degrees, variance = after.degrees, after.variance
    assert (degrees, variance) == (120, pytest.approx(49.54, abs=5e-3))
    quantiles = degrees * variance / stats.chi2.isf([0.025, 0.5, 0.975], degrees)
    assert quantiles == pytest.approx([39.1, 49.8, 64.9], abs=0.05)


def test_many_lots_outweigh_the_plan_and_none_leaves_it():
    before = prior_of(0.62, 0.5, 0.75, "logit", 0.25)
    assert before.update([]).median == pytest.approx(0.62)
    assert before.update([0.55] * 2000).median == pytest.approx(0.55, abs=1e-3)
    after = before.update([0.60, 0.58])
    assert 0.58 < after.median < 0.62
    assert after.quantile(0.1) < after.median < after.quantile(0.9)
    assert after.predictive_quantile(0.1) < after.quantile(0.1)


def coverage(seasons, lots=10, seed=1):
    """Share of seasons whose true mean is in the 80% and in the 90% interval, and the
    root mean square error after over before."""
    rng = np.random.default_rng(seed)
    before = NormalInverseChiSquared(0.0, 4.0, 5.0, 1.0)
    inside, errors = np.zeros(2), np.zeros(2)
    for _ in range(seasons):
        scatter = math.sqrt(5 / rng.chisquare(5))
        mean = rng.normal(0, scatter / math.sqrt(4.0))
        after = before.update(rng.normal(mean, scatter, lots))
        for at, tail in enumerate((0.1, 0.05)):
            low, high = after.quantile(tail), after.quantile(1 - tail)
            inside[at] += low <= mean <= high
        errors += mean**2, (after.mean - mean) ** 2
    return *(inside / seasons), math.sqrt(errors[1] / errors[0])


def test_intervals_cover_and_the_error_falls():
    eighty, ninety, error = coverage(2000)
    assert eighty == pytest.approx(0.8, abs=0.03)
    assert ninety == pytest.approx(0.9, abs=0.025)
    # Ten lots beside a plan that is worth four: the square root of 4 over 14.
    assert error == pytest.approx(math.sqrt(4 / 14), rel=0.1)


def test_cusum_as_montgomery_and_runger_have_it():
    """Applied Statistics and Probability for Engineers, page 636."""
    values = np.array([102.0, 94.8, 98.3, 98.4, 102.0, 98.5])
    up, down = cusum(values - 99, 1)
    assert up == pytest.approx([2, 0, 0, 0, 2, 0.5])
    assert down == pytest.approx([0, 3.2, 2.9, 2.5, 0, 0])


def test_run_length_of_the_cusum():
    """Two-sided, slack 0.5, limit 4, a shift of one: 8.38 (Montgomery and Runger)."""
    rng = np.random.default_rng(5)
    lengths = []
    for _ in range(1500):
        above = below = 0.0
        for count in range(1, 500):
            score = rng.normal(1.0)
            above, below = max(0, above + score - 0.5), max(0, below - score - 0.5)
            if max(above, below) > 4:
                lengths.append(count)
                break
    assert np.mean(lengths) == pytest.approx(8.38, rel=0.06)


def test_a_recovery_that_falls_is_told_and_a_steady_one_is_not():
    before = prior_of(0.62, 0.5, 0.75, "logit", 0.25)
    rng = np.random.default_rng(2)
    steady = 0.62 + rng.normal(0, 0.02, 20)
    assert drift_of(before, steady) == ""
    falling = np.concatenate([steady[:10], 0.5 + rng.normal(0, 0.02, 5)])
    assert drift_of(before, falling).startswith("It falls: the last 5 lots")
