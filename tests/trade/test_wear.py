"""Wear and ball sizes, against published values of Bond's equations."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue, OutsideRange
from pennyweight.trade import wear as w
from pennyweight.trade.mill_charge import ball_charge_mass

from ..evidence import evidence
from ..published import bond_wear, rowland_ball_charges
from .holding import arrays_are_scalars, refuses_nonsense

POUND = 0.45359237
ORES = np.array([0.05, 0.10, 0.20, 0.30, 0.50, 0.80])


@pytest.mark.parametrize(
    ("function", "dry", "terms", "printed"),
    [
        # The exponent 0.33 is printed for 1/3: 1.5 % apart at most.
        pytest.param(
            w.ball_wear,
            False,
            bond_wear.WET_BALLS,
            0.015,
            marks=evidence("ball_wear", "read", bond_wear.SOURCE),
        ),
        pytest.param(w.ball_wear, True, bond_wear.DRY_BALLS, 1e-12),
        pytest.param(
            w.liner_wear,
            False,
            bond_wear.WET_LINERS,
            1e-12,
            marks=evidence("liner_wear", "read", bond_wear.SOURCE),
        ),
        pytest.param(w.liner_wear, True, bond_wear.DRY_LINERS, 1e-12),
    ],
)
def test_equations_as_printed(function, dry, terms, printed):
    expected = POUND * bond_wear.pounds_per_kilowatt_hour(terms, ORES)
    assert function(ORES, dry) == pytest.approx(expected, rel=printed)


@evidence("crusher_liner_wear", "read", bond_wear.SOURCE)
def test_crusher_liners_as_printed():
    terms = bond_wear.CRUSHER_LINERS
    expected = POUND * bond_wear.pounds_per_kilowatt_hour(terms, ORES)
    assert w.crusher_liner_wear(ORES) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("ore", "balls", "liners"), bond_wear.WET_POINTS)
def test_wet_points(ore, balls, liners):
    assert w.ball_wear(ore) == pytest.approx(balls, abs=5e-5)
    assert w.liner_wear(ore) == pytest.approx(liners, abs=5e-6)


def test_dry_and_wet_in_one_call():
    mixed = w.ball_wear([0.2, 0.2], np.array([True, False]))
    assert mixed.tolist() == [w.ball_wear(0.2, True), w.ball_wear(0.2)]
    assert w.ball_wear(0.2, True) < w.ball_wear(0.2)


def test_index_must_lie_above_the_origin_of_the_fit():
    for function in (w.ball_wear, w.liner_wear):
        with pytest.raises(BadValue, match=r"0\.015"):
            function(0.015)
    assert w.ball_wear(0.0151) > 0
    with pytest.warns(OutsideRange):
        w.ball_wear(2)


@given(st.floats(0.016, 1.4), st.floats(0.001, 0.1))
def test_harder_rock_wears_more(ore, step):
    for function in (w.ball_wear, w.liner_wear, w.crusher_liner_wear):
        assert function(ore + step) > function(ore)


# Only the fleet's mean was read, not its energy or ore: a check of size, no more.
@evidence("make_up", "practice", "Giblett & Seidel: a fleet of mills used 0.974 kg/t")
@evidence("make_up", "derived", "wear times energy times the steel's share")
def test_make_up_is_of_the_size_that_mills_use():
    # Gold ore, Ai 0.20, 10 to 16 kWh/t, steel as Bond's or 50 % better.
    low = w.make_up(w.ball_wear(0.20), 10, steel_factor=0.5)
    high = w.make_up(w.ball_wear(0.20), 16)
    assert low < 0.974 < high
    assert w.make_up(0.0905, 15) == pytest.approx(1.3575, rel=1e-12)
    assert w.make_up(0.0905, 0) == 0


@evidence("inventory_life", "derived", "charge over make-up, by definition")
def test_inventory_life():
    charge = 1000 * ball_charge_mass(1.2, 1.2, 0.40)
    used = w.make_up(w.ball_wear(0.2), 18.547)
    life = w.inventory_life(charge, used)
    assert life * used == pytest.approx(charge, rel=1e-14)
    assert w.inventory_life(charge, 2 * used) == pytest.approx(life / 2, rel=1e-14)


# Hammer wear: no published equation or case found; the function only divides.
@evidence("part_cost", "derived", "cost over tons, by definition")
def test_part_cost():
    assert w.part_cost(850, 160) == 5.3125
    assert w.part_cost(0, 160) == 0


@evidence("ball_top_size", "memory", "Bond 1958, Mining Engineering 10, 592-595")
def test_bond_in_inches():
    # In Bond's own units: F80 um, Cs %, D ft, answer in inches.
    for mill, constant in [("wet overflow", 350), ("wet grate", 330), ("dry", 335)]:
        inches = (10_000 / constant) ** 0.5 * (2.7 * 14 / (75 * 8**0.5)) ** (1 / 3)
        found = w.ball_top_size(10_000, 14, 2.7, 0.75, 8 * 0.3048, mill)
        assert found == pytest.approx(25.4 * inches, rel=1e-12)


@evidence("ball_top_size", "built", "5000 um, K 350, 2.7, 14, 75 %, 4 ft: 60.6 mm")
def test_ball_for_a_small_mill():
    found = w.ball_top_size(5000, 14, 2.7, 0.75, 4 * 0.3048)
    assert found == pytest.approx(60.6, abs=0.05)
    three = np.array(["wet overflow", "wet grate", "dry"])
    overflow, grate, dry = w.ball_top_size(5000, 14, 2.7, 0.75, 1.2192, three)
    assert overflow == found < dry < grate


@given(st.floats(500, 20_000), st.floats(5, 25), st.floats(0.8, 5))
def test_balls_grow_with_feed_and_hardness(feed, work_index, diameter):
    found = w.ball_top_size(feed, work_index, 2.7, 0.75, diameter)
    assert w.ball_top_size(2 * feed, work_index, 2.7, 0.75, diameter) == pytest.approx(
        2**0.5 * found, rel=1e-12
    )
    assert w.ball_top_size(feed, work_index + 1, 2.7, 0.75, diameter) > found
    assert w.ball_top_size(feed, work_index, 2.7, 0.75, diameter + 0.1) < found


@evidence("graded_charge", "memory", "Rowland & Kjos 1980, table of first charges")
@evidence("equilibrium_passing", "memory", "the same table, at half-way marks")
@pytest.mark.parametrize(("inches", "per_cent"), rowland_ball_charges.CHARGES)
def test_first_charges(inches, per_cent):
    found = 100 * w.graded_charge(25.4 * np.array(inches))
    assert sum(per_cent) == 100
    # The table is rounded to what a warehouse can weigh out: within 6 points.
    assert found == pytest.approx(np.array(per_cent), abs=6)
    assert found.sum() == pytest.approx(100, rel=1e-14)


@evidence("equilibrium_passing", "derived", "equal loss of thickness gives exponent 4")
def test_balls_that_lose_thickness_evenly():
    # One ball added at each step, each losing 0.1 mm a step, until it is gone.
    sizes = np.arange(50, 0, -0.1)
    mass = sizes**3
    for limit in (10, 25, 40):
        share = mass[sizes <= limit].sum() / mass.sum()
        exact = w.equilibrium_passing(limit, 50, exponent=4)
        assert share == pytest.approx(exact, rel=0.03)
        assert w.equilibrium_passing(limit, 50) == pytest.approx(exact, rel=0.3)


def test_limits_of_the_charge():
    assert w.equilibrium_passing(50, 50) == 1
    assert w.equilibrium_passing(60, 50) == 1
    assert w.equilibrium_passing(0, 50) == 0
    assert w.graded_charge([50]).tolist() == [1]
    for sizes in ([25, 50], [50, 50]):
        with pytest.raises(BadValue, match="largest first"):
            w.graded_charge(sizes)
    two = w.graded_charge([[50, 25], [40, 30]])
    assert two[1] == pytest.approx(w.graded_charge([40, 30]), rel=1e-14)
    with pytest.raises(BadValue, match="list"):
        w.graded_charge(50)


def test_nonsense_is_refused():
    refuses_nonsense(w.ball_wear, abrasion_index=0.2)
    refuses_nonsense(w.liner_wear, abrasion_index=0.2)
    refuses_nonsense(w.crusher_liner_wear, abrasion_index=0.2)
    refuses_nonsense(w.make_up, wear=0.1, energy=10, steel_factor=1)
    refuses_nonsense(w.inventory_life, charge=2000, make_up=1)
    refuses_nonsense(w.part_cost, set_cost=800, set_life=100)
    refuses_nonsense(w.equilibrium_passing, ball_diameter=40, top_size=50)
    refuses_nonsense(w.graded_charge, ball_sizes=[50, 40])
    refuses_nonsense(
        w.ball_top_size,
        feed_f80=5000,
        work_index=14,
        specific_gravity=2.7,
        speed_fraction=0.75,
        diameter=1.2,
        mill="dry",
    )


def test_arrays():
    arrays_are_scalars(w.ball_wear, (0.2,), (0.5,))
    arrays_are_scalars(w.liner_wear, (0.2,), (0.5,))
    arrays_are_scalars(w.crusher_liner_wear, (0.2,), (0,))
    arrays_are_scalars(w.make_up, (0.1, 10, 0.7), (0.05, 20, 1))
    arrays_are_scalars(w.inventory_life, (2000, 1.0), (500, 0.2))
    arrays_are_scalars(w.part_cost, (800, 100), (0, 50))
    arrays_are_scalars(w.equilibrium_passing, (40, 50), (60, 50))
    arrays_are_scalars(w.ball_top_size, (5000, 14, 2.7, 0.75, 1.2), (900, 9, 4, 0.7, 3))
