"""Size distributions against fluids, SciPy and printed fits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import sizes as s

from ..evidence import evidence
from ..published import screen_analyses as screens
from .holding import arrays_are_scalars, refuses_nonsense

SIZES = np.array([1.0, 20.0, 75.0, 150.0, 299.0])


@evidence("gaudin_schuhmann_passing", "package", "fluids, cdf_Gates_Gaudin_Schuhman")
@evidence("gaudin_schuhmann_size", "package", "fluids, cdf_Gates_Gaudin_Schuhman")
def test_gaudin_schuhmann_of_fluids():
    from fluids.particle_size_distribution import cdf_Gates_Gaudin_Schuhman

    expected = [cdf_Gates_Gaudin_Schuhman(size, 300, 0.7) for size in SIZES]
    assert s.gaudin_schuhmann_passing(SIZES, 300, 0.7) == pytest.approx(expected)
    for share in (0.2, 0.5, 0.8):
        size = s.gaudin_schuhmann_size(share, 300, 0.7)
        assert cdf_Gates_Gaudin_Schuhman(size, 300, 0.7) == pytest.approx(share)


@evidence("rosin_rammler_passing", "package", "SciPy, weibull_min; fluids' own form")
@evidence("rosin_rammler_size", "package", "SciPy, weibull_min")
def test_rosin_rammler_is_weibull():
    from fluids.particle_size_distribution import cdf_Rosin_Rammler
    from scipy.stats import weibull_min

    law = weibull_min(0.8, scale=100)
    assert s.rosin_rammler_passing(SIZES, 100, 0.8) == pytest.approx(law.cdf(SIZES))
    shares = np.array([0.05, 0.5, 0.8, 0.999])
    assert s.rosin_rammler_size(shares, 100, 0.8) == pytest.approx(law.ppf(shares))
    # fluids writes 1 - exp(-k x^m): k stands for x' to the power -m.
    other = [cdf_Rosin_Rammler(size, 100**-0.8, 0.8) for size in SIZES]
    assert s.rosin_rammler_passing(SIZES, 100, 0.8) == pytest.approx(other)


@evidence("gaudin_schuhmann_size", "built", "k 300, m 0.7: P80 218.11")
@evidence("rosin_rammler_size", "built", "x' 100, n 0.8: P80 181.28")
def test_p80_of_both():
    assert s.gaudin_schuhmann_size(0.8, 300, 0.7) == pytest.approx(218.11, abs=0.005)
    found = s.rosin_rammler_size(0.8, 100, 0.8)
    assert found == pytest.approx(181.28, abs=0.005)
    assert found == pytest.approx(100 * np.log(5) ** (1 / 0.8), rel=1e-12)


@evidence("fit_gaudin_schuhmann", "read", "Sieve analysis of phosphate: d80 187.19 um")
def test_fit_of_the_phosphate():
    fit = s.fit_gaudin_schuhmann(screens.PHOSPHATE_OPENINGS, screens.PHOSPHATE_PASSING)
    d80 = s.gaudin_schuhmann_size(0.8, fit.size_modulus, fit.exponent)
    assert d80 == pytest.approx(screens.PHOSPHATE_D80, abs=0.005)
    assert 0.9 < fit.r_squared < 1


@evidence("fit_rosin_rammler", "read", "MathGroup 2008: least squares 1.4301, 76.318")
def test_fit_of_the_weibull_points():
    fit = s.fit_rosin_rammler(screens.WEIBULL_SIZES, screens.WEIBULL_PASSING)
    # Printed from points with more figures than the thread shows.
    assert fit.exponent == pytest.approx(screens.WEIBULL_EXPONENT, abs=1e-4)
    assert fit.size_modulus == pytest.approx(screens.WEIBULL_SCALE, abs=2e-3)
    assert fit.exponent == pytest.approx(1.4301809508, rel=1e-9)


@evidence("fit_gaudin_schuhmann", "package", "SciPy, linregress of logarithms")
@evidence("fit_rosin_rammler", "package", "SciPy, linregress of double logarithms")
def test_lines_of_scipy():
    from scipy.stats import linregress

    x, y = screens.CM2200_OPENINGS, screens.CM2200_PASSING
    line = linregress(np.log(x), np.log(y))
    fit = s.fit_gaudin_schuhmann(x, y)
    assert fit.exponent == pytest.approx(line.slope, rel=1e-9)
    assert fit.size_modulus == pytest.approx(np.exp(-line.intercept / line.slope))
    line = linregress(np.log(x), np.log(-np.log(1 - y)))
    fit = s.fit_rosin_rammler(x, y)
    assert fit.exponent == pytest.approx(line.slope, rel=1e-9)
    assert fit.size_modulus == pytest.approx(np.exp(-line.intercept / line.slope))


@given(st.floats(0.3, 2), st.floats(100, 1000))
def test_fits_find_what_made_the_points(exponent, modulus):
    openings = modulus * np.array([0.9, 0.6, 0.4, 0.2, 0.1])
    for law, fitted in [
        (s.gaudin_schuhmann_passing, s.fit_gaudin_schuhmann),
        (s.rosin_rammler_passing, s.fit_rosin_rammler),
    ]:
        fit = fitted(openings, law(openings, modulus, exponent))
        assert fit.exponent == pytest.approx(exponent, rel=1e-6)
        assert fit.size_modulus == pytest.approx(modulus, rel=1e-6)
        assert fit.r_squared == pytest.approx(1, abs=1e-9)


@evidence("size_distribution_methods", "derived", "points of one law choose that law")
def test_the_better_law_comes_first():
    openings = np.array([600.0, 425, 300, 212, 150, 106])
    power = s.gaudin_schuhmann_passing(openings, 650, 0.6)
    assert next(iter(s.size_distribution_methods(openings, power))) == (
        "gaudin_schuhmann"
    )
    rounded = s.rosin_rammler_passing(openings, 250, 1.1)
    methods = s.size_distribution_methods(openings, rounded)
    assert next(iter(methods)) == "rosin_rammler"
    assert "100.00%" in methods["rosin_rammler"]
    with pytest.raises(BadValue, match="Three"):
        s.size_distribution_methods([300, 200, 100], [1, 0.7, 0.4])


@given(st.floats(1, 500), st.floats(1.01, 2), st.floats(0.3, 2))
def test_passing_rises_and_turns_round(size, ratio, exponent):
    for law, back in [
        (s.gaudin_schuhmann_passing, s.gaudin_schuhmann_size),
        (s.rosin_rammler_passing, s.rosin_rammler_size),
    ]:
        below, above = law(size, 1100, exponent), law(size * ratio, 1100, exponent)
        assert 0 < below < above <= 1
        assert back(below, 1100, exponent) == pytest.approx(size, rel=1e-6)


def test_limits():
    assert s.gaudin_schuhmann_passing([0, 300, 400], 300, 0.7).tolist() == [0, 1, 1]
    assert s.gaudin_schuhmann_size([0, 1], 300, 0.7).tolist() == [0, 300]
    assert s.rosin_rammler_passing(0, 100, 0.8) == 0
    assert s.rosin_rammler_size(0, 100, 0.8) == 0
    at_modulus = s.rosin_rammler_passing(100, 100, 0.8)
    assert at_modulus == pytest.approx(0.632, abs=0.0005)


@pytest.mark.parametrize("fit", [s.fit_gaudin_schuhmann, s.fit_rosin_rammler])
def test_screens_that_cannot_be_fitted(fit):
    for openings, passing, words in [
        ([300], [0.5], "[Tt]wo screens"),
        ([300, 200], [1, 0.5], "[Tt]wo screens"),
        ([300, 300], [0.6, 0.5], "[Tt]wo screens"),
        ([300, 200], [0.5, 0.6], "coarser"),
        ([300, 200], [0.5, 0.5], "coarser"),
        ([300, 200, 100], [0.9, 0.5], "per screen"),
        ([[300, 200]], [[0.9, 0.5]], "one screen analysis"),
    ]:
        with pytest.raises(BadValue, match=words):
            fit(openings, passing)


def test_nonsense_is_refused():
    shape = {"size_modulus": 300, "exponent": 0.7}
    refuses_nonsense(s.gaudin_schuhmann_passing, size=100, **shape)
    refuses_nonsense(s.rosin_rammler_passing, size=100, **shape)
    refuses_nonsense(s.gaudin_schuhmann_size, passing=0.8, **shape)
    refuses_nonsense(s.rosin_rammler_size, passing=0.8, **shape)
    lines = {"openings": [300, 200, 100], "passing": [0.9, 0.5, 0.2]}
    refuses_nonsense(s.fit_gaudin_schuhmann, **lines)
    refuses_nonsense(s.fit_rosin_rammler, **lines)
    refuses_nonsense(s.size_distribution_methods, **lines)


def test_arrays():
    rows = [(0.8, 300, 0.7), (0.2, 100, 1.3)]
    arrays_are_scalars(s.gaudin_schuhmann_size, *rows)
    arrays_are_scalars(s.rosin_rammler_size, *rows)
    rows = [(75, 300, 0.7), (900, 100, 1.3), (0, 50, 2)]
    arrays_are_scalars(s.gaudin_schuhmann_passing, *rows)
    arrays_are_scalars(s.rosin_rammler_passing, *rows)


@evidence("gaudin_schuhmann_modulus", "derived", "inverse of the size at 80 % passing")
@given(st.floats(10, 5000), st.floats(0.3, 2))
def test_modulus_gives_back_its_p80(p80, exponent):
    modulus = s.gaudin_schuhmann_modulus(p80, exponent)
    found = s.gaudin_schuhmann_passing(p80, modulus, exponent)
    assert found == pytest.approx(0.8, rel=1e-12)
