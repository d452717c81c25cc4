"""Mills side by side and the grind choice: the plan itself, with other inputs."""

import numpy as np
import pytest

from pennyweight.errors import ModelError
from pennyweight.model.copies import Copies
from pennyweight.model.inputs import INPUTS
from pennyweight.model.lines.plant.mill_choice import grinds
from pennyweight.model.mill import MODEL
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
def test_a_grind_is_the_plan_with_that_product_and_recovery(model):
    values = run({"grind_model": model})
    for place in range(len(MODEL.axes["grind"])):
        alone = run(
            {
                "product_p80": values["grind_p80"][place],
                "gravity_recovery": values["grind_recovery"][place],
            }
        )
        for name in ("grinding_energy", "feed_rate", "margin_per_hour"):
            assert values[f"grind_{name}"][place] == pytest.approx(
                float(alone[name]), rel=1e-12
            )


def test_planned_grind_keeps_the_planned_recovery(values):
    place = MODEL.axes["grind"].values.index(1.0)
    assert values["grind_recovery"][place] == pytest.approx(
        float(values["planned_recovery"]), rel=1e-14
    )


def test_finer_grinds_take_more_energy(values):
    assert np.all(np.diff(values["grind_grinding_energy"]) < 0)


def test_best_grind_earns_most(values):
    best = np.argmax(values["grind_margin_per_hour"])
    assert values["best_grind"] == values["grind_p80"][best]
    assert values["best_margin_per_hour"] == values["grind_margin_per_hour"][best]


def test_of_equal_grinds_the_finest_is_the_best():
    """The crusher limits the plant, costs are measured, and no grind loses gold."""
    measured = {"energy_source": "bill", "consumables_source": "bought"}
    same = {"crusher_capacity": 1.0, "liberation_size": 5000.0, "slime_slope": 0.0}
    values = run(measured | same)
    assert np.ptp(values["grind_margin_per_hour"]) < 1e-9
    assert values["best_grind"] == values["grind_p80"][0]


def test_no_recovery_above_the_ceiling():
    values = run({"highest_recovery": 0.6, "gravity_recovery": 0.58})
    assert values["grind_recovery"].max() <= 0.6


def test_a_result_that_does_not_depend_on_the_inputs_is_refused():
    copies = Copies("grind", {"product_p80": "grind_p80"}, ("capital",))
    with pytest.raises(ModelError, match="does not depend on"):
        copies.made(grinds, MODEL.lines)
