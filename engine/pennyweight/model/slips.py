"""Likely slips of unit: what a figure far from its usual range may be.

One table serves the sentences of `judge`, the errors, and the cells of the workbook.
"""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np

from ..formulas import appended
from ..trade.exact_units import GRAMS_PER_OUNCE
from .currency import in_currency
from .inputs import Input
from .units import shown

PERCENT = 100.0
NEAR = 2.0
"""A figure is usual to this factor beyond its range; units of the two systems that
differ by less are not told apart."""
SLIPS = (
    # unit, what was entered instead, least and greatest ratio to the right figure
    ("ton/hour", "per day?", 8.0, 24.0),
    ("$/hour", "per day?", 8.0, 12.0),
    ("$/hour", "per month?", 160.0, 250.0),
    ("$/month", "per year?", 12.0, 12.0),
    ("hour/month", "per year?", 12.0, 12.0),
    ("$/oz", "per gram?", 1 / GRAMS_PER_OUNCE, 1 / GRAMS_PER_OUNCE),
    ("$/oz", "per kilogram?", 1000 / GRAMS_PER_OUNCE, 1000 / GRAMS_PER_OUNCE),
)
"""Beside these: a percentage without its sign, and a unit of the other system."""


def slips_of(entry: Input, units: str) -> list[Any]:
    """Likely slips of an input, in a row: words, least and greatest figure of each.

    A percentage without its sign has no words: they are the figure itself.

    Examples
    --------
    >>> from pennyweight.model.inputs import INPUTS
    >>> slips_of(INPUTS["ore_grade"], "us")
    ['in g/t?', 1.7, 41.0]
    >>> slips_of(INPUTS["royalty_rate"], "us")
    ['', 0.6, 60.0]
    """
    if entry.kind == "share":
        least, most = entry.within(units)
        return ["", max(PERCENT * least, most), PERCENT * most]
    if entry.low == "":
        return []
    low, high = _range(entry, units)
    found = [
        [words, low * least / NEAR, high * most * NEAR]
        for unit, words, least, most in SLIPS
        if unit == entry.unit
    ]
    other = "us" if units == "metric" else "metric"
    least, most = _range(entry, other)
    if not high / NEAR < most < high * NEAR:
        unit = in_currency(shown(entry.unit, other), entry.currency)
        found.append([f"in {unit}?", least / NEAR, most * NEAR])
    return [*itertools.chain(*found)]


def _range(entry: Input, units: str) -> list[Any]:
    return [entry.value(units, end) for end in ("low", "high")]


def question(entered: Any, *slips: Any) -> Any:
    """What an unusual figure may be, as a short question; empty if nothing likely.

    Parameters
    ----------
    entered : float or Expression
    *slips
        From `slips_of`.

    Examples
    --------
    >>> question(18.9, "in g/t?", 3.4, 21.0), question(4.0, "", 0.6, 60.0)
    ('in g/t?', '4%?')
    """
    told = []
    for words, least, most in zip(slips[::3], slips[1::3], slips[2::3], strict=True):
        inside = np.logical_and(entered >= least, entered <= most)
        told.append(np.where(inside, words or appended(entered, "%?"), ""))
    return appended(*told) if told else ""


def slip(entry: Input, value: Any, units: str) -> Any:
    """What an unusual figure of an input may be, as a short question."""
    return question(value, *slips_of(entry, units))
