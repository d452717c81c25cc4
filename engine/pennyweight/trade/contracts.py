"""Milling contracts: charges, penalties, margins and risk of each party."""

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .function_contract import Number, contract


@contract(any_units=True)
def charged_tons(tons: ArrayLike, minimum_tons: ArrayLike = 0.0) -> Number:
    """Dry tons charged: those milled, or the minimum billed weight if that is larger.

    Parameters
    ----------
    tons : array_like [ton] in [0, inf)
        Dry tons milled.
    minimum_tons : array_like [ton] in [0, inf), optional
        Minimum lot of the contract.

    Returns
    -------
    tons : [ton]

    Source
    ------
    Common practice of custom mills.

    Examples
    --------
    >>> charged_tons(3.2, minimum_tons=5)
    5.0
    """
    return np.maximum(tons, minimum_tons)


@contract(any_units=True)
def cost_plus(cost: ArrayLike, markup: ArrayLike) -> Number:
    """Charge at cost plus a percentage.

    cost x (1 + markup)

    Parameters
    ----------
    cost : array_like [money] in [0, inf)
        What the work costs the mill.
    markup : array_like [-] in [0, inf)

    Returns
    -------
    charge : [money]

    Source
    ------
    Definition.

    Examples
    --------
    >>> cost_plus(800, 0.25)
    1000.0
    """
    return cost * (1 + markup)


@contract(any_units=True)
def milling_charge(
    tons: ArrayLike,
    hours: ArrayLike,
    cost_charge: ArrayLike = 0.0,
    per_ton: ArrayLike = 0.0,
    per_hour: ArrayLike = 0.0,
    lot_charge: ArrayLike = 0.0,
    minimum_tons: ArrayLike = 0.0,
) -> Number:
    """Milling charge for a lot, by any mixture of terms.

    per ton x charged tons + per hour x hours + charge on cost + charge per lot

    Parameters
    ----------
    tons : array_like [ton] in [0, inf)
        Dry tons milled.
    hours : array_like [hour] in [0, inf)
        Mill hours that the lot takes, set-up and clean-up included.
    cost_charge : array_like [money] in [0, inf), optional
        By `cost_plus`, where the contract charges cost.
    per_ton : array_like [money/ton] in [0, inf), optional
    per_hour : array_like [money/hour] in [0, inf), optional
    lot_charge : array_like [money] in [0, inf), optional
        For set-up and clean-up, assays, the melt.
    minimum_tons : array_like [ton] in [0, inf), optional
        Minimum lot that is charged by the ton.

    Returns
    -------
    charge : [money]

    Source
    ------
    Common practice of custom mills.

    Examples
    --------
    >>> milling_charge(12, 10, per_ton=90, per_hour=20, lot_charge=400)
    1680.0
    """
    by_ton = charged_tons(tons, minimum_tons) * per_ton
    return by_ton + hours * per_hour + cost_charge + lot_charge


@contract(any_units=True)
def with_minimum(charge: ArrayLike, minimum_charge: ArrayLike = 0.0) -> Number:
    """Charge for a lot, or the minimum charge per lot if that is larger.

    No charge stays none: the minimum is of a charge that the contract makes.

    Parameters
    ----------
    charge : array_like [money] in [0, inf)
        By the rates of the contract.
    minimum_charge : array_like [money] in [0, inf), optional
        Per lot.

    Returns
    -------
    charge : [money]

    Source
    ------
    Price list of a refiner, jrginc.com, Pricing, Au/Ag Meltables: a rate for each troy
    ounce received, and a minimum.

    Examples
    --------
    >>> with_minimum(50.0, 75.0), with_minimum(125.0, 75.0), with_minimum(0.0, 75.0)
    (75.0, 125.0, 0.0)
    """
    return np.where(charge > 0, np.maximum(charge, minimum_charge), 0)


@contract(any_units=True)
def penalty(
    tons: ArrayLike, measured: ArrayLike, allowed: ArrayLike, rate: ArrayLike
) -> Number:
    """Penalty for ore outside the limits of the contract.

    tons x rate x (measured - allowed), and none below what is allowed.

    Parameters
    ----------
    tons : array_like [ton] in [0, inf)
        Dry tons.
    measured : array_like [-] in [0, inf)
        Work index, moisture, clay, sulphides: in any unit.
    allowed : array_like [-] in [0, inf)
        In the same unit.
    rate : array_like [money/ton] in [0, inf)
        For each unit above what is allowed.

    Returns
    -------
    charge : [money]

    Source
    ------
    Common practice of custom mills and smelters.

    Examples
    --------
    >>> round(penalty(10, measured=0.09, allowed=0.06, rate=150), 6)
    45.0
    """
    return tons * rate * np.maximum(measured - allowed, 0)


@contract(any_units=True)
def shared_metal(gold: ArrayLike, share: ArrayLike, net_price: ArrayLike) -> Number:
    """Value of a share of the recovered gold.

    Parameters
    ----------
    gold : array_like [oz] in [0, inf)
        In the bullion.
    share : array_like [-] in [0, 1]
    net_price : array_like [money/oz] in (-inf, inf)
        Of an ounce in the bullion, after the refiner.

    Returns
    -------
    value : [money]

    Source
    ------
    Common practice of custom mills.

    Examples
    --------
    >>> shared_metal(4, 0.25, 3000)
    3000.0
    """
    return gold * share * net_price


@contract(any_units=True)
def charge_for_margin(
    cost: ArrayLike, margin: ArrayLike, other_income: ArrayLike, tons: ArrayLike
) -> Number:
    """Charge per ton that gives the mill a target margin on its income.

    (cost / (1 - margin) - other income) / tons

    Parameters
    ----------
    cost : array_like [money] in [0, inf)
        Of the lot.
    margin : array_like [-] in [0, 1)
        Wanted, as a share of the income.
    other_income : array_like [money] in (-inf, inf)
        From everything but the charge per ton.
    tons : array_like [ton] in (0, inf)
        That are charged for.

    Returns
    -------
    charge : [money/ton]
        Below zero when the other income is more than enough.

    Source
    ------
    Definition of the margin, solved for the charge.

    Examples
    --------
    >>> charge_for_margin(900, margin=0.25, other_income=200, tons=10)
    100.0
    """
    return (cost / (1 - margin) - other_income) / tons


@contract(any_units=True)
def break_even_lot(set_up: ArrayLike, margin_per_ton: ArrayLike) -> Number:
    """Break-even lot size, by set-up cost over margin per ton.

    set-up not charged / margin per ton; nothing when set-up is charged in full.

    Parameters
    ----------
    set_up : array_like [money] in (-inf, inf)
        Cost of set-up and clean-up, less what the contract charges for them.
    margin_per_ton : array_like [money/ton] in (-inf, inf)
        Before set-up.

    Returns
    -------
    tons : [ton]
        Not a number when no lot is large enough.

    Source
    ------
    Definition.

    Examples
    --------
    >>> break_even_lot(600, 40)
    15.0
    """
    positive = np.where(margin_per_ton > 0, margin_per_ton, np.nan)
    needed = np.maximum(set_up, 0) / positive
    return np.where(margin_per_ton > 0, needed, np.nan)


@contract(any_units=True)
def risk_carried(
    own_grade: ArrayLike,
    own_recovery: ArrayLike,
    own_price: ArrayLike,
    whole_grade: ArrayLike,
    whole_recovery: ArrayLike,
    whole_price: ArrayLike,
) -> Number:
    """Share of the variance of a lot's value that one party bears.

    sum(own x whole) / sum(whole^2) over grade, recovery and price, which vary
    independently: the covariance of the side's money with the whole, as a share of
    the whole's variance. The shares of all sides add up to one.

    Parameters
    ----------
    own_grade : array_like [money] in (-inf, inf)
        What one standard deviation of the grade moves the side's money by.
    own_recovery : array_like [money] in (-inf, inf)
    own_price : array_like [money] in (-inf, inf)
    whole_grade : array_like [money] in (-inf, inf)
        What it moves the money of all sides by.
    whole_recovery : array_like [money] in (-inf, inf)
    whole_price : array_like [money] in (-inf, inf)

    Returns
    -------
    share : [-]
        Above 1 or below 0 when a side gains where the other loses.

    Raises
    ------
    BadValue
        When the value of the lot does not vary.

    Source
    ------
    Definition of the covariance; first order in each source.

    Examples
    --------
    >>> round(risk_carried(10, 0, 5, 40, 20, 20), 6)
    0.208333
    """
    common = own_grade * whole_grade + own_recovery * whole_recovery
    common = common + own_price * whole_price
    whole = whole_grade**2 + whole_recovery**2 + whole_price**2
    require(whole > whole * 0, "something must move the whole")
    return common / whole
