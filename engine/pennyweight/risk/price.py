"""The gold price to come: uncertain, but without a promise that it rises.

Both kinds keep the mean at the price given, in every month: the median then sinks by
half the variance, and nothing is gained from uncertainty alone.
"""

import numpy as np

from ..errors import BadValue
from ..model.axes import MONTHS

VOLATILITY = 0.15
"""A year, of the logarithm of the price; see `BASIS`."""

BASIS = (
    "World Bank Commodity Markets, monthly gold price, January 1990 to June 2026 (438 "
    "months, US dollars): the standard deviation of the monthly change of the "
    "logarithm is 12.3 % a year; since monthly averages hide a third of the variance "
    "(Working 1960, Econometrica 28, 916-918), 15.1 % are behind it, rounded to 15 %. "
    "Prices as they were paid, not in the money of one year."
)

LIMIT = 2.0
"""Volatility a year above which something is mistyped."""


def check_volatility(volatility):
    """Raise for a volatility that makes no sense."""
    if not 0 <= volatility <= LIMIT:
        raise BadValue(
            f"The volatility of the gold price is {volatility:g} a year; it must be "
            f"from 0 to {LIMIT:g}, such as {VOLATILITY:g} for 15 %."
        )


def flat_deviation(volatility, years):
    """Deviation of the logarithm of the mean price over some years to come.

    The mean of a random walk over T years varies as the walk does after T / 3.

    Parameters
    ----------
    volatility : float
        A year.
    years : float

    Returns
    -------
    deviation : float

    Examples
    --------
    >>> round(flat_deviation(0.15, 3), 3)
    0.15
    """
    return float(volatility * np.sqrt(years / 3))


def path(price, volatility, scores, months=MONTHS):
    """Prices month by month: a geometric random walk from today's price.

    The walk is laid out by halving (a Brownian bridge): the first score sets where
    it ends, the next its middle, and so on, so that quasi-random scores spread best
    where it counts.

    Parameters
    ----------
    price : float or array_like
        Today's, in month 0.
    volatility : float
        A year.
    scores : ndarray
        Independent standard normal, shape (months, n).
    months : int

    Returns
    -------
    prices : ndarray
        Shape (months + 1, n).
    """
    walk = np.zeros((months + 1, scores.shape[1]))
    walk[months] = np.sqrt(months) * scores[0]
    used = 1
    spans = [(0, months)]
    while spans:
        halves = []
        for start, end in spans:
            middle = (start + end) // 2
            if middle == start:
                continue
            share = (middle - start) / (end - start)
            deviation = np.sqrt((end - middle) * share)
            between = walk[start] + share * (walk[end] - walk[start])
            walk[middle] = between + deviation * scores[used]
            used += 1
            halves += [(start, middle), (middle, end)]
        spans = halves
    monthly = volatility / np.sqrt(12)
    drift = monthly**2 / 2 * np.arange(months + 1)[:, None]
    return price * np.exp(monthly * walk - drift)
