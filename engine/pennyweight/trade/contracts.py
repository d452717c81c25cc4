"""Milling contracts: what a mill charges or pays, and what each side keeps."""

import numpy as np

from .conditions import require
from .docstring import contract


@contract(any_units=True)
def charged_tons(tons, least_tons=0.0):
    """Dry tons that are charged for: those milled, but at least the minimum lot.

    Parameters
    ----------
    tons : array_like [ton] in [0, inf)
        Dry tons milled.
    least_tons : array_like [ton] in [0, inf)
        Minimum lot of the contract.

    Returns
    -------
    tons : [ton]

    Raises
    ------
    BadValue
        When an argument is out of range.

    Source
    ------
    Common practice of custom mills.

    Examples
    --------
    >>> charged_tons(3.2, least_tons=5)
    5.0
    """
    return np.maximum(tons, least_tons)


@contract(any_units=True)
def cost_plus(cost, markup):
    """Charge of a contract at cost plus a percentage.

    cost x (1 + markup)

    Parameters
    ----------
    cost : array_like [money] in [0, inf)
        What the work costs the mill.
    markup : array_like [-] in [0, inf)

    Returns
    -------
    charge : [money]

    Raises
    ------
    BadValue
        When an argument is out of range.

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
    tons,
    hours,
    cost_charge=0.0,
    per_ton=0.0,
    per_hour=0.0,
    lot_charge=0.0,
    least_tons=0.0,
):
    """Charge for milling a lot, under any mixture of terms.

    per ton x charged tons + per hour x hours + charge on cost + charge per lot

    Parameters
    ----------
    tons : array_like [ton] in [0, inf)
        Dry tons milled.
    hours : array_like [hour] in [0, inf)
        Mill hours that the lot takes, set-up and clean-up included.
    cost_charge : array_like [money] in [0, inf)
        By `cost_plus`, where the contract charges cost.
    per_ton : array_like [money/ton] in [0, inf)
    per_hour : array_like [money/hour] in [0, inf)
    lot_charge : array_like [money] in [0, inf)
        For set-up and clean-up, assays, the melt.
    least_tons : array_like [ton] in [0, inf)
        Minimum lot that is charged by the ton.

    Returns
    -------
    charge : [money]

    Raises
    ------
    BadValue
        When an argument is out of range.

    Source
    ------
    Common practice of custom mills.

    Examples
    --------
    >>> milling_charge(12, 10, per_ton=90, per_hour=20, lot_charge=400)
    1680.0
    """
    by_ton = charged_tons(tons, least_tons) * per_ton
    return by_ton + hours * per_hour + cost_charge + lot_charge


@contract(any_units=True)
def penalty(tons, measured, allowed, rate):
    """Extra charge for ore that is worse than the contract allows.

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

    Raises
    ------
    BadValue
        When an argument is out of range.

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
def payable_share(grade, low_grade, high_grade, low_payable, high_payable):
    """Share of the assayed gold that a buyer of ore pays; it rises with the grade.

    Constant below the low and above the high grade, in proportion between them.

    Parameters
    ----------
    grade : array_like [oz/ton] in [0, inf)
        Assay that was settled on.
    low_grade : array_like [oz/ton] in [0, inf)
    high_grade : array_like [oz/ton] in (0, inf)
        Above the low grade.
    low_payable : array_like [-] in (0, 1]
        At the low grade and below.
    high_payable : array_like [-] in (0, 1]
        At the high grade and above; not less than the other.

    Returns
    -------
    payable : [-]

    Raises
    ------
    BadValue
        When the high grade or its payable lies below the low one, or an argument is
        out of range.

    Source
    ------
    Common practice of ore buyers' schedules, with a ramp in place of their steps.

    Examples
    --------
    >>> round(payable_share(0.3, 0.1, 0.5, 0.5, 0.8), 6)
    0.65
    """
    require(high_grade > low_grade, "the high grade must lie above the low grade")
    require(high_payable >= low_payable, "the payable must not fall with the grade")
    rise = (high_payable - low_payable) / (high_grade - low_grade)
    within = np.minimum(np.maximum(grade, low_grade), high_grade)
    return low_payable + rise * (within - low_grade)


@contract(any_units=True)
def paid_gold(grade, low_grade, high_grade, low_payable, high_payable, deduction=0.0):
    """Gold of a ton that a buyer of ore pays for.

    (grade - deduction) x payable share, and none below the deduction.

    Parameters
    ----------
    grade : array_like [oz/ton] in [0, inf)
    low_grade : array_like [oz/ton] in [0, inf)
    high_grade : array_like [oz/ton] in (0, inf)
    low_payable : array_like [-] in (0, 1]
    high_payable : array_like [-] in (0, 1]
    deduction : array_like [oz/ton] in [0, inf)
        Taken off the assay first.

    Returns
    -------
    gold : [oz/ton]

    Raises
    ------
    BadValue
        When an argument is out of range.

    Source
    ------
    Common practice of smelters' and ore buyers' schedules.

    Examples
    --------
    >>> round(paid_gold(0.3, 0.1, 0.5, 0.5, 0.8, deduction=0.02), 6)
    0.182
    """
    share = payable_share(grade, low_grade, high_grade, low_payable, high_payable)
    return np.maximum(grade - deduction, 0) * share


@contract(any_units=True)
def grade_while_rising(gold, low_grade, low_payable, rise, deduction=0.0):
    """Grade at which a given gold is paid for, while the payable rises.

    The root of (g - d) (p + r (g - g0)) = gold, written so that it holds for no rise
    at all, too.

    Parameters
    ----------
    gold : array_like [oz/ton] in [0, inf)
        Paid for, in a ton.
    low_grade : array_like [oz/ton] in [0, inf)
        Where the rise begins, g0.
    low_payable : array_like [-] in (0, 1]
        Payable there, p.
    rise : array_like [ton/oz] in [0, inf)
        Of the payable with the grade, r.
    deduction : array_like [oz/ton] in [0, inf)
        Taken off the assay first, d.

    Returns
    -------
    grade : [oz/ton]
        Means something between the low and the high grade only.

    Raises
    ------
    BadValue
        When an argument is out of range.

    Source
    ------
    `paid_gold`, solved for the grade.

    Examples
    --------
    >>> round(grade_while_rising(0.182, 0.1, 0.5, 0.75, deduction=0.02), 6)
    0.3
    """
    start = low_payable + rise * (deduction - low_grade)
    root = np.sqrt(start * start + 4 * rise * gold)
    return deduction + 2 * gold / np.maximum(start + root, TINY)


@contract(any_units=True)
def grade_by_piece(
    gold, gold_low, gold_high, low_payable, high_payable, rising, deduction=0.0
):
    """Grade at which a given gold is paid for, from the piece in which it lies.

    Parameters
    ----------
    gold : array_like [oz/ton] in [0, inf)
        Paid for, in a ton.
    gold_low : array_like [oz/ton] in [0, inf)
        Paid for at the low grade.
    gold_high : array_like [oz/ton] in [0, inf)
        Paid for at the high grade.
    low_payable : array_like [-] in (0, 1]
    high_payable : array_like [-] in (0, 1]
    rising : array_like [oz/ton] in [0, inf)
        By `grade_while_rising`.
    deduction : array_like [oz/ton] in [0, inf)

    Returns
    -------
    grade : [oz/ton]

    Raises
    ------
    BadValue
        When an argument is out of range.

    Source
    ------
    `paid_gold`, solved for the grade.

    Examples
    --------
    >>> round(grade_by_piece(0.04, 0.04, 0.384, 0.5, 0.8, 0.1, deduction=0.02), 6)
    0.1
    """
    above = np.where(gold >= gold_high, deduction + gold / high_payable, rising)
    return np.where(gold <= gold_low, deduction + gold / low_payable, above)


@contract(any_units=True)
def grade_paid(gold, low_grade, high_grade, low_payable, high_payable, deduction=0.0):
    """Grade at which a buyer of ore pays for a given gold a ton.

    `paid_gold` solved for the grade: linear below the low and above the high grade,
    a root of a square between them.

    Parameters
    ----------
    gold : array_like [oz/ton] in [0, inf)
        Paid for, in a ton.
    low_grade : array_like [oz/ton] in [0, inf)
    high_grade : array_like [oz/ton] in (0, inf)
    low_payable : array_like [-] in (0, 1]
    high_payable : array_like [-] in (0, 1]
    deduction : array_like [oz/ton] in [0, inf)

    Returns
    -------
    grade : [oz/ton]

    Raises
    ------
    BadValue
        When an argument is out of range.

    Source
    ------
    `paid_gold`, solved for the grade.

    Examples
    --------
    >>> round(grade_paid(0.182, 0.1, 0.5, 0.5, 0.8, deduction=0.02), 6)
    0.3
    """
    require(high_grade > low_grade, "the high grade must lie above the low grade")
    schedule = (low_grade, high_grade, low_payable, high_payable, deduction)
    rise = (high_payable - low_payable) / (high_grade - low_grade)
    rising = grade_while_rising(gold, low_grade, low_payable, rise, deduction)
    at_low, at_high = paid_gold(low_grade, *schedule), paid_gold(high_grade, *schedule)
    pieces = (gold, at_low, at_high, low_payable, high_payable)
    return grade_by_piece(*pieces, rising, deduction)


TINY = 1e-300
"""Keeps a quotient that is not used from dividing by zero."""


@contract(any_units=True)
def purchase_price(gold, price, price_deduction=0.0, treatment=0.0):
    """What a buyer pays for a ton of ore.

    gold x (price - deduction) - treatment

    Parameters
    ----------
    gold : array_like [oz/ton] in [0, inf)
        Paid for, by `paid_gold`.
    price : array_like [money/oz] in [0, inf)
    price_deduction : array_like [money/oz] in [0, inf)
        Taken off the price of each ounce.
    treatment : array_like [money/ton] in [0, inf)

    Returns
    -------
    price : [money/ton]
        Below zero when the treatment costs more than the gold brings: the owner
        then owes money.

    Raises
    ------
    BadValue
        When an argument is out of range.

    Source
    ------
    Common practice of smelters' and ore buyers' schedules.

    Examples
    --------
    >>> purchase_price(0.2, 3000, price_deduction=100, treatment=80)
    500.0
    """
    return gold * (price - price_deduction) - treatment


@contract(any_units=True)
def shared_metal(gold, share, net_price):
    """What a share of the recovered gold brings.

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

    Raises
    ------
    BadValue
        When an argument is out of range.

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
def charge_for_margin(cost, margin, other_income, tons):
    """Charge per ton that leaves the mill a share of its income as margin.

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

    Raises
    ------
    BadValue
        When an argument is out of range.

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
def least_lot(set_up, margin_per_ton):
    """Tons of a lot below which set-up and clean-up eat the margin.

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

    Raises
    ------
    BadValue
        When an argument is no number.

    Source
    ------
    Definition.

    Examples
    --------
    >>> least_lot(600, 40)
    15.0
    """
    positive = np.where(margin_per_ton > 0, margin_per_ton, np.nan)
    needed = np.maximum(set_up, 0) / positive
    return np.where(margin_per_ton > 0, needed, np.nan)


@contract(any_units=True)
def risk_carried(
    own_grade, own_recovery, own_price, whole_grade, whole_recovery, whole_price
):
    """Share of the variance of a lot's value that one side carries.

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
        When nothing moves the whole, or an argument is no number.

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
