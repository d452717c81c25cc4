"""Means of few samples, against published data, scipy and exact series."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import samples as s

from ..evidence import evidence
from ..published import finney_four, olsson_2005
from .holding import refuses_nonsense

SERIES = "Sichel's own series, summed in exact fractions"
LIMITS = "cosh(sqrt V) for two samples, exp(V/2) for very many"
ROW = [1.2, 3.4, 0.8, 15.0, 2.2]

GOOD = {
    s.arithmetic_mean: {"assays": ROW},
    s.weighted_mean: {"assays": ROW, "weights": [1, 2, 1, 1, 3]},
    s.largest_share: {"assays": ROW},
    s.coefficient_of_variation: {"assays": ROW},
    s.arithmetic_interval: {"assays": ROW, "confidence": 0.9},
    s.sichel_factor: {"count": 5, "variance": 1.0},
    s.lognormal_mean: {"assays": ROW, "constant": 0.1},
    s.lognormal_interval: {"assays": ROW, "confidence": 0.9, "constant": 0.1},
    s.lognormal_test: {"assays": ROW, "constant": 0.1},
    s.mean_grade: {"assays": ROW, "method": "lognormal", "constant": 0.1},
}
NEEDS_SPREAD = [
    s.coefficient_of_variation,
    s.arithmetic_interval,
    s.lognormal_mean,
    s.lognormal_interval,
    s.lognormal_test,
]

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


@evidence("arithmetic_mean", "read", olsson_2005.SOURCE)
@evidence("coefficient_of_variation", "read", olsson_2005.SOURCE)
def test_summary_of_forty_values():
    values = olsson_2005.OBSERVATIONS
    mean, deviation = olsson_2005.MEAN, olsson_2005.DEVIATION
    assert s.arithmetic_mean(values) == pytest.approx(mean, abs=6e-4)
    assert s.coefficient_of_variation(values) == pytest.approx(
        deviation / mean, abs=3e-6
    )
    assert np.mean(np.log(values)) == pytest.approx(olsson_2005.LOG_MEAN, abs=5e-4)


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


@evidence("arithmetic_interval", "package", "scipy.stats.t.interval")
@settings(deadline=None)  # the first call imports scipy.stats
@given(
    st.lists(st.floats(0.1, 100), min_size=2, max_size=12, unique=True),
    st.floats(0.5, 0.99),
)
def test_t_interval_against_scipy(values, confidence):
    from scipy.stats import sem, t

    freedom, middle = len(values) - 1, np.mean(values)
    expected = t.interval(confidence, freedom, loc=middle, scale=sem(values))
    found = s.arithmetic_interval(values, confidence)
    assert found == pytest.approx(tuple(expected), rel=1e-9, abs=1e-9)


@evidence("weighted_mean", "package", "numpy.average")
@given(st.lists(st.tuples(st.floats(0, 100), st.floats(0.1, 9)), min_size=1))
def test_weighted_mean_against_numpy(rows):
    values, weights = np.transpose(rows)
    expected = np.average(values, weights=weights)
    assert s.weighted_mean(values, weights) == pytest.approx(expected, rel=1e-12)
    assert s.weighted_mean(values, np.full(len(values), 3)) == pytest.approx(
        s.arithmetic_mean(values), rel=1e-12
    )


@evidence("coefficient_of_variation", "package", "scipy.stats.variation")
def test_variation_against_scipy():
    from scipy.stats import variation

    assert s.coefficient_of_variation(ROW) == pytest.approx(
        variation(ROW, ddof=1), rel=1e-14
    )


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


@evidence("largest_share", "derived", "one assay over the sum of all")
def test_largest_share():
    assert s.largest_share(ROW) == pytest.approx(15 / 22.6, rel=1e-14)
    assert s.largest_share([0, 0, 3]) == 1
    with pytest.raises(BadValue, match="above zero"):
        s.largest_share([0, 0])


@given(st.floats(0.01, 100), st.integers(2, 30))
def test_equal_samples_collapse_to_their_value(value, count):
    values = [value] * count
    assert s.lognormal_mean(values) == pytest.approx(value, rel=1e-12)
    assert s.lognormal_interval(values) == pytest.approx((value, value), rel=1e-9)
    assert s.arithmetic_interval(values) == pytest.approx((value, value), rel=1e-9)
    assert s.coefficient_of_variation(values) == pytest.approx(0, abs=1e-12)


@given(st.lists(st.floats(0.01, 100), min_size=2, max_size=20), st.floats(0.1, 1e3))
def test_means_scale_with_the_unit(values, unit):
    scaled = unit * np.array(values)
    assert s.lognormal_mean(scaled) == pytest.approx(
        unit * s.lognormal_mean(values), rel=1e-9
    )
    low, high = s.lognormal_interval(values)
    assert low <= np.exp(np.mean(np.log(values))) * np.exp(
        np.var(np.log(values), ddof=1) / 2
    ) * (1 + 1e-12)
    assert s.lognormal_interval(values, 0.5)[1] <= high * (1 + 1e-12)


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


def test_too_few_or_alike_for_a_shape():
    with pytest.raises(BadValue, match="at least three"):
        s.lognormal_test([1, 2])
    with pytest.raises(BadValue, match="no spread to judge"):
        s.lognormal_test([5, 5, 5])
    assert s.lognormal_test([1, 2, 4])[0] == pytest.approx(1, abs=1e-6)
    with pytest.raises(BadValue, match="above zero"):
        s.coefficient_of_variation([0, 0])


def test_twenty_samples_say_enough():
    values = olsson_2005.OBSERVATIONS[:20]
    assert s.lognormal_credible(values).endswith(").")
    assert s.lognormal_credible(values[:19]).endswith("but 19 say little.")


def test_zeros_need_a_constant():
    values = [0, 1.0, 4.0]
    for function in (s.lognormal_mean, s.lognormal_interval, s.lognormal_test):
        with pytest.raises(BadValue, match="additive constant"):
            function(values)
    assert 0 < s.lognormal_mean(values, constant=0.05) < 4
    assert s.arithmetic_mean(values) == pytest.approx(5 / 3)


@pytest.mark.parametrize("function", NEEDS_SPREAD, ids=lambda f: f.__name__)
def test_one_sample_is_not_enough(function):
    with pytest.raises(BadValue, match=r"at least (two|three)"):
        function([4.2])
    with pytest.raises(BadValue, match="assays"):
        function([4.2, -1.0, 3.0])


@evidence("mean_grade", "read", finney_four.SOURCE)
@evidence("mean_grade_methods", "derived", "words around the tested numbers")
def test_both_methods():
    values = finney_four.VALUES
    assert s.mean_grade(values, "lognormal") == pytest.approx(
        finney_four.MEAN, abs=5e-7
    )
    assert s.mean_grade(values) == s.arithmetic_mean(values) == 0.088
    methods = s.mean_grade_methods(values)
    assert "67 %" in methods["arithmetic"]
    assert methods["lognormal"] == s.lognormal_credible(values)


def test_weights_of_nothing():
    with pytest.raises(BadValue, match="weight"):
        s.weighted_mean([1, 2], [0, 0])
    with pytest.raises(BadValue, match="a weight of its own"):
        s.weighted_mean([1, 2], [1, 2, 3])


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_nonsense(function):
    refuses_nonsense(function, **GOOD[function])


RYAN_JOINER = "Ryan & Joiner 1976 (as restated in two notes): n = 10 and n = 40"


@evidence("straightness_needed", "read", RYAN_JOINER)
@pytest.mark.parametrize(("count", "needed"), [(10, 0.9178948637), (40, 0.97148399)])
def test_straightness_needed(count, needed):
    assert s.straightness_needed(count) == pytest.approx(needed, abs=5e-9)


@evidence("straightness_needed", "package", "simulation with numpy: 5 % fall below")
def test_one_normal_sample_in_twenty_is_less_straight():
    rng, count = np.random.default_rng(7), 12
    rows = np.sort(rng.standard_normal((40_000, count)), axis=1)
    scores = s.normal_score(np.arange(1, count + 1), count)
    centred = rows - rows.mean(axis=1, keepdims=True)
    straight = centred @ scores / np.sqrt((centred**2).sum(1) * (scores**2).sum())
    assert np.mean(straight < s.straightness_needed(count)) == pytest.approx(
        0.05, abs=0.006
    )


def test_too_few_samples_for_straightness():
    with pytest.raises(BadValue, match="count"):
        s.straightness_needed(3)


@evidence("sichel_factor", "package", "scipy.special.hyp0f1")
@pytest.mark.parametrize("count", [2, 5, 60, 400])
@pytest.mark.parametrize("variance", [0, 0.3, 2.5, 9])
def test_factor_is_the_limit_function(count, variance):
    from scipy.special import hyp0f1

    expected = hyp0f1((count - 1) / 2, (count - 1) * variance / 4)
    assert s.sichel_factor(count, variance) == pytest.approx(expected, rel=1e-12)


@evidence("weighted_mean", "package", "numpy.average, along either axis")
def test_weighted_mean_along_an_axis():
    rng = np.random.default_rng(3)
    assays, weights = rng.uniform(0, 9, (6, 4)), rng.uniform(0.1, 2, (6, 4))
    for axis in (0, -1):
        expected = np.average(assays, weights=weights, axis=axis)
        found = s.weighted_mean(assays, weights, axis=axis)
        assert found == pytest.approx(expected, rel=1e-12)
