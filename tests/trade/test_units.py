"""Units: constants are exact, and pint agrees with every conversion."""

from fractions import Fraction

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import exact_units, units

from ..evidence import evidence

PINT = pint.get_application_registry()
SP811 = "NIST Special Publication 811 (2008), appendix B.8, through pint"

CONSTANTS = {
    "GRAMS_PER_GRAIN": ("grain", "g"),
    "GRAMS_PER_OUNCE": ("troy_ounce", "g"),
    "GRAMS_PER_PENNYWEIGHT": ("pennyweight", "g"),
    "KILOGRAMS_PER_POUND": ("pound", "kg"),
    "TONNES_PER_SHORT_TON": ("short_ton", "t"),
    "TONNES_PER_LONG_TON": ("long_ton", "t"),
    "KILOWATTS_PER_HORSEPOWER": ("horsepower", "kW"),
    "METRES_PER_FOOT": ("foot", "m"),
    "MILLIMETRES_PER_INCH": ("inch", "mm"),
    "MICROMETRES_PER_MILLIMETRE": ("mm", "um"),
    "LITRES_PER_GALLON": ("gallon", "L"),
    "STANDARD_GRAVITY": ("standard_gravity", "m/s^2"),
    "GRAMS_PER_TONNE_PER_OUNCE_PER_SHORT_TON": ("troy_ounce/short_ton", "g/t"),
    "GRAMS_PER_TONNE_PER_OUNCE_PER_LONG_TON": ("troy_ounce/long_ton", "g/t"),
}


@pytest.mark.parametrize("name", CONSTANTS)
def test_constants_against_pint(name):
    one, other = CONSTANTS[name]
    expected = PINT.Quantity(1, one).to(other).magnitude
    assert getattr(exact_units, name) == pytest.approx(expected, rel=1e-14)


def test_constants_are_exact_in_grains():
    grain = Fraction("0.06479891")
    ounce, short, long = 480 * grain, 14_000_000 * grain, 2240 * 7000 * grain
    assert float(ounce) == exact_units.GRAMS_PER_OUNCE
    assert float(24 * grain) == exact_units.GRAMS_PER_PENNYWEIGHT
    assert float(short / 10**6) == exact_units.TONNES_PER_SHORT_TON
    assert float(long / 10**6) == exact_units.TONNES_PER_LONG_TON
    assert ounce / short * 10**6 == Fraction(240, 7)
    assert ounce / long * 10**6 == Fraction(1500, 49)
    # A milligram from one assay ton is an ounce from one ton.
    assert Fraction(1, 1000) / Fraction(175, 6) == ounce / short
    assert Fraction(1, 1000) / Fraction(98, 3) == ounce / long
    assert pytest.approx(29.1667, abs=5e-5) == exact_units.ASSAY_TON_SHORT
    assert pytest.approx(32.6667, abs=5e-5) == exact_units.ASSAY_TON_LONG


CONVERSIONS = {
    "oz_per_ton_to_g_per_t": ("troy_ounce/short_ton", "g/t"),
    "g_per_t_to_oz_per_ton": ("g/t", "troy_ounce/short_ton"),
    "oz_per_long_ton_to_g_per_t": ("troy_ounce/long_ton", "g/t"),
    "troy_mass": ("troy_ounce", "g"),
    "grams_to_ounces": ("g", "troy_ounce"),
    "grams_to_pennyweights": ("g", "pennyweight"),
}


@pytest.mark.parametrize(
    "name",
    [pytest.param(n, marks=evidence(n, "package", SP811)) for n in CONVERSIONS],
)
def test_conversions_against_pint(name):
    one, other = CONVERSIONS[name]
    values = np.array([0.0, 0.05, 1.0, 73.2])
    expected = PINT.Quantity(values, one).to(other).magnitude
    assert getattr(units, name)(values) == pytest.approx(expected, rel=1e-14)


def test_troy_mass_adds_its_parts():
    ounces = PINT.Quantity(2, "troy_ounce") + PINT.Quantity(7, "pennyweight")
    expected = (ounces + PINT.Quantity(11, "grain")).to("g").magnitude
    assert units.troy_mass(2, 7, 11) == pytest.approx(expected, rel=1e-14)
    assert units.troy_mass(0, 0, 24) == pytest.approx(units.troy_mass(0, 1), rel=1e-14)


@evidence("fine_gold", "derived", "400 oz at 995 fine hold 398 oz, by definition")
def test_fine_gold_in_a_bar():
    assert units.grams_to_ounces(
        units.fine_gold(units.troy_mass(400), 995)
    ) == pytest.approx(398, rel=1e-14)
    assert units.fine_gold(200, 1000) == 200
    assert units.fine_gold(200, 0) == 0


@evidence("bead_grade", "derived", "mg per assay ton = oz per ton, by definition")
def test_bead_from_an_assay_ton_reads_in_ounces():
    bead = np.array([0.01, 0.5, 3.0])
    short = units.bead_grade(bead, exact_units.ASSAY_TON_SHORT)
    assert units.g_per_t_to_oz_per_ton(short) == pytest.approx(bead, rel=1e-14)
    long = units.bead_grade(bead, exact_units.ASSAY_TON_LONG)
    assert units.oz_per_long_ton_to_g_per_t(bead) == pytest.approx(long, rel=1e-14)


@evidence("oz_per_ton_to_g_per_t", "practice", "button of 16 g from 3500 lb of ore")
def test_button_of_a_test_lot():
    tons = 3500 / 2000
    grade = units.grams_to_ounces(16) / tons
    assert grade == pytest.approx(0.29, abs=0.005)
    in_metric = 16 / (tons * exact_units.TONNES_PER_SHORT_TON)
    assert units.oz_per_ton_to_g_per_t(grade) == pytest.approx(in_metric, rel=1e-14)


@given(st.floats(0, 1e6))
def test_there_and_back(grade):
    there = units.oz_per_ton_to_g_per_t(grade)
    assert units.g_per_t_to_oz_per_ton(there) == pytest.approx(grade, rel=1e-14)


@pytest.mark.parametrize("bad", [-1, np.nan, np.inf, None, "1", "", [], [1, -1]])
@pytest.mark.parametrize("name", CONVERSIONS)
def test_bad_masses_and_grades(name, bad):
    with pytest.raises(BadValue, match="must be"):
        getattr(units, name)(bad)


@pytest.mark.parametrize("bad", [-1, 1000.1, np.nan, None, "750", []])
def test_bad_fineness(bad):
    with pytest.raises(BadValue):
        units.fine_gold(100, bad)


def test_bad_sample():
    with pytest.raises(BadValue):
        units.bead_grade(1, 0)
