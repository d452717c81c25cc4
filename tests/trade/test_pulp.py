"""Pulps and settling, against published cases and the drag of spheres."""

import numpy as np
import pytest
from fluids.drag import v_terminal
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue, OutsideRange
from pennyweight.trade import pulp as p
from pennyweight.trade.exact_units import KILOGRAMS_PER_POUND, METRES_PER_FOOT

from ..evidence import evidence
from ..published import pulps as known
from .holding import arrays_are_scalars, refuses_nonsense

gravities, shares = st.floats(1.5, 8), st.floats(0.01, 0.99)
SPHERES = "fluids.drag.v_terminal, drag of spheres"


@evidence("pulp_gravity", "read", known.TOOLBOX_SOURCE)
@evidence("solids_share", "read", known.TOOLBOX_SOURCE)
def test_weight_of_a_litre():
    case = known.TOOLBOX
    found = p.pulp_gravity(case["share"], case["solids"])
    assert found == pytest.approx(case["pulp"], abs=5e-3)
    share = p.solids_share(case["pulp"], case["solids"])
    assert share == pytest.approx(case["share"], abs=6e-4)


@evidence("solids_by_volume", "read", known.TOOLBOX_SOURCE)
@pytest.mark.parametrize(("gravity", "by_mass", "by_volume"), known.TOOLBOX_TABLE)
def test_share_by_volume(gravity, by_mass, by_volume):
    found = p.solids_by_volume(by_mass / 100, gravity)
    # The table drops some of the halves: 22.2% stands as 23.
    assert 100 * found == pytest.approx(by_volume, abs=0.9)


@given(shares, gravities)
def test_the_share_comes_back(share, gravity):
    pulp = p.pulp_gravity(share, gravity)
    assert p.solids_share(pulp, gravity) == pytest.approx(share, rel=1e-9)


@evidence("water_with_solids", "derived", "a ton of pulp is solids and water")
@evidence("pulp_flow", "derived", "volumes of solids and water add up")
@given(shares, gravities)
def test_water_and_flow(share, gravity):
    water = p.water_with_solids(2.0, share)
    assert 2.0 / (2.0 + water) == pytest.approx(share, rel=1e-12)
    flow = p.pulp_flow(2.0, share, gravity)
    assert flow == pytest.approx(2.0 / gravity + water, rel=1e-12)


def test_flow_in_gallons():
    """A short ton an hour of water is four gallons a minute, nearly."""
    found = p.pulp_flow(1.0, 1.0, 1.0, units="us")
    assert found == pytest.approx(2000 / 8.3454 / 60, rel=1e-3)


@evidence("stokes_velocity", "read", known.STOKES_SOURCE)
@pytest.mark.parametrize(("size", "gravity", "velocity"), known.STOKES)
def test_what_rising_water_carries_off(size, gravity, velocity):
    found = p.stokes_velocity(size, gravity)
    assert found == pytest.approx(velocity, rel=2 * 0.05 / size + 4e-4)


@evidence("stokes_velocity", "read", known.DROP_SOURCE)
def test_a_drop_of_oil_in_air():
    case = known.DROP
    found = p.stokes_velocity(
        case["size"], case["solids"], case["viscosity"], case["liquid"]
    )
    assert found == pytest.approx(known.DROP_VELOCITY, abs=0.05)


@evidence("stokes_velocity", "read", known.ASH_SOURCE)
def test_fly_ash():
    case = known.ASH
    per_foot = KILOGRAMS_PER_POUND / METRES_PER_FOOT
    viscosity = 1000 * case["pound_a_foot_second"] * per_foot
    found = p.stokes_velocity(case["size"], case["solids"], viscosity, 0.0009)
    feet = found / 1000 / METRES_PER_FOOT
    assert feet == pytest.approx(known.ASH_VELOCITY, abs=0.005)


@evidence("settling_velocity", "read", known.BALL_SOURCE)
def test_a_steel_ball_in_oil():
    case = known.BALL
    found = p.settling_velocity(
        case["size"], case["solids"], case["viscosity"], case["liquid"]
    )
    # The book reads its velocity off a table, this one follows a fitted drag.
    assert found == pytest.approx(case["velocity"], rel=0.04)


@evidence("settling_velocity", "package", SPHERES)
@pytest.mark.parametrize("gravity", [2.65, 5.0, 17.0])
@pytest.mark.parametrize("size", [5, 20, 60, 150, 500, 2000])
def test_settling_of_spheres(size, gravity):
    sphere = v_terminal(D=size / 1e6, rhop=1000 * gravity, rho=1000, mu=1e-3)
    assert p.settling_velocity(size, gravity) == pytest.approx(1000 * sphere, rel=0.09)


@evidence("stokes_velocity", "package", SPHERES)
@pytest.mark.parametrize(("size", "gravity"), [(60, 2.65), (40, 5.0), (25, 17.0)])
def test_stokes_holds_for_fine_grains(size, gravity):
    sphere = v_terminal(D=size / 1e6, rhop=1000 * gravity, rho=1000, mu=1e-3)
    assert p.stokes_velocity(size, gravity) == pytest.approx(1000 * sphere, rel=0.025)
    with pytest.warns(OutsideRange, match="size"):
        p.stokes_velocity(150, gravity)


@evidence("settling_area", "derived", "the water rises as fast as the grain sinks")
def test_area_of_a_pond():
    area = p.settling_area(6.0, 0.5)
    assert 6.0 / 3600 / area == pytest.approx(0.5 / 1000, rel=1e-14)


@pytest.mark.parametrize("velocity", [p.stokes_velocity, p.settling_velocity])
def test_grains_that_float(velocity):
    with pytest.raises(BadValue, match="heavier than the liquid"):
        velocity(50, 0.9)


def test_impossible_pulps():
    with pytest.raises(BadValue, match="lighter than liquid"):
        p.solids_share(0.9, 2.65)
    with pytest.raises(BadValue, match="heavier than solids"):
        p.solids_share(2.7, 2.65)


def test_nonsense_and_arrays():
    refuses_nonsense(
        p.pulp_gravity, solids_share=0.3, solids_gravity=2.65, liquid_gravity=1
    )
    refuses_nonsense(p.settling_velocity, size=50, solids_gravity=2.65, viscosity=1)
    rows = [(20.0, 2.65, 1.0, 1.0), (300.0, 5.0, 1.5, 1.1)]
    arrays_are_scalars(p.settling_velocity, *rows)
    arrays_are_scalars(p.stokes_velocity, *rows)
    arrays_are_scalars(p.pulp_flow, (2, 0.3, 2.65, 1), (1, 0.5, 4, 1.1))
    assert np.ndim(p.pulp_gravity([0.1, 0.2], 2.65)) == 1
