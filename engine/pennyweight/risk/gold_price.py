"""Models of the future gold price: lognormal with a constant mean.

In both models the mean in every month is the price entered, so that uncertainty alone
adds no value. The median is lower, by a factor exp(-v / 2) at a log variance v.
"""

import numpy as np

from ..errors import BadValue
from ..model.axes import MONTHS

VOLATILITY = 0.15
"""Volatility per year, of the logarithm of the price; see `BASIS`."""

BASIS = (
    "World Bank Commodity Markets, monthly gold price, January 1990 to June 2026 (438 "
    "months, US dollars, nominal): the standard deviation of the monthly change of the "
    "logarithm is 12.3% per year. Monthly averages hide a third of the variance "
    "(Working 1960, Econometrica 28, 916-918), so volatility is 15.1%, rounded to 15%."
)

LIMIT = 2.0
"""Largest volatility per year accepted."""


def check_volatility(volatility):
    """Raise for a volatility out of range."""
    if not 0 <= volatility <= LIMIT:
        raise BadValue(
            f"Volatility of the gold price: {volatility:g} per year. Enter a fraction "
            f"from 0 to {LIMIT:g}, such as {VOLATILITY:g} for 15%."
        )


def flat_deviation(volatility, years):
    """Standard deviation of the logarithm of the mean price over some years.

    The mean of a random walk over T years has the variance of the walk after T / 3.

    Parameters
    ----------
    volatility : float
        Per year, as a fraction.
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


def path(price, volatility, scores):
    """Monthly prices by a geometric random walk, built as a Brownian bridge.

    The first score sets the end of the walk, the second its middle, and so on, so that
    the best dimensions of a quasi-random sequence have the largest effect.

    Parameters
    ----------
    price : float or array_like
        Today's price, which is that of month 1, $/oz.
    volatility : float
        Per year, as a fraction.
    scores : ndarray
        Independent standard normal, shape (120, n).

    Returns
    -------
    prices : ndarray
        $/oz, shape (121, n).
    """
    walk = np.zeros((MONTHS + 1, scores.shape[1]))
    walk[MONTHS] = np.sqrt(MONTHS) * scores[0]
    used = 1
    spans = [(0, MONTHS)]
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
    drift = monthly**2 / 2 * np.arange(MONTHS + 1)[:, None]
    return price * np.exp(monthly * walk - drift)
