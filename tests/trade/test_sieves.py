"""Sieves against handbook series, sizes against printed screen analyses."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import sieves as s

from ..evidence import evidence
from ..published import screen_analyses as screens
from ..published import sieve_series
from .holding import arrays_are_scalars, refuses_nonsense


def test_us_series():
    mesh, opening = np.array(sieve_series.US, float).T
    assert s.mesh_to_um(mesh).tolist() == opening.tolist()
    assert s.um_to_mesh(opening).tolist() == mesh.tolist()
    assert s.mesh_to_um(3.5) == 5600


@evidence("mesh_to_um", "package", "fluids, ASTM_E11_sieves")
def test_us_series_of_fluids():
    from fluids.particle_size_distribution import ASTM_E11_sieves

    numbered = [x for x in ASTM_E11_sieves.values() if "No. " in x.old_designation]
    assert len(numbered) == 33
    for sieve in numbered:
        if "/" not in sieve.old_designation:
            mesh = float(sieve.old_designation[4:])
            assert s.mesh_to_um(mesh) == pytest.approx(1e6 * sieve.opening, rel=1e-12)


@evidence("mesh_to_um", "memory", "Tyler standard screen scale, Tyler 65 is 208 um")
def test_tyler_65():
    assert s.mesh_to_um(65, "Tyler") == 208
    assert s.um_to_mesh(208) == 70  # the nearest US sieve
    assert s.mesh_to_um(200, "Tyler") == 74  # as old assay papers say


@evidence("mesh_to_um", "read", "conductscience.com, reference.com, screenerking.com")
def test_tyler_points():
    for mesh, opening in sieve_series.TYLER_FINE + sieve_series.TYLER_MARKET_GRADE:
        assert s.mesh_to_um(mesh, "Tyler") == opening
    for mesh, millimetres in sieve_series.TYLER_COARSE:
        # The modern equivalents are rounded to ISO openings, within 1 %.
        found = s.mesh_to_um(mesh, "Tyler")
        assert found == pytest.approx(1000 * millimetres, rel=0.01)


@evidence("um_to_mesh", "read", "Wikipedia, Mesh (scale), Tyler beside US numbers")
@pytest.mark.parametrize(("tyler", "us"), sieve_series.TYLER_BESIDE_US)
def test_tyler_beside_us(tyler, us):
    assert s.um_to_mesh(s.mesh_to_um(tyler, "Tyler")) == us
    assert s.um_to_mesh(s.mesh_to_um(us), "Tyler") == tyler


@evidence("mesh_to_um", "derived", "Tyler openings are 74 um times powers of 2^(1/4)")
def test_tyler_series_is_geometric():
    openings = np.array([s.TYLER[mesh] for mesh in sorted(s.TYLER)])
    steps = np.round(4 * np.log2(openings / 74))
    assert np.all(np.diff(steps) == -1)
    # They were set in ten-thousandths of an inch, 2.5 um apart.
    assert openings == pytest.approx(74 * 2 ** (steps / 4), rel=0.015, abs=1.27)


def test_unknown_mesh_names_its_neighbours():
    with pytest.raises(BadValue, match="no 65 mesh; take 60 or 70"):
        s.mesh_to_um(65)
    with pytest.raises(BadValue, match="no 63 mesh; take 60 or 65"):
        s.mesh_to_um([100, 63], "Tyler")
    with pytest.raises(BadValue, match="no 900 mesh; take 500 or 635"):
        s.mesh_to_um(900)


@given(st.sampled_from(["US", "Tyler"]), st.floats(30, 5000), st.floats(1, 1.2))
def test_finer_openings_have_larger_numbers(series, opening, ratio):
    assert s.um_to_mesh(opening / ratio, series) >= s.um_to_mesh(opening, series)


@evidence("cumulative_passing", "read", "Michigan Tech, CM2200 homework 3, table 1")
def test_passing_from_masses():
    found = s.cumulative_passing(screens.CM2200_RETAINED)
    # Printed to 0.01 %, from percentages already rounded.
    assert found == pytest.approx(screens.CM2200_PASSING, abs=1.01e-4)
    # The table gives 10.94 for the pan's own per cent; the weights give 10.934.
    assert found[-1] == pytest.approx(4.87 / 44.54, rel=1e-12)
    with pytest.raises(BadValue, match="mass"):
        s.cumulative_passing([0, 0, 0])
    two = s.cumulative_passing([[10, 40, 50], [0, 0, 1]])
    assert two == pytest.approx(np.array([[0.9, 0.5], [1, 1]]))


@evidence("size_from_screens", "derived", "on a straight line the answer is exact")
@evidence("p80_from_screens", "derived", "on a straight line the answer is exact")
@evidence("top_size", "derived", "on a straight line the answer is exact")
@given(st.floats(0.4, 1.5), st.floats(200, 900))
def test_reading_off_a_straight_line(exponent, modulus):
    openings = modulus * np.array([1.0, 0.3, 0.55, 0.1])  # in any order
    passing = (openings / modulus) ** exponent
    exact = modulus * 0.8 ** (1 / exponent)
    assert s.p80_from_screens(openings, passing) == pytest.approx(exact, rel=1e-9)
    half = s.size_from_screens(openings, passing, 0.5)
    assert half == pytest.approx(modulus * 0.5 ** (1 / exponent), rel=1e-9)
    nearly = s.top_size(openings, passing)
    assert nearly == pytest.approx(modulus * 0.95 ** (1 / exponent) / 1000, rel=1e-9)


# The homework prints its table but no P80; read between its screens by hand.
@evidence("p80_from_screens", "derived", "CM2200 table, 90 and 125 um enclose 80 %")
def test_p80_of_the_homework():
    found = s.p80_from_screens(screens.CM2200_OPENINGS, screens.CM2200_PASSING)
    part = np.log(0.80 / 0.6630) / np.log(0.8749 / 0.6630)
    assert found == pytest.approx(90 * (125 / 90) ** part, rel=1e-9)
    assert 90 < found < 125


def test_reading_needs_screens_on_both_sides():
    with pytest.raises(BadValue, match=r"enclose 0\.8"):
        s.p80_from_screens(screens.PHOSPHATE_OPENINGS, screens.PHOSPHATE_PASSING)
    with pytest.raises(BadValue, match=r"enclose 0\.8"):
        s.p80_from_screens([300, 200], [0.99, 0.9])
    assert s.p80_from_screens([300, 200], [0.99, 0.8]) == pytest.approx(200)
    # A screen that passes nothing has no logarithm and is left out.
    assert s.p80_from_screens([300, 200, 10], [0.99, 0.8, 0]) == pytest.approx(200)
    several = s.size_from_screens([300, 200], [0.9, 0.5], [0.5, 0.9])
    assert several == pytest.approx([200, 300])


@pytest.mark.parametrize(
    ("openings", "passing", "words"),
    [
        ([300, 200], [0.5, 0.9], "coarser screen"),
        ([300, 300], [0.9, 0.5], "same opening"),
        ([300, 200, 100], [0.9, 0.5], "per screen"),
        ([300, 200], [0, 0], "coarsest"),
        (300, 0.9, "list"),
        ([300, 200], [90, 50], "passing"),
    ],
)
def test_screens_that_make_no_sense(openings, passing, words):
    with pytest.raises(BadValue, match=words):
        s.p80_from_screens(openings, passing)


def test_nonsense_is_refused():
    refuses_nonsense(s.mesh_to_um, mesh=60, series="Tyler")
    refuses_nonsense(s.um_to_mesh, opening=60, series="Tyler")
    refuses_nonsense(s.cumulative_passing, retained=[1, 2])
    lines = {"openings": [300, 200], "passing": [0.99, 0.5]}
    refuses_nonsense(s.size_from_screens, **lines, fraction=0.8)
    refuses_nonsense(s.p80_from_screens, **lines)
    refuses_nonsense(s.top_size, **lines, fraction=0.95)


def test_arrays():
    arrays_are_scalars(s.mesh_to_um, (60,), (100,))
    arrays_are_scalars(s.um_to_mesh, (74,), (1000,))
    assert s.mesh_to_um([[60, 70], [80, 100]]).shape == (2, 2)
