"""Comparison of mills and grinds, against the plan with other inputs."""

import numpy as np
import pytest

from pennyweight.errors import BadValue, ModelError
from pennyweight.model.copies import Copies
from pennyweight.model.inputs import INPUTS
from pennyweight.model.judgement import judge
from pennyweight.model.lines.plant.mill_choice import grinds
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run

OF_THE_PLAN = {
    "kind": "mill_kind",
    "diameter": "mill_diameter",
    "length": "mill_length",
    "filling": "ball_filling",
    "speed": "mill_speed",
    "motor": "mill_motor",
    "hammer_capacity": "hammer_capacity",
    "capital": "mill_capital",
}
COMPARED = (
    "mill_motor_load",
    "ball_charge",
    "feed_rate",
    "cost_per_ton",
    "margin_per_hour",
)


@pytest.fixture(scope="module")
def values():
    return run()


@pytest.mark.parametrize("place", [1, 2, 3])
def test_a_mill_compared_is_the_plan_with_that_mill(values, place):
    chosen = {
        planned: INPUTS[f"choice_{part}_{place:02d}"].example
        for part, planned in OF_THE_PLAN.items()
    }
    alone = run(chosen)
    for name in COMPARED:
        assert values[f"choice_{name}"][place - 1] == pytest.approx(
            float(alone[name]), rel=1e-12
        )


@pytest.mark.parametrize("model", ["liberation", "size data"])
def test_a_grind_is_the_plan_at_that_grind(model):
    values = run({"grind_model": model})
    alone = run({"grind_model": model, "product_p80": values["grind_p80"]})
    for name in ("planned_recovery", "grinding_energy", "feed_rate", "margin_per_hour"):
        assert values[f"grind_{name}"] == pytest.approx(alone[name], rel=1e-12)


def test_a_measured_pace_says_nothing_of_the_other_mill_type():
    measured = {"pace_source": "measured", "measured_pace": 1.2}
    values, calculated = run(measured), run()
    assert values["choice_feed_rate"][2] == calculated["choice_feed_rate"][2]
    slower = values["pace_factor"]
    assert values["choice_feed_rate"][0] == pytest.approx(
        slower * calculated["choice_feed_rate"][0], rel=1e-12
    )


def test_finer_grinds_take_more_energy(values):
    assert np.all(np.diff(values["grind_grinding_energy"]) < 0)


def test_best_grind_earns_most(values):
    margins = values["grind_margin_per_hour"]
    assert values["best_margin_per_hour"] == margins.max()
    equal = values["grind_p80"][margins > margins.max() - 1]
    assert values["best_grind"] == equal.min()


def test_best_grind_per_ton_leaves_the_most_of_the_ore(values):
    """On this claim the net present value peaks there, too."""
    margins = values["grind_margin_per_ton"]
    assert values["best_margin_per_ton"] == margins.max()
    equal = values["grind_p80"][margins > margins.max() - 0.01]
    assert values["best_grind_per_ton"] == equal.min()
    assert values["best_grind_per_ton"] < values["best_grind"]
    worth = run({"product_p80": values["grind_p80"]})["net_present_value"]
    assert values["grind_p80"][worth.argmax()] == values["best_grind_per_ton"]


def test_of_equal_grinds_the_finest_is_the_best():
    """The crusher limits the plant, costs are measured, and no grind loses gold."""
    measured = {"energy_source": "bill", "consumables_source": "bought"}
    # A plant that catches nothing but free, coarse gold at any grind.
    coarse = {"gold_size": 5000.0, "liberation_ratio": 20.0, "gold_breakage": 0.0}
    same = {"crusher_capacity": 1.0, "table_count": 20, "gravity_recovery": 1.0}
    values = run(measured | coarse | same | {"middlings_share": 0.0})
    assert np.ptp(values["grind_margin_per_hour"]) < 1e-9
    assert values["best_grind"] == values["grind_p80"][0]
    assert values["best_grind_per_ton"] == values["grind_p80"][0]


def test_a_result_that_does_not_depend_on_the_inputs_is_refused():
    copies = Copies("grind", {"product_p80": "grind_p80"}, ("capital",))
    with pytest.raises(ModelError, match="does not depend on"):
        copies.make(grinds, MODEL.lines)


WRONG_FOR_BALLS = (
    {"mill_diameter": 6.0},
    {"mill_diameter": 16.0, "mill_speed": 80.0},
    {"mill_diameter": 1.5, "mill_speed": 1.0, "ball_filling": 0.5},
)
"""The charge goes round with the shell, the mill is tiny, or it hardly turns."""


@pytest.mark.filterwarnings("ignore::pennyweight.errors.OutsideRange")
@pytest.mark.parametrize("figures", WRONG_FOR_BALLS)
def test_a_hammer_mill_rests_on_no_figure_of_a_ball_mill(figures):
    hammer = {"mill_kind": "hammer mill"}
    plain, moved = run(hammer), run(hammer | figures)
    for name in ("feed_rate", "cost_per_ton", "margin_per_ton", "limit_holds"):
        assert moved[name] == pytest.approx(plain[name], rel=1e-12)
    assert judge(hammer | figures).warnings == judge(hammer).warnings == []


def test_a_ball_mill_rests_on_no_figure_of_a_hammer_mill():
    figures = {"hammer_capacity": 0.01, "hammer_load": 1.2, "hammer_set_life": 1.0}
    plain, moved = run(), run(figures)
    for name in ("feed_rate", "cost_per_ton", "margin_per_ton", "limit_holds"):
        assert moved[name] == pytest.approx(plain[name], rel=1e-12)


def test_a_hammer_mill_compared_rests_on_no_figure_of_a_ball_mill():
    hammer, fast = {"choice_kind_01": "hammer mill"}, {"choice_speed_01": 80.0}
    plain, moved = run(hammer), run(hammer | fast)
    name = "choice_margin_per_hour"
    assert moved[name] == pytest.approx(plain[name], rel=1e-12)
    with pytest.raises(BadValue, match="choice_speed_01"):
        run(fast)
