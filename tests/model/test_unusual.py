"""Figures of plants of other sizes are usual; slips of a unit are not."""

import pytest

import pennyweight as pw
from pennyweight.model.entries import USUAL_ZEROS, unlikely_beyond
from pennyweight.model.inputs import INPUTS

TWO_TONS_A_DAY = {
    "royalty_rate": 0,
    "crusher_capacity": 1,
    "hammer_capacity": 0.36,
    "classifier_motor": 0,
    "furnace_energy": 0,
    "water_price": 0,
    "insurance_cost": 350,
    "overhead_cost": 600,
    "mill_capital": 9500,
    "water_capital": 4000,
    "furnace_capital": 3500,
    "power_capital": 7000,
    "building_capital": 6000,
}
HUNDRED_TONNES_A_DAY = {
    "crusher_capacity": 18,
    "pump_motor": 45,
    "cleanup_hours": 320,
    "water_per_ton": 6000,
    "hold_up": 90,
    "insurance_cost": 14_000,
    "overhead_cost": 38_000,
    "crushing_capital": 650_000,
    "mine_capital": 4_200_000,
    "closure_cost": 850_000,
    "stores": 220_000,
}
SLIPS = {"water_per_ton": 6, "water_price": 0.8, "hold_up": 3000}
"""m3 for litres; the price of a m3 for that of a litre; grams for ounces."""


def flagged(units, figures):
    told = pw.example(units).change(**figures).judge().look_again
    return [sentence.partition(":")[0] for sentence in told]


@pytest.mark.filterwarnings("ignore::pennyweight.errors.OutsideRange")
def test_a_small_or_large_plant_is_not_unusual():
    """Invented plants. Before, 13 and 19 figures of them were to be looked at again."""
    assert flagged("us", TWO_TONS_A_DAY) == []
    assert flagged("metric", HUNDRED_TONNES_A_DAY) == []


@pytest.mark.filterwarnings("ignore::pennyweight.errors.OutsideRange")
def test_slips_of_a_unit_are_told_the_farthest_first():
    assert flagged("metric", HUNDRED_TONNES_A_DAY | SLIPS) == [
        "Circulating water",
        "Make-up water price",
        "Gold in circuit (lock-up)",
    ]


def test_a_slip_of_a_digit_in_an_amount_is_told():
    """Ten times the dearest mill."""
    assert flagged("us", {"mill_capital": 1_800_000}) == ["Mill and drive"]


PER_TIME = {
    "measured_pace": (8, 24),
    "hammer_capacity": (8, 24),
    "wage": (8, 24, 173),
    "fixed_cost": (12,),
    "energy_bill": (12,),
    "consumables_bill": (12,),
}
"""Figures of a time, and the factors to those of a day or a year entered instead."""


@pytest.mark.parametrize("units", ["us", "metric"])
def test_a_longer_time_is_told_even_from_the_nearer_end_of_the_range(units):
    """And a plant of two and a half times the usual size is not."""
    for name, factors in PER_TIME.items():
        entry = INPUTS[name]
        low, high = (entry.value(units, end) for end in ("low", "high"))
        least, most = unlikely_beyond(entry, units)
        assert most < min(factors) * high and least > low / min(factors), name
        assert entry.unit == "$/hour" or (2.5 * high < most and low / 2.5 > least), name


def test_a_years_fixed_cost_and_a_days_tons_are_told():
    """Before, the limits were nine times the range, and both passed as yours."""
    assert flagged("us", {"fixed_cost": 96_000.0}) == ["Fixed cost per month"]
    assert "Measured throughput" in flagged("us", {"measured_pace": 16.0})


def test_nothing_is_unusual_where_a_claim_cannot_do_without():
    for name in ("crew", "wage", "mining_cost", "fixed_cost"):
        assert flagged("us", {name: 0.0}) == [INPUTS[name].label]
    assert flagged("us", dict.fromkeys(USUAL_ZEROS, 0.0)) == []
