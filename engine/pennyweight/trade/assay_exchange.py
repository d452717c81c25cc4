"""Exchange of assays: settlement assay and umpire's fee."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .function_contract import Choice, Number, contract

NOISE = 1e-12
"""Tolerance for rounding of binary fractions, relative to the sum of two assays: 0.32
and 0.30 differ by 0.02, not by more."""


def noise(first: Any, second: Any) -> Any:
    """Tolerance in comparing differences of two assays."""
    return NOISE * (first + second)


def too_far_apart(first: Any, second: Any, split_limit: Any) -> Any:
    """Whether two assays differ by more than the splitting limit.

    Examples
    --------
    >>> bool(too_far_apart(0.32, 0.30, 0.02)), bool(too_far_apart(0.3201, 0.30, 0.02))
    (False, True)
    """
    return np.abs(first - second) > split_limit + noise(first, second)


def by_nearer_party(
    first: Any, second: Any, umpire: Any, if_first: Any, if_second: Any, at_a_tie: Any
) -> Any:
    """Value for the party nearer to the umpire, or the value for a tie."""
    first_off, second_off = np.abs(umpire - first), np.abs(umpire - second)
    tie = np.abs(first_off - second_off) <= noise(first, second)
    return np.where(
        tie, at_a_tie, np.where(first_off < second_off, if_first, if_second)
    )


@contract(any_units=True)
def settled_assay(
    first: ArrayLike,
    second: ArrayLike,
    split_limit: ArrayLike,
    umpire: ArrayLike | None = None,
    rule: Choice = "middle",
) -> Number:
    """Settlement assay of two parties, by their splitting limit and the umpire.

    The mean of both when they differ by no more than the limit. Otherwise the
    umpire decides: by the rule "middle" his assay when it is between the two, else
    the nearer party's; by the rule "nearest" the mean of his and the nearer party's;
    by the rule "umpire" his alone.

    Parameters
    ----------
    first : array_like [oz/ton] in [0, inf)
    second : array_like [oz/ton] in [0, inf)
    split_limit : array_like [oz/ton] in [0, inf)
        Largest difference that is halved without an umpire.
    umpire : array_like [oz/ton] in [0, inf), optional
        When there is one.
    rule : {"middle", "nearest", "umpire"}, optional
        What the contract says of the umpire's assay.

    Returns
    -------
    assay : [oz/ton]

    Raises
    ------
    BadValue
        When the assays are too far apart and there is no umpire.

    Source
    ------
    Common practice of settlement contracts; read the contract in hand.

    Examples
    --------
    >>> round(settled_assay(0.30, 0.32, split_limit=0.03), 3)
    0.31
    >>> settled_assay(0.30, 0.40, split_limit=0.03, umpire=0.42)
    0.4
    >>> round(settled_assay(0.30, 0.40, 0.03, umpire=0.38, rule="nearest"), 3)
    0.39
    """
    mean = (first + second) / 2
    apart = too_far_apart(first, second, split_limit)
    if umpire is None:
        require(np.logical_not(apart), "the assays are too far apart to be halved")
        return mean
    if rule == "umpire":
        decided = umpire
    elif rule == "nearest":
        decided = (umpire + nearer_assay(first, second, umpire)) / 2
    else:
        low, high = np.minimum(first, second), np.maximum(first, second)
        decided = np.clip(umpire, low, high)
    return np.where(apart, decided, mean)


@contract(any_units=True)
def nearer_assay(first: ArrayLike, second: ArrayLike, umpire: ArrayLike) -> Number:
    """Assay of the party nearer to the umpire; at a tie the mean of both.

    Parameters
    ----------
    first : array_like [oz/ton] in [0, inf)
    second : array_like [oz/ton] in [0, inf)
    umpire : array_like [oz/ton] in [0, inf)

    Returns
    -------
    assay : [oz/ton]

    Source
    ------
    Common practice of settlement contracts.

    Examples
    --------
    >>> nearer_assay(0.30, 0.40, 0.42)
    0.4
    """
    return by_nearer_party(first, second, umpire, first, second, (first + second) / 2)


@contract(any_units=True)
def umpire_share(
    first: ArrayLike, second: ArrayLike, split_limit: ArrayLike, umpire: ArrayLike
) -> Number:
    """Share of the umpire's fee that the first party bears.

    The party farther from the umpire pays; both pay half at a tie, and nobody when
    no umpire was called for.

    Parameters
    ----------
    first : array_like [oz/ton] in [0, inf)
    second : array_like [oz/ton] in [0, inf)
    split_limit : array_like [oz/ton] in [0, inf)
    umpire : array_like [oz/ton] in [0, inf)

    Returns
    -------
    share : [-]
        0, 0.5 or 1; the other party bears the rest of the fee when it is due.

    Source
    ------
    Common practice of settlement contracts.

    Examples
    --------
    >>> umpire_share(0.30, 0.40, 0.03, umpire=0.39)
    1.0
    """
    share = by_nearer_party(first, second, umpire, 0.0, 1.0, 0.5)
    return np.where(too_far_apart(first, second, split_limit), share, 0.0)
