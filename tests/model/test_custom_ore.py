"""A customer's ore in the plan's mill: feed rate, hours and cost by weight."""

import numpy as np
import pytest

from pennyweight.model.run import run

CHOICES = [
    {},
    {"mill_kind": "hammer mill"},
    {"pace_source": "measured", "measured_pace": 1.2, "hammer_work_index": 12.0},
    {"energy_source": "bill", "consumables_source": "bought"},
    {"table_capacity": 0.4},
]


@pytest.mark.parametrize("choices", CHOICES)
def test_a_customers_ore_is_milled_as_the_plan_would_mill_it(choices):
    """The plan's own lines, run on an ore of that work index, give the same."""
    index = np.array([10.0, 14.0, 19.0, 30.0])
    found = run({**choices, "custom_pace": 0.0, "custom_work_index": index})
    plan = run({**choices, "work_index": index})
    for theirs, plans in (
        ("custom_feed_rate", "feed_rate"),
        ("custom_ore_energy_per_ton", "energy_per_ton"),
        ("custom_ore_milling_ton_rate", "milling_ton_rate"),
    ):
        np.testing.assert_allclose(found[theirs], plan[plans], rtol=1e-12)
    assert np.all(np.diff(found["milling_cost_per_ton"]) >= 0)


def test_a_slower_ore_takes_more_power_and_steel_by_the_ton():
    """The mill draws its power with or without feed: half the feed, twice the steel."""
    found = run({"custom_pace": np.array([1.0, 0.5]), "custom_work_index": 30.0})
    assert found["custom_feed_rate"] == pytest.approx(
        found["feed_rate"] * np.array([1, 0.5])
    )
    for name in ("custom_ore_cost_of_balls", "custom_ore_cost_of_liners"):
        assert found[name][1] == pytest.approx(2 * found[name][0])
    running = ("feeder_power", "mill_power_drawn", "table_power", "water_power")
    drawn = sum(found[name] for name in (*running, "other_load")) / found["feed_rate"]
    more = np.diff(found["custom_ore_energy_per_ton"]).item()
    melting = np.diff(found["custom_ore_melting_energy"]).item()
    assert more == pytest.approx(np.unique(drawn).item() + melting)
    water = found["cost_of_water_per_ton"] + found["cost_of_tailings_per_ton"]
    assert np.all(found["custom_ore_milling_ton_rate"] > water)


def test_hammers_wear_by_the_rock_and_not_by_the_pace():
    found = run({"mill_kind": "hammer mill", "custom_pace": np.array([1.0, 0.5])})
    assert np.ptp(found["custom_ore_cost_of_hammers"]) == 0
