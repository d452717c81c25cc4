"""Ore purchase on assay: payable gold and purchase price."""

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .function_contract import Number, contract


@contract(any_units=True)
def payable_share(
    grade: ArrayLike,
    low_grade: ArrayLike,
    high_grade: ArrayLike,
    low_payable: ArrayLike,
    high_payable: ArrayLike,
) -> Number:
    """Payable fraction of the gold in purchased ore, on a sliding scale.

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
        When the high grade or its payable is below the low one.

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
def payable_by_step(
    grade: ArrayLike,
    step_grade: ArrayLike,
    step_payable: ArrayLike,
    lower_payable: ArrayLike = 0.0,
) -> Number:
    """Payable fraction of the gold by a step of a schedule.

    The payable of the step from its grade on, and below it what lower steps give.
    Schedules of several steps use it once for each, from the lowest.

    Parameters
    ----------
    grade : array_like [oz/ton] in [0, inf)
        Assay that was settled on.
    step_grade : array_like [oz/ton] in [0, inf)
        Where the step begins.
    step_payable : array_like [-] in [0, 1]
        From there on.
    lower_payable : array_like [-] in [0, 1], optional
        By the steps below; not more than the payable of this one.

    Returns
    -------
    payable : [-]

    Source
    ------
    Gold concentrate contract, SEC filing 1493893, exhibit 10.13, article 5.2.

    Examples
    --------
    >>> payable_by_step(32.5, 30, 0.92, lower_payable=0.91)
    0.92
    """
    return np.maximum(lower_payable, np.where(grade >= step_grade, step_payable, 0))


@contract(any_units=True)
def gold_after_deductions(
    grade: ArrayLike,
    payable: ArrayLike,
    deduction: ArrayLike = 0.0,
    minimum_deduction: ArrayLike = 0.0,
) -> Number:
    """Payable gold per ton at a payable share, after deductions.

    The lesser of (grade - deduction) x payable share and grade - minimum deduction,
    and none below either deduction.

    Parameters
    ----------
    grade : array_like [oz/ton] in [0, inf)
    payable : array_like [-] in [0, 1]
    deduction : array_like [oz/ton] in [0, inf), optional
        Taken off the assay first.
    minimum_deduction : array_like [oz/ton] in [0, inf), optional
        Least amount by which the gold paid for is below the assay.

    Returns
    -------
    gold : [oz/ton]

    Source
    ------
    Gold concentrate contract, SEC filing 319671, exhibit 10.3 of July 2013, section
    6.A.2: a share of the content, subject to a minimum deduction per dry ton.

    Examples
    --------
    >>> gold_after_deductions(20.0, 0.97, minimum_deduction=1.0)
    19.0
    >>> round(gold_after_deductions(50.0, 0.97, minimum_deduction=1.0), 6)
    48.5
    """
    paid = np.minimum((grade - deduction) * payable, grade - minimum_deduction)
    return np.maximum(paid, 0)


@contract(any_units=True)
def paid_gold(
    grade: ArrayLike,
    low_grade: ArrayLike,
    high_grade: ArrayLike,
    low_payable: ArrayLike,
    high_payable: ArrayLike,
    deduction: ArrayLike = 0.0,
    minimum_deduction: ArrayLike = 0.0,
) -> Number:
    """Payable gold per ton of purchased ore, on a sliding scale.

    (grade - deduction) x payable share, at most grade - minimum deduction, and none
    below either deduction.

    Parameters
    ----------
    grade : array_like [oz/ton] in [0, inf)
    low_grade : array_like [oz/ton] in [0, inf)
    high_grade : array_like [oz/ton] in (0, inf)
    low_payable : array_like [-] in (0, 1]
    high_payable : array_like [-] in (0, 1]
    deduction : array_like [oz/ton] in [0, inf), optional
        Taken off the assay first.
    minimum_deduction : array_like [oz/ton] in [0, inf), optional
        Least amount by which the gold paid for is below the assay.

    Returns
    -------
    gold : [oz/ton]

    Source
    ------
    Common practice of smelters' and ore buyers' schedules.

    Examples
    --------
    >>> round(paid_gold(0.3, 0.1, 0.5, 0.5, 0.8, deduction=0.02), 6)
    0.182
    """
    share = payable_share(grade, low_grade, high_grade, low_payable, high_payable)
    return gold_after_deductions(grade, share, deduction, minimum_deduction)


@contract(any_units=True)
def grade_on_sliding_scale(
    gold: ArrayLike,
    low_grade: ArrayLike,
    low_payable: ArrayLike,
    rise: ArrayLike,
    deduction: ArrayLike = 0.0,
) -> Number:
    """Grade for a payable gold content, within the sliding scale.

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
    deduction : array_like [oz/ton] in [0, inf), optional
        Taken off the assay first, d.

    Returns
    -------
    grade : [oz/ton]
        Means something between the low and the high grade only.

    Source
    ------
    `paid_gold`, solved for the grade.

    Examples
    --------
    >>> round(grade_on_sliding_scale(0.182, 0.1, 0.5, 0.75, deduction=0.02), 6)
    0.3
    """
    start = low_payable + rise * (deduction - low_grade)
    root = np.sqrt(start * start + 4 * rise * gold)
    return deduction + 2 * gold / np.maximum(start + root, TINY)


@contract(any_units=True)
def grade_by_segment(
    gold: ArrayLike,
    gold_low: ArrayLike,
    gold_high: ArrayLike,
    low_payable: ArrayLike,
    high_payable: ArrayLike,
    rising: ArrayLike,
    deduction: ArrayLike = 0.0,
) -> Number:
    """Grade for a payable gold content, by segment of the schedule.

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
        By `grade_on_sliding_scale`.
    deduction : array_like [oz/ton] in [0, inf), optional

    Returns
    -------
    grade : [oz/ton]

    Source
    ------
    `paid_gold`, solved for the grade.

    Examples
    --------
    >>> round(grade_by_segment(0.04, 0.04, 0.384, 0.5, 0.8, 0.1, deduction=0.02), 6)
    0.1
    """
    above = np.where(gold >= gold_high, deduction + gold / high_payable, rising)
    return np.where(gold <= gold_low, deduction + gold / low_payable, above)


@contract(any_units=True)
def grade_by_step(
    gold: ArrayLike,
    step_grade: ArrayLike,
    step_payable: ArrayLike,
    deduction: ArrayLike = 0.0,
) -> Number:
    """Lowest grade for a payable gold content within one step of a schedule.

    The larger of the grade where the step begins and deduction + gold / payable. The
    lowest over all steps is the grade for the schedule.

    Parameters
    ----------
    gold : array_like [oz/ton] in [0, inf)
        Paid for, in a ton.
    step_grade : array_like [oz/ton] in [0, inf)
        Where the step begins.
    step_payable : array_like [-] in (0, 1]
        From there on.
    deduction : array_like [oz/ton] in [0, inf), optional
        Taken off the assay first.

    Returns
    -------
    grade : [oz/ton]

    Source
    ------
    `payable_by_step`, solved for the grade.

    Examples
    --------
    >>> round(grade_by_step(29.9, 30, 0.92), 6), grade_by_step(20.0, 30, 0.92)
    (32.5, 30.0)
    """
    return np.maximum(step_grade, deduction + gold / step_payable)


@contract(any_units=True)
def grade_for_paid_gold(
    gold: ArrayLike,
    low_grade: ArrayLike,
    high_grade: ArrayLike,
    low_payable: ArrayLike,
    high_payable: ArrayLike,
    deduction: ArrayLike = 0.0,
    minimum_deduction: ArrayLike = 0.0,
) -> Number:
    """Grade for a payable gold content, `paid_gold` solved for the grade.

    Linear below the low and above the high grade, a root of a square between them;
    at least gold + minimum deduction.

    Parameters
    ----------
    gold : array_like [oz/ton] in [0, inf)
        Paid for, in a ton.
    low_grade : array_like [oz/ton] in [0, inf)
    high_grade : array_like [oz/ton] in (0, inf)
    low_payable : array_like [-] in (0, 1]
    high_payable : array_like [-] in (0, 1]
    deduction : array_like [oz/ton] in [0, inf), optional
    minimum_deduction : array_like [oz/ton] in [0, inf), optional

    Returns
    -------
    grade : [oz/ton]

    Source
    ------
    `paid_gold`, solved for the grade.

    Examples
    --------
    >>> round(grade_for_paid_gold(0.182, 0.1, 0.5, 0.5, 0.8, deduction=0.02), 6)
    0.3
    """
    require(high_grade > low_grade, "the high grade must lie above the low grade")
    schedule = (low_grade, high_grade, low_payable, high_payable, deduction)
    rise = (high_payable - low_payable) / (high_grade - low_grade)
    rising = grade_on_sliding_scale(gold, low_grade, low_payable, rise, deduction)
    at_low, at_high = paid_gold(low_grade, *schedule), paid_gold(high_grade, *schedule)
    pieces = (gold, at_low, at_high, low_payable, high_payable)
    found = grade_by_segment(*pieces, rising, deduction)
    return np.maximum(found, gold + minimum_deduction)


TINY = 1e-300
"""Replaces a zero divisor of a quotient that is not used."""


@contract(any_units=True)
def purchase_price(
    gold: ArrayLike,
    price: ArrayLike,
    price_deduction: ArrayLike = 0.0,
    treatment: ArrayLike = 0.0,
) -> Number:
    """Purchase price of ore per ton.

    gold x (price - deduction) - treatment

    Parameters
    ----------
    gold : array_like [oz/ton] in [0, inf)
        Paid for, by `paid_gold`.
    price : array_like [money/oz] in [0, inf)
    price_deduction : array_like [money/oz] in [0, inf), optional
        Taken off the price of each ounce.
    treatment : array_like [money/ton] in [0, inf), optional

    Returns
    -------
    price : [money/ton]
        Below zero when the treatment exceeds the value of the gold: the owner
        then owes money.

    Source
    ------
    Common practice of smelters' and ore buyers' schedules.

    Examples
    --------
    >>> purchase_price(0.2, 3000, price_deduction=100, treatment=80)
    500.0
    """
    return gold * (price - price_deduction) - treatment
