"""Depreciation of plant and depletion by cost, by the year."""

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .function_contract import Number, contract

# Shares of the cost by year, from placing in service on: declining balance with half a
# year in the first, and straight line as soon as that gives more. IRS Publication 946,
# table A-1, per cent.
MACRS_PER_CENT = {
    3: (33.33, 44.45, 14.81, 7.41),
    5: (20.00, 32.00, 19.20, 11.52, 11.52, 5.76),
    7: (14.29, 24.49, 17.49, 12.49, 8.93, 8.92, 8.93, 4.46),
    10: (10.00, 18.00, 14.40, 11.52, 9.22, 7.37, 6.55, 6.55, 6.56, 6.55, 3.28),
    15: (
        *(5.00, 9.50, 8.55, 7.70, 6.93, 6.23, 5.90, 5.90, 5.91, 5.90, 5.91),
        *(5.90, 5.91, 5.90, 5.91, 2.95),
    ),
    20: (
        *(3.750, 7.219, 6.677, 6.177, 5.713, 5.285, 4.888, 4.522, 4.462, 4.461, 4.462),
        *(4.461, 4.462, 4.461, 4.462, 4.461, 4.462, 4.461, 4.462, 4.461, 2.231),
    ),
}


@contract
def straight_line_depreciation(
    cost: ArrayLike, life: ArrayLike, salvage: ArrayLike = 0.0
) -> Number:
    """Depreciation of a year, equal in all years.

    (P - S) / n

    Parameters
    ----------
    cost : array_like [money] in [0, inf)
    life : array_like [-] in (0, inf)
        Years.
    salvage : array_like [money] in [0, inf), optional
        What the plant brings at the end.

    Returns
    -------
    depreciation : [money]

    Raises
    ------
    BadValue
        When the salvage exceeds the cost.

    Source
    ------
    Panneerselvam, Engineering Economics, ch. 9.

    Examples
    --------
    >>> straight_line_depreciation(100_000, 8, 20_000)
    10000.0
    """
    require(salvage <= cost, "the salvage must not exceed the cost")
    return (cost - salvage) / life


@contract
def declining_balance_depreciation(
    cost: ArrayLike, rate: ArrayLike, year: ArrayLike
) -> Number:
    """Depreciation of a year, as a share of what is left in the books.

    k (1 - k)^(t - 1) P; the book value after it is (1 - k)^t P.

    Parameters
    ----------
    cost : array_like [money] in [0, inf)
    rate : array_like [-] in (0, 1]
        Share of the book value: 2 over the life for double declining balance.
    year : array_like [-] in [1, inf)
        Counted from 1.

    Returns
    -------
    depreciation : [money]

    Source
    ------
    Panneerselvam, Engineering Economics, ch. 9.

    Examples
    --------
    >>> round(declining_balance_depreciation(100_000, 0.2, 5), 6)
    8192.0
    """
    return rate * (1 - rate) ** (year - 1) * cost


@contract
def years_digits_depreciation(
    cost: ArrayLike, life: ArrayLike, year: ArrayLike, salvage: ArrayLike = 0.0
) -> Number:
    """Depreciation of a year, by the sum of the years' digits.

    (P - S) (n - t + 1) / (n (n + 1)/2), and nothing after year n.

    Parameters
    ----------
    cost : array_like [money] in [0, inf)
    life : array_like [-] in [1, inf)
        Years.
    year : array_like [-] in [1, inf)
        Counted from 1.
    salvage : array_like [money] in [0, inf), optional
        What the plant brings at the end.

    Returns
    -------
    depreciation : [money]

    Raises
    ------
    BadValue
        When the salvage exceeds the cost.

    Source
    ------
    Panneerselvam, Engineering Economics, ch. 9.

    Examples
    --------
    >>> round(years_digits_depreciation(100_000, 8, 5, 20_000), 2)
    8888.89
    """
    require(salvage <= cost, "the salvage must not exceed the cost")
    left = np.maximum(life - year + 1, 0)
    return (cost - salvage) * left * 2 / (life * (life + 1))


@contract
def unit_of_production_depreciation(
    cost: ArrayLike,
    output: ArrayLike,
    output_of_life: ArrayLike,
    salvage: ArrayLike = 0.0,
) -> Number:
    """Depreciation that follows the output: the tons milled, or the hours run.

    (P - S) q / Q

    Parameters
    ----------
    cost : array_like [money] in [0, inf)
    output : array_like [ton] in [0, inf)
        Of the year; tons, ounces or hours.
    output_of_life : array_like [ton] in (0, inf)
        Of the whole life, in the same unit.
    salvage : array_like [money] in [0, inf), optional
        What the plant brings at the end.

    Returns
    -------
    depreciation : [money]

    Raises
    ------
    BadValue
        When the salvage exceeds the cost, or the output that of the life.

    Source
    ------
    Panneerselvam, Engineering Economics, ch. 9, service output method.

    Examples
    --------
    >>> unit_of_production_depreciation(80_000, 2_000, 16_000)
    10000.0
    """
    require(salvage <= cost, "the salvage must not exceed the cost")
    require(output <= output_of_life, "the output must not exceed that of the life")
    return (cost - salvage) * output / output_of_life


@contract
def cost_depletion(basis: ArrayLike, sold: ArrayLike, left: ArrayLike) -> Number:
    """Cost depletion of a year: the basis that is left, by the ore that is left.

    B q / (R + q). It is deducted where it exceeds `percentage_depletion`.

    Parameters
    ----------
    basis : array_like [money] in [0, inf)
        Cost of the deposit, less the depletion of earlier years.
    sold : array_like [ton] in [0, inf)
        Sold in the year; tons or ounces.
    left : array_like [ton] in [0, inf)
        In the ground and in stock at the end of the year, in the same unit, by the
        latest estimate.

    Returns
    -------
    depletion : [money]

    Raises
    ------
    BadValue
        When nothing was sold and nothing is left.

    Source
    ------
    26 CFR 1.611-2(a); its example in a tax commentary, University of Sydney,
    Australian Digital Collections, law texts, p00087.

    Examples
    --------
    >>> round(cost_depletion(9_300, 6_000, 180_000), 2)
    300.0
    """
    require(np.asarray(sold + left) > 0, "some ore must be sold or left")
    return basis * sold / (sold + left)


@contract
def macrs_share(year: ArrayLike, recovery_years: ArrayLike = 7) -> Number:
    """Share of the cost that a year's depreciation takes, by MACRS.

    United States, general system, half-year convention. Mining plant is 7-year
    property. Bonus depreciation and section 179 come first; ask a tax adviser. Not a
    live formula.

    Parameters
    ----------
    year : array_like [-] in [1, inf)
        Of the plant's use, counted from 1, whole.
    recovery_years : array_like [-] in [3, 20], optional
        Class of the property: 3, 5, 7, 10, 15 or 20.

    Returns
    -------
    share : [-]
        Nothing after the year that follows the recovery period.

    Raises
    ------
    BadValue
        When the year is not whole, or there is no such class.

    Source
    ------
    IRS Publication 946, appendix A, table A-1; the class of mining plant is recalled.

    Examples
    --------
    >>> [round(macrs_share(year), 4) for year in (1, 2, 8, 9)]
    [0.1429, 0.2449, 0.0446, 0.0]
    """
    classes = list(MACRS_PER_CENT)
    require(np.equal(year, np.floor(year)), "years are whole numbers")
    require(np.isin(recovery_years, classes), f"the classes are {classes} years")
    share: Number = 0.0
    for years, per_cent in MACRS_PER_CENT.items():
        place = np.minimum(year, years + 2).astype(int) - 1
        of_class = np.array([*per_cent, 0.0])[place] / 100
        share = np.where(np.equal(recovery_years, years), of_class, share)
    return share
