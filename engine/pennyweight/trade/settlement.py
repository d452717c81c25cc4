"""Settlement of a lot: balance due, gold balance and rounding to cents."""

import numpy as np
from numpy.typing import ArrayLike

from .function_contract import Number, contract

CENTS = 100.0
"""Cents in one unit of money."""

HALF = 0.5 + 1e-6
"""Added before rounding down. The small excess over 0.5 is for half cents that binary
fractions store slightly too low: 1.005 is stored as 1.00499999999999989."""


@contract(any_units=True)
def net_to_owner(
    metal: ArrayLike,
    charges: ArrayLike,
    deposit: ArrayLike = 0.0,
    advances: ArrayLike = 0.0,
) -> Number:
    """Balance due to the owner of a lot.

    metal - charges + deposit - advances

    Parameters
    ----------
    metal : array_like [money] in (-inf, inf)
        Owner's part of the metal, or the price of the ore.
    charges : array_like [money] in [0, inf)
        Milling, penalties, assays, melt, sale: all that the owner bears.
    deposit : array_like [money] in [0, inf), optional
        Paid by the owner beforehand.
    advances : array_like [money] in [0, inf), optional
        Paid to the owner beforehand.

    Returns
    -------
    net : [money]
        Below zero the owner owes it.

    Source
    ------
    Definition.

    Examples
    --------
    >>> net_to_owner(5000, 1800, deposit=500, advances=2000)
    1700.0
    """
    return metal - charges + deposit - advances


@contract(any_units=True)
def gold_balance_difference(gold_fed: ArrayLike, gold_found: ArrayLike) -> Number:
    """Gold balance difference of a lot, as a share of the gold fed.

    found / fed - 1

    Parameters
    ----------
    gold_fed : array_like [oz] in [0, inf)
        Dry tons times the assay that was settled on.
    gold_found : array_like [oz] in [0, inf)
        In bullion, middlings, tailings, slag, clean-up, and held up in the mill.

    Returns
    -------
    difference : [-]
        Below zero where gold is missing; not a number if none was fed.

    Source
    ------
    Definition of the call factor, less one.

    Examples
    --------
    >>> round(gold_balance_difference(4.0, 3.8), 6)
    -0.05
    """
    fed = np.where(gold_fed > 0, gold_fed, np.nan)
    return gold_found / fed - 1


@contract
def round_to_cents(amount: ArrayLike) -> Number:
    """Amount of money rounded to cents, half a cent up.

    Parameters
    ----------
    amount : array_like [money] in (-inf, inf)

    Returns
    -------
    amount : [money]

    Source
    ------
    Definition.

    Examples
    --------
    >>> round_to_cents(12.345678), round_to_cents(1.005)
    (12.35, 1.01)
    """
    return np.floor(amount * CENTS + HALF) / CENTS


@contract
def cumulative_rounding(before: ArrayLike, amount: ArrayLike) -> Number:
    """Amount of a statement line by cumulative rounding, so that lines add up.

    cents(before + amount) - cents(before): each line takes over what the lines
    before it were rounded by. No line is off by a cent or more, and the sum of the
    printed lines is the exact sum in whole cents.

    Parameters
    ----------
    before : array_like [money] in (-inf, inf)
        Exact sum of the lines above.
    amount : array_like [money] in (-inf, inf)
        Exact amount of the line.

    Returns
    -------
    amount : [money]
        In whole cents.

    Source
    ------
    Cumulative rounding; common practice of accounts.

    Examples
    --------
    >>> cumulative_rounding(0.0, 0.335), cumulative_rounding(0.335, 0.335)
    (0.34, 0.33)
    """
    difference = round_to_cents(before + amount) - round_to_cents(before)
    return round_to_cents(difference)
