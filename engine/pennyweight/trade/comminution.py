"""Crushing and grinding energy."""

import numpy as np

from .contract import contract
from .conditions import require


@contract
def bond_energy(work_index, feed_f80, product_p80):
    """Energy that grinding takes, by Bond's third theory.

    W = 10 Wi (1/sqrt(P80) - 1/sqrt(F80)), at the pinion of a wet, closed-circuit
    ball mill of 2.44 m inside the liners. The answer is per ton of the kind that
    the work index is for (Bond's own are per short ton).

    Parameters
    ----------
    work_index : array_like [kWh/ton] in (0, inf)
        Bond ball-mill work index of the ore.
    feed_f80 : array_like [um] in (0, inf)
        Size that 80 % of the feed passes.
    product_p80 : array_like [um] in (0, inf)
        Size that 80 % of the product passes.

    Returns
    -------
    energy : [kWh/ton]
        Same shape as the arguments broadcast together.

    Holds
    -----
    feed_f80 in [75, 30000]: the theory was fitted to feeds up to about 25 mm
    product_p80 in [10, 25000]: the theory was fitted between about 75 um and 25 mm

    Raises
    ------
    BadValue
        When the product is coarser than the feed, or an argument is out of range.

    Source
    ------
    Bond 1952, Trans. AIME 193, 484-494; Bond 1961, Brit. Chem. Eng. 6, 378-385.

    Examples
    --------
    >>> round(bond_energy(12.74, 50_800, 3_175), 3)
    1.696
    """
    require(product_p80 <= feed_f80, "the product must not be coarser than the feed")
    return 10 * work_index * (1 / np.sqrt(product_p80) - 1 / np.sqrt(feed_f80))
