"""Unit systems of a workbook, and constants for conversion to SI.

The units of inputs and lines are unit words: ``ton``, ``grade``, ``mass``, ``length``,
``size``, ``volume`` and ``power``. A workbook is in US customary units (short tons,
troy ounces per ton, pounds, feet, inches, gallons, horsepower) or metric units.
"""

import functools
import re
from typing import Literal, get_args

from ..trade import exact_units as exact
from ..trade.settlement import HALF
from .axes import MONTHS

Units = Literal["us", "metric"]
SYSTEMS: tuple[Units, ...] = get_args(Units)

SMALLEST_REDUCTION = 1.5
"""Least reduction ratio; the low-reduction factor has a pole at 1.35."""

WORDS = {
    "us": {
        "ton": "ton",
        "grade": "oz/ton",
        "mass": "lb",
        "length": "ft",
        "size": "in",
        "volume": "gal",
        "power": "hp",
        "um": "µm",
    },
    "metric": {
        "ton": "t",
        "grade": "g/t",
        "mass": "kg",
        "length": "m",
        "size": "mm",
        "volume": "L",
        "power": "kW",
        "um": "µm",
    },
}

MIXED = "mixed"
"""Unit of a line whose elements have different units."""

TON = {"us": "ton", "metric": "tonne"}
"""A ton in a sentence."""

_TON = re.compile(r"\b(?<![Ss]hort )([Tt]on)(s?)\b")


def worded(text, system):
    """A label or note in the words of a unit system: ton or tonne.

    Parameters
    ----------
    text : str
        With the word ton for the ton of the workbook.
    system : {"us", "metric"}

    Returns
    -------
    text : str

    Examples
    --------
    >>> worded("Operating cost per ton", "metric")
    'Operating cost per tonne'
    >>> worded("Short tons per dry ton", "metric")
    'Short tons per dry tonne'
    """
    return _TON.sub(r"\1ne\2", text) if system == "metric" else text


METRIC_PER_US = {
    "ton": exact.TONNES_PER_SHORT_TON,
    "grade": exact.GRAMS_PER_TONNE_PER_OUNCE_PER_SHORT_TON,
    "mass": exact.KILOGRAMS_PER_POUND,
    "length": exact.METRES_PER_FOOT,
    "size": exact.MILLIMETRES_PER_INCH,
    "volume": exact.LITRES_PER_GALLON,
    "power": exact.KILOWATTS_PER_HORSEPOWER,
}
"""Metric units in one US customary unit."""

_SHORTER = (
    ("/ton/oz/ton", "/oz"),
    ("/t/g/t", "/g"),
    ("count/year", "per year"),
    ("1/oz/ton", "ton/oz"),
    ("1/g/t", "t/g"),
    ("/(kW*month)", "/kW-month"),
    ("1/minute", "rpm"),
    *((f"1/{time}", f"per {time}") for time in ("month", "year")),
)
"""Shorter forms of compound units."""
_WORD = re.compile(r"[A-Za-z_]+")
_PINT = {"oz": "troy_ounce", "ton": "short_ton"}
PURE = ("-", "share", "count", "check", MIXED)
"""Units of dimensionless numbers."""


@functools.cache
def shown(unit, system):
    """Symbol of a unit in a unit system.

    Examples
    --------
    >>> shown("kWh/ton", "metric"), shown("grade", "us")
    ('kWh/t', 'oz/ton')
    >>> shown("$/ton/grade", "us")  # $ per ton per unit of grade
    '$/oz'
    >>> shown("1/year", "us")
    'per year'
    """
    if unit in PURE:
        return ""
    words = _WORD.sub(lambda word: WORDS[system].get(word[0], word[0]), unit)
    for long, short in _SHORTER:
        words = words.replace(long, short)
    return words.replace("_", " ")


def pint_unit(unit, system):
    """A unit in pint's notation, which has a different ounce and ton.

    Examples
    --------
    >>> pint_unit("$/ton/grade", "us")
    'dollar/short_ton/(troy_ounce/short_ton)'
    """
    words = _WORD.sub(lambda word: f"({WORDS[system].get(word[0], word[0])})", unit)
    words = _WORD.sub(lambda word: _PINT.get(word[0], word[0]), words)
    words = re.sub(r"\((\w+)\)", r"\1", words.replace("$", "dollar"))
    return "" if unit in PURE else words


def factor(unit):
    """Conversion factor of a unit, from US customary to metric.

    Examples
    --------
    >>> round(factor("$/ton"), 6)
    1.102311
    """
    product, sign = 1.0, 1
    for part in re.split(r"(/)", unit):
        if part == "/":
            sign = -1
        for word in _WORD.findall(part):
            product *= METRIC_PER_US.get(word, 1.0) ** sign
    return product


def convert(value, unit, source, target):
    """Convert a number between the unit systems.

    Parameters
    ----------
    value : array_like
    unit : str
        In unit words.
    source, target : {"us", "metric"}

    Returns
    -------
    value : array_like

    """
    if source == target:
        return value
    return value * factor(unit) if target == "metric" else value / factor(unit)


WEEKS = 30.4375 / 7
"""Weeks in a month, on average."""

CONSTANTS = {
    # name: (label, unit, value in a US workbook, value in a metric one if different)
    "tonnes_per_ton": (
        "Tonnes in a ton of this workbook",
        "tonne/ton",
        exact.TONNES_PER_SHORT_TON,
        1.0,
    ),
    "short_tons_per_ton": (
        "Short tons in a ton of this workbook",
        "short_ton/ton",
        1.0,
        1 / exact.TONNES_PER_SHORT_TON,
    ),
    "g_per_t_per_grade": (
        "Grams per tonne in a grade unit of this workbook",
        "g/tonne/grade",
        exact.GRAMS_PER_TONNE_PER_OUNCE_PER_SHORT_TON,
        1.0,
    ),
    "grams_per_ounce": ("Grams in a troy ounce", "g/oz", exact.GRAMS_PER_OUNCE),
    "smallest_reduction": (
        "Least ratio of feed to product size",
        "-",
        SMALLEST_REDUCTION,
    ),
    "grade_per_ounce": (
        "Grade of one troy ounce in a ton of this workbook",
        "grade*ton/oz",
        1.0,
        exact.GRAMS_PER_OUNCE,
    ),
    "kilograms_per_mass": (
        "Kilograms in a pound or kilogram of this workbook",
        "kg/mass",
        exact.KILOGRAMS_PER_POUND,
        1.0,
    ),
    "mass_per_ton": (
        "Pounds or kilograms in a ton of this workbook",
        "mass/ton",
        exact.TONNES_PER_SHORT_TON * 1000 / exact.KILOGRAMS_PER_POUND,
        1000.0,
    ),
    "metres_per_length": (
        "Metres in a foot or metre of this workbook",
        "m/length",
        exact.METRES_PER_FOOT,
        1.0,
    ),
    "millimetres_per_size": (
        "Millimetres in an inch or millimetre of this workbook",
        "mm/size",
        exact.MILLIMETRES_PER_INCH,
        1.0,
    ),
    "kilowatts_per_power": (
        "Kilowatts in a horsepower or kilowatt of this workbook",
        "kW/power",
        exact.KILOWATTS_PER_HORSEPOWER,
        1.0,
    ),
    "months_per_year": ("Months in a year", "month/year", 12.0),
    "weeks_in_month": ("Weeks in a month, on average", "week/month", WEEKS),
    "days_in_month": ("Days in a month, on average", "day/month", 30.4375),
    "interest_days": ("Days in a year of late interest", "day/year", 365.0),
    "beside_the_job": ("Mark of a check that does not apply to the job", "count", 2.0),
    "check_tolerance": ("Tolerance of the checks, relative", "-", 1e-6),
    "tie": (
        "Tells equal costs apart",
        "$/ton",
        1e-6,
        1e-6 / exact.TONNES_PER_SHORT_TON,
    ),
    "beyond_any": (
        "Above every logarithm of a grade and every cover ratio",
        "-",
        1000.0,
    ),
    "fewest_to_test": ("Samples below which no test can tell", "-", 4.0),
    "highest_speed": ("Highest share of critical speed, power equation", "share", 0.9),
    "least_over_bond": (
        "Least energy of a hammer mill over Bond's: common practice",
        "-",
        0.5,
    ),
    "whole_season": ("All mill hours of the season", "share", 1.0),
    "longest_shift": (
        "Longest shift of a person: common practice, local law decides",
        "hour/day",
        12.0,
    ),
    "one_stage": ("Crushing stages of the plan", "count", 1.0),
    "farthest_ball_size": (
        "Farthest ball top size from Bond's, ratio: common practice",
        "-",
        1.5,
    ),
    "farthest_grind": ("Farthest grind from the measured one, ratio", "-", 2.0),
    "grain_rows": ("Grain sizes that stand for the gold", "count", 10.0),
    "particle_over_lost_grain": (
        "Particle size over the grain that tables miss in it",
        "-",
        3.0,
    ),
    "rock_density": ("Density of vein rock", "-", 2.7),
    "smallest_ball_mill": ("Smallest diameter of Bond's power equation", "m", 0.8),
    "metres_per_millimetre": ("Metres in a millimetre", "m/mm", 0.001),
    "pulp_top_size": ("Top size of assay pulp", "mm", 0.1),
    "metal_grade": (
        "Grade of pure metal",
        "grade",
        1e6 / exact.GRAMS_PER_TONNE_PER_OUNCE_PER_SHORT_TON,
        1e6,
    ),
    "highest_call": ("Highest call factor that is believed", "-", 1.5),
    "largest_weight": ("Share of the weight that one sample may carry", "share", 0.5),
    "tails_gap": ("Tailings fractions, gap to 100% allowed", "share", 0.05),
    "low_reduction": ("Reduction ratio that counts as low below", "-", 6.0),
    "widest_screen_gap": ("Screen-to-melt difference allowed", "share", 0.2),
    "bill_apart": ("Bill over the motors, or its inverse, that is told", "-", 1.5),
    "least_generator_load": (
        "Generator load below which it burns far more fuel per kWh",
        "share",
        0.25,
    ),
    "last_fraction": ("Upper over middle size of the last fraction", "-", 2.0),
    "pan_size": ("Lower size of the last screen fraction", "um", 0.0),
    "below_pan": ("Tailings below the last screen fraction", "-", 0.0),
    "screens_may_rise": ("Screens out of order that are allowed", "count", 0.0),
    "one_gram": ("One gram", "g", 1.0),
    "one_hour": ("One hour", "hour", 1.0),
    "one_day": ("One day", "day", 1.0),
    "one_ton": ("One ton", "ton", 1.0),
    "one_year": ("One year", "year", 1.0),
    "cents": ("Cents in one unit of money", "1/$", 100.0),
    "odd_cents": ("Most that the cents of a settlement may leave", "$", 0.02),
    "one_grade": ("One grade unit of this workbook", "grade", 1.0),
    "plan_months": ("Last month of the plan", "month", MONTHS),
    "assay_steps": (
        "Steps of a settlement assay in one grade unit",
        "1/grade",
        1000.0,
        100.0,
    ),
    "rounded_up": ("Part of a step that is rounded up", "-", HALF),
    "fine": ("Fineness of pure metal", "-", 1000.0),
}
"""Constants of the formulas, by name."""


def constants(system):
    """Constants of a unit system, by name."""
    place = 2 if system == "us" else -1
    return {name: entry[place] for name, entry in CONSTANTS.items()}
