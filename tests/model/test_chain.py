"""The chain of rock and mill under other choices: each of these once misled."""

import numpy as np
import pytest

from pennyweight.model.inputs import INPUTS
from pennyweight.model.run import run

LOT = {"grade_source": "test lot", "recovery_source": "test lot"}


def test_more_waste_is_no_free_gold_with_a_lot_as_mined():
    """Before, dilution from 0 to 50% raised the value from $278,000 to $581,000."""
    waste = {"dilution": np.array([0.0, 0.1, 0.25, 0.5])}
    found = run(LOT | {"lot_material": "as mined"} | waste)
    assert np.all(np.diff(found["net_present_value"]) < 0)
    assert np.all(np.diff(found["feed_grade"]) < 0)


def test_the_lot_says_what_goes_to_middlings_and_tailings():
    """Before, 8% went to middlings whatever the lot's middlings held."""
    found = run(LOT | {"lot_middlings_grade": np.array([0.0, 1.0, 5.0])})
    for part in ("middlings", "tailings"):
        lot = found[f"lot_{part}_gold"] / found["lot_gold"]
        assert found[f"{part}_gold"] / found["feed_gold"] == pytest.approx(lot)


def test_tailings_never_hold_less_than_no_gold():
    """Before, a lot with clean tailings left -0.02 oz/ton, and 108% was recovered."""
    clean = {f"screen_tails_grade_0{row}": 0.0 for row in range(1, 7)}
    found = run(LOT | clean | {"regrind_recovery": np.array([0.0, 0.5, 1.0])})
    assert np.all(found["tailings_gold"] >= -1e-15)
    assert np.all(found["planned_recovery"] <= 1)


def test_a_lognormal_mean_that_is_not_credible_gets_no_verdict():
    """Before, an assay of 0.001 for 0.44 oz/ton doubled the grade unnoticed."""
    chosen = {"grade_source": "samples", "sample_mean_method": "lognormal"}
    found = run(chosen | {"sample_grade_03": np.array([0.44, 0.001])})
    assert found["measurements_failed"].tolist() == [0, 1]
    weighted = run({"grade_source": "samples", "sample_grade_03": 0.001})
    assert weighted["measurements_failed"] == 0


def test_recovery_above_the_gravity_recoverable_gold_is_told():
    """Before, the entered gravity-recoverable gold was raised without a word."""
    found = run({"highest_recovery": np.array([0.5, 0.75])})
    assert found["limits_failed"].tolist() == [1, 0]


def test_hammers_wear_by_the_work_they_do():
    """Before, a set lasted as long on a grind twice as fine, or on harder rock."""
    hammer = {"mill_kind": "hammer mill"}
    name = "cost_of_hammers_per_ton"
    finer = run(hammer | {"product_p80": np.array([125.0, 250.0, 500.0])})[name]
    harder = run(hammer | {"work_index": np.array([10.0, 14.0, 20.0])})[name]
    assert np.all(np.diff(finer) < 0)
    assert np.all(np.diff(harder) > 0)
    cost, life = INPUTS["hammer_set_cost"].example, INPUTS["hammer_set_life"].example
    assert finer[1] == harder[1] == pytest.approx(cost / life)


def test_a_mill_that_waits_for_feed_wears_its_balls():
    """Before, balls per ton stayed while energy per ton rose fourfold."""
    timed = {"pace_source": "measured", "measured_pace": np.array([0.4, 0.8, 1.6])}
    found = run(timed)
    worn = found["ball_make_up"] * found["feed_rate"]
    assert worn == pytest.approx(worn[0], rel=1e-12)
    at_the_mill = run()
    assert at_the_mill["drawn_energy"] == pytest.approx(
        float(at_the_mill["grinding_energy"])
    )


def test_hard_rock_in_large_lumps_is_no_harder_to_grind_coarsely():
    """Before, the throughput fell from 400 um on: 0.83, 0.77 and 0.63 tons an hour."""
    lumps = {"work_index": 20.0, "feed_f80": 20000.0}
    found = run(lumps | {"product_p80": np.geomspace(50, 3300, 60)})
    energy = found["grinding_energy"]
    assert np.all(np.diff(energy) <= 1e-12 * energy[1:])
    assert np.all(np.diff(found["tons_per_year"]) >= -1e-9)
