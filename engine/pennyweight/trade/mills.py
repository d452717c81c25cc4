"""Tumbling mills: critical speed, power and capacity."""

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .exact_units import STANDARD_GRAVITY
from .function_contract import Choice, Number, Switch, contract
from .function_contract_terms import contract_of
from .mill_charge import ball_charge_mass

# rpm m^0.5: the speed at which gravity just fails at the crown, 60/2pi sqrt(2g).
CRITICAL_SPEED_CONSTANT = 60 / (2 * np.pi) * np.sqrt(2 * STANDARD_GRAVITY)


@contract
def critical_speed(diameter: ArrayLike, ball_diameter: ArrayLike = 0.0) -> Number:
    """Critical speed of a mill, by the balance of weight and centrifugal force.

    Nc = (60/2pi) sqrt(2 g/(D - d)) = 42.29/sqrt(D - d), both in metres.

    Parameters
    ----------
    diameter : array_like [m] in (0, 15)
        Inside the liners, in metres: 1 ft is 0.3048 m.
    ball_diameter : array_like [m] in [0, 0.3), optional
        In metres: a 50 mm ball is 0.05.

    Returns
    -------
    speed : [rpm]

    Validity
    --------
    diameter in [0.05, 6.5]: so large a mill suggests feet or inches for metres

    Raises
    ------
    BadValue
        When the ball is not smaller than the mill.

    Source
    ------
    Derived from the balance of weight and centrifugal force; Bond 1961, Brit. Chem.
    Eng. 6, 543-548, has it as 76.63/sqrt(D) with D in feet.

    Examples
    --------
    >>> round(critical_speed(2, 0.1), 1)
    30.7
    """
    require(ball_diameter < diameter, "balls must be smaller than the mill, in metres")
    return CRITICAL_SPEED_CONSTANT / np.sqrt(diameter - ball_diameter)


@contract
def speed_fraction(
    speed: ArrayLike, diameter: ArrayLike, ball_diameter: ArrayLike = 0.0
) -> Number:
    """Mill speed as a fraction of critical speed.

    Parameters
    ----------
    speed : array_like [rpm] in (0, inf)
        Of the mill, not of the motor.
    diameter : array_like [m] in (0, 15)
        Inside the liners.
    ball_diameter : array_like [m] in [0, 0.3), optional

    Returns
    -------
    fraction : [-]
        0.65 to 0.79 is usual.

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(speed_fraction(31, 1.2192), 2)
    0.81
    """
    return speed / critical_speed(diameter, ball_diameter)


@contract
def power_per_tonne_of_balls(
    diameter: ArrayLike,
    filling: ArrayLike,
    speed_fraction: ArrayLike,
    discharge: Choice = "overflow",
    dry: Switch = False,
) -> Number:
    """Pinion power per tonne of balls, by Bond's equation.

    4.879 D^0.3 (3.2 - 3 V) f (1 - 0.1/2^(9 - 10 f)) kW/t, for a wet overflow mill;
    times 1.16 for a wet grate mill and 1.08 for a dry mill of either kind.

    Parameters
    ----------
    diameter : array_like [m] in (0, 15)
        Inside the liners.
    filling : array_like [-] in (0, 1)
        Fraction of the volume that balls and their voids take.
    speed_fraction : array_like [-] in (0, 1]
        Fraction of critical speed.
    discharge : {"overflow", "grate"}, optional
    dry : bool, optional

    Returns
    -------
    power : [kW/t]

    Validity
    --------
    diameter in [0.8, 6.5]: smaller mills draw far less; anchor it to a measured one
    filling in [0.15, 0.5]: ball mills run between 15 and 50% full
    speed_fraction in [0.5, 0.9]: ball mills run between 50 and 90% of critical

    Source
    ------
    Bond 1961, Brit. Chem. Eng. 6, 543-548; Rowland & Kjos 1980, in Mular & Bhappu,
    Mineral Processing Plant Design, ch. 12.

    Examples
    --------
    >>> round(power_per_tonne_of_balls(1.2, 0.4, 0.75), 3)
    7.457
    """
    wet = np.where(discharge == "grate", 1.16, 1.0)
    level = 4.879 * np.where(dry, 1.08, wet)
    tail = 1 - 0.1 / 2 ** (9 - 10 * speed_fraction)
    return level * diameter**0.3 * (3.2 - 3 * filling) * speed_fraction * tail


@contract
def mill_power(
    diameter: ArrayLike,
    length: ArrayLike,
    filling: ArrayLike,
    speed_fraction: ArrayLike,
    discharge: Choice = "overflow",
    dry: Switch = False,
) -> Number:
    """Pinion power of a ball mill, by Bond's equation.

    `power_per_tonne_of_balls` times `ball_charge_mass`. What the motor draws is
    this over the efficiency of the drive.

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
    discharge : {"overflow", "grate"}, optional
    dry : bool, optional

    Returns
    -------
    power : [kW]

    Source
    ------
    Bond 1961, Brit. Chem. Eng. 6, 543-548; Rowland & Kjos 1980, in Mular & Bhappu,
    Mineral Processing Plant Design, ch. 12.

    Examples
    --------
    >>> round(mill_power(1.2, 1.2, 0.4, 0.75), 2)
    18.82
    """
    each = power_per_tonne_of_balls(diameter, filling, speed_fraction, discharge, dry)
    return ball_charge_mass(diameter, length, filling) * each


@contract
def rod_mill_power(
    diameter: ArrayLike, rods: ArrayLike, filling: ArrayLike, speed_fraction: ArrayLike
) -> Number:
    """Pinion power of a wet overflow rod mill, by Rowland and Kjos.

    P = 1.752 D^(1/3) (6.3 - 5.4 V) f M kW, M the rods.

    Parameters
    ----------
    diameter : array_like [m] in (0, 7]
        Inside the liners.
    rods : array_like [t] in [0, inf)
        Mass of the rods; `ball_charge_mass` gives it with 5.85 t/m3 when they are new
        and 5.4 when worn.
    filling : array_like [-] in (0, 1)
        Fraction of the volume that rods and their voids take.
    speed_fraction : array_like [-] in (0, 1]
        Fraction of critical speed.

    Returns
    -------
    power : [kW]

    Validity
    --------
    diameter in [0.9, 5]: smaller mills were not in the table it was fitted to
    filling in [0.25, 0.45]: usual fillings are 35 to 40%
    speed_fraction in [0.5, 0.75]: rods tangle when they are lifted higher

    Source
    ------
    Rowland & Kjos 1980, in Mular & Bhappu, Mineral Processing Plant Design, ch. 12.

    Examples
    --------
    >>> rods = ball_charge_mass(1.2, 2.4, 0.35, 5.85)
    >>> round(rods, 2), round(rod_mill_power(1.2, rods, 0.35, 0.65), 1)
    (5.56, 29.7)
    """
    per_tonne = 1.752 * diameter ** (1 / 3) * (6.3 - 5.4 * filling) * speed_fraction
    return per_tonne * rods


@contract
def torque_arm_power(
    diameter: ArrayLike,
    length: ArrayLike,
    filling: ArrayLike,
    speed_fraction: ArrayLike,
    charge_density: ArrayLike = 5.3,
    repose_angle: ArrayLike = 40.0,
) -> Number:
    """Power of a tumbling mill, by Hogg and Fuerstenau's torque-arm equation.

    P = 15.22 D^3.5 (L/D) f rho (J - 1.065 J^2) sin(alpha) kW, from the geometry of
    the charge as a tilted segment of a circle.

    Parameters
    ----------
    diameter : array_like [m] in (0, 15)
        Inside the liners.
    length : array_like [m] in (0, 25)
        Inside the end liners.
    filling : array_like [-] in (0, 0.9)
        Fraction of the volume that the charge takes.
    speed_fraction : array_like [-] in (0, 1]
        Fraction of critical speed.
    charge_density : array_like [t/m^3] in (0, 10), optional
        Of balls with pulp in their voids; about 5.3 for steel in ore pulp.
    repose_angle : array_like [deg] in (0, 90), optional
        Tilt of the charge's surface while running: 35 to 45 degrees.

    Returns
    -------
    power : [kW]

    Validity
    --------
    filling in [0.2, 0.5]: the parabola fits the segment's torque only there
    speed_fraction in [0.5, 0.85]: nearer to critical balls fly and weigh on no arm
    repose_angle in [30, 50]: measured charges tilt by 35 to 45 degrees

    Source
    ------
    Hogg & Fuerstenau 1972, Trans. SME-AIME 252, 418-423.

    Examples
    --------
    >>> round(torque_arm_power(1.2, 1.2, 0.4, 0.75, repose_angle=45), 2)
    18.59
    """
    arm = (filling - 1.065 * filling**2) * np.sin(repose_angle * np.pi / 180)
    return 15.22 * diameter**2.5 * length * speed_fraction * charge_density * arm


@contract(any_units=True)
def capacity_at_grind(
    measured_capacity: ArrayLike,
    measured_p80: ArrayLike,
    measured_work_index: ArrayLike,
    product_p80: ArrayLike,
    work_index: ArrayLike,
) -> Number:
    """Capacity of a hammer or ball mill at another grind or rock, from a timed run.

    Q = Q1 (Wi1/Wi) sqrt(P/P1), from one timed run: the energy per ton goes with the
    work index and the inverse root of the product size, as in Bond's law for feed
    much coarser than the product. For hammer mills, which Bond's law does not cover,
    and for ball mills whose pace was measured.

    Parameters
    ----------
    measured_capacity : array_like [ton/hour] in (0, inf)
        In the timed run, with a clear screen.
    measured_p80 : array_like [um] in (0, inf)
        Of the product of the timed run.
    measured_work_index : array_like [kWh/ton] in (0, inf)
        Of the rock of the timed run.
    product_p80 : array_like [um] in (0, inf)
    work_index : array_like [kWh/ton] in (0, inf)

    Returns
    -------
    capacity : [ton/hour]

    Source
    ------
    A form chosen here. Walas, Chemical Process Equipment, table 12.3, p. 343, has 10
    to 20 kWh a ton for products of 10 to 100 um: only a timed run tells.

    Examples
    --------
    >>> round(capacity_at_grind(1.5, 400, 14, 200, 16), 3)
    0.928
    """
    rock = measured_work_index / work_index
    return measured_capacity * rock * np.sqrt(product_p80 / measured_p80)


@contract
def mill_power_methods(
    diameter: ArrayLike, filling: ArrayLike, speed_fraction: ArrayLike
) -> dict[str, str]:
    """Functions for mill power that apply, each with the reason.

    Not a live formula.

    Parameters
    ----------
    diameter : array_like [m] in (0, 15)
        Inside the liners.
    filling : array_like [-] in (0, 1)
        Fraction of the volume that the charge takes.
    speed_fraction : array_like [-] in (0, 1]
        Fraction of critical speed.

    Returns
    -------
    methods : mapping [-]
        Name of the function to the reason; empty when only a measurement will do.

    Source
    ------
    Ranges as the two functions state them.

    Examples
    --------
    >>> list(mill_power_methods(1.2, 0.4, 0.75))
    ['mill_power', 'torque_arm_power']
    """
    reasons = {
        mill_power: "fitted by Bond to running ball mills",
        torque_arm_power: "geometry; the tilt of the charge must be known or guessed",
    }
    # The range of mill_power is that of the function that it multiplies.
    ranges = {mill_power: power_per_tonne_of_balls}
    given = {
        "diameter": np.asarray(diameter),
        "filling": np.asarray(filling),
        "speed_fraction": np.asarray(speed_fraction),
    }
    return {
        function.__name__: reason
        for function, reason in reasons.items()
        if not any(
            np.any(interval.outside(given[name]))
            for name, interval, _ in contract_of(ranges.get(function, function)).holds
            if name in given
        )
    }
