"""Assays, means, crushing and money, against published worked cases."""

import numpy as np
import pytest

from pennyweight.trade import head, mills, money, samples, size_reduction, units

from ..evidence import evidence
from ..published import worked_cases as known

PER_PERCENT = 1e4  # g/t


def long_tons(grams_per_tonne):
    """Troy ounces per long ton."""
    return grams_per_tonne / units.oz_per_long_ton_to_g_per_t(1.0)


@evidence("metallics_grade", "read", known.METALLICS_SOURCE)
def test_silver_ore_with_metallics():
    case = known.METALLICS
    (coarse, fine), percent = case["grams"], np.array(case["percent"]) * PER_PERCENT
    found = head.metallics_grade(coarse, percent[0], fine, percent[1])
    assert found / PER_PERCENT == pytest.approx(case["produce"], abs=5e-5)
    # Of 0.7342%: the book's table is read at four decimals.
    assert long_tons(found) == pytest.approx(case["ounces"], abs=0.01)
    assert case["rough_ounces"] / long_tons(found) == pytest.approx(1.0018, abs=1e-4)


@evidence("bead_grade", "read", known.METALLICS_SOURCE)
@evidence("oz_per_long_ton_to_g_per_t", "read", known.METALLICS_SOURCE)
@pytest.mark.parametrize(("grams", "ounces"), known.BEADS)
def test_beads_of_twenty_grams(grams, ounces):
    found = units.bead_grade(1000 * grams, 20.0)
    assert long_tons(found) == pytest.approx(ounces, abs=0.005)


@evidence("oz_per_long_ton_to_g_per_t", "read", known.PART_SOURCE)
def test_a_part_in_a_hundred_thousand():
    assert long_tons(10.0) == pytest.approx(known.PART["ounces"], abs=5e-4)
    assert 20 * long_tons(10.0) == pytest.approx(known.PART["pennyweights"], abs=0.005)


@evidence("oz_per_ton_to_g_per_t", "read", known.ROSE_SOURCE)
@evidence("oz_per_long_ton_to_g_per_t", "read", known.ROSE_SOURCE)
def test_assay_tons():
    """A milligram of an assay-ton is an ounce to the ton."""
    grades = {
        "long": units.oz_per_long_ton_to_g_per_t(1.0),
        "short": units.oz_per_ton_to_g_per_t(1.0),
    }
    for ton, grams in known.ASSAY_TONS.items():
        assert 1000 / grades[ton] == pytest.approx(grams, abs=0.001)
    case = known.BEAD_OF_50
    printed = case["ounce"] + (case["pennyweights"] + case["grains"] / 24) / 20
    found = long_tons(units.bead_grade(case["milligrams"], 50.0))
    assert found == pytest.approx(printed, abs=0.05 / 480)


@evidence("weighted_mean", "read", known.VEIN_SOURCE)
@pytest.mark.parametrize(("start", "metres", "percent"), known.VEIN_MEANS)
def test_widths_of_a_vein(start, metres, percent):
    rows = known.VEIN[start:]
    widths, assays = zip(*rows, strict=True)
    assert sum(widths) == pytest.approx(metres)
    assert samples.weighted_mean(assays, widths) == pytest.approx(percent, abs=0.005)


@evidence("weighted_mean", "read", known.VEIN_SOURCE)
def test_one_more_sample_would_fall_below_the_cut_off():
    widths, assays = zip(*known.VEIN[1:], strict=True)
    assert samples.weighted_mean(assays, widths) < known.VEIN_CUT_OFF


@evidence("weighted_mean", "read", known.CORE_SOURCE)
def test_core_by_volume_and_by_weight():
    lengths, assays, gravity = np.array(known.CORE).T
    printed = known.CORE_MEANS
    by_volume = samples.weighted_mean(assays, lengths)
    assert by_volume == pytest.approx(printed["by volume"], abs=0.05)
    by_weight = samples.weighted_mean(assays, lengths * gravity)
    assert by_weight == pytest.approx(printed["by weight"], abs=0.05)


@evidence("kick_energy", "read", known.KICK_SOURCE)
def test_kick_of_a_lecture():
    known_and_asked, printed = known.KICK
    found = size_reduction.kick_energy(*known_and_asked)
    assert found == pytest.approx(printed, abs=0.05)


@evidence("critical_speed", "read", known.LABORATORY_MILL_SOURCE)
def test_critical_speed_of_a_laboratory_mill():
    case = known.LABORATORY_MILL
    found = mills.critical_speed(*case["metres"])
    assert found / 60 == pytest.approx(case["a_second"], abs=0.005)
    assert found == pytest.approx(170.4, abs=0.05)
    assert found < case["misprint"]


@evidence("internal_rate", "read", known.DESIGNS_SOURCE)
@pytest.mark.parametrize(("cost", "revenue", "rate"), known.DESIGNS)
def test_rates_of_four_designs(cost, revenue, rate):
    found = money.internal_rate([-cost, *[revenue] * 10])
    assert found == pytest.approx(rate, abs=5e-5)


@evidence("internal_rate", "read", known.PARK_SOURCE)
@pytest.mark.parametrize(("problem", "flows", "rate"), known.PARK)
def test_rates_of_a_textbook(problem, flows, rate):
    places = len(str(rate)) - 2  # the last of which is cut off, not rounded
    assert money.internal_rate(flows) == pytest.approx(rate, abs=10**-places)


@evidence("internal_rate", "read", known.PARK_SOURCE)
@pytest.mark.parametrize(("problem", "flows", "printed"), known.PARK_WRONG)
def test_rates_that_the_textbook_has_wrong(problem, flows, printed):
    """At the printed rate the flows are worth something; at the engine's, nothing."""
    scale = -flows[0]
    assert abs(money.net_present_value(printed, flows)) > 0.1 * scale
    found = money.internal_rate(flows)
    assert money.net_present_value(found, flows) == pytest.approx(0, abs=1e-9 * scale)


@evidence("internal_rate", "read", known.PARK_SOURCE)
def test_one_of_two_rates_is_none():
    flows, printed = known.PARK_TWO_RATES
    assert money.net_present_value(printed, flows) == pytest.approx(0, abs=2)
    assert np.isnan(money.internal_rate(flows))


@evidence("net_present_value", "read", known.SULLIVAN_SOURCE)
def test_a_gradient():
    case = known.SULLIVAN
    flows = np.array(case["flows"], dtype=float)
    step, start, end = case["gradient"]
    flows[start : end + 1] += step * np.arange(end + 1 - start)
    flows[end] += case["salvage"]
    found = money.net_present_value(case["rate"], flows)
    # Factors of four decimals, on 138,000.
    assert found == pytest.approx(case["value"], abs=0.00005 * 138_000)
    rate, bonus, printed = known.BONUS
    assert money.net_present_value(rate, bonus) == pytest.approx(printed, abs=0.7)


@evidence("net_present_value", "read", known.WORTH_SOURCE)
def test_present_worth_of_savings():
    rate, flows, by_factor, printed = known.WATER_MAIN
    found = money.net_present_value(rate, flows)
    assert found == pytest.approx(by_factor, abs=0.00005 * 75_000)
    assert abs(found - printed) > 100
    rate, flows, printed = known.BACK_UP_POWER
    found = money.net_present_value(rate, flows)
    assert found == pytest.approx(printed, abs=0.00005 * 22_000)


@evidence("net_present_value", "read", known.PUMPS_SOURCE)
@pytest.mark.parametrize(
    ("first", "yearly", "overhaul", "salvage", "cost"), known.PUMPS
)
def test_present_worth_of_two_pumps(first, yearly, overhaul, salvage, cost):
    flows = np.array([first, *[yearly] * 12], dtype=float)
    flows[6] += overhaul
    flows[12] -= salvage
    # Factors of five decimals.
    found = money.net_present_value(0.10, flows)
    assert found == pytest.approx(cost, abs=0.000005 * 12 * yearly)
