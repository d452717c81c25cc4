"""Inputs for small mills: each is zero by default and then changes nothing."""

import numpy as np
import pytest

from pennyweight.model.inputs import INPUTS
from pennyweight.model.lines.plant.throughput import STAGES
from pennyweight.model.run import run

NEW = (
    "regrind_recovery",
    "retreat_payable",
    "base_metal_charge",
    "water_supply",
    "lot_carried_in",
)


@pytest.fixture(scope="module")
def values():
    return run()


def test_they_are_zero_by_default():
    assert {INPUTS[n].example for n in NEW} == {INPUTS[n].estimate for n in NEW} == {0}


def test_reground_middlings_give_gold_and_take_mill_time(values):
    found = run({"regrind_recovery": 0.5})
    gained = found["planned_recovery"] - values["planned_recovery"]
    assert gained == pytest.approx(0.5 * INPUTS["middlings_share"].example)
    assert found["planned_middlings"] == pytest.approx(gained)
    again = 1 + INPUTS["middlings_pull"].example
    assert found["feed_rate"] * again == pytest.approx(float(values["feed_rate"]))
    parts = found["caught_gold"] + found["middlings_gold"] + found["tailings_gold"]
    assert parts == pytest.approx(float(found["feed_gold"]), rel=1e-14)


def test_tailings_are_sold_once_when_the_work_ends(values):
    found = run({"retreat_payable": 0.1})
    assert np.count_nonzero(found["tailings_sales"]) == 1
    pile = found["tailings_gold"] * found["tons_milled"]
    assert found["tailings_sales"].sum() == pytest.approx(
        float(pile * 0.1 * found["gold_price"])
    )
    assert found["margin_per_ton"] == values["margin_per_ton"]
    assert found["net_present_value"] > values["net_present_value"]


def test_base_metal_in_the_bullion_is_charged(values):
    found = run({"base_metal_charge": 10.0})
    gold, silver = (INPUTS[f"{m}_fineness"].example for m in ("bullion", "silver"))
    more = 10 * (1000 - gold - silver) / gold
    assert found["refining_used"] - values["refining_used"] == pytest.approx(more)
    assert found["balances_failed"] == 0


def test_a_dry_month_limits_the_mill(values):
    enough = values["water_flow"] * values["hours_per_day"] * 2
    assert run({"water_supply": float(enough)})["feed_rate"] == values["feed_rate"]
    dry = run({"water_supply": 4000.0})
    assert dry["bottleneck"] == "water"
    used = dry["make_up_water"] * dry["rock_per_day"]
    assert used == pytest.approx(4000)  # by the ton milled, not by the staffed hour
    timed = run({"water_supply": 4000.0, "pace_source": "measured"})
    assert timed["feed_rate"] == pytest.approx(float(dry["feed_rate"]))


def test_the_bin_carries_the_mill_while_it_stands():
    """Ore crushed in the crushing hours is milled whatever the mill's stops."""
    slow = {"crusher_capacity": 1.0, "crusher_hours": 4.0}
    for availability in (0.5, 0.75, 1.0):
        found = run(slow | {"availability": availability})
        assert found["bottleneck"] == "jaw crusher"
        assert found["rock_per_day"] == pytest.approx(4.0)


def test_water_without_a_limit_has_no_capacity(values):
    water = STAGES.index("water")
    assert np.isnan(values["stage_daily"][water])
    assert np.isnan(values["stage_load"][water])


def test_gold_of_the_lot_before_is_not_this_rocks():
    lot = {"grade_source": "test lot", "recovery_source": "test lot"}
    alone, mixed = run(lot), run(lot | {"lot_carried_in": 1.0})
    assert alone["lot_gold"] - mixed["lot_gold"] == pytest.approx(1.0)
    for name in ("lot_head", "lot_recovery"):
        assert mixed[name] < alone[name]


def test_settled_tailings_weigh_what_the_plan_leaves(values):
    """Before, concentrates and middlings were weighed as tailings, too."""
    grade = INPUTS["settle_tails_grade"].example
    tons = values["settle_tons"] * values["tailings"]
    assert values["settle_tails"] == pytest.approx(float(tons * grade), rel=1e-14)
    assert values["tailings"] < 1


def test_base_metal_is_charged_under_contracts_too(values):
    """Before, only the plan's own bullion bore the charge."""
    found = run({"base_metal_charge": 10.0})
    gold, silver = (INPUTS[f"settle_{m}fineness"].example for m in ("", "silver_"))
    more = 10 * (1000 - gold - silver) / gold
    lost = values["settle_ounce_net"] - found["settle_ounce_net"]
    assert lost == pytest.approx(more)
    assert np.all(found["owner_net"] <= values["owner_net"])
    assert found["bullion_ounce_net"] < values["bullion_ounce_net"]
    assert found["balances_failed"] == 0
    unsettled = run({"settle_fineness": 0.0, "settle_silver_fineness": 0.0})
    assert np.isfinite(unsettled["settle_refining"])


def test_two_mills_are_one_mill_of_twice_the_size():
    """Power, capacity and wear follow; what each ton takes stays, as the same rock."""
    one = run({"table_count": 8})
    two = run({"table_count": 8, "mill_count": 2})
    assert two["feed_rate"] == pytest.approx(2 * one["feed_rate"])
    assert two["mill_power_drawn"] == pytest.approx(2 * one["mill_power_drawn"])
    for name in ("grinding_energy", "ball_make_up", "cost_of_liners_per_ton"):
        assert two[name] == pytest.approx(one[name])
    assert two["drawn_power"] == pytest.approx(2 * one["drawn_power"])
    assert two["ball_life"] == pytest.approx(2 * one["ball_life"])
    assert two["mill_motor_load"] == one["mill_motor_load"]


def test_a_measured_throughput_of_two_mills_takes_the_power_of_both():
    timed = {"pace_source": "measured", "measured_pace": 1.6, "table_count": 8}
    one, two = run(timed), run(timed | {"mill_count": 2})
    assert two["feed_rate"] == one["feed_rate"]
    assert two["drawn_power"] == pytest.approx(2 * one["drawn_power"])


def test_mills_side_by_side_are_compared_by_number():
    pair = run({"choice_count_01": 2, "table_count": 8})
    assert pair["choice_feed_rate"][0] == pytest.approx(
        2 * run({"table_count": 8})["choice_feed_rate"][0]
    )


def test_masses_of_the_test_lot_follow_its_recovery():
    """Then the planned middlings have the lot's own grade, at the lot's own gold."""
    used = {"recovery_source": "test lot", "grade_source": "test lot"}
    found = run(used)
    assert found["middlings_grade"] == pytest.approx(
        float(found["lot_middlings_grade"])
    )
    weighed = INPUTS["lot_first_mass"].example / INPUTS["lot_wet_mass"].example
    dry = 1 - INPUTS["lot_moisture"].example
    thinned = 1 + INPUTS["dilution"].example
    assert found["planned_first_pull"] == pytest.approx(weighed / dry / thinned)
    unweighed = run(used | {"lot_first_mass": 0.0})
    assert unweighed["planned_first_pull"] == INPUTS["first_pull"].example


def test_bullion_without_a_gold_fineness_has_no_base_metal():
    """Its silver alone does not make the refiner pay for the refining."""
    found = run(
        {
            "base_metal_charge": 50.0,
            "refining_charge": 2.0,
            "settle_fineness": 0.0,
            "settle_silver_fineness": 120.0,
        }
    )
    assert found["settle_refining"] == pytest.approx(2.0)
