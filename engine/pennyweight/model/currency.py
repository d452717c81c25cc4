"""The currency of a plan: its sign, and how many of its units are one US dollar.

Estimates and limits of money are in US dollars in the table of inputs. The exchange
rate turns them into the currency of the plan; figures that the user enters are never
converted.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping
from typing import Any

import numpy as np

from ..errors import CallError
from ..formulas import joined

US_DOLLARS = (
    *("", "$", "usd", "us$"),
    *("dollars", "us dollar", "us dollars", "u.s. dollars"),
)
"""Names of US dollars, in small letters."""
OTHER = "other than US dollars"
"""Stands in the table of inputs for every other currency."""


def foreign(currency: Any) -> Any:
    """Whether a currency is not US dollars; a spreadsheet compares in any case.

    Examples
    --------
    >>> bool(foreign("us dollars")), bool(foreign("Ghana cedi"))
    (False, True)
    """
    if hasattr(currency, "__formula__"):
        same = [currency == name for name in US_DOLLARS]
        return np.logical_not(functools.reduce(np.logical_or, same))
    if np.ndim(currency) == 0:
        return str(currency).lower() not in US_DOLLARS
    return np.isin(np.char.lower(currency), US_DOLLARS, invert=True)


def rate_used(currency: Any, exchange_rate: Any) -> Any:
    """Units of the currency in one US dollar: 1 if it is US dollars."""
    return np.where(foreign(currency), exchange_rate, 1.0)


def rate_of(inputs: Mapping[str, Any]) -> float:
    """Exchange rate of a plan; 1 if it was not entered.

    Parameters
    ----------
    inputs : mapping of str to float or str
        All inputs, or some.

    Raises
    ------
    CallError
        If scenarios differ in it: estimates would not follow.
    """
    currency, rate = inputs.get("currency", ""), inputs.get("exchange_rate", 1.0)
    if np.ndim(currency) == np.ndim(rate) == 0:
        return float(rate_used(currency, rate))
    several = {float(one) for one in np.ravel(rate_used(currency, rate))}
    if len(several) > 1:
        raise CallError(
            "Currency and exchange rate cannot differ between cases: the estimates "
            "follow them. Make a plan for each, with change."
        )
    return several.pop()


def still_shown(currency: Any, shown: str) -> Any:
    """Sentence on a workbook whose currency was changed after it was written.

    Parameters
    ----------
    currency : str
        The present one.
    shown : str
        The one whose sign its sheets show.

    Examples
    --------
    >>> str(still_shown("GHS", "US dollars"))[:45]
    'Money is now GHS, but the sheets still show $'
    """
    live = hasattr(currency, "__formula__")
    alike = currency == shown if live else currency.lower() == shown.lower()
    same = alike if foreign(shown) else np.logical_not(foreign(currency))
    told = joined(
        *("Money is now ", currency, f", but the sheets still show {symbol(shown)}. "),
        "Write them anew: pennyweight new NEW.xlsx --from this workbook.",
    )
    return np.where(same, "", told)


def symbol(currency: str) -> str:
    """Sign of US dollars; the name of any other currency, as it was entered.

    Examples
    --------
    >>> symbol("US dollars"), symbol("Ghana cedi"), symbol("Canadian dollars")
    ('$', 'Ghana cedi', 'Canadian dollars')
    """
    return currency.strip() or "$" if foreign(currency) else "$"


def in_currency(text: str, currency: str) -> str:
    """A text with its money in a currency; ``$`` is the sign of money before.

    Examples
    --------
    >>> in_currency("-$156,208 at $150/hour", "GHS"), in_currency("$/oz", "GHS")
    ('-GHS 156,208 at GHS 150/hour', 'GHS/oz')
    """
    sign = symbol(currency)
    if sign == "$":
        return text
    return re.sub(r"\$(?=\d)", lambda _: f"{sign} ", text).replace("$", sign)
