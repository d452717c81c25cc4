"""Gold recovery by size class, by stage and by tailings grade; number of tables."""

import functools

import numpy as np
from numpy.typing import ArrayLike

from .function_contract import Number, contract
from .samples import weighted_mean


@contract(any_units=True)
def recovery_by_size(gold: ArrayLike, recovery: ArrayLike, axis: int = -1) -> Number:
    """Overall recovery from the recoveries of size classes.

    R = sum(gold x recovery) / sum(gold) over the last axis: weighted by the gold in
    each class, not by its mass.

    Parameters
    ----------
    gold : 1-D [-] in [0, inf)
        Gold in each size class: mass of the class times its grade, or its share.
    recovery : 1-D [-] in [0, 1]
        Of each class.
    axis : axis, optional
        Axis of the classes; the last when left out.

    Returns
    -------
    recovery : [-]

    Raises
    ------
    BadValue
        When there is no gold, or the rows differ in length.

    Source
    ------
    Coulson & Richardson, Chemical Engineering, vol. 2, example 1.6 (a separator's
    total efficiency from that of its size grades).

    Examples
    --------
    >>> shares = [0.10, 0.15, 0.35, 0.20, 0.10, 0.10]
    >>> round(recovery_by_size(shares, [0.2, 0.4, 0.8, 0.9, 0.95, 1.0]), 4)
    0.735
    """
    return weighted_mean(recovery, gold, axis)


@contract
def tail_grade(
    head: ArrayLike, fixed_tail: ArrayLike = 0.0, proportional_tail: ArrayLike = 0.0
) -> Number:
    """Tailings grade of a mill, by a fixed and a proportional part.

    t = min(f, t0 + s f): the fixed part is gold locked in the rock or too fine to
    settle, the proportional part slips past the tables whatever the grade.

    Parameters
    ----------
    head : array_like [g/t] in [0, inf)
        Grade of the feed.
    fixed_tail : array_like [g/t] in [0, inf), optional
        In the unit of the head.
    proportional_tail : array_like [-] in [0, 1], optional

    Returns
    -------
    tail : [g/t]

    Source
    ------
    Common practice.

    Examples
    --------
    >>> round(tail_grade(10, fixed_tail=1.5, proportional_tail=0.2), 6)
    3.5
    """
    return np.minimum(fixed_tail + proportional_tail * head, head)


@contract
def tail_recovery(
    head: ArrayLike, fixed_tail: ArrayLike = 0.0, proportional_tail: ArrayLike = 0.0
) -> Number:
    """Recovery of a mill, by a fixed and a proportional part of the tailings.

    R = 1 - t/f with t from `tail_grade`: max(0, 1 - t0/f - s). The tail carries
    nearly the whole mass of the feed.

    Parameters
    ----------
    head : array_like [g/t] in (0, inf)
        Grade of the feed.
    fixed_tail : array_like [g/t] in [0, inf), optional
        In the unit of the head.
    proportional_tail : array_like [-] in [0, 1], optional

    Returns
    -------
    recovery : [-]

    Source
    ------
    Common practice; the two-product formula with a very rich concentrate.

    Examples
    --------
    >>> round(tail_recovery(10, fixed_tail=1.5), 6)
    0.85
    >>> round(tail_recovery(10, fixed_tail=1.5, proportional_tail=0.2), 6)
    0.65
    """
    return 1 - tail_grade(head, fixed_tail, proportional_tail) / head


@contract
def two_stage_recovery(first: ArrayLike, second: ArrayLike) -> Number:
    """Overall recovery of two stages in series.

    R = 1 - (1 - R1) (1 - R2)

    Parameters
    ----------
    first : array_like [-] in [0, 1]
    second : array_like [-] in [0, 1]
        Of the gold in the tailings of the first.

    Returns
    -------
    recovery : [-]

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(two_stage_recovery(0.5, 0.2), 6)
    0.6
    """
    return 1 - (1 - first) * (1 - second)


@contract
def staged_recovery(stages: ArrayLike) -> Number:
    """Overall recovery of any number of stages in series.

    R = 1 - product of (1 - R_i), over the last axis. Not a live formula; in a
    workbook chain `two_stage_recovery`.

    Parameters
    ----------
    stages : 1-D [-] in [0, 1]
        Recovery of each stage, of the gold in the tailings of the one before.

    Returns
    -------
    recovery : [-]

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(staged_recovery([0.5, 0.2, 0.25]), 6)
    0.7
    """
    return functools.reduce(two_stage_recovery, np.moveaxis(np.asarray(stages), -1, 0))


@contract(any_units=True)
def tables_needed(feed: ArrayLike, capacity: ArrayLike) -> Number:
    """Number of shaking tables for a feed rate.

    Parameters
    ----------
    feed : array_like [ton/day] in [0, inf)
        In 24 hours of running.
    capacity : array_like [ton/day] in (0, inf)
        Of one table in 24 hours.

    Returns
    -------
    tables : [-]

    Validity
    --------
    capacity in [5, 20]: full-size tables take 5 to 20 tons in 24 hours

    Source
    ------
    Liddell 1922, Handbook of Chemical Engineering, section on sand tables and
    concentrators (the range, in short tons; fine feed towards the low end).

    Examples
    --------
    >>> tables_needed(25, 10)
    3.0
    """
    # Rounding errors must not add a table.
    return np.ceil(feed / capacity - 1e-9)
