"""Screens and classifiers: how well they part, and what they return to the mill."""

from numpy.typing import ArrayLike

from .balance import two_product_recovery
from .conditions import require
from .function_contract import Number, contract


@contract
def screen_efficiency(
    feed: ArrayLike, oversize: ArrayLike, undersize: ArrayLike = 1.0
) -> Number:
    """Efficiency of a screen: share of the fines fed that fall through it.

    E = u (f - o) / (f (u - o)), and (f - o)/(f (1 - o)) where all that falls through
    is fine.

    Parameters
    ----------
    feed : array_like [-] in (0, 1]
        Share of the feed finer than the opening.
    oversize : array_like [-] in [0, 1)
        Share of the oversize that is finer, and should have fallen through.
    undersize : array_like [-] in (0, 1], optional
        Share of the undersize that is finer; 1 through a sound cloth.

    Returns
    -------
    efficiency : [-]

    Raises
    ------
    BadValue
        When the feed does not lie between oversize and undersize.

    Source
    ------
    Two-product formula, the fines as the value: Wills, Mineral Processing Technology,
    chapters on screening and on metallurgical accounting.

    Examples
    --------
    >>> round(screen_efficiency(0.60, 0.20), 4)
    0.8333
    """
    require(
        oversize < undersize, "the oversize must hold less fines than the undersize"
    )
    require(oversize <= feed, "the oversize must not hold more fines than the feed")
    require(feed <= undersize, "the feed must not hold more fines than the undersize")
    return two_product_recovery(feed, undersize, oversize)


@contract
def screen_effectiveness(
    feed: ArrayLike, oversize: ArrayLike, undersize: ArrayLike
) -> Number:
    """Effectiveness of a screen or classifier, for fines and coarse together.

    Share of the fines that go to the undersize, times the share of the coarse that go
    to the oversize: (f - o)(u - f) u (1 - o) / ((u - o)^2 f (1 - f)).

    Parameters
    ----------
    feed : array_like [-] in (0, 1)
        Share of the feed finer than the opening, or than any one size.
    oversize : array_like [-] in [0, 1)
        Share of the oversize that is finer.
    undersize : array_like [-] in (0, 1]
        Share of the undersize that is finer.

    Returns
    -------
    effectiveness : [-]
        0 of a mere splitter, 1 of a perfect screen.

    Raises
    ------
    BadValue
        When the feed does not lie between oversize and undersize.

    Source
    ------
    McCabe & Smith, Unit Operations of Chemical Engineering, chapter on screening.

    Examples
    --------
    >>> round(screen_effectiveness(0.40, 0.05, 0.90), 3)
    0.863
    """
    fines = screen_efficiency(feed, oversize, undersize)
    coarse = screen_efficiency(1 - feed, 1 - undersize, 1 - oversize)
    return fines * coarse


@contract(any_units=True)
def circulating_load(
    discharge: ArrayLike, sands: ArrayLike, overflow: ArrayLike
) -> Number:
    """Circulating load of a mill: what its classifier returns, over the new feed.

    C = (o - d) / (d - s), for any one figure of the three pulps: the share that passes
    a sieve, or the water with a ton of solids.

    Parameters
    ----------
    discharge : array_like [-] in [0, inf)
        Of what the mill discharges into the classifier or onto the screen.
    sands : array_like [-] in [0, inf)
        Of what goes back to the mill.
    overflow : array_like [-] in [0, inf)
        Of the finished product.

    Returns
    -------
    load : [-]
        2.5 is 250%.

    Raises
    ------
    BadValue
        When the discharge does not lie between sands and overflow.

    Source
    ------
    Balance of solids round the classifier: new feed and overflow are equal.

    Examples
    --------
    >>> round(circulating_load(0.40, 0.25, 0.80), 3)
    2.667
    """
    require(sands < discharge, "the discharge must lie above the sands")
    require(discharge <= overflow, "the discharge must not lie above the overflow")
    return (overflow - discharge) / (discharge - sands)
