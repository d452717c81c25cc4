"""Efficiency factors on Bond's grinding energy, by Rowland and Kjos."""

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .function_contract import Number, Switch, contract

# Open-circuit grinding: fraction that must pass the control size, and the factor.
OPEN_CIRCUIT_PASSING = (0.50, 0.60, 0.70, 0.80, 0.90, 0.92, 0.95, 0.98)
OPEN_CIRCUIT_FACTOR = (1.035, 1.05, 1.10, 1.20, 1.40, 1.46, 1.57, 1.70)

TURNING_SLOPE = 27.0  # of oversized feed: see easiest_product_size


@contract
def dry_grinding_factor(dry: Switch) -> Number:
    """Energy factor of dry grinding, by Rowland and Kjos.

    Parameters
    ----------
    dry : bool

    Returns
    -------
    factor : [-]

    Source
    ------
    Rowland & Kjos 1980, in Mular & Bhappu, Mineral Processing Plant Design, ch. 12.

    Examples
    --------
    >>> float(dry_grinding_factor(True)), float(dry_grinding_factor(False))
    (1.3, 1.0)
    """
    return 1 + np.where(dry, 0.3, 0.0)


@contract
def open_circuit_factor(passing: ArrayLike) -> Number:
    """Energy factor of open-circuit grinding, by Rowland and Kjos.

    The factor rises with the control: a table from 1.035 (50% must pass the
    control size) to 1.70 (98%), linear in between and constant beyond its ends.

    Parameters
    ----------
    passing : array_like [-] in (0, 1)
        Fraction of the product that must pass the control size.

    Returns
    -------
    factor : [-]

    Validity
    --------
    passing in [0.5, 0.98]: the table ends there

    Source
    ------
    Rowland & Kjos 1980, in Mular & Bhappu, Mineral Processing Plant Design, ch. 12.

    Examples
    --------
    >>> float(open_circuit_factor(0.8))
    1.2
    """
    return np.interp(passing, OPEN_CIRCUIT_PASSING, OPEN_CIRCUIT_FACTOR)


@contract
def diameter_factor(diameter: ArrayLike) -> Number:
    """Energy factor of the mill diameter, by Rowland and Kjos.

    (2.44/D)^0.2, constant from 3.81 m (12.5 ft) upwards.

    Parameters
    ----------
    diameter : array_like [m] in (0, 15)
        Inside the liners.

    Returns
    -------
    factor : [-]

    Validity
    --------
    diameter in [0.3, 15]: no mill below the laboratory mill's 0.3 m was fitted

    Source
    ------
    Rowland & Kjos 1980, in Mular & Bhappu, Mineral Processing Plant Design, ch. 12.

    Examples
    --------
    >>> round(diameter_factor(1.2), 3)
    1.153
    """
    return np.maximum((2.44 / diameter) ** 0.2, 0.914)


@contract
def optimum_feed_size(work_index: ArrayLike) -> Number:
    """Optimum feed size of a ball mill, by Rowland and Kjos.

    Fo = 4000 sqrt(13/Wi).

    Parameters
    ----------
    work_index : array_like [kWh/short_ton] in (0, inf)
        Bond work index, per short ton.

    Returns
    -------
    feed_f80 : [um]

    Source
    ------
    Rowland & Kjos 1980, in Mular & Bhappu, Mineral Processing Plant Design, ch. 12.

    Examples
    --------
    >>> round(optimum_feed_size(14.83))
    3745
    """
    return 4000 * np.sqrt(13 / work_index)


@contract
def oversized_feed_factor(
    work_index: ArrayLike, feed_f80: ArrayLike, product_p80: ArrayLike
) -> Number:
    """Energy factor of oversized feed, by Rowland and Kjos.

    (Rr + (Wi - 7)(F80 - Fo)/Fo)/Rr with Rr = F80/P80 and Fo from
    `optimum_feed_size`; 1 when the feed is finer than Fo or the rock softer than 7.

    Parameters
    ----------
    work_index : array_like [kWh/short_ton] in (0, inf)
        Bond work index, per short ton.
    feed_f80 : array_like [um] in (0, inf)
        Size that 80% of the feed passes.
    product_p80 : array_like [um] in (0, inf)
        Size that 80% of the product passes.

    Returns
    -------
    factor : [-]

    Raises
    ------
    BadValue
        When the product is coarser than the feed.

    Source
    ------
    Rowland & Kjos 1980, in Mular & Bhappu, Mineral Processing Plant Design, ch. 12.

    Examples
    --------
    >>> round(oversized_feed_factor(14.83, 12_700, 150), 4)
    1.2211
    """
    require(product_p80 <= feed_f80, "the product must not be coarser than the feed")
    excess = np.maximum(feed_f80 / optimum_feed_size(work_index) - 1, 0)
    return 1 + np.maximum(work_index - 7, 0) * excess * product_p80 / feed_f80


@contract
def easiest_product_size(work_index: ArrayLike, feed_f80: ArrayLike) -> Number:
    """Product size at which oversized feed takes the least energy.

    Bond's energy goes with 1/x - 1, x^2 = P80/F80, and `oversized_feed_factor` with
    1 + s x^2, s = (Wi - 7)(F80 - Fo)/Fo. For s above 27 their product falls only up to
    s x^2 (1 - 2 x) = 1: the root by Viete. To coarser products the factor should not be
    applied: it would make them harder to grind.

    Parameters
    ----------
    work_index : array_like [kWh/short_ton] in (0, inf)
        Bond work index, per short ton.
    feed_f80 : array_like [um] in (0, inf)
        Size that 80% of the feed passes.

    Returns
    -------
    product_p80 : [um]
        The feed size if every coarser product takes less energy.

    Source
    ------
    Derived from Bond's equation and the factor of Rowland & Kjos 1980, in Mular &
    Bhappu, Mineral Processing Plant Design, ch. 12.

    Examples
    --------
    >>> round(easiest_product_size(20, 20_000))
    416
    """
    slope = oversized_feed_factor(work_index, feed_f80, feed_f80) - 1
    angle = np.arccos(1 - 2 * TURNING_SLOPE / np.maximum(slope, TURNING_SLOPE))
    root = (1 + 2 * np.cos((angle - 2 * np.pi) / 3)) / 6
    return feed_f80 * np.where(slope > TURNING_SLOPE, root**2, 1.0)


@contract
def fine_grind_factor(product_p80: ArrayLike) -> Number:
    """Energy factor of fine grinding, by Rowland and Kjos.

    (P80 + 10.3)/(1.145 P80) below 75 um, else 1. As published: between 71 and 75 um
    it is up to 0.7% below 1.

    Parameters
    ----------
    product_p80 : array_like [um] in (0, inf)
        Size that 80% of the product passes.

    Returns
    -------
    factor : [-]

    Validity
    --------
    product_p80 in [15, inf): finer grinding is not ball-mill work

    Source
    ------
    Rowland & Kjos 1980, in Mular & Bhappu, Mineral Processing Plant Design, ch. 12.

    Examples
    --------
    >>> round(float(fine_grind_factor(38)), 4)
    1.1101
    """
    coarse = 1.145 * product_p80
    return np.where(product_p80 < 75, product_p80 + 10.3, coarse) / coarse


@contract
def low_reduction_factor(feed_f80: ArrayLike, product_p80: ArrayLike) -> Number:
    """Energy factor of a low reduction ratio, by Rowland and Kjos.

    (2 (Rr - 1.35) + 0.26)/(2 (Rr - 1.35)) with Rr = F80/P80 below 6, else 1.

    Parameters
    ----------
    feed_f80 : array_like [um] in (0, inf)
        Size that 80% of the feed passes.
    product_p80 : array_like [um] in (0, inf)
        Size that 80% of the product passes.

    Returns
    -------
    factor : [-]

    Raises
    ------
    BadValue
        When the feed is not more than 1.35 times as coarse as the product: the factor
        has its pole there.

    Source
    ------
    Rowland & Kjos 1980, in Mular & Bhappu, Mineral Processing Plant Design, ch. 12.

    Examples
    --------
    >>> round(float(low_reduction_factor(500, 100)), 4)
    1.0356
    """
    ratio = feed_f80 / product_p80
    require(ratio > 1.35, "the feed must be over 1.35 times as coarse as the product")
    return 1 + np.where(ratio < 6, 0.13 / (ratio - 1.35), 0.0)


@contract
def efficiency_factors(
    work_index: ArrayLike,
    feed_f80: ArrayLike,
    product_p80: ArrayLike,
    diameter: ArrayLike,
    dry: Switch = False,
    open_circuit_passing: ArrayLike | None = None,
) -> dict[str, Number]:
    """Efficiency factors of a ball mill on Bond's energy, by Rowland and Kjos.

    Their product times `bond_energy` is what the mill takes at the pinion. A factor
    that is 1 everywhere is left out, except the one for the diameter.

    Parameters
    ----------
    work_index : array_like [kWh/short_ton] in (0, inf)
        Bond work index, per short ton.
    feed_f80 : array_like [um] in (0, inf)
        Size that 80% of the feed passes.
    product_p80 : array_like [um] in (0, inf)
        Size that 80% of the product passes.
    diameter : array_like [m] in (0, 15)
        Of the mill, inside the liners.
    dry : bool, optional
    open_circuit_passing : array_like [-] in (0, 1), optional
        Fraction that must pass the control size of an open circuit; leave it out
        for a closed circuit.

    Returns
    -------
    factors : mapping [-]
        Of ``dry_grinding``, ``open_circuit``, ``diameter``, ``oversized_feed``,
        ``fine_grind`` and ``low_reduction`` those that apply.

    Raises
    ------
    BadValue
        When the product is not well finer than the feed.

    Source
    ------
    Rowland & Kjos 1980, in Mular & Bhappu, Mineral Processing Plant Design, ch. 12;
    Rowland 1982.

    Examples
    --------
    >>> factors = efficiency_factors(14.83, 12_700, 150, 1.1, open_circuit_passing=0.8)
    >>> {name: round(float(factor), 4) for name, factor in factors.items()}
    {'open_circuit': 1.2, 'diameter': 1.1727, 'oversized_feed': 1.2211}
    """
    factors = {"dry_grinding": dry_grinding_factor(dry)}
    if open_circuit_passing is not None:
        factors["open_circuit"] = open_circuit_factor(open_circuit_passing)
    factors["diameter"] = diameter_factor(diameter)
    factors["oversized_feed"] = oversized_feed_factor(work_index, feed_f80, product_p80)
    factors["fine_grind"] = fine_grind_factor(product_p80)
    factors["low_reduction"] = low_reduction_factor(feed_f80, product_p80)
    return {
        name: factor
        for name, factor in factors.items()
        if name == "diameter" or hasattr(factor, "__formula__") or np.any(factor != 1)
    }
