"""Wear of balls, liners and other parts; ball size and graded charge."""

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .exact_units import (
    KILOGRAMS_PER_POUND,
    METRES_PER_FOOT,
    MILLIMETRES_PER_INCH,
)
from .function_contract import Choice, Number, Switch, contract

EQUILIBRIUM_EXPONENT = 3.84  # of a ball charge at steady state


@contract
def ball_wear(abrasion_index: ArrayLike, dry: Switch = False) -> Number:
    """Specific ball wear by Bond's equation.

    Wet 0.35 (Ai - 0.015)^(1/3), dry 0.05 sqrt(Ai) lb/kWh, here in kilograms. They
    describe old forged steel; modern media wear 30 to 50% less.

    Parameters
    ----------
    abrasion_index : array_like [-] in (0.015, 5)
        Bond abrasion index Ai, grams lost by the test's paddle.
    dry : bool, optional

    Returns
    -------
    wear : [kg/kWh]

    Validity
    --------
    abrasion_index in (0.015, 1.5]: harder on steel than any ore of the fit

    Source
    ------
    Bond 1963, "Metal wear in crushing and grinding", 54th AIChE meeting, Houston.

    Examples
    --------
    >>> round(ball_wear(0.2), 4)
    0.0905
    """
    wet = 0.35 * (abrasion_index - 0.015) ** (1 / 3)
    return KILOGRAMS_PER_POUND * np.where(dry, 0.05 * np.sqrt(abrasion_index), wet)


@contract
def liner_wear(abrasion_index: ArrayLike, dry: Switch = False) -> Number:
    """Specific ball-mill liner wear by Bond's equation.

    Wet 0.026 (Ai - 0.015)^0.3, dry 0.005 sqrt(Ai) lb/kWh, here in kilograms.

    Parameters
    ----------
    abrasion_index : array_like [-] in (0.015, 5)
        Bond abrasion index Ai, grams lost by the test's paddle.
    dry : bool, optional

    Returns
    -------
    wear : [kg/kWh]

    Validity
    --------
    abrasion_index in (0.015, 1.5]: harder on steel than any ore of the fit

    Source
    ------
    Bond 1963, "Metal wear in crushing and grinding", 54th AIChE meeting, Houston.

    Examples
    --------
    >>> round(liner_wear(0.2), 5)
    0.00711
    """
    wet = 0.026 * (abrasion_index - 0.015) ** 0.3
    return KILOGRAMS_PER_POUND * np.where(dry, 0.005 * np.sqrt(abrasion_index), wet)


@contract
def crusher_liner_wear(abrasion_index: ArrayLike) -> Number:
    """Specific crusher liner wear by Bond's equation.

    (Ai + 0.22)/11 lb/kWh, here in kilograms, for each kilowatt-hour of crushing.

    Parameters
    ----------
    abrasion_index : array_like [-] in [0, 5)
        Bond abrasion index Ai, grams lost by the test's paddle.

    Returns
    -------
    wear : [kg/kWh]

    Validity
    --------
    abrasion_index in [0, 1.5]: harder on steel than any ore of the fit

    Source
    ------
    Bond 1963, "Metal wear in crushing and grinding", 54th AIChE meeting, Houston.

    Examples
    --------
    >>> round(crusher_liner_wear(0.2), 5)
    0.01732
    """
    return KILOGRAMS_PER_POUND * (abrasion_index + 0.22) / 11


@contract(any_units=True)
def make_up(
    wear: ArrayLike, energy: ArrayLike, steel_factor: ArrayLike = 1.0
) -> Number:
    """Steel consumption per ton milled.

    Parameters
    ----------
    wear : array_like [kg/kWh] in [0, inf)
        For each kilowatt-hour at the pinion.
    energy : array_like [kWh/t] in [0, inf)
        At the pinion.
    steel_factor : array_like [-] in (0, 5], optional
        Wear of the steel in use against the steel of the equation.

    Returns
    -------
    steel : [kg/t]
        Per ton of the kind that the energy is for; per hour, of a power in kW.

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(make_up(ball_wear(0.2), 15, steel_factor=0.65), 2)
    0.88
    """
    return wear * energy * steel_factor


@contract(any_units=True)
def inventory_life(charge: ArrayLike, make_up: ArrayLike) -> Number:
    """Tons milled until wear equals the steel in the mill.

    Parameters
    ----------
    charge : array_like [kg] in [0, inf)
        Balls or liners in the mill; of liners only what may wear away.
    make_up : array_like [kg/t] in (0, inf)
        Steel lost for each ton.

    Returns
    -------
    life : [t]
        In the tons of the make-up.

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(inventory_life(2524, 0.88))
    2868
    """
    return charge / make_up


@contract(any_units=True)
def part_cost(set_cost: ArrayLike, set_life: ArrayLike) -> Number:
    """Cost per ton of parts that are changed as a set: hammers, screens, jaws.

    Parameters
    ----------
    set_cost : array_like [money] in [0, inf)
        One set, fitted.
    set_life : array_like [t] in (0, inf)
        Tons that one set lasts, from the mill's own book.

    Returns
    -------
    cost : [money/t]
        Per ton of the kind that the life is in.

    Source
    ------
    Definition. Common practice is to count tons per set: hammer wear follows no
    equation that could be found in print.

    Examples
    --------
    >>> part_cost(850, 170)
    5.0
    """
    return set_cost / set_life


@contract
def ball_top_size(
    feed_f80: ArrayLike,
    work_index: ArrayLike,
    specific_gravity: ArrayLike,
    speed_fraction: ArrayLike,
    diameter: ArrayLike,
    mill: Choice = "wet overflow",
) -> Number:
    """Top ball size of a mill, by Bond's equation.

    B = sqrt(F80/K) (SG Wi/(Cs sqrt(D)))^(1/3) inches, with Cs the speed in per cent
    of critical, D in feet, and K 350 wet overflow, 330 wet grate, 335 dry. Take the
    next larger ball on the market.

    Parameters
    ----------
    feed_f80 : array_like [um] in (0, inf)
        Size that 80% of the new feed passes.
    work_index : array_like [kWh/short_ton] in (0, inf)
        Bond work index, per short ton.
    specific_gravity : array_like [-] in (0, 20)
        Of the ore.
    speed_fraction : array_like [-] in (0, 1]
        Fraction of critical speed.
    diameter : array_like [m] in (0, 15)
        Inside the liners.
    mill : {"wet overflow", "wet grate", "dry"}, optional

    Returns
    -------
    ball_diameter : [mm]

    Source
    ------
    Bond 1958, "Grinding ball size selection", Mining Engineering 10, 592-595; Bond
    1961, Brit. Chem. Eng. 6, 543-548.

    Examples
    --------
    >>> round(ball_top_size(5000, 14, 2.7, 0.75, 1.2192), 1)
    60.6
    """
    constant = np.where(mill == "wet grate", 330, np.where(mill == "dry", 335, 350))
    pull = 100 * speed_fraction * np.sqrt(diameter / METRES_PER_FOOT)
    hardness = specific_gravity * work_index / pull
    return MILLIMETRES_PER_INCH * np.sqrt(feed_f80 / constant) * hardness ** (1 / 3)


@contract
def equilibrium_passing(
    ball_diameter: ArrayLike,
    top_size: ArrayLike,
    exponent: ArrayLike = EQUILIBRIUM_EXPONENT,
) -> Number:
    """Mass fraction of balls finer than a size in an equilibrium charge, by Bond.

    Y = (X/B)^3.84. Balls that lost the same thickness in the same time would give
    the exponent 4; Bond's is a little lower.

    Parameters
    ----------
    ball_diameter : array_like [mm] in [0, 200]
    top_size : array_like [mm] in (0, 200]
        The balls that are added.
    exponent : array_like [-] in (0, 10], optional

    Returns
    -------
    passing : [-]

    Source
    ------
    Bond 1958, "Grinding ball size selection", Mining Engineering 10, 592-595.

    Examples
    --------
    >>> round(equilibrium_passing(44, 50), 3)
    0.612
    """
    return np.minimum(ball_diameter / top_size, 1) ** exponent


@contract
def graded_charge(ball_sizes: ArrayLike) -> Number:
    """Mass fractions of the ball sizes in an equilibrium charge, by Bond.

    Each size represents the balls from half-way to the next smaller size up to
    half-way to the next larger one; the shares follow `equilibrium_passing`.
    Not a live formula.

    Parameters
    ----------
    ball_sizes : 1-D [mm] in (0, 200]
        Sizes on the market, largest first; the largest is the one to be added later.

    Returns
    -------
    shares : [-]
        By mass, in the order of the sizes; their sum is 1.

    Raises
    ------
    BadValue
        When the sizes do not fall from the first to the last.

    Source
    ------
    Bond 1958, "Grinding ball size selection", Mining Engineering 10, 592-595; the
    half-way marks give the charges tabled by Rowland & Kjos 1980.

    Examples
    --------
    >>> [round(float(share), 2) for share in graded_charge([50, 37.5, 25])]
    [0.4, 0.43, 0.16]
    """
    require(np.all(np.diff(ball_sizes) < 0), "the ball sizes must fall, largest first")
    marks = (ball_sizes[..., :-1] + ball_sizes[..., 1:]) / 2
    top = ball_sizes[..., :1]
    bounds = np.concatenate([top, marks, 0 * top], axis=-1)
    return -np.diff(equilibrium_passing(bounds, top), axis=-1)
