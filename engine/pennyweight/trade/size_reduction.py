"""Kick's and Rittinger's laws of size reduction, and the range of each law."""

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .function_contract import Number, contract


@contract
def rittinger_energy(
    known_energy: ArrayLike,
    known_feed: ArrayLike,
    known_product: ArrayLike,
    feed: ArrayLike,
    product: ArrayLike,
) -> Number:
    """Specific energy of a size reduction, by Rittinger's law.

    W = W1 (1/p - 1/f)/(1/p1 - 1/f1), from one reduction whose energy is known.

    Parameters
    ----------
    known_energy : array_like [kWh/t] in [0, inf)
        Of the known reduction.
    known_feed : array_like [mm] in (0, inf)
    known_product : array_like [mm] in (0, inf)
    feed : array_like [mm] in (0, inf)
    product : array_like [mm] in (0, inf)

    Returns
    -------
    energy : [kWh/t]

    Raises
    ------
    BadValue
        When a product is not finer than its feed.

    Source
    ------
    Richardson, Harker & Backhurst, Coulson & Richardson's Chemical Engineering,
    vol. 2, chapter on size reduction, example 2.1.

    Examples
    --------
    >>> round(rittinger_energy(13, 50, 10, 75, 25), 3)
    4.333
    """
    require(known_product < known_feed, "the known product must be finer than its feed")
    require(product <= feed, "the product must not be coarser than the feed")
    known_surface = 1 / known_product - 1 / known_feed
    return known_energy * (1 / product - 1 / feed) / known_surface


@contract
def kick_energy(
    known_energy: ArrayLike,
    known_feed: ArrayLike,
    known_product: ArrayLike,
    feed: ArrayLike,
    product: ArrayLike,
) -> Number:
    """Specific energy of a size reduction, by Kick's law.

    W = W1 ln(f/p)/ln(f1/p1), from one reduction whose energy is known.

    Parameters
    ----------
    known_energy : array_like [kWh/t] in [0, inf)
        Of the known reduction.
    known_feed : array_like [mm] in (0, inf)
    known_product : array_like [mm] in (0, inf)
    feed : array_like [mm] in (0, inf)
    product : array_like [mm] in (0, inf)

    Returns
    -------
    energy : [kWh/t]

    Raises
    ------
    BadValue
        When a product is not finer than its feed.

    Source
    ------
    Richardson, Harker & Backhurst, Coulson & Richardson's Chemical Engineering,
    vol. 2, chapter on size reduction, example 2.1.

    Examples
    --------
    >>> round(kick_energy(13, 50, 10, 75, 25), 3)
    8.874
    """
    require(known_product < known_feed, "the known product must be finer than its feed")
    require(product <= feed, "the product must not be coarser than the feed")
    return known_energy * np.log(feed / product) / np.log(known_feed / known_product)


@contract
def size_reduction_methods(product_p80: ArrayLike) -> dict[str, str]:
    """Laws of size reduction that suit a product size, each with the reason.

    Not a live formula.

    Parameters
    ----------
    product_p80 : array_like [um] in (0, inf)
        Size that 80% of the product passes.

    Returns
    -------
    methods : mapping [-]
        Name of the function to the reason.

    Source
    ------
    Hukki 1961, Trans. AIME 220, 403-408: Kick for crushing, Bond for rod and ball
    milling, Rittinger for fine grinding.

    Examples
    --------
    >>> list(size_reduction_methods(150))
    ['bond_energy']
    """
    coarsest, finest = np.max(product_p80), np.min(product_p80)
    methods = {}
    if finest >= 10_000:
        methods["kick_energy"] = "crushing above about 10 mm goes with the ratio"
    if coarsest <= 25_000 and finest >= 10:
        methods["bond_energy"] = "fitted to mills between about 75 um and 25 mm"
    if coarsest <= 75:
        methods["rittinger_energy"] = "fine grinding goes with the new surface"
    return methods
