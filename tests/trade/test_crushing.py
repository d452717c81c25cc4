"""Crushers against printed examples and round ratios."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue, OutsideRange
from pennyweight.trade import comminution
from pennyweight.trade import crushing as c

from ..evidence import evidence
from .holding import arrays_are_scalars, refuses_nonsense

MCCABE = "McCabe & Smith, Unit Operations of Chemical Engineering, crushing example"
LIDDELL = "Liddell 1922, Handbook of Chemical Engineering: jaw crushers to 6:1"


@evidence("crusher_power", "read", MCCABE)
def test_limestone_crusher():
    # 100 ton/h, 2 in to 1/8 in, Wi 12.74: 169.6 kW printed.
    found = c.crusher_power(12.74, 100, 50_800, 3_175)
    assert found == pytest.approx(169.6, abs=0.05)
    assert found == pytest.approx(169.57383, abs=1e-5)


def test_power_is_the_law_times_the_rate():
    law = comminution.bond_energy(12, 25_000, 10_000)
    assert c.crusher_power(12, 5, 25_000, 10_000) == pytest.approx(5 * law, rel=1e-14)
    assert c.crusher_power(12, 0, 25_000, 10_000) == 0
    with pytest.raises(BadValue, match="coarser"):
        c.crusher_power(12, 5, 10_000, 25_000)
    with pytest.warns(OutsideRange, match="millimetre"):
        c.crusher_power(12, 5, 10_000, 500)


@evidence("crusher_power", "practice", "small jaws take 1 to 3 kWh/t, with friction")
def test_net_power_lies_below_what_small_jaws_take():
    net = c.crusher_power(12, 1, 75_000, 12_500)
    assert 0.2 < net < 3


@evidence("crusher_capacity_at_product", "memory", "Taggart 1945: T = 0.6 L S")
def test_a_finer_setting_passes_less():
    # A jaw 16 in wide: 0.6 x 16 x S tons an hour.
    at_half_an_inch, at_a_quarter = 0.6 * 16 * 0.5, 0.6 * 16 * 0.25
    found = c.crusher_capacity_at_product(at_half_an_inch, 12_700, 6_350)
    assert found == pytest.approx(at_a_quarter, rel=1e-14)
    assert c.crusher_capacity_at_product(5, 10_000, 25_000) == 5  # no more: time it


# No printed test with its numbers could be read.
@evidence(
    "impact_work_index", "memory", "Bond 1961, Brit. Chem. Eng. 6, 378: 2.59 C/SG"
)
def test_impact_work_index():
    assert c.impact_work_index(1, 1) == 2.59
    assert c.impact_work_index(13.5, 2.7) == pytest.approx(2.59 * 5, rel=1e-14)


@evidence("reduction_ratio", "read", LIDDELL)
@evidence("crushing_stages", "read", LIDDELL)
def test_stages_of_six_to_one():
    assert c.reduction_ratio(60_000, 10_000) == c.LARGEST_JAW_RATIO == 6
    for stages in range(1, 6):
        product = 250_000 / 6**stages
        assert c.crushing_stages(250_000, product) == stages
        assert c.crushing_stages(250_000, product * 0.999) == stages + 1
    assert c.crushing_stages(10_000, 10_000) == 0
    assert c.crushing_stages(5_000, 10_000) == 0


@evidence("stage_ratio", "derived", "equal ratios multiply to the whole")
@given(st.floats(1000, 50_000), st.floats(1, 300), st.integers(1, 6))
def test_equal_ratios_multiply_to_the_whole(product, ratio, stages):
    each = c.stage_ratio(product * ratio, product, stages)
    assert each**stages == pytest.approx(ratio, rel=1e-9)


@given(st.floats(1000, 50_000), st.floats(1.001, 300))
def test_no_stage_reduces_more_than_it_should(product, ratio):
    stages = c.crushing_stages(product * ratio, product)
    assert c.stage_ratio(product * ratio, product, stages) <= 6 * (1 + 1e-9)
    if stages > 1:
        fewer = c.stage_ratio(product * ratio, product, stages - 1)
        assert fewer > 6 * (1 - 1e-8)


def test_nonsense_is_refused():
    sizes = {"feed_f80": 60_000, "product_p80": 10_000}
    refuses_nonsense(c.impact_work_index, impact_strength=13, specific_gravity=2.7)
    refuses_nonsense(c.reduction_ratio, **sizes)
    refuses_nonsense(c.crushing_stages, **sizes, largest_ratio=6)
    refuses_nonsense(c.stage_ratio, **sizes, stages=2)
    rated = {"rated_capacity": 5, "rated_p80": 10_000, "product_p80": 5_000}
    refuses_nonsense(c.crusher_capacity_at_product, **rated)
    refuses_nonsense(c.crusher_power, **sizes, work_index=12, rate=5)


def test_arrays():
    arrays_are_scalars(c.impact_work_index, (13, 2.7), (10, 3))
    arrays_are_scalars(c.reduction_ratio, (60_000, 10_000), (5000, 10_000))
    arrays_are_scalars(c.crushing_stages, (60_000, 10_000), (5000, 10_000))
    arrays_are_scalars(c.stage_ratio, (60_000, 10_000, 1), (360_000, 10_000, 2))
    arrays_are_scalars(c.crusher_capacity_at_product, (5, 1e4, 5e3), (5, 1e4, 2e4))
    arrays_are_scalars(c.crusher_power, (12, 5, 60_000, 10_000), (9, 2, 3e4, 5e3))
