"""Response of mills to inputs: diameter, motor, balls, comparison."""

import numpy as np
import pytest

from pennyweight.errors import BadValue, OutsideRange
from pennyweight.model.judgement import judge
from pennyweight.model.run import run
from pennyweight.trade import mills

FOOT = 0.3048


@pytest.fixture(scope="module")
def values():
    return run()


def test_the_speed_is_that_of_the_power_equation(values):
    """Rowland and Kjos's percentages are of 76.63/sqrt(D), without the ball."""
    critical = mills.critical_speed(3.7 * FOOT)
    assert values["speed_share"] == pytest.approx(31 / critical, rel=1e-12)
    balls = run({"ball_diameter": np.array([1.0, 3.0, 6.0])})
    assert np.ptp(balls["feed_rate"]) == 0


# The smallest of the mills compared falls below 0.8 m when it is lined.
LINED = pytest.mark.filterwarnings("ignore:power_per_tonne_of_balls")


@LINED
def test_a_shell_diameter_is_lined_first(values):
    shell = {"diameter_basis": "inside shell", "mill_diameter": 4.2}
    lined = run(shell | {"liner_thickness": 3.0})
    for name in ("inside_diameter", "ball_mill_power", "feed_rate"):
        assert lined[name] == pytest.approx(float(values[name]), rel=1e-12), name
    taken_for_liners = run({"mill_diameter": 4.2})["ball_mill_power"]
    assert 1.3 < taken_for_liners / values["ball_mill_power"] < 1.6


@LINED
def test_mills_compared_are_lined_too():
    plain = run()["choice_ball_mill_power"]
    lined = run({"diameter_basis": "inside shell"})["choice_ball_mill_power"]
    assert np.all(lined[:2] < plain[:2])


@pytest.mark.parametrize("kind", ["ball mill", "hammer mill"])
def test_the_line_gives_the_shaft_and_the_motors_losses(kind):
    found = run({"mill_kind": kind, "motor_efficiency": 0.9})
    assert found["mill_power_drawn"] * 0.9 == pytest.approx(
        float(found["mill_shaft_power"]), rel=1e-14
    )
    assert found["mill_motor_load"] == pytest.approx(
        float(found["mill_shaft_power"] / found["mill_motor_rating"]), rel=1e-14
    )


def test_balls_are_sized_by_bond_unless_entered(values):
    assert values["ball_size"] == 3
    sized = run({"ball_diameter": 0.0, "feed_f80": np.array([5000.0, 12000.0])})
    assert np.all(sized["ball_size"] == sized["bond_ball_size"])
    assert sized["ball_size"][0] < sized["ball_size"][1]


def test_a_mill_too_small_for_the_equation_is_told():
    with pytest.warns(OutsideRange, match="smaller mills draw far less"):
        small = run({"mill_diameter": 2.5, "mill_speed": 38.0})
    assert small["diameter_shortfall"] == pytest.approx(0.8 - 2.5 * FOOT)
    assert small["checks_flag"] == "Ball mill is at least 0.8 m inside liners"


def test_the_judgement_names_the_line_that_is_outside_its_equation():
    (told,) = judge({"mill_diameter": 2.5, "mill_speed": 38.0}).warnings
    line = "Ball mill power at the pinion (sheet Plant)"
    assert told.startswith(f"{line}: diameter is outside [0.8, 6.5] m: smaller")


def test_a_mill_that_would_centrifuge_is_refused():
    with pytest.raises(BadValue, match="turn more slowly"):
        run({"mill_speed": 42.0})


@pytest.mark.parametrize(
    ("choice", "word", "line"),
    [
        ("energy_source", "bill", "energy_compared"),
        ("consumables_source", "bought", "consumables_compared"),
        ("fixed_cost_source", "one figure", "fixed_cost_compared"),
        ("capital_source", "one figure", "capital_compared"),
    ],
)
def test_what_the_comparison_holds_is_said(choice, word, line, values):
    assert str(run({choice: word})[line]).startswith("held at")
    assert not str(values[line]).startswith("held at")
