"""Efficiency factors against points that their authors published."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue, OutsideRange
from pennyweight.trade import comminution
from pennyweight.trade import efficiency as e

from ..evidence import evidence
from ..published import rowland_kjos_1980 as rowland
from .holding import arrays_are_scalars, refuses_nonsense

# All from memory of the paper: no copy could be read.
ROWLAND = "Rowland & Kjos 1980, in Mular & Bhappu, ch. 12, and Rowland 1982"


@evidence("open_circuit_factor", "read", rowland.OPEN_CIRCUIT_SOURCE)
@pytest.mark.parametrize(("percent", "factor"), rowland.OPEN_CIRCUIT)
def test_open_circuit_table(percent, factor):
    assert e.open_circuit_factor(percent / 100) == pytest.approx(factor, rel=1e-12)


def test_open_circuit_between_and_beyond():
    assert e.open_circuit_factor(0.75) == pytest.approx(1.15, rel=1e-12)
    with pytest.warns(OutsideRange):
        assert e.open_circuit_factor(0.99) == 1.70
    with pytest.warns(OutsideRange):
        assert e.open_circuit_factor(0.3) == 1.035
    with pytest.raises(BadValue, match="passing is 80"):
        e.open_circuit_factor(80)


@evidence("diameter_factor", "memory", ROWLAND)
@pytest.mark.parametrize(("diameter", "factor"), rowland.DIAMETER)
def test_diameter_points(diameter, factor):
    assert e.diameter_factor(diameter) == pytest.approx(factor, abs=0.0005)


def test_diameter_stops_at_its_floor():
    assert e.diameter_factor(3.81) == pytest.approx(0.914, abs=0.001)
    assert e.diameter_factor(4.5) == 0.914
    assert e.diameter_factor(12) == 0.914


@evidence("dry_grinding_factor", "memory", ROWLAND)
def test_dry_grinding():
    assert e.dry_grinding_factor(True) == 1.3
    assert e.dry_grinding_factor(False) == 1.0
    assert e.dry_grinding_factor([True, False]).tolist() == [1.3, 1.0]


@evidence("optimum_feed_size", "memory", ROWLAND)
@evidence("oversized_feed_factor", "memory", ROWLAND)
def test_oversized_feed_point():
    work_index, feed, product, optimum, factor = rowland.OVERSIZED
    assert e.optimum_feed_size(work_index) == pytest.approx(optimum, abs=0.5)
    found = e.oversized_feed_factor(work_index, feed, product)
    assert found == pytest.approx(factor, abs=5e-5)


def test_feed_that_is_not_oversized():
    assert e.oversized_feed_factor(14.83, 3700, 150) == 1
    assert e.oversized_feed_factor(13, 4000, 150) == 1
    # Rock softer than 7 kWh/st never pays, however coarse.
    assert e.oversized_feed_factor(6.9, 25_000, 150) == 1


@evidence("fine_grind_factor", "memory", ROWLAND)
@pytest.mark.parametrize(("product", "factor"), rowland.FINE_GRIND)
def test_fine_grind_points(product, factor):
    assert e.fine_grind_factor(product) == pytest.approx(factor, abs=5e-5)


def test_fine_grind_ends_at_75_um():
    assert e.fine_grind_factor(75) == 1
    assert e.fine_grind_factor(500) == 1
    # As published the factor dips below 1 just under 75 um.
    assert e.fine_grind_factor(74.99) == pytest.approx(0.9933, abs=5e-5)


@evidence("low_reduction_factor", "memory", ROWLAND)
@pytest.mark.parametrize(("ratio", "factor"), rowland.LOW_REDUCTION)
def test_low_reduction_points(ratio, factor):
    assert e.low_reduction_factor(100 * ratio, 100) == pytest.approx(factor, abs=5e-5)


def test_low_reduction_ends_at_six():
    assert e.low_reduction_factor(600, 100) == 1
    assert e.low_reduction_factor(599, 100) == pytest.approx(1.028, abs=0.0005)
    for feed in (135, 100):
        with pytest.raises(BadValue, match=r"1\.35"):
            e.low_reduction_factor(feed, 100)


@evidence("efficiency_factors", "built", "chain of the factors for a small mill")
def test_factors_of_a_small_mill():
    found = e.efficiency_factors(14.83, 12_700, 150, 1.10, open_circuit_passing=0.8)
    assert list(found) == ["open_circuit", "diameter", "oversized_feed"]
    assert list(found.values()) == pytest.approx([1.20, 1.1727, 1.2211], abs=5e-5)


@evidence("efficiency_factors", "derived", "gathers the factors, each checked above")
def test_the_factors_are_those_alone():
    ore, mill = (13, 150, 38), 1.2
    found = e.efficiency_factors(*ore, mill, dry=True, open_circuit_passing=0.5)
    alone = {
        "dry_grinding": e.dry_grinding_factor(True),
        "open_circuit": e.open_circuit_factor(0.5),
        "diameter": e.diameter_factor(mill),
        "fine_grind": e.fine_grind_factor(38),
        "low_reduction": e.low_reduction_factor(150, 38),
    }
    assert found == alone
    coarse = e.efficiency_factors(15, 12_000, 150, mill)["oversized_feed"]
    assert coarse == e.oversized_feed_factor(15, 12_000, 150)


def test_every_factor_can_appear():
    found = e.efficiency_factors(13, 150, 38, 1.2, dry=True, open_circuit_passing=0.5)
    assert list(found) == [
        "dry_grinding",
        "open_circuit",
        "diameter",
        "fine_grind",
        "low_reduction",
    ]
    assert list(e.efficiency_factors(13, 1000, 100, 2.44)) == ["diameter"]
    assert e.efficiency_factors is comminution.efficiency_factors


def test_factors_over_scenarios():
    found = e.efficiency_factors(13, [1000, 10_000], 100, 1.2, dry=[True, False])
    assert found["dry_grinding"].tolist() == [1.3, 1.0]
    assert found["oversized_feed"][0] == 1 < found["oversized_feed"][1]


@given(st.floats(0.5, 0.979), st.floats(0.0001, 0.001))
def test_stricter_control_costs_more(passing, step):
    assert e.open_circuit_factor(passing + step) > e.open_circuit_factor(passing)


@given(st.floats(0.3, 14), st.floats(0.01, 0.9))
def test_larger_mills_take_no_more(diameter, step):
    assert e.diameter_factor(diameter + step) <= e.diameter_factor(diameter)


@given(st.floats(7.1, 40), st.floats(200, 25_000), st.floats(1, 5000))
def test_coarser_feed_never_costs_less(work_index, feed, step):
    before = e.oversized_feed_factor(work_index, feed, 150)
    after = e.oversized_feed_factor(work_index, feed + step, 150)
    assert after >= before * (1 - 1e-12)


@evidence("easiest_product_size", "derived", "least energy, searched for in the test")
@pytest.mark.parametrize(("work_index", "feed"), [(20, 20_000), (38, 8000), (15, 3e4)])
def test_the_least_energy_of_oversized_feed(work_index, feed):
    sizes = np.geomspace(20, 0.2 * feed, 20_000)
    energy = comminution.bond_energy(work_index, feed, sizes)
    energy = energy * e.oversized_feed_factor(work_index, feed, sizes)
    turns = sizes[1:][np.diff(energy) > 0]
    found = e.easiest_product_size(work_index, feed)
    assert found == pytest.approx(turns[0], rel=0.001)
    assert e.easiest_product_size(work_index, 3000) == 3000


def test_nonsense_is_refused():
    ore = {"work_index": 13.0, "feed_f80": 10_000.0, "product_p80": 150.0}
    refuses_nonsense(e.open_circuit_factor, passing=0.8)
    refuses_nonsense(e.diameter_factor, diameter=1.2)
    refuses_nonsense(e.optimum_feed_size, work_index=13)
    refuses_nonsense(e.oversized_feed_factor, **ore)
    refuses_nonsense(e.fine_grind_factor, product_p80=50)
    refuses_nonsense(e.low_reduction_factor, feed_f80=500, product_p80=100)
    refuses_nonsense(e.efficiency_factors, **ore, diameter=1.2)
    with pytest.raises(BadValue, match="coarser"):
        e.oversized_feed_factor(13, 100, 101)


def test_arrays():
    arrays_are_scalars(e.open_circuit_factor, (0.8,), (0.55,), (0.98,))
    arrays_are_scalars(e.diameter_factor, (1.2,), (5,))
    arrays_are_scalars(e.optimum_feed_size, (13,), (5,))
    arrays_are_scalars(e.oversized_feed_factor, (13, 9000, 100), (6, 9000, 100))
    arrays_are_scalars(e.fine_grind_factor, (38,), (75,), (150,))
    arrays_are_scalars(e.low_reduction_factor, (500, 100), (900, 100))
    assert isinstance(e.dry_grinding_factor(True), float)
