"""Grinding energy by Bond's equation, and work indices."""

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .efficiency import efficiency_factors
from .function_contract import Choice, Number, Switch, contract

# Average work index by rock, kWh per short ton: Bond 1961, Brit. Chem. Eng. 6, 543.
WORK_INDICES = {
    "gold ore": 14.83,
    "quartz": 12.77,
    "quartzite": 12.18,
    "granite": 14.39,
    "andesite": 22.13,
    "limestone": 11.61,
    "hematite": 12.68,
    "slate": 13.83,
    "all materials": 13.81,
}


@contract
def bond_energy(
    work_index: ArrayLike, feed_f80: ArrayLike, product_p80: ArrayLike
) -> Number:
    """Specific grinding energy by Bond's equation.

    W = 10 Wi (1/sqrt(P80) - 1/sqrt(F80)), at the pinion of a wet, closed-circuit
    ball mill of 2.44 m inside the liners. The answer is per ton of the kind that
    the work index is for (Bond's own are per short ton).

    Parameters
    ----------
    work_index : array_like [kWh/ton] in (0, inf)
        Bond ball-mill work index of the ore.
    feed_f80 : array_like [um] in (0, inf)
        Size that 80% of the feed passes.
    product_p80 : array_like [um] in (0, inf)
        Size that 80% of the product passes.

    Returns
    -------
    energy : [kWh/ton]
        Same shape as the arguments broadcast together.

    Validity
    --------
    feed_f80 in [75, 30000]: the theory was fitted to feeds up to about 25 mm
    product_p80 in [10, 25000]: the theory was fitted between about 75 um and 25 mm

    Raises
    ------
    BadValue
        When the product is coarser than the feed.

    Source
    ------
    Bond 1952, Trans. AIME 193, 484-494; Bond 1961, Brit. Chem. Eng. 6, 378-385.

    Examples
    --------
    >>> round(bond_energy(14.83, 12_700, 150), 3)
    10.793
    """
    require(product_p80 <= feed_f80, "the product must not be coarser than the feed")
    return 10 * work_index * (1 / np.sqrt(product_p80) - 1 / np.sqrt(feed_f80))


@contract
def operating_work_index(
    energy: ArrayLike, feed_f80: ArrayLike, product_p80: ArrayLike
) -> Number:
    """Operating work index of a running mill, by Bond's equation.

    Wio = W / (10/sqrt(P80) - 10/sqrt(F80)): hours, kilowatts, tons and two screen
    analyses tell whether a mill does better than Bond's standard (Wio below Wi).

    Parameters
    ----------
    energy : array_like [kWh/ton] in [0, inf)
        Energy drawn at the pinion per ton milled.
    feed_f80 : array_like [um] in (0, inf)
        Size that 80% of the feed passes.
    product_p80 : array_like [um] in (0, inf)
        Size that 80% of the product passes.

    Returns
    -------
    work_index : [kWh/ton]
        Per ton of the same kind as the energy.

    Raises
    ------
    BadValue
        When the product is not finer than the feed.

    Source
    ------
    Bond 1961, Brit. Chem. Eng. 6, 378-385; Rowland 1976, "The Bond work index, a
    tool to measure grinding efficiency", SME-AIME Fall Meeting, Denver.

    Examples
    --------
    >>> round(operating_work_index(18.547, 12_700, 150), 2)
    25.49
    """
    require(product_p80 < feed_f80, "the product must be finer than the feed")
    return energy / bond_energy(1, feed_f80, product_p80)


@contract
def corrected_bond_energy(
    work_index: ArrayLike,
    feed_f80: ArrayLike,
    product_p80: ArrayLike,
    diameter: ArrayLike,
    dry: Switch = False,
    open_circuit_passing: ArrayLike | None = None,
) -> Number:
    """Specific grinding energy of a given ball mill, by Bond and Rowland.

    Parameters
    ----------
    work_index : array_like [kWh/ton] in (0, inf)
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
    energy : [kWh/ton]
        Per short ton.

    Raises
    ------
    BadValue
        When the product is not well finer than the feed.

    Source
    ------
    Rowland & Kjos 1980, in Mular & Bhappu, Mineral Processing Plant Design, ch. 12.

    Examples
    --------
    >>> energy = corrected_bond_energy(
    ...     14.83, 12_700, 150, 1.1, open_circuit_passing=0.8
    ... )
    >>> round(energy, 3)
    18.547
    """
    energy = bond_energy(work_index, feed_f80, product_p80)
    for factor in efficiency_factors(
        work_index, feed_f80, product_p80, diameter, dry, open_circuit_passing
    ).values():
        energy = energy * factor
    return energy


@contract
def bond_test_work_index(
    closing_screen: ArrayLike,
    grams_per_revolution: ArrayLike,
    feed_f80: ArrayLike,
    product_p80: ArrayLike,
) -> Number:
    """Ball-mill work index from Bond's laboratory test.

    Wi = 44.5 / (Pi^0.23 Gbp^0.82 (10/sqrt(P80) - 10/sqrt(F80))).

    Parameters
    ----------
    closing_screen : array_like [um] in (0, inf)
        Opening of the screen that closes the test.
    grams_per_revolution : array_like [g] in (0, inf)
        New undersize that a turn of the mill makes at equilibrium.
    feed_f80 : array_like [um] in (0, inf)
        Size that 80% of the test's feed passes.
    product_p80 : array_like [um] in (0, inf)
        Size that 80% of the test's product passes.

    Returns
    -------
    work_index : [kWh/ton]
        Per short ton; 1.1023 times as much per tonne.

    Raises
    ------
    BadValue
        When the product is not finer than the feed.

    Source
    ------
    Bond 1961, Brit. Chem. Eng. 6, 378-385.

    Examples
    --------
    >>> round(bond_test_work_index(150, 1.5, 2400, 115), 2)
    13.84
    """
    grindability = closing_screen**0.23 * grams_per_revolution**0.82
    return operating_work_index(44.5 / grindability, feed_f80, product_p80)


@contract
def rod_test_work_index(
    closing_screen: ArrayLike,
    grams_per_revolution: ArrayLike,
    feed_f80: ArrayLike,
    product_p80: ArrayLike,
) -> Number:
    """Rod-mill work index from Bond's laboratory test.

    Wi = 62 / (Pi^0.23 Grp^0.625 (10/sqrt(P80) - 10/sqrt(F80))).

    Parameters
    ----------
    closing_screen : array_like [um] in (0, inf)
        Opening of the screen that closes the test.
    grams_per_revolution : array_like [g] in (0, inf)
        New undersize that a turn of the mill makes at equilibrium.
    feed_f80 : array_like [um] in (0, inf)
        Size that 80% of the test's feed passes.
    product_p80 : array_like [um] in (0, inf)
        Size that 80% of the test's product passes.

    Returns
    -------
    work_index : [kWh/ton]
        Per short ton; 1.1023 times as much per tonne.

    Raises
    ------
    BadValue
        When the product is not finer than the feed.

    Source
    ------
    Bond 1961, Brit. Chem. Eng. 6, 378-385.

    Examples
    --------
    >>> round(rod_test_work_index(1180, 8, 9500, 850), 2)
    13.82
    """
    grindability = closing_screen**0.23 * grams_per_revolution**0.625
    return operating_work_index(62 / grindability, feed_f80, product_p80)


@contract
def early_test_work_index(
    closing_screen: ArrayLike, grams_per_revolution: ArrayLike
) -> Number:
    """Ball-mill work index from Bond's test as computed before 1961.

    Wi = 16/Gbp^0.82 sqrt(Pi/100).

    Parameters
    ----------
    closing_screen : array_like [um] in (0, inf)
        Opening of the screen that closes the test.
    grams_per_revolution : array_like [g] in (0, inf)
        New undersize that a turn of the mill makes at equilibrium.

    Returns
    -------
    work_index : [kWh/ton]
        Per short ton.

    Source
    ------
    Bond 1952, Trans. AIME 193, 484-494.

    Examples
    --------
    >>> round(early_test_work_index(74, 1), 3)
    13.764
    """
    return 16 / grams_per_revolution**0.82 * np.sqrt(closing_screen / 100)


@contract
def typical_work_index(rock: Choice) -> Number:
    """Average ball-mill work index of a rock type, by Bond's table.

    Single ores scatter widely about these averages; a test of the ore at hand
    replaces them. Not a live formula.

    Parameters
    ----------
    rock : {"gold ore", "quartz", "quartzite", "granite", "andesite", "limestone", "hematite", "slate", "all materials"}

    Returns
    -------
    work_index : [kWh/ton]
        Per short ton.

    Source
    ------
    Bond 1961, Brit. Chem. Eng. 6, 543-548, table of averages.

    Examples
    --------
    >>> typical_work_index("gold ore")
    14.83
    """  # noqa: E501
    if isinstance(rock, str):
        return WORK_INDICES[rock]
    return np.vectorize(WORK_INDICES.get, otypes=[float])(rock)
