"""Grains in a sample, against the Geological Survey's graphs and Poisson's law."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.trade import grains as g

from ..evidence import evidence
from ..published import clifton_1969 as known
from .holding import arrays_are_scalars, refuses_nonsense

POISSON = "scipy.stats.poisson: 10 to 30 of 20 expected, 95 % of the time"
SPHERE_SOURCE = "USGS PP 625-C, spheres of density 17, recomputed"

GOOD = {
    g.grain_mass: {"gold_size": 0.5, "gold_density": 17, "thickness": 0.5},
    g.rock_per_grain: {
        "grade": 10,
        "gold_size": 0.5,
        "gold_density": 17,
        "thickness": 0.5,
    },
    g.grain_count: {
        "sample_mass": 1000,
        "grade": 10,
        "gold_size": 0.5,
        "gold_density": 17,
        "thickness": 0.5,
    },
    g.grain_count_error: {"grains": 20},
    g.mass_for_grains: {
        "grade": 10,
        "gold_size": 0.5,
        "grains": 20,
        "gold_density": 17,
        "thickness": 0.5,
    },
}


@evidence("mass_for_grains", "read", known.SOURCE)
@evidence("rock_per_grain", "derived", "a twentieth of the mass for twenty")
@pytest.mark.parametrize(("size", "sample", "grade", "reading"), known.LEAST_GRADES)
def test_twenty_flakes_in_fifty_grams(size, sample, grade, reading):
    mass = g.mass_for_grains(grade, size, 20, thickness=g.FLAKE)
    assert mass == pytest.approx(sample, rel=reading)
    assert 20 * g.rock_per_grain(grade, size, thickness=g.FLAKE) == mass


@evidence("grain_count", "read", known.SOURCE)
def test_grains_in_fifty_grams():
    size, sample, grade, reading = known.LEAST_GRADES[0]
    assert g.grain_count(sample, grade, size, thickness=g.FLAKE) == pytest.approx(
        20, rel=reading
    )


@evidence("mass_for_grains", "memory", SPHERE_SOURCE)
@pytest.mark.parametrize(("size", "mass", "figure"), known.SPHERES_10)
def test_twenty_spheres(size, mass, figure):
    assert g.mass_for_grains(10, size) / 1000 == pytest.approx(mass, abs=figure)


@evidence("grain_count_error", "package", POISSON)
def test_twenty_grains_tell_the_grade_within_half():
    from scipy.stats import poisson

    assert g.grain_count_error(20) == pytest.approx(poisson(20).std() / 20, rel=1e-14)
    within = poisson(20).cdf(30) - poisson(20).cdf(9)
    assert within > 0.95
    assert 1.96 * g.grain_count_error(20) < 0.5
    assert g.grain_count_error(20) == pytest.approx(0.224, abs=5e-4)


@evidence("grain_mass", "derived", "volume of a sphere, pi/6 d^3")
@given(st.floats(0.01, 10), st.floats(1, 25))
def test_default_grain_is_a_sphere(size, density):
    sphere = np.pi / 6 * (size / 10) ** 3 * density
    assert g.grain_mass(size, density) == pytest.approx(sphere, rel=1e-13)


@given(st.floats(0.05, 100), st.floats(0.01, 5), st.floats(0.5, 500))
def test_mass_and_count_invert(grade, size, grains):
    mass = g.mass_for_grains(grade, size, grains)
    assert g.grain_count(mass, grade, size) == pytest.approx(grains, rel=1e-12)
    assert g.mass_for_grains(2 * grade, size, grains) < mass
    assert g.mass_for_grains(grade, 2 * size, grains) == pytest.approx(8 * mass)


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_nonsense(function):
    refuses_nonsense(function, **GOOD[function])


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_arrays(function):
    row = tuple(GOOD[function].values())
    arrays_are_scalars(function, row, tuple(0.9 * value for value in row))
