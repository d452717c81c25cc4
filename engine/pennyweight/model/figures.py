"""Format numbers with units: $491.35, 62%, 12% per year, 0.280 oz/ton."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from ..formulas.writing import NO_ANSWER
from .units import shown

DECIMALS: dict[str, int] = {"$": 0, "month": 0, "ton": 0, "oz": 0, "count": 0}
"""Decimals of results by their unit; two for others."""
GRADE_DECIMALS = {"us": 3, "metric": 2}
PLURAL = {"ton": "tons", "month": "months", "day": "days", "hour": "hours"}
"""Plurals of units; symbols have none."""


LONG = 1e15
"""Numbers from here on are shown with an exponent."""


def money(value: float, decimals: int | None = None) -> str:
    """Format an amount of money, with a minus sign before the $.

    Parameters
    ----------
    value : float
    decimals : int, optional
        Default: as many as the number has, at least two; none for whole dollars.

    Examples
    --------
    >>> money(-156208.4, 0), money(491.35), money(0.145), money(3440.0)
    ('-$156,208', '$491.35', '$0.145', '$3,440')
    """
    if decimals is None:
        number = _plain_number(abs(value))
        whole, point, part = number.partition(".")
        amount = f"{whole}.{part:0<2}" if point else whole
        return f"{'-' if value < 0 else ''}${amount}"
    amount = f"{abs(value):,.{decimals}f}"
    below = value < 0 and any(digit in amount for digit in "123456789")
    return f"{'-' if below else ''}${amount}"


def result_text(value: Any, unit: str, units: str) -> str:
    """Format a result with its unit.

    Parameters
    ----------
    value : float or str or None
        None and NaN are results without an answer.
    unit : str
        In the unit words of lines.
    units : {"us", "metric"}

    Examples
    --------
    >>> result_text(144.15, "$/ton", "metric"), result_text(0.218, "1/year", "us")
    ('$144.15/t', '21.8% per year')
    >>> result_text(0.21, "grade", "us"), result_text(None, "$", "us")
    ('0.210 oz/ton', 'n/a')
    """
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return NO_ANSWER
    if isinstance(value, str):
        return value
    decimals = DECIMALS.get(unit, 2)
    if unit in ("month", "count") and value != round(value):
        decimals = 2
    if unit == "grade":
        decimals = GRADE_DECIMALS[units]
    if unit == "oz" and abs(value) < 100:  # of a lot
        decimals = 2
    if unit in ("share", "1/year"):
        return f"{value * 100:.1f}%{' per year' if unit == '1/year' else ''}"
    if unit.startswith("$"):
        return money(value, decimals) + shown(unit, units)[1:]
    return _with_unit(f"{value:,.{decimals}f}", unit, units)


RISES, FALLS = " and rises by ", " and falls by "


def growth_words(rate: float) -> str:
    """Yearly change of a price, in words; empty if it is constant.

    Examples
    --------
    >>> growth_words(0.0609), growth_words(-0.02), growth_words(0.0)
    (' and rises by 6.1% per year', ' and falls by 2.0% per year', '')
    """
    share = Decimal(f"{rate:.15g}").quantize(Decimal("0.001"), ROUND_HALF_UP)
    if not share:  # less than 0.05%
        return ""
    return f"{RISES if share > 0 else FALLS}{abs(share):.1%} per year"


def input_text(value: Any, unit: str, kind: str, units: str, digits: int = 6) -> str:
    """Format a value of an input with its unit.

    Parameters
    ----------
    value : float or str
    unit, kind : str
        As in the table of inputs.
    units : {"us", "metric"}
    digits : int
        Significant digits.

    Examples
    --------
    >>> input_text(3440.0, "$/oz", "number", "us")
    '$3,440/oz'
    >>> input_text(0.12, "1/year", "share", "us"), input_text(0.04, "-", "share", "us")
    ('12% per year', '4%')
    >>> input_text(10.0, "hour/day", "number", "us")
    '10 hours/day'
    """
    if isinstance(value, str):
        return value
    if math.isnan(value):
        return "NaN"
    if kind == "share":
        share = _plain_number(value * 100, digits)
        return f"{share}%{' per year' if unit == '1/year' else ''}"
    if kind == "whole" and unit == "-":  # a calendar year among them
        return f"{value:.{digits}g}"
    if unit.startswith("$"):
        rounded = float(f"{value:.{digits}g}")
        return money(rounded) + shown(unit, units)[1:]
    return _with_unit(_plain_number(value, digits), unit, units)


def unit_text(unit: str, kind: str, units: str) -> str:
    """The unit in which an input is entered, in words."""
    if kind == "share":
        return "% per year" if unit == "1/year" else "%"
    return _plural(shown(unit, units))


def _plain_number(value: float, digits: int = 12) -> str:
    # As a decimal, which can be shown without an exponent.
    number = Decimal(f"{value:.{digits}g}")
    return f"{number:,f}" if abs(value) < LONG else str(number)


def _with_unit(number: str, unit: str, units: str) -> str:
    word = shown(unit, units)
    return f"{number} {word if number == '1' else _plural(word)}".strip()


def _plural(word: str) -> str:
    above, line, below = word.partition("/")
    return PLURAL.get(above, above) + line + below
