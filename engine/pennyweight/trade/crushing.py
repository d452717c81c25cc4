"""Crushers: impact work index, number of stages, power."""

import inspect

import numpy as np
from numpy.typing import ArrayLike

from .comminution import bond_energy
from .conditions import require
from .function_contract import Number, contract

LARGEST_JAW_RATIO = 6.0  # largest feed over product of one jaw crusher


@contract
def impact_work_index(
    impact_strength: ArrayLike, specific_gravity: ArrayLike
) -> Number:
    """Crushing work index of a rock, by Bond's twin-pendulum test.

    Wi = 2.59 C/SG.

    Parameters
    ----------
    impact_strength : array_like [ft*lbf/in] in (0, inf)
        C: energy that breaks a rock, for each inch of its thickness.
    specific_gravity : array_like [-] in (0, 20)
        Of the rock.

    Returns
    -------
    work_index : [kWh/ton]
        Per short ton.

    Source
    ------
    Bond 1961, Brit. Chem. Eng. 6, 378-385.

    Examples
    --------
    >>> round(impact_work_index(13.5, 2.7), 2)
    12.95
    """
    return 2.59 * impact_strength / specific_gravity


@contract
def reduction_ratio(feed_f80: ArrayLike, product_p80: ArrayLike) -> Number:
    """Reduction ratio of a crusher.

    Parameters
    ----------
    feed_f80 : array_like [um] in (0, inf)
        Size that 80% of the feed passes.
    product_p80 : array_like [um] in (0, inf)
        Size that 80% of the product passes.

    Returns
    -------
    ratio : [-]
        A jaw crusher should not be asked for more than about 6.

    Source
    ------
    Definition; the limit is from Liddell 1922, Handbook of Chemical Engineering.

    Examples
    --------
    >>> reduction_ratio(60_000, 10_000)
    6.0
    """
    return feed_f80 / product_p80


@contract
def crushing_stages(
    feed_f80: ArrayLike,
    product_p80: ArrayLike,
    largest_ratio: ArrayLike = LARGEST_JAW_RATIO,
) -> Number:
    """Number of crushing stages in series for a reduction.

    The least n with ratio^n at least F80/P80; none when the feed is fine enough.

    Parameters
    ----------
    feed_f80 : array_like [um] in (0, inf)
        Size that 80% of the feed passes.
    product_p80 : array_like [um] in (0, inf)
        Size that 80% of the product passes.
    largest_ratio : array_like [-] in (1, 100], optional
        Of one crusher: about 6 for jaws.

    Returns
    -------
    stages : [-]

    Source
    ------
    Liddell 1922, Handbook of Chemical Engineering: at most about 6 to 1 for a jaw.

    Examples
    --------
    >>> crushing_stages(150_000, 10_000)
    2.0
    """
    needed = np.log(reduction_ratio(feed_f80, product_p80)) / np.log(largest_ratio)
    # Rounding errors must not add a stage.
    return np.maximum(np.ceil(needed - 1e-9), 0)


@contract
def stage_ratio(
    feed_f80: ArrayLike, product_p80: ArrayLike, stages: ArrayLike
) -> Number:
    """Reduction ratio of each of several equal crushing stages.

    Parameters
    ----------
    feed_f80 : array_like [um] in (0, inf)
        Size that 80% of the feed passes.
    product_p80 : array_like [um] in (0, inf)
        Size that 80% of the product passes.
    stages : array_like [-] in [1, 10]

    Returns
    -------
    ratio : [-]

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(stage_ratio(150_000, 10_000, 2), 2)
    3.87
    """
    return reduction_ratio(feed_f80, product_p80) ** (1 / stages)


@contract(any_units=True)
def crusher_capacity_at_product(
    rated_capacity: ArrayLike, rated_p80: ArrayLike, product_p80: ArrayLike
) -> Number:
    """Capacity of a jaw crusher that is set to another product size.

    Q = Q1 P80/P1 for a finer product: a jaw crusher's capacity is in proportion to its
    discharge setting, and so is the size of its product. For a coarser product Q = Q1:
    the feed, the throw and the motor limit it, too, so it takes a timed run.

    Parameters
    ----------
    rated_capacity : array_like [ton/hour] in [0, inf)
        Timed, or by the maker's table.
    rated_p80 : array_like [um] in (0, inf)
        Size that 80% of the product passes at that capacity.
    product_p80 : array_like [um] in (0, inf)

    Returns
    -------
    capacity : [ton/hour]

    Source
    ------
    Taggart 1945, Handbook of Mineral Dressing, from memory: T = 0.6 L S tons an hour,
    L the width of the jaws and S the discharge setting in inches. No more for a coarser
    product: chosen here.

    Examples
    --------
    >>> crusher_capacity_at_product(6, 9500, 4750)
    3.0
    """
    return rated_capacity * np.minimum(product_p80 / rated_p80, 1)


@contract
def crusher_power(
    work_index: ArrayLike, rate: ArrayLike, feed_f80: ArrayLike, product_p80: ArrayLike
) -> Number:
    """Net crushing power, by Bond's equation with the crushing work index.

    `bond_energy` times the rate. Bond's law is used here for sizes above those that
    it was fitted to, as Bond himself uses it. Friction, and running empty, come on
    top: small jaws really take 1 to 3 kWh a tonne.

    Parameters
    ----------
    work_index : array_like [kWh/ton] in (0, inf)
        Impact work index, or the ball-mill index where no other is known.
    rate : array_like [ton/hour] in [0, inf)
        In tons of the kind that the work index is for.
    feed_f80 : array_like [um] in (0, inf)
        Size that 80% of the feed passes.
    product_p80 : array_like [um] in (0, inf)
        Size that 80% of the product passes.

    Returns
    -------
    power : [kW]

    Validity
    --------
    product_p80 in [1000, 300000]: crushers make nothing finer than about a millimetre

    Raises
    ------
    BadValue
        When the product is coarser than the feed.

    Source
    ------
    Bond 1961, Brit. Chem. Eng. 6, 378-385; McCabe & Smith, Unit Operations of
    Chemical Engineering, chapter on size reduction.

    Examples
    --------
    >>> round(crusher_power(12.74, 100, 50_800, 3_175), 1)
    169.6
    """
    require(product_p80 <= feed_f80, "the product must not be coarser than the feed")
    # Without the contract: its range of validity is for ball mills, not crushers.
    return rate * inspect.unwrap(bond_energy)(work_index, feed_f80, product_p80)
