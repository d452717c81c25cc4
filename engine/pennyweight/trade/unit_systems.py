"""US customary units for functions that calculate in metric units."""

from typing import Any

import numpy as np

from . import exact_units as exact

METRIC, US = "metric", "us"
SYSTEMS = (METRIC, US)

US_UNITS = {
    "m": ("ft", exact.METRES_PER_FOOT),
    "m^2": ("ft^2", exact.METRES_PER_FOOT**2),
    "m^3": ("ft^3", exact.METRES_PER_FOOT**3),
    "m^3/hour": ("gal/min", exact.LITRES_PER_GALLON * 60 / 1000),
    "t": ("ton", exact.TONNES_PER_SHORT_TON),
    "t/hour": ("ton/hour", exact.TONNES_PER_SHORT_TON),
    "t/year": ("ton/year", exact.TONNES_PER_SHORT_TON),
    "t/m^3": ("lb/ft^3", exact.KILOGRAMS_PER_POUND / 1000 / exact.METRES_PER_FOOT**3),
    "kg": ("lb", exact.KILOGRAMS_PER_POUND),
    "kg/t": ("lb/ton", exact.KILOGRAMS_PER_POUND / exact.TONNES_PER_SHORT_TON),
    "kg/kWh": ("lb/kWh", exact.KILOGRAMS_PER_POUND),
    "g/t": ("oz/ton", exact.GRAMS_PER_TONNE_PER_OUNCE_PER_SHORT_TON),
    "kWh/t": ("kWh/ton", 1 / exact.TONNES_PER_SHORT_TON),
    "kW/t": ("kW/ton", 1 / exact.TONNES_PER_SHORT_TON),
    "L/kWh": ("gal/kWh", exact.LITRES_PER_GALLON),
    "money/t": ("money/ton", 1 / exact.TONNES_PER_SHORT_TON),
    "money/kg": ("money/lb", 1 / exact.KILOGRAMS_PER_POUND),
}
"""US unit for a metric unit, and its size in the metric one.

Sizes are in um and mm and power in kW, as in a US workbook; a ton of either kind is
[ton] and needs no conversion.
"""


def us_unit(unit: str) -> str:
    """US unit for a metric unit."""
    return US_UNITS.get(unit, (unit, 1.0))[0]


def per_us(unit: str) -> float:
    """Size of the US unit in the metric unit."""
    return US_UNITS.get(unit, (unit, 1.0))[1]


def factor(unit: str, units: Any) -> Any:
    """Size of a system's unit in the metric unit; a formula if a cell names it."""
    if unit not in US_UNITS:
        return 1.0
    return np.where(units == US, per_us(unit), 1.0)
