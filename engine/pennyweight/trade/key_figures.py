"""Key figures: operating cost, power, consumables, recovery, margin.

Each needs only the user's own figures. They combine functions of the other topics.
"""

import numpy as np
from numpy.typing import ArrayLike

from .bullion import net_gold_price
from .exact_units import GRAMS_PER_OUNCE
from .function_contract import Choice, Number, Switch, contract
from .gravity import HALF_CAUGHT, gravity_response, recovery_at_grind
from .mills import mill_power
from .wear import ball_wear, crusher_liner_wear, liner_wear, make_up


@contract(any_units=True)
def operating_cost_per_ton(
    energy: ArrayLike,
    energy_price: ArrayLike,
    consumables: ArrayLike,
    crew: ArrayLike,
    wage: ArrayLike,
    throughput: ArrayLike,
    fixed_cost: ArrayLike,
    hours: ArrayLike,
    other: ArrayLike = 0.0,
) -> Number:
    """Operating cost per ton milled, from power, consumables, crew and fixed cost.

    energy x price + consumables + crew x wage/throughput + fixed cost/(hours x
    throughput) + other. All tons are of one kind, short or metric.

    Parameters
    ----------
    energy : array_like [kWh/ton] in [0, inf)
        Of the whole plant, at the meter.
    energy_price : array_like [money/kWh] in [0, inf)
    consumables : array_like [money/ton] in [0, inf)
        Balls, liners, jaw plates: see `consumables_per_ton`.
    crew : array_like [-] in [0, 1000]
        People paid at a time.
    wage : array_like [money/hour] in [0, inf)
        For each of them, with all charges on wages.
    throughput : array_like [ton/hour] in (0, inf)
        Average over the staffed hours, stops included.
    fixed_cost : array_like [money] in [0, inf)
        Per month: rent, insurance, permits, assays, office.
    hours : array_like [hour] in (0, 744]
        Staffed hours per month.
    other : array_like [money/ton] in [0, inf), optional
        Whatever else each ton costs: water, fuel, flux, haul.

    Returns
    -------
    cost : [money/ton]

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(operating_cost_per_ton(30, 0.2, 6, 3, 32, 1.5, 9000, 200, 4), 2)
    110.0
    """
    hourly = crew * wage + fixed_cost / hours
    return energy * energy_price + consumables + hourly / throughput + other


@contract
def power_drawn(
    diameter: ArrayLike,
    length: ArrayLike,
    filling: ArrayLike,
    speed_fraction: ArrayLike,
    efficiency: ArrayLike,
    other: ArrayLike = 0.0,
    discharge: Choice = "overflow",
    dry: Switch = False,
) -> Number:
    """Power that a ball mill and the machines beside it draw from the line.

    `mill_power` over the efficiency of motor and drive, plus the other machines.

    Parameters
    ----------
    diameter : array_like [m] in (0, 15)
        Inside the liners.
    length : array_like [m] in (0, 25)
        Inside the end liners.
    filling : array_like [-] in (0, 1)
        Fraction of the volume that balls and their voids take.
    speed_fraction : array_like [-] in (0, 1]
        Fraction of critical speed.
    efficiency : array_like [-] in (0, 1]
        Of motor and drive together; 0.85 to 0.92 is usual.
    other : array_like [kW] in [0, inf), optional
        Drawn by crusher, feeders, tables and pumps.
    discharge : {"overflow", "grate"}, optional
    dry : bool, optional

    Returns
    -------
    power : [kW]

    Validity
    --------
    diameter in [0.8, 6.5]: smaller mills draw far less; feet belong with units us

    Source
    ------
    Bond 1961, Brit. Chem. Eng. 6, 543-548, by `mill_power`; the usual efficiency is
    common practice, from memory.

    Examples
    --------
    >>> round(power_drawn(1.2, 1.2, 0.4, 0.75, 0.9, other=12), 1)
    32.9
    >>> round(power_drawn(3.7, 5.8, 0.4, 0.75, 0.9, units="us"), 1)
    26.7
    """
    pinion = mill_power(diameter, length, filling, speed_fraction, discharge, dry)
    return pinion / efficiency + other


@contract
def consumables_per_ton(
    abrasion_index: ArrayLike,
    grinding_energy: ArrayLike,
    ball_price: ArrayLike,
    liner_price: ArrayLike,
    crushing_energy: ArrayLike = 0.0,
    jaw_price: ArrayLike = 0.0,
    steel_factor: ArrayLike = 1.0,
    dry: Switch = False,
    part: Choice = "all",
) -> Number:
    """Cost of balls, mill liners and jaw plates per ton, by their wear.

    Wear by Bond's equations times energy times price. A price of 1 gives the mass
    of steel.

    Parameters
    ----------
    abrasion_index : array_like [-] in (0.015, 5)
        Bond abrasion index Ai, grams lost by the test's paddle.
    grinding_energy : array_like [kWh/t] in [0, inf)
        At the mill's pinion.
    ball_price : array_like [money/kg] in [0, inf)
    liner_price : array_like [money/kg] in [0, inf)
    crushing_energy : array_like [kWh/t] in [0, inf), optional
        Of the jaw crusher.
    jaw_price : array_like [money/kg] in [0, inf), optional
        Of jaw plates.
    steel_factor : array_like [-] in (0, 5], optional
        Wear of balls and liners in use over that of the equations; 0.5 to 0.7 for
        modern steel. Jaw plates are manganese steel, as they were: no factor.
    dry : bool, optional
    part : {"all", "balls", "liners", "jaw plates"}, optional

    Returns
    -------
    cost : [money/t]

    Validity
    --------
    abrasion_index in (0.015, 1.5]: harder on steel than any ore of the fit

    Source
    ------
    Bond 1963, "Metal wear in crushing and grinding", 54th AIChE meeting, Houston.

    Examples
    --------
    >>> round(consumables_per_ton(0.2, 15, 1.6, 3.5, 1.5, 4), 2)
    2.65
    >>> round(consumables_per_ton(0.2, 15, 1, 0, part="balls"), 2)
    1.36
    """
    mill = grinding_energy * steel_factor
    balls = make_up(ball_wear(abrasion_index, dry), mill) * ball_price
    liners = make_up(liner_wear(abrasion_index, dry), mill) * liner_price
    plates = make_up(crusher_liner_wear(abrasion_index), crushing_energy) * jaw_price
    both = np.where(part == "liners", liners, np.where(part == "balls", balls, plates))
    return np.where(part == "all", balls + liners + plates, both)


@contract
def recovery(
    measured_recovery: ArrayLike,
    measured_p80: ArrayLike,
    product_p80: ArrayLike,
    gold_size: ArrayLike,
    recoverable: ArrayLike = 1.0,
    half_caught_size: ArrayLike = HALF_CAUGHT,
) -> Number:
    """Gold recovery of shaking tables at a grind, from a measured one.

    `recovery_at_grind` with the `gravity_response` of one size of gold. For measured
    recoveries of size classes use `recovery_by_size`.

    Parameters
    ----------
    measured_recovery : array_like [-] in [0, 1]
        Of a test lot or of the plant so far.
    measured_p80 : array_like [um] in (0, inf)
        Grind of that measurement.
    product_p80 : array_like [um] in (0, inf)
        Grind asked for.
    gold_size : array_like [um] in (0, inf)
        Of the gold grains in the rock, median by weight.
    recoverable : array_like [-] in (0, 1], optional
        Gravity-recoverable gold over all gold.
    half_caught_size : array_like [um] in (0, inf), optional
        Size of free gold of which the tables catch half.

    Returns
    -------
    recovery : [-]

    Validity
    --------
    measured_recovery in [0.05, 0.98]: at the ends a change of grind says little

    Source
    ------
    The functions that it joins; their form was chosen here.

    Examples
    --------
    >>> round(recovery(0.6, 250, 150, 80), 3)
    0.727
    """
    wanted, measured = (
        gravity_response(gold_size, grind, half_caught_size=half_caught_size)
        for grind in (product_p80, measured_p80)
    )
    return recovery_at_grind(measured_recovery, wanted, measured, recoverable)


@contract
def price_sensitivity(
    price: ArrayLike,
    grade: ArrayLike,
    recovery: ArrayLike,
    cost_per_ton: ArrayLike,
    payable: ArrayLike = 1.0,
    refining: ArrayLike = 0.0,
    royalty: ArrayLike = 0.0,
) -> Number:
    """Operating margin per ton at gold prices and grades.

    grade x recovery x net price x (1 - royalty) - cost. A column of grades with a
    row of prices gives the whole table.

    Parameters
    ----------
    price : array_like [money/oz] in [0, inf)
        Price of fine gold.
    grade : array_like [g/t] in [0, inf)
        Of the mill feed.
    recovery : array_like [-] in [0, 1]
        Share of the gold that reaches the bullion.
    cost_per_ton : array_like [money/t] in [0, inf)
        Operating cost.
    payable : array_like [-] in (0, 1], optional
        Share of the gold that the refiner pays for.
    refining : array_like [money/oz] in [0, inf), optional
        Charge per ounce of gold in the bullion.
    royalty : array_like [-] in [0, 1], optional
        Share of the net return.

    Returns
    -------
    margin : [money/t]

    Validity
    --------
    grade in [0, 150]: above 150 g/t (4.4 oz/ton) check the unit and the assay
    price in [200, 20000]: a gold price per gram or per kilogram

    Source
    ------
    Definition; `break_even_grade` is where the margin is zero.

    Examples
    --------
    >>> round(price_sensitivity(2400, 10, 0.7, 200, payable=0.98, refining=6), 2)
    327.98
    >>> grades, prices = np.array([[8], [10]]), [2400, 3000]
    >>> price_sensitivity(prices, grades, 0.7, 200).round(2).tolist()
    [[232.11, 340.13], [340.13, 475.17]]
    """
    gold = grade * recovery / GRAMS_PER_OUNCE
    sales = gold * net_gold_price(price, payable, refining)
    return sales * (1 - royalty) - cost_per_ton
