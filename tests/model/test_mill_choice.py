"""Comparison of mills and grinds, against the plan with other inputs."""

import numpy as np
import pytest

from pennyweight.errors import BadValue, ModelError
from pennyweight.model.copies import Copies
from pennyweight.model.inputs import INPUTS, rows_of
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
            float(alone[name]), rel=1e-12, nan_ok=True
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


def test_hammers_wear_by_the_abrasion_index(values):
    """Before, hard quartz wore balls and spared hammers."""
    hammer = {"mill_kind": "hammer mill"}
    found = run(hammer | {"abrasion_index": np.array([0.15, 0.3, 0.6])})
    cost = INPUTS["hammer_set_cost"].example / INPUTS["hammer_set_life"].example
    assert found["cost_of_hammers_per_ton"] == pytest.approx(
        cost * np.array([0.5, 1, 2])
    )
    compared = run({"abrasion_index": 0.6})["choice_cost_of_hammers_per_ton"][2]
    assert compared == pytest.approx(2 * values["choice_cost_of_hammers_per_ton"][2])


def test_a_hammer_mill_has_no_balls(values):
    """Before, sheet Mills showed a ball charge and its life for it."""
    hammers = values["choice_kind"] == "hammer mill"
    assert hammers.tolist() == [False, False, True]
    for name in ("ball_charge", "bond_ball_size", "ball_make_up", "ball_life"):
        assert (np.isnan(values[f"choice_{name}"]) == hammers).all(), name


def test_balls_far_from_bonds_size_fail_a_check():
    """Before, half an inch paid as well as Bond's 3.3 inches, without a remark."""
    check = "Ball top size is within a factor of 1.5 of Bond's equation"
    names = [row["check"] for row in rows_of("checks.csv") if row["table"] == "limit"]
    place = names.index(check)
    bond = run({"ball_diameter": 0.0})["bond_ball_size"].item()
    assert bond == pytest.approx(3.29, abs=0.01)
    for share, holds in ((1 / 1.51, 0), (1 / 1.49, 1), (1.49, 1), (1.51, 0)):
        found = run({"ball_diameter": share * bond})
        assert found["limit_holds"][place] == holds
    hammer = {"mill_kind": "hammer mill", "ball_diameter": 0.5}
    assert run(hammer)["limit_holds"][place] == 1


def test_dry_mills_take_bonds_constant_for_dry_mills():
    """Bond 1958: B is as 1/sqrt(K), with K 350 in a wet and 335 in a dry mill."""
    wet, dry = (run({"grinding": how})["bond_ball_size"] for how in ("wet", "dry"))
    assert dry / wet == pytest.approx(np.sqrt(350 / 335))


def test_a_hammer_mill_compared_rests_on_no_figure_of_a_ball_mill():
    hammer, fast = {"choice_kind_01": "hammer mill"}, {"choice_speed_01": 80.0}
    plain, moved = run(hammer), run(hammer | fast)
    name = "choice_margin_per_hour"
    assert moved[name] == pytest.approx(plain[name], rel=1e-12)
    with pytest.raises(BadValue, match="choice_speed_01"):
        run(fast)
