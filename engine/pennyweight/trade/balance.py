"""Metal balance: mass pull and recovery of each product from assays."""

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .function_contract import Number, contract


@contract(any_units=True)
def mass_pull(feed: ArrayLike, concentrate: ArrayLike, tail: ArrayLike) -> Number:
    """Mass pull to the concentrate, by the two-product formula.

    C/F = (f - t) / (c - t)

    Parameters
    ----------
    feed : array_like [g/t] in (0, inf)
        Grade of the feed; any unit, the same for all three.
    concentrate : array_like [g/t] in (0, inf)
    tail : array_like [g/t] in [0, inf)

    Returns
    -------
    pull : [-]

    Raises
    ------
    BadValue
        When the feed does not lie between tail and concentrate.

    Source
    ------
    Wills, Mineral Processing Technology, chapter on metallurgical accounting.

    Examples
    --------
    >>> round(mass_pull(0.8, 25, 0.15), 5)
    0.02616
    """
    require(tail < concentrate, "the tail must be poorer than the concentrate")
    require(tail <= feed, "the tail must not be richer than the feed")
    require(feed <= concentrate, "the feed must not be richer than the concentrate")
    return (feed - tail) / (concentrate - tail)


@contract(any_units=True)
def concentration_ratio(
    feed: ArrayLike, concentrate: ArrayLike, tail: ArrayLike
) -> Number:
    """Ratio of concentration: tons of feed that give a ton of concentrate.

    K = (c - t) / (f - t), one over the `mass_pull`.

    Parameters
    ----------
    feed : array_like [g/t] in (0, inf)
        Grade of the feed; any unit, the same for all three.
    concentrate : array_like [g/t] in (0, inf)
    tail : array_like [g/t] in [0, inf)

    Returns
    -------
    ratio : [-]

    Raises
    ------
    BadValue
        When the feed does not lie between tail and concentrate.

    Source
    ------
    Wills, Mineral Processing Technology, chapter on metallurgical accounting.

    Examples
    --------
    >>> round(concentration_ratio(1.0, 10.0, 0.2), 2)
    12.25
    """
    require(tail < feed, "the tail must be poorer than the feed")
    return 1 / mass_pull(feed, concentrate, tail)


@contract(any_units=True)
def two_product_recovery(
    feed: ArrayLike, concentrate: ArrayLike, tail: ArrayLike
) -> Number:
    """Recovery to the concentrate, by the two-product formula.

    R = c (f - t) / (f (c - t)). With a very rich concentrate it tends to 1 - t/f,
    and an error in the feed's assay decides it: on a test lot use
    `calculated_head` instead.

    Parameters
    ----------
    feed : array_like [g/t] in (0, inf)
        Grade of the feed; any unit, the same for all three.
    concentrate : array_like [g/t] in (0, inf)
    tail : array_like [g/t] in [0, inf)

    Returns
    -------
    recovery : [-]

    Raises
    ------
    BadValue
        When the feed does not lie between tail and concentrate.

    Source
    ------
    Wills, Mineral Processing Technology, chapter on metallurgical accounting.

    Examples
    --------
    >>> round(two_product_recovery(0.8, 25, 0.15), 4)
    0.8174
    """
    return mass_pull(feed, concentrate, tail) * concentrate / feed


@contract
def three_product_pulls(
    feed: ArrayLike,
    first: ArrayLike,
    second: ArrayLike,
    tail: ArrayLike,
    feed_other: ArrayLike,
    first_other: ArrayLike,
    second_other: ArrayLike,
    tail_other: ArrayLike,
) -> tuple[Number, Number]:
    """Mass pulls to two concentrates, by the three-product formula.

    With differences from the tail, F = C1 + C2 + T solved for both metals:
    C1 = (F_a C2_b - F_b C2_a) / (C1_a C2_b - C1_b C2_a), and C2 alike.

    Parameters
    ----------
    feed : array_like [g/t] in [0, inf)
        Assay of the feed for one metal; any unit, the same in all four.
    first : array_like [g/t] in [0, inf)
        Assay of the first concentrate for that metal.
    second : array_like [g/t] in [0, inf)
    tail : array_like [g/t] in [0, inf)
    feed_other : array_like [g/t] in [0, inf)
        Assay of the feed for the other metal, in a unit of its own.
    first_other : array_like [g/t] in [0, inf)
    second_other : array_like [g/t] in [0, inf)
    tail_other : array_like [g/t] in [0, inf)

    Returns
    -------
    first_pull : [-]
        Outside 0 to 1 when the assays contradict one another.
    second_pull : [-]

    Raises
    ------
    BadValue
        When the two concentrates cannot be told apart by these assays.

    Source
    ------
    Wills, Mineral Processing Technology, chapter on metallurgical accounting; the
    mass balance solved by Cramer's rule.

    Examples
    --------
    >>> pulls = three_product_pulls(3.6, 58, 4, 0.2, 4.4, 5, 52, 0.4)
    >>> [round(pull, 4) for pull in pulls]
    [0.054, 0.0727]
    """
    feed, feed_other = feed - tail, feed_other - tail_other
    first, first_other = first - tail, first_other - tail_other
    second, second_other = second - tail, second_other - tail_other
    same = first * second_other - first_other * second
    require(np.not_equal(same, 0), "the two concentrates must differ in the two metals")
    first_pull = (feed * second_other - feed_other * second) / same
    second_pull = (first * feed_other - first_other * feed) / same
    return first_pull, second_pull


@contract(any_units=True)
def product_recovery(pull: ArrayLike, product: ArrayLike, feed: ArrayLike) -> Number:
    """Recovery to a product from its mass pull.

    R = (C/F) c / f

    Parameters
    ----------
    pull : array_like [-] in [0, 1]
        Share of the feed's mass.
    product : array_like [g/t] in [0, inf)
        Grade of the product; any unit, the same as the feed's.
    feed : array_like [g/t] in (0, inf)

    Returns
    -------
    recovery : [-]
        Above 1 when the weights and assays contradict one another.

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(product_recovery(0.02, 30, 0.8), 4)
    0.75
    """
    return pull * product / feed
