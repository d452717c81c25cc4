"""Key figures, against the functions and sums that they combine."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import pennyweight as pw
from pennyweight.errors import BadValue, OutsideRange
from pennyweight.trade import key_figures as k
from pennyweight.trade.catalogue import search
from pennyweight.trade.exact_units import (
    GRAMS_PER_OUNCE,
    GRAMS_PER_TONNE_PER_OUNCE_PER_SHORT_TON,
    KILOGRAMS_PER_POUND,
    METRES_PER_FOOT,
    TONNES_PER_SHORT_TON,
)

from ..evidence import evidence
from ..published import bond_wear
from .holding import arrays_are_scalars, refuses_nonsense

GOOD = {
    "operating_cost_per_ton": {
        "energy": 30,
        "energy_price": 0.2,
        "consumables": 6,
        "crew": 3,
        "wage": 32,
        "throughput": 1.5,
        "fixed_cost": 9000,
        "hours": 200,
        "other": 4,
    },
    "power_drawn": {
        "diameter": 1.2,
        "length": 1.2,
        "filling": 0.4,
        "speed_fraction": 0.75,
        "efficiency": 0.9,
        "other": 12,
    },
    "consumables_per_ton": {
        "abrasion_index": 0.2,
        "grinding_energy": 15,
        "ball_price": 1.6,
        "liner_price": 3.5,
        "crushing_energy": 1.5,
        "jaw_price": 4,
        "steel_factor": 0.6,
    },
    "recovery": {
        "measured_recovery": 0.6,
        "measured_p80": 250,
        "product_p80": 150,
        "gold_size": 80,
        "recoverable": 0.9,
        "half_caught_size": 50,
    },
    "price_sensitivity": {
        "price": 2400,
        "grade": 10,
        "recovery": 0.7,
        "cost_per_ton": 200,
        "payable": 0.98,
        "refining": 6,
        "royalty": 0.03,
    },
}


@pytest.mark.parametrize("name", GOOD)
def test_nonsense_is_refused_and_arrays_are_scalars(name):
    function, good = getattr(k, name), GOOD[name]
    refuses_nonsense(function, **good)
    values = list(good.values())
    arrays_are_scalars(function, values, [0.9 * value for value in values])


@evidence("operating_cost_per_ton", "derived", "a month's bills over its tons")
def test_cost_per_ton_is_the_month_over_its_tons():
    tons = 200 * 1.5
    month = tons * (30 * 0.2 + 6 + 4) + 200 * 3 * 32 + 9000
    found = pw.operating_cost_per_ton(**GOOD["operating_cost_per_ton"])
    assert found == pytest.approx(month / tons, rel=1e-12)


@evidence("power_drawn", "derived", "Bond's pinion power over the efficiency")
def test_power_from_the_line():
    found = pw.power_drawn(**GOOD["power_drawn"])
    pinion = pw.mill_power(1.2, 1.2, 0.4, 0.75)
    assert (found - 12) * 0.9 == pytest.approx(pinion, rel=1e-12)


@evidence("consumables_per_ton", "read", bond_wear.SOURCE)
def test_consumables_by_bonds_equations_as_printed():
    ore = np.array([0.1, 0.2, 0.5])
    printed = {
        "balls": (bond_wear.WET_BALLS, 0.015),
        "liners": (bond_wear.WET_LINERS, 1e-12),
        "jaw plates": (bond_wear.CRUSHER_LINERS, 1e-12),
    }
    for part, (terms, tolerance) in printed.items():
        steel = k.consumables_per_ton(ore, 15, 1, 1, 15, 1, part=part)
        pounds = 15 * bond_wear.pounds_per_kilowatt_hour(terms, ore)
        assert steel == pytest.approx(KILOGRAMS_PER_POUND * pounds, rel=tolerance)


def test_the_parts_add_up():
    good = GOOD["consumables_per_ton"]
    parts = [
        pw.consumables_per_ton(**good, part=part)
        for part in ("balls", "liners", "jaw plates")
    ]
    assert sum(parts) == pytest.approx(pw.consumables_per_ton(**good), rel=1e-12)


def test_modern_steel_spares_balls_and_liners_and_no_jaw_plates():
    """As in the workbook. Before, the factor of modern balls was on jaw plates, too."""
    good = GOOD["consumables_per_ton"]
    worn = {
        part: [
            pw.consumables_per_ton(**good | {"steel_factor": factor}, part=part)
            for factor in (1.0, 0.6)
        ]
        for part in ("balls", "liners", "jaw plates")
    }
    ratios = {part: new / old for part, (old, new) in worn.items()}
    expected = {"balls": 0.6, "liners": 0.6, "jaw plates": 1.0}
    assert ratios == pytest.approx(expected, rel=1e-12)
    # (0.2 + 0.22)/11 lb a kWh, 1.5 kWh, $4 a kilogram.
    assert worn["jaw plates"][0] == pytest.approx(0.42 / 11 * 0.45359237 * 1.5 * 4)


@evidence("recovery", "derived", "the measured grind gives the measured recovery")
@given(st.floats(0.1, 0.9), st.floats(50, 500), st.floats(20, 500))
def test_the_measured_grind_gives_the_measured_recovery(measured, grind, gold):
    found = pw.recovery(measured, grind, grind, gold)
    assert found == pytest.approx(measured, rel=1e-9)


def test_a_coarser_grind_frees_less_and_the_finest_loses_fine_gold():
    coarse, fine, finest = (pw.recovery(0.6, 250, p, 80) for p in (500, 125, 20))
    assert coarse < 0.6 < fine and finest < fine


@evidence("price_sensitivity", "derived", "zero at the break-even grade")
@given(st.floats(1000, 5000), st.floats(20, 400), st.floats(0.2, 0.95))
def test_the_margin_is_zero_at_the_break_even_grade(price, cost, share):
    grade = pw.break_even_grade(cost, share, price, 0.98, 6)
    if grade < 100:
        margin = pw.price_sensitivity(price, grade, share, cost, 0.98, 6)
        assert margin == pytest.approx(0, abs=1e-9 * cost)


def test_the_table_of_prices_and_grades():
    prices, grades = [2000, 2500, 3000], np.array([[5.0], [10.0]])
    table = pw.price_sensitivity(prices, grades, 0.7, 120)
    assert table.shape == (2, 3)
    assert table[1, 2] == pytest.approx(10 * 0.7 / GRAMS_PER_OUNCE * 3000 - 120)


def test_us_units_give_the_same_mill():
    metric = pw.power_drawn(1.2, 1.5, 0.4, 0.75, 0.9)
    feet = pw.power_drawn(
        1.2 / METRES_PER_FOOT, 1.5 / METRES_PER_FOOT, 0.4, 0.75, 0.9, units="us"
    )
    assert feet == pytest.approx(metric, rel=1e-12)
    ounces = pw.price_sensitivity(2400, 0.3, 0.7, 180, units="us")
    grams = pw.price_sensitivity(
        2400,
        0.3 * GRAMS_PER_TONNE_PER_OUNCE_PER_SHORT_TON,
        0.7,
        180 / TONNES_PER_SHORT_TON,
    )
    assert ounces == pytest.approx(grams * TONNES_PER_SHORT_TON, rel=1e-12)


def test_us_units_are_held_to_the_same_ranges_in_their_own_words():
    with pytest.raises(BadValue, match=r"diameter is 60 ft; .* below 49.2126 ft"):
        pw.power_drawn(60, 5, 0.4, 0.75, 0.9, units="us")
    with pytest.raises(BadValue, match=r"units is 'feet'.*metric, us"):
        pw.power_drawn(3, 5, 0.4, 0.75, 0.9, units="feet")
    with pytest.warns(OutsideRange, match=r"grade is outside .* oz/ton"):
        pw.price_sensitivity(2400, 9, 0.7, 180, units="us")
    with pytest.raises(TypeError, match="units"):
        pw.oz_per_ton_to_g_per_t(1, units="us")


@pytest.mark.parametrize(
    ("call", "places"),
    [
        (lambda units, f: pw.taylor_rate(1e5 / f, units=units), 1),
        (lambda units, f: pw.tail_grade(10, 1, 0.1, units=units), 0),
    ],
)
def test_answers_come_in_the_units_of_the_figures(call, places):
    metric, us = call("metric", 1), call("us", TONNES_PER_SHORT_TON)
    assert us * TONNES_PER_SHORT_TON**places == pytest.approx(metric, rel=1e-12)


@pytest.mark.parametrize(
    ("words", "first"),
    [
        ("power", "power_drawn"),
        ("cost", "operating_cost_per_ton"),
        ("consumables", "consumables_per_ton"),
        ("recovery", "recovery"),
        ("price", "price_sensitivity"),
        ("Operating cost", "operating_cost_per_ton"),
    ],
)
def test_words_find_them_first(words, first):
    assert next(iter(search(words))) == first
    assert search("no such words") == {}
