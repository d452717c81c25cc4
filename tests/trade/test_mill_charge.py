"""Volume and charge of a mill against geometry."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import mill_charge
from pennyweight.trade.mill_charge import filling_from_height

from ..evidence import evidence
from ..published import cement_mill
from .holding import arrays_are_scalars, refuses_nonsense


@evidence("filling_from_height", "read", cement_mill.SOURCE)
def test_filling_of_the_cement_mill():
    # The printed arm 0.578 is 2/3 (1 - 4 R^2)^1.5 over pi times the filling.
    ratio = cement_mill.HEIGHT_RATIO
    height = (0.5 + ratio) * cement_mill.DIAMETER
    filling = filling_from_height(height, cement_mill.DIAMETER)
    arm = 2 / 3 * (1 - 4 * ratio**2) ** 1.5 / (np.pi * filling)
    assert arm == pytest.approx(0.578, abs=0.0005)


@evidence("filling_from_height", "derived", "area of the segment, integrated")
@pytest.mark.parametrize("height", [0.1, 0.5, 0.6, 0.75, 1.1])
def test_area_of_the_segment(height):
    from scipy.integrate import quad

    radius = 0.6
    area, _ = quad(lambda y: 2 * np.sqrt(radius**2 - y**2), -radius, radius - height)
    found = filling_from_height(height, 2 * radius)
    assert found == pytest.approx(area / (np.pi * radius**2), rel=1e-9)


def test_limits_of_the_filling():
    assert filling_from_height(0, 1.2) == 1
    assert filling_from_height(1.2, 1.2) == 0
    assert filling_from_height(0.6, 1.2) == pytest.approx(0.5, rel=1e-14)
    for method in ("segment", "rule"):
        with pytest.raises(BadValue, match="diameter"):
            filling_from_height(1.21, 1.2, method)


@evidence("filling_from_height", "memory", "Rowland & Kjos 1980: 113 - 126 H/D")
@evidence("filling_from_height_methods", "derived", "rule against exact, all heights")
def test_rule_of_thumb_is_near_where_it_is_said_to_be():
    height = np.linspace(0, 1, 2001)
    exact = filling_from_height(height, 1)
    rule = filling_from_height(height, 1, method="rule")
    said = (exact >= 0.25) & (exact <= 0.55)
    assert np.max(np.abs(rule - exact)[said]) < 0.005
    assert np.max(np.abs(rule - exact)[~said]) > 0.02
    assert rule.min() == 0 and rule.max() == 1
    assert "rule" in mill_charge.filling_from_height_methods(0.6, 1.2)
    for height in (0.9, 0.5):
        assert "rule" not in mill_charge.filling_from_height_methods(height, 1.2)
    assert "rule" not in mill_charge.filling_from_height_methods([0.6, 0.9], 1.2)


@given(st.floats(0.01, 0.97), st.floats(0.01, 0.02))
def test_more_room_means_less_charge(ratio, step):
    assert filling_from_height(ratio + step, 1) < filling_from_height(ratio, 1)


@evidence("mill_volume", "derived", "cylinder: pi/4 D^2 L")
@evidence("inside_diameter", "derived", "shell less two liners")
@evidence("ball_charge_mass", "built", "1.2 x 1.2 m, J 0.40: 2.524 t of balls")
def test_charge_of_a_small_mill():
    assert mill_charge.inside_diameter(1.3, 0.05) == pytest.approx(1.2, rel=1e-14)
    assert mill_charge.mill_volume(1.2, 1.2) == pytest.approx(np.pi * 0.6**2 * 1.2)
    assert mill_charge.ball_charge_mass(1.2, 1.2, 0.40) == pytest.approx(
        2.524, abs=5e-4
    )
    assert mill_charge.ball_charge_mass(1.2, 1.2, 0) == 0


@evidence("ball_charge_mass", "derived", "steel 7.8 t/m3 packed at 60 %")
def test_bulk_density_is_packed_steel():
    solid = mill_charge.mill_volume(1, 1) * 7.8 * 0.6
    assert mill_charge.ball_charge_mass(1, 1, 1) == pytest.approx(solid, rel=0.01)
    stone = mill_charge.ball_charge_mass(1, 1, 1, bulk_density=1.6)
    assert stone == pytest.approx(mill_charge.mill_volume(1, 1) * 1.6)


def test_nonsense_is_refused():
    refuses_nonsense(
        mill_charge.inside_diameter, shell_diameter=1.2, liner_thickness=0.05
    )
    refuses_nonsense(mill_charge.mill_volume, diameter=1.2, length=1.2)
    refuses_nonsense(filling_from_height, height=0.7, diameter=1.2, method="rule")
    refuses_nonsense(mill_charge.filling_from_height_methods, height=0.7, diameter=1.2)
    refuses_nonsense(
        mill_charge.ball_charge_mass, diameter=1.2, length=1.2, filling=0.4
    )
    with pytest.raises(BadValue, match="room"):
        mill_charge.inside_diameter(0.5, 0.25)


def test_arrays():
    arrays_are_scalars(mill_charge.inside_diameter, (1.2, 0.05), (2.4, 0.1))
    arrays_are_scalars(mill_charge.mill_volume, (1.2, 1.2), (2.4, 3))
    arrays_are_scalars(filling_from_height, (0.7, 1.2), (0, 1.2))
    arrays_are_scalars(mill_charge.ball_charge_mass, (1.2, 1.2, 0.4), (2.4, 3, 0.3))
