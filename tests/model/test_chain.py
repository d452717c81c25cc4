"""Rock and mill under other choices: regression tests."""

import numpy as np
import pytest

from pennyweight.model.inputs import INPUTS
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run


def holds(found, check):
    """Whether a limit holds, by the words of its check."""
    return found["limit_holds"][MODEL.axes["limit"].values.index(check)].tolist()


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


def test_a_measured_recovery_overrules_the_gravity_recoverable_gold_and_says_so():
    """Before, an estimate of 65% failed a check on a measured 67%, to no effect."""
    found = run({"highest_recovery": np.array([0.5, 0.75])})
    assert found["checks_flag"].tolist() == ["none", "none"]
    assert found["recoverable_used"] == pytest.approx([0.62 / 0.95, 0.75])
    told = [str(words).partition(":")[0] for words in found["recoverable_basis"]]
    assert told == ["raised", "as entered or estimated"]


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
    drawn = at_the_mill["drawn_power"] / at_the_mill["feed_rate"]
    assert drawn == pytest.approx(float(at_the_mill["grinding_energy"]))


def test_hard_rock_in_large_lumps_is_no_harder_to_grind_coarsely():
    """Before, the throughput fell from 400 um on: 0.83, 0.77 and 0.63 tons an hour."""
    lumps = {"work_index": 20.0, "feed_f80": 20000.0}
    found = run(lumps | {"product_p80": np.geomspace(50, 3300, 60)})
    energy = found["grinding_energy"]
    assert np.all(np.diff(energy) <= 1e-12 * energy[1:])
    assert np.all(np.diff(found["tons_per_year"]) >= -1e-9)


def test_screens_that_the_melt_contradicts_give_no_verdict():
    """Before, 8 g more on a screen than in the melt passed every check."""
    by_size = {"grind_model": "size data"}
    found = run(by_size | {"screen_caught_gold_01": np.array([2.15, 10.0])})
    assert found["measurements_failed"].tolist() == [0, 1]
    unused = run({"screen_caught_gold_01": 10.0})
    assert unused["measurements_failed"] == 0


def test_reground_middlings_pass_the_tables_again():
    """Before, they took time of the mill only."""
    tables = {"table_count": 2.0, "regrind_recovery": np.array([0.0, 0.5])}
    found = run(tables)
    assert found["bottleneck"].tolist() == ["shaking tables"] * 2
    again = 1 + INPUTS["middlings_pull"].example
    assert found["feed_rate"][0] / found["feed_rate"][1] == pytest.approx(again)


def test_regrinding_beyond_the_gravity_recoverable_gold_is_told():
    """Before, 62% on the tables and 60% of 35% in middlings were a plan of 83%."""
    check = "With regrinding: recovery is at most the gravity-recoverable gold"
    rich = {"middlings_share": 0.35}
    found = run(rich | {"regrind_recovery": np.array([0.0, 0.3, 0.6])})
    assert found["planned_recovery"] == pytest.approx([0.62, 0.725, 0.83])
    assert found["recoverable_used"] == pytest.approx(0.75)
    assert holds(found, check) == [1, 1, 0]
    by_size = {"grind_model": "size data", "regrind_recovery": 0.6}
    assert holds(run(rich | by_size), check) == 0


def test_a_person_on_shift_around_the_clock_is_told():
    """Before, 24 hours a day were worked in one shift without a word."""
    check = "Staffed hours per shift are at most 12"
    hours = {"hours_per_day": np.array([12.0, 13.0, 24.0])}
    for job in ("claim", "contract"):
        assert holds(run({"job": job, "shifts": 1} | hours), check) == [1, 0, 0]
        assert holds(run({"job": job, "shifts": 2} | hours), check) == [1, 1, 1]
    beside_the_job = [2, 2, 2]
    assert holds(run({"job": "lot", "shifts": 1} | hours), check) == beside_the_job


def test_a_generator_far_too_large_is_told():
    """Before, one of 1000 kW burned as little as one of 60 kW."""
    found = run({"generator_rating": np.array([60.0, 1000.0])})
    assert found["limits_failed"].tolist() == [0, 1]


def test_rock_far_from_that_of_the_timed_run_is_told():
    """Before, a rate timed on rock of 14 served for rock of 40 kWh without a word."""
    rocks = {"work_index": np.array([14.0, 20.0, 40.0])}
    check = "Planned rock is within a factor of 2 of the rock of the timed run"
    for timed in ({"mill_kind": "hammer mill"}, {"pace_source": "measured"}):
        assert holds(run(rocks | timed), check) == [1, 1, 0]
    assert holds(run(rocks), check) == [1, 1, 1]


def test_a_best_grind_far_from_the_measured_one_is_told():
    """Before, 500 um was called best from a recovery measured at 150 um."""
    found = run({"measured_p80": np.array([250.0, 100.0]), "gold_size": 400.0})
    assert found["best_grind"][0] <= 2 * 250
    assert found["best_grind"][1] > 2 * 100
    told = [str(words) for words in found["best_grind_basis"]]
    assert told[0] == "estimated"
    assert told[1].startswith("far from the measured grind")


def test_a_grade_that_hangs_on_one_assay_is_told():
    """Before, one assay of 100 oz/ton among twelve gave 6.6 oz/ton without a word."""
    samples = {"grade_source": "samples"}
    found = run(samples | {"sample_grade_06": np.array([0.68, 5.0, 100.0])})
    check = "Samples in use: the mean grade is above zero within its error"
    assert holds(found, check) == [1, 0, 0]
    names = [n for n in INPUTS if n.startswith("sample_weight_")]
    alone = dict.fromkeys(names[1:], 0.0)
    assert holds(run(samples | alone), check) == 0
    assert holds(run(alone), check) == 1  # the plan does not use the samples


def test_middlings_richer_than_metal_are_told():
    found = run({"middlings_share": 0.3, "middlings_pull": np.array([1e-5, 0.02])})
    rich = {"ore_grade": 20.0}
    assert found["measurements_failed"].tolist() == [0, 0]
    assert run(rich | {"middlings_pull": 1e-5})["measurements_failed"] > 0


def test_figures_far_above_those_of_the_test_lot_are_told():
    """Before, a lot of 0.27 oz/ton and 63% lay beside 0.5 oz/ton and 62% in silence."""
    found = run({"ore_grade": np.array([0.28, 0.5])})
    assert found["limits_failed"].tolist() == [0, 1]
    poor = {f"screen_tails_grade_0{row}": 1.0 for row in range(1, 7)}
    found = run(poor | {"recovery_source": np.array(["entered", "test lot"])})
    assert found["recovery_over_lot"][0] > 1.5
    assert found["recovery_over_lot"][1] == 1
    no_lot = {"lot_button_mass": 0.0, "lot_slag_gold": 0.0, "lot_hold_up": 0.0}
    none = {f"screen_tails_grade_0{row}": 0.0 for row in range(1, 7)}
    found = run(no_lot | none | {"lot_middlings_grade": 0.0, "ore_grade": 0.5})
    assert found["limits_failed"] == 0


def test_a_low_reduction_is_no_step_in_the_throughput():
    """Before, it fell by 2.7% where the feed is six times as coarse as the product."""
    sizes = run({"feed_f80": 3000.0, "product_p80": np.linspace(400, 600, 40)})
    assert np.all(np.diff(sizes["mill_capacity"]) > 0)
    feeds = run({"product_p80": 500.0, "feed_f80": np.linspace(2500, 3500, 40)})
    capacity = feeds["mill_capacity"]
    assert np.all(np.diff(capacity) <= 1e-12 * capacity[1:])


def test_a_timed_run_is_of_the_planned_ore_unless_another_was_timed():
    """Before, one's own work index of 12 raised the measured throughput by a third."""
    timed = {"pace_source": "measured", "measured_pace": 0.9}
    rocks = {"work_index": np.array([10.0, 14.0, 20.0])}
    planned = run(timed | rocks | {"hammer_work_index": 0.0})["feed_rate"]
    assert planned == pytest.approx(np.full(3, 0.9))
    other = run(timed | rocks | {"hammer_work_index": 14.0})["feed_rate"]
    assert other == pytest.approx(0.9 * 14 / rocks["work_index"])


@pytest.mark.parametrize(("hours", "enough"), [(4.0, False), (8.0, True)])
def test_the_crusher_must_keep_up_with_a_timed_mill(hours, enough):
    """Before, a crusher at 150% of its capacity passed every check."""
    check = "Ore milled per day is at most what crusher and belts give"
    found = run(
        {
            "pace_source": "measured",
            "measured_pace": 0.9,
            "hammer_work_index": 0.0,
            "crusher_capacity": 1.35,
            "crusher_hours": hours,
            "hours_per_day": 10.0,
        }
    )
    ore = 0.9 * 10 * found["availability"]
    assert (ore <= 1.35 * hours) == enough == holds(found, check)


def test_crushing_finer_costs_tons_energy_and_jaw_plates():
    """Before, a mill feed of 1 mm was had for nothing."""
    plain = run()
    half = run({"feed_f80": plain["crusher_p80"] / 2})
    assert half["crusher_daily"] == pytest.approx(0.5 * plain["crusher_daily"])
    for name in ("crushing_energy", "cost_of_jaws_per_ton"):
        assert half[name] == pytest.approx(2 * plain[name], rel=1e-12)
    finest = run({"feed_f80": 1000.0})
    assert finest["bottleneck"] == "jaw crusher"
    # 6 tons an hour at 9,500 um, 5 hours: 3.2 tons a day at 1,000 um.
    assert finest["rock_per_day"] == pytest.approx(6 * 1000 / 9500 * 5)
    assert finest["net_present_value"] < plain["net_present_value"]
    coarser = run({"feed_f80": 2 * plain["crusher_p80"]})
    assert coarser["crusher_rate"] == plain["crusher_capacity"]


def test_one_jaw_crusher_does_six_to_one():
    check = "Crushing stages required are at most one, 6 to 1"
    for largest, enough in ((57_000.0, True), (57_100.0, False), (0.0, True)):
        found = run({"feed_f80": 9500.0, "crusher_f80": largest})
        assert holds(found, check) == enough  # 6 x 9,500 is 57,000; 0 is not known


def test_belts_take_power_while_the_crusher_runs():
    """Before, they ran all hours of the mill in the energy and not on Plant."""
    found = run()
    belts = found["belt_motor"] * found["conveying_load"] * 0.745699871582
    belts = belts / found["crusher_capacity"]
    running = ("feeder_power", "mill_power_drawn", "table_power", "water_power")
    drawn = sum(found[name] for name in (*running, "other_load")) / found["feed_rate"]
    whole = drawn + belts + found["crushing_energy"] + found["melting_energy"]
    assert found["energy_per_ton"] == pytest.approx(whole, rel=1e-12)
    slow = run({"belt_capacity": found["crusher_capacity"] / 2})
    assert slow["energy_per_ton"] == pytest.approx(whole + belts, rel=1e-12)


def test_the_limit_of_the_feed_rate_is_named():
    timed = {"pace_source": "measured", "hammer_work_index": 0.0}
    slow = run(timed | {"measured_pace": 0.9})
    assert slow["feed_rate_limit"] == "measured throughput"
    dry = run(timed | {"measured_pace": 0.9, "water_supply": 100.0})
    assert dry["feed_rate"] < 0.9 and dry["feed_rate_limit"] == "water"
    calculated = run({"pace_source": "calculated"})
    assert calculated["feed_rate_limit"] == calculated["bottleneck"] == "mill"
