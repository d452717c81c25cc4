"""Means of few samples, against published data, and scipy."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import lognormal
from pennyweight.trade import samples as s

from ..evidence import evidence
from ..published import finney_four, olsson_2005
from .holding import refuses_nonsense

ROW = [1.2, 3.4, 0.8, 15.0, 2.2]

GOOD = {
    s.arithmetic_mean: {"assays": ROW},
    s.weighted_mean: {"assays": ROW, "weights": [1, 2, 1, 1, 3]},
    s.effective_number: {"weights": [1, 2, 1, 1, 3]},
    s.largest_share: {"assays": ROW},
    s.coefficient_of_variation: {"assays": ROW},
    s.arithmetic_interval: {"assays": ROW, "confidence": 0.9},
    s.mean_grade: {"assays": ROW, "method": "lognormal", "constant": 0.1},
}
NEEDS_SPREAD = [s.coefficient_of_variation, s.arithmetic_interval]


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


@evidence("effective_number", "derived", "variance of a weighted mean, by simulation")
def test_effective_number_is_that_of_equal_weights():
    """Var(sum w x / sum w) = s^2 sum w^2 / (sum w)^2, for independent x."""
    assert s.effective_number([2.5] * 7) == pytest.approx(7, rel=1e-15)
    assert s.effective_number([100] + [1] * 9) == pytest.approx(109**2 / 10_009)
    weights = np.array([3.0, 1.0, 1.0, 0.5, 2.0])
    draws = np.random.default_rng(5).normal(10, 2, (200_000, 5))
    found = np.var(draws @ weights / weights.sum())
    assert found == pytest.approx(4 / s.effective_number(weights), rel=0.02)
    with pytest.raises(BadValue, match="At least one weight"):
        s.effective_number([0.0, 0.0])


@evidence("largest_share", "derived", "one assay over the sum of all")
def test_largest_share():
    assert s.largest_share(ROW) == pytest.approx(15 / 22.6, rel=1e-14)
    assert s.largest_share([0, 0, 3]) == 1
    with pytest.raises(BadValue, match="above zero"):
        s.largest_share([0, 0])


@given(st.floats(0.01, 100), st.integers(2, 30))
def test_equal_samples_collapse_to_their_value(value, count):
    values = [value] * count
    assert lognormal.lognormal_mean(values) == pytest.approx(value, rel=1e-12)
    assert lognormal.lognormal_interval(values) == pytest.approx(
        (value, value), rel=1e-9
    )
    assert s.arithmetic_interval(values) == pytest.approx((value, value), rel=1e-9)
    assert s.coefficient_of_variation(values) == pytest.approx(0, abs=1e-12)


@given(st.lists(st.floats(0.01, 100), min_size=2, max_size=20), st.floats(0.1, 1e3))
def test_means_scale_with_the_unit(values, unit):
    scaled = unit * np.array(values)
    assert lognormal.lognormal_mean(scaled) == pytest.approx(
        unit * lognormal.lognormal_mean(values), rel=1e-9
    )
    low, high = lognormal.lognormal_interval(values)
    assert low <= np.exp(np.mean(np.log(values))) * np.exp(
        np.var(np.log(values), ddof=1) / 2
    ) * (1 + 1e-12)
    assert lognormal.lognormal_interval(values, 0.5)[1] <= high * (1 + 1e-12)


def test_too_few_or_alike_for_a_shape():
    with pytest.raises(BadValue, match="at least three"):
        lognormal.lognormal_test([1, 2])
    with pytest.raises(BadValue, match="no spread to judge"):
        lognormal.lognormal_test([5, 5, 5])
    assert lognormal.lognormal_test([1, 2, 4])[0] == pytest.approx(1, abs=1e-6)
    with pytest.raises(BadValue, match="above zero"):
        s.coefficient_of_variation([0, 0])


def test_zeros_need_a_constant():
    values = [0, 1.0, 4.0]
    for function in (
        lognormal.lognormal_mean,
        lognormal.lognormal_interval,
        lognormal.lognormal_test,
    ):
        with pytest.raises(BadValue, match="additive constant"):
            function(values)
    assert 0 < lognormal.lognormal_mean(values, constant=0.05) < 4
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
    assert "67%" in methods["arithmetic"]
    assert methods["lognormal"] == lognormal.lognormal_credible(values)


def test_weights_of_nothing():
    with pytest.raises(BadValue, match="weight"):
        s.weighted_mean([1, 2], [0, 0])
    with pytest.raises(BadValue, match="a weight of its own"):
        s.weighted_mean([1, 2], [1, 2, 3])


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_nonsense(function):
    refuses_nonsense(function, **GOOD[function])


@evidence("weighted_mean", "package", "numpy.average, along either axis")
def test_weighted_mean_along_an_axis():
    rng = np.random.default_rng(3)
    assays, weights = rng.uniform(0, 9, (6, 4)), rng.uniform(0.1, 2, (6, 4))
    for axis in (0, -1):
        expected = np.average(assays, weights=weights, axis=axis)
        found = s.weighted_mean(assays, weights, axis=axis)
        assert found == pytest.approx(expected, rel=1e-12)
