"""Gy's sampling error, against a textbook's lead ore, and the grain limit."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import pennyweight as pw
from pennyweight.errors import BadValue
from pennyweight.trade import grains
from pennyweight.trade import sampling as s

from ..evidence import evidence
from ..published import wills_sampling as known
from .holding import arrays_are_scalars, refuses_nonsense

BOTH_EXPONENTS = "1 kg at 2 mm, 10 g/t, 0.2 mm gold: 22.5 % or 71 %"
HAND = "Gy's equation worked by hand for a lead ore"
FLOOR = "1/sqrt(N) grains, by definition of the floor"

GOOD = {
    s.composition_factor: {
        "mineral_share": 0.05,
        "mineral_density": 7.5,
        "gangue_density": 2.65,
    },
    s.liberation_factor: {
        "top_size": 25,
        "liberation_size": 0.15,
        "liberation_exponent": 0.5,
    },
    s.sampling_constant: {
        "top_size": 25,
        "composition": 117.8,
        "liberation": 0.0775,
        "particle_shape": 0.5,
        "size_range": 0.25,
    },
    s.fundamental_error: {"sample_mass": 1000, "constant": 50, "lot_mass": 1e6},
    s.mass_for_error: {"error": 0.1, "constant": 50, "lot_mass": 1e6},
    s.gold_sampling_constant: {
        "grade": 10,
        "top_size": 2,
        "gold_size": 0.2,
        "liberation_exponent": 1.5,
        "particle_shape": 0.5,
        "size_range": 0.25,
        "gold_density": 17,
        "thickness": 0.5,
    },
    s.sampling_error: {
        "sample_mass": 1000,
        "grade": 10,
        "top_size": 2,
        "gold_size": 0.2,
        "liberation_exponent": 1.5,
        "particle_shape": 0.5,
        "size_range": 0.25,
        "gold_density": 17,
        "thickness": 0.5,
        "lot_mass": 1e6,
    },
}


def lead_constant(top_size):
    """K of the textbook's lead ore at a top size in mm."""
    share = known.LEAD / known.MINERAL_LEAD
    composition = s.composition_factor(
        share, known.MINERAL_DENSITY, known.GANGUE_DENSITY
    )
    liberation = s.liberation_factor(top_size, known.LIBERATION_SIZE)
    return s.sampling_constant(top_size, composition, liberation)


@evidence("composition_factor", "memory", known.SOURCE)
@evidence("liberation_factor", "memory", known.SOURCE)
@evidence("sampling_constant", "memory", known.SOURCE)
@evidence("mass_for_error", "memory", known.SOURCE)
@pytest.mark.parametrize(("top_size", "mass", "figure"), known.MASSES)
def test_lead_ore_at_every_stage(top_size, mass, figure):
    one_stage = s.mass_for_error(
        known.ERROR / known.DEVIATIONS, lead_constant(top_size)
    )
    found = one_stage * known.SAFETY * known.STAGES
    assert found == pytest.approx(mass, abs=figure)


@evidence("fundamental_error", "memory", known.SOURCE)
@pytest.mark.parametrize(("top_size", "mass", "figure"), known.MASSES[:3])
def test_error_of_the_lead_ore(top_size, mass, figure):
    error = s.fundamental_error(mass / known.STAGES, lead_constant(top_size))
    assert known.DEVIATIONS * error == pytest.approx(known.PRINTED_ERROR, abs=5e-4)
    assert known.DEVIATIONS * error == pytest.approx(0.02 / np.sqrt(2), rel=1e-3)


@evidence("composition_factor", "derived", HAND)
@evidence("liberation_factor", "derived", HAND)
@evidence("sampling_constant", "derived", HAND)
@evidence("mass_for_error", "derived", HAND)
@evidence("fundamental_error", "derived", HAND)
def test_lead_ore_by_hand():
    """5% lead in galena, 0.15 mm grains in rock of 25 mm, wanted within 1%."""
    share = 0.05 / 0.866
    rock = (1 - share) / share * ((1 - share) * 7.5 + share * 2.65)
    assert s.composition_factor(share, 7.5, 2.65) == pytest.approx(rock, rel=1e-12)
    free = (0.15 / 25) ** 0.5
    assert s.liberation_factor(25, 0.15) == pytest.approx(free, rel=1e-12)
    constant = 0.5 * 0.25 * rock * free * 2.5**3
    assert s.sampling_constant(25, rock, free) == pytest.approx(constant, rel=1e-12)
    mass = constant / 0.01**2
    assert s.mass_for_error(0.01, constant) == pytest.approx(mass, rel=1e-12)
    assert s.fundamental_error(mass, constant) == pytest.approx(0.01, rel=1e-12)
    # A tenth of the lot taken: the variance is a tenth smaller.
    taken = s.fundamental_error(mass, constant, 10 * mass)
    assert taken == pytest.approx(0.01 * 0.9**0.5, rel=1e-12)


@evidence("composition_factor", "memory", "Wills, later edition, lead ore, recalled")
@evidence("mass_for_error", "memory", "Wills, later edition, lead ore, recalled")
def test_lead_ore_recalled():
    share = known.LEAD / known.MINERAL_LEAD
    composition = s.composition_factor(share, known.MINERAL_DENSITY)
    recalled = known.RECALLED
    assert composition == pytest.approx(recalled["composition"], abs=0.05)
    constant = lead_constant(25)
    assert constant / 2.5**3 == pytest.approx(recalled["constant"], abs=0.005)
    mass = s.mass_for_error(0.01, constant) / 1000
    # 178.3 kg was recalled; full precision gives 178.22.
    assert mass == pytest.approx(recalled["mass"], rel=6e-4)


@evidence("sampling_error", "built", BOTH_EXPONENTS)
@evidence("gold_sampling_constant", "built", BOTH_EXPONENTS)
def test_the_exponent_decides():
    # The factors are read above; no worked gold case was found in print.
    assert s.sampling_error(1000, 10, 2, 0.2) == pytest.approx(0.225, abs=5e-4)
    gy = s.sampling_error(1000, 10, 2, 0.2, liberation_exponent=0.5)
    assert gy == pytest.approx(0.711, abs=5e-4)
    by_hand = 0.5 * 0.25 * (16 / 10e-6) * (0.2 / 2) ** 1.5 * 0.2**3
    assert s.gold_sampling_constant(10, 2, 0.2) == pytest.approx(by_hand, rel=2e-5)


@evidence("sampling_error", "derived", FLOOR)
@evidence("gold_sampling_constant", "derived", FLOOR)
@given(
    st.floats(10, 1e5),
    st.floats(0.5, 100),
    st.floats(0.1, 20),
    st.floats(0.02, 5),
    st.floats(0, 3),
)
def test_never_below_the_count_of_grains(mass, grade, top_size, gold_size, exponent):
    error = s.sampling_error(mass, grade, top_size, gold_size, exponent)
    floor = grains.grain_count_error(grains.grain_count(mass, grade, gold_size))
    assert error >= floor * (1 - 1e-12)
    assert s.mass_for_error(
        error, s.gold_sampling_constant(grade, top_size, gold_size, exponent)
    ) == pytest.approx(mass, rel=1e-9)


def test_free_gold_is_left_to_the_count():
    # Gold as large as the top size: Gy's f g are a quarter of a sphere's share.
    error = s.sampling_error(142.4, 10, 0.2, 0.2)
    assert error == pytest.approx(grains.grain_count_error(20), rel=1e-3)


@given(st.floats(1, 1e5), st.floats(1e-3, 1e4), st.floats(1.001, 1e3))
def test_error_and_mass_invert(mass, constant, times):
    lot = times * mass
    error = s.fundamental_error(mass, constant, lot)
    assert s.mass_for_error(error, constant, lot) == pytest.approx(mass, rel=1e-6)
    assert error <= s.fundamental_error(mass, constant)
    assert s.fundamental_error(mass, constant, 1e15) == pytest.approx(
        s.fundamental_error(mass, constant), rel=1e-6
    )


def test_the_whole_lot_has_no_error():
    assert s.sampling_error(5000, 10, 2, 0.2, lot_mass=5000) == 0
    with pytest.raises(BadValue, match="larger than its lot"):
        s.sampling_error(5001, 10, 2, 0.2, lot_mass=5000)


def test_liberated_rock_and_pure_mineral():
    assert s.liberation_factor(0.04, 0.15) == 1
    assert s.liberation_factor(25, 0.15, 0) == 1
    assert s.composition_factor(0.999999, 19.3) == pytest.approx(0, abs=1e-4)


@given(st.floats(100, 1e5), st.floats(1.01, 10))
def test_more_sample_and_finer_crushing_help(mass, times):
    error = s.sampling_error(mass, 5, 10, 0.5)
    assert s.sampling_error(times * mass, 5, 10, 0.5) < error
    assert s.sampling_error(mass, 5, 10 / times, 0.5) < error


def test_own_density_serves_both_factors():
    light = s.sampling_error(1000, 10, 0.2, 0.2, gold_density=15)
    assert light == pytest.approx(
        grains.grain_count_error(grains.grain_count(1000, 10, 0.2, 15)), rel=1e-12
    )


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_nonsense(function):
    refuses_nonsense(function, **GOOD[function])


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_arrays(function):
    row = tuple(GOOD[function].values())
    arrays_are_scalars(function, row, tuple(0.9 * value for value in row))


@evidence("mass_to_reduce", "derived", "the error falls with the root of the mass")
def test_four_times_the_mass_halves_the_error():
    before = s.sampling_error(1000, 10, 2, 0.2)
    after = s.sampling_error(s.mass_to_reduce(1000), 10, 2, 0.2)
    assert after == pytest.approx(before / 2, rel=1e-12)
    with pytest.raises(BadValue, match="sample_mass"):
        s.mass_to_reduce(0)


@pytest.mark.parametrize(
    ("function", "figures"),
    [
        ("sampling_error", (1000, 10, 0.002, 0.2)),
        ("sampling_error", (1000, 10, 2, 200)),
        ("liberated_fraction", (0.12, 150)),
    ],
)
def test_a_size_in_another_unit_is_told(function, figures):
    """m or µm for mm, mm for µm: before, an absurd answer without a word."""
    with pytest.warns(pw.OutsideRange, match="mm|µm"):
        getattr(pw, function)(*figures)
