"""Lognormal samples, against publications, exact series and limits."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import lognormal as s
from pennyweight.trade.quantiles import normal_score

from ..evidence import evidence
from ..published import finney_four, olsson_2005
from .holding import refuses_nonsense

SERIES = "Sichel's own series, summed in exact fractions"
LIMITS = "cosh(sqrt V) for two samples, exp(V/2) for very many"
ROW = [1.2, 3.4, 0.8, 15.0, 2.2]

# n: gamma for V = 0.5, 1 and 2. Computed from the series, three figures.
FACTORS = {
    2: (1.261, 1.543, 2.178),
    5: (1.272, 1.591, 2.395),
    10: (1.277, 1.615, 2.519),
    20: (1.280, 1.630, 2.604),
    50: (1.282, 1.641, 2.668),
}


def sichel_series(count, variance, terms=200):
    """The series as Sichel gives it, term by term."""
    count, variance = Fraction(count), Fraction(variance)
    term = variance / 2
    total = 1 + term
    for order in range(2, terms):
        term *= (count - 1) * variance / (2 * order * (count + 2 * order - 3))
        total += term
    return float(total)


GOOD = {
    s.sichel_factor: {"count": 5, "variance": 1.0},
    s.lognormal_mean: {"assays": ROW, "constant": 0.1},
    s.lognormal_interval: {"assays": ROW, "confidence": 0.9, "constant": 0.1},
    s.lognormal_test: {"assays": ROW, "constant": 0.1},
}


@evidence("lognormal_mean", "read", finney_four.SOURCE)
@evidence("sichel_factor", "read", finney_four.SOURCE)
def test_finney_of_four_values():
    logs = np.log(finney_four.VALUES)
    assert np.var(logs, ddof=1) == pytest.approx(finney_four.LOG_VARIANCE, abs=5e-6)
    factor = s.sichel_factor(4, np.var(logs))
    assert factor == pytest.approx(finney_four.FACTOR, abs=5e-7)
    mean = s.lognormal_mean(finney_four.VALUES)
    assert mean == pytest.approx(finney_four.MEAN, abs=5e-7)
    assert mean == pytest.approx(0.0845188, abs=5e-8)


@evidence("lognormal_interval", "read", olsson_2005.SOURCE)
def test_modified_cox_of_forty_values():
    found = s.lognormal_interval(olsson_2005.OBSERVATIONS)
    # Printed from logarithms rounded to three figures: 0.05 % apart.
    assert found == pytest.approx(olsson_2005.MODIFIED_COX_95, rel=6e-4)
    assert found == pytest.approx(olsson_2005.FULL_PRECISION, rel=1e-12)


@evidence("sichel_factor", "derived", SERIES)
@pytest.mark.parametrize("count", [2, 3, 7, 40, 1000])
@pytest.mark.parametrize("variance", ["0.01", "0.5", "2", "9"])
def test_factor_against_the_series(count, variance):
    expected = sichel_series(count, variance)
    assert s.sichel_factor(count, float(variance)) == pytest.approx(expected, rel=1e-12)


@evidence("sichel_factor", "derived", LIMITS)
@given(st.floats(0, 20))
def test_factor_of_two_and_of_very_many(variance):
    two = s.sichel_factor(2, variance)
    assert two == pytest.approx(np.cosh(np.sqrt(variance)), rel=1e-12)
    # The next term of the limit is V²/(4n).
    many, limit = s.sichel_factor(1e6, variance), np.exp(variance / 2)
    assert many == pytest.approx(limit * (1 - variance**2 / 4e6), rel=1e-8)
    assert two <= s.sichel_factor(3, variance) * (1 + 1e-12)
    assert s.sichel_factor(3, variance) <= many * (1 + 1e-8)


@evidence("sichel_factor", "built", "three figures of the same series")
@pytest.mark.parametrize("count", FACTORS)
def test_table_of_factors(count):
    found = s.sichel_factor(count, np.array([0.5, 1.0, 2.0]))
    assert found == pytest.approx(FACTORS[count], abs=5e-4)


@evidence("lognormal_test", "read", finney_four.SOURCE)
def test_shapiro_wilk_of_four_values():
    statistic, _ = s.lognormal_test(finney_four.VALUES)
    assert statistic == pytest.approx(finney_four.W_OF_LOGARITHMS, abs=5e-4)
    # The same test of the values themselves, as logarithms of their exponentials:
    # 0.786 was printed from unrounded data, 0.7838 follows from the printed ones.
    statistic, _ = s.lognormal_test(np.exp(finney_four.VALUES))
    assert statistic == pytest.approx(finney_four.W_OF_VALUES, abs=0.0025)
    assert statistic == pytest.approx(_shapiro_wilk_of_four(finney_four.VALUES), 1e-3)


def _shapiro_wilk_of_four(values):
    """W with the coefficients of Shapiro & Wilk 1965, table 5, n = 4 (recalled)."""
    low, inner_low, inner_high, high = sorted(values)
    slope = 0.6872 * (high - low) + 0.1677 * (inner_high - inner_low)
    return slope**2 / np.sum((np.array(values) - np.mean(values)) ** 2)


@evidence("lognormal_credible", "derived", "words around the tested statistic")
def test_credible_in_words():
    assert "W 0.970" in s.lognormal_credible(finney_four.VALUES)
    assert "4 say little" in s.lognormal_credible(finney_four.VALUES)
    assert s.lognormal_credible(olsson_2005.OBSERVATIONS).endswith(").")
    even = np.linspace(1, 2, 60) ** 0.05
    assert "do not look lognormal" in s.lognormal_credible([*even, 40, 50])
    assert "Too few" in s.lognormal_credible([1, 2])
    assert "Too alike" in s.lognormal_credible([5, 5, 5])
    with pytest.raises(BadValue, match="no logarithm"):
        s.lognormal_credible([0, 1, 2])
    with pytest.raises(BadValue, match="assays"):
        s.lognormal_credible(["rich", "poor", "poor"])


def test_ten_thousand_samples():
    values = np.random.default_rng(1).lognormal(1.0, 1.5, 10_000)
    truth = np.exp(1.0 + 1.5**2 / 2)
    assert s.lognormal_mean(values) == pytest.approx(truth, rel=0.06)
    low, high = s.lognormal_interval(values)
    assert low < s.lognormal_mean(values) < high
    # Far wilder than any ore, and still finite: exp(V/2) is its limit from above.
    assert s.sichel_factor(10_000, 100.0) < np.exp(50)
    assert s.sichel_factor(10_000, 100.0) == pytest.approx(
        sichel_series(10_000, 100, 400), rel=1e-9
    )


def test_the_mean_has_no_bias():
    values = np.random.default_rng(2).lognormal(0.0, 1.0, (200_000, 5))
    found = np.mean(s.lognormal_mean(values))
    assert found == pytest.approx(np.exp(0.5), rel=0.01)


def test_rows_are_judged_one_by_one():
    rows = np.array([ROW, ROW[::-1], np.array(ROW) * 2])
    means = s.lognormal_mean(rows)
    assert means == pytest.approx([s.lognormal_mean(row) for row in rows], rel=1e-12)
    low, high = s.lognormal_interval(rows)
    assert low.shape == high.shape == (3,)
    assert isinstance(s.lognormal_mean(ROW), float)


@given(st.lists(st.floats(1, 100), min_size=2, max_size=12), st.floats(0.01, 0.9))
def test_a_constant_shifts_and_comes_off_again(values, constant):
    shifted = np.array(values) - constant
    mean = s.lognormal_mean(values) - constant
    assert s.lognormal_mean(shifted, constant) == pytest.approx(mean, rel=1e-9)
    ends = np.array(s.lognormal_interval(values)) - constant
    assert s.lognormal_interval(shifted, constant=constant) == pytest.approx(
        tuple(ends), rel=1e-9
    )


def test_twenty_samples_say_enough():
    values = olsson_2005.OBSERVATIONS[:20]
    assert s.lognormal_credible(values).endswith(").")
    assert s.lognormal_credible(values[:19]).endswith("but 19 say little.")


RYAN_JOINER = "Ryan & Joiner 1976 (as restated in two notes): n = 10 and n = 40"


@evidence("ryan_joiner_critical", "read", RYAN_JOINER)
@pytest.mark.parametrize(("count", "needed"), [(10, 0.9178948637), (40, 0.97148399)])
def test_straightness_needed(count, needed):
    assert s.ryan_joiner_critical(count) == pytest.approx(needed, abs=5e-9)


@evidence("ryan_joiner_critical", "package", "simulation with numpy: 5 % fall below")
def test_one_normal_sample_in_twenty_is_less_straight():
    rng, count = np.random.default_rng(7), 12
    rows = np.sort(rng.standard_normal((40_000, count)), axis=1)
    scores = normal_score(np.arange(1, count + 1), count)
    centred = rows - rows.mean(axis=1, keepdims=True)
    straight = centred @ scores / np.sqrt((centred**2).sum(1) * (scores**2).sum())
    assert np.mean(straight < s.ryan_joiner_critical(count)) == pytest.approx(
        0.05, abs=0.006
    )


def test_too_few_samples_for_straightness():
    with pytest.raises(BadValue, match="count"):
        s.ryan_joiner_critical(3)


@evidence("sichel_factor", "package", "scipy.special.hyp0f1")
@pytest.mark.parametrize("count", [2, 5, 60, 400])
@pytest.mark.parametrize("variance", [0, 0.3, 2.5, 9])
def test_factor_is_the_limit_function(count, variance):
    from scipy.special import hyp0f1

    expected = hyp0f1((count - 1) / 2, (count - 1) * variance / 4)
    assert s.sichel_factor(count, variance) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    "function", [s.lognormal_mean, s.lognormal_interval, s.lognormal_test]
)
def test_one_sample_is_not_enough(function):
    with pytest.raises(BadValue, match=r"at least (two|three)"):
        function([4.2])
    with pytest.raises(BadValue, match="assays"):
        function([4.2, -1.0, 3.0])


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_nonsense(function):
    refuses_nonsense(function, **GOOD[function])
