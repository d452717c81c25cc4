"""Motors of mills: rating, load, current, speed and power; fuel of generators."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .exact_units import KILOWATTS_PER_HORSEPOWER
from .function_contract import Choice, Number, contract

# Horsepower ratings of NEMA MG 1 and the kilowatts that 10 CFR 431.25 and 431.446
# set beside them, up to 200 hp.
NEMA_HORSEPOWER = (
    *(0.5, 0.75, 1, 1.5, 2, 3, 5, 7.5, 10, 15, 20, 25, 30),
    *(40, 50, 60, 75, 100, 125, 150, 200),
)
# Preferred ratings of IEC 60072-1 in kilowatts, up to 160 kW.
IEC_KILOWATTS = (
    *(0.37, 0.55, 0.75, 1.1, 1.5, 2.2, 3, 4, 5.5, 7.5, 11, 15, 18.5, 22),
    *(30, 37, 45, 55, 75, 90, 110, 132, 160),
)
WATTS_PER_KILOWATT = 1000.0
LARGEST_STANDARD_MOTOR = NEMA_HORSEPOWER[-1] * KILOWATTS_PER_HORSEPOWER  # kW

# Fuel of diesel generators: rating in kW, then litres an hour at a quarter, half,
# three quarters and full load, after charts of makers and hirers. The charts give no
# quarter load below 20 kW: there the line through half and three quarters goes on.
GENERATORS = (
    (8, 0.91, 1.48, 2.05, 2.61),
    (10, 1.56, 2.01, 2.46, 3.33),
    (15, 1.66, 2.61, 3.56, 4.61),
    (20, 2.27, 3.41, 4.92, 6.06),
    (30, 4.92, 6.81, 9.08, 10.98),
    (40, 6.06, 8.72, 12.10, 15.14),
    (60, 6.81, 10.98, 14.39, 18.14),
    (75, 9.08, 12.88, 17.37, 23.09),
    (100, 9.84, 15.53, 21.91, 28.03),
    (150, 13.63, 22.32, 31.84, 41.26),
)
GENERATOR_LOADS = (0.25, 0.5, 0.75, 1.0)


@contract
def motor_power(
    pinion_power: ArrayLike,
    drive_efficiency: ArrayLike = 0.95,
    service_factor: ArrayLike = 1.0,
) -> Number:
    """Required motor rating of a driven machine.

    Parameters
    ----------
    pinion_power : array_like [kW] in [0, inf)
        What the mill draws.
    drive_efficiency : array_like [-] in (0, 1], optional
        Of belts and gears between the motor's shaft and the pinion.
    service_factor : array_like [-] in [1, 3], optional
        Reserve for starting and for ore harder than planned.

    Returns
    -------
    power : [kW]
        At the motor's shaft; `standard_motor` gives the size to buy.

    Source
    ------
    Definition. Common practice: 0.93 to 0.98 for each belt or gear, reserve 1.1 to
    1.3.

    Examples
    --------
    >>> round(motor_power(18.82, 0.92, 1.15), 2)
    23.52
    """
    return pinion_power / drive_efficiency * service_factor


@contract
def standard_motor(power: ArrayLike, series: Choice = "NEMA") -> Number:
    """Smallest standard motor rating for a power.

    Parameters
    ----------
    power : array_like [kW] in [0, 149.14]
        Needed at the shaft.
    series : {"NEMA", "IEC"}, optional
        Horsepower ratings of North America, or kilowatt ratings of elsewhere.

    Returns
    -------
    rating : [kW]

    Source
    ------
    NEMA MG 1, ratings as in 10 CFR 431.25 and 431.446; IEC 60072-1, preferred
    ratings.

    Examples
    --------
    >>> standard_motor(23.5, "IEC")
    30.0
    >>> round(standard_motor(23.5) / KILOWATTS_PER_HORSEPOWER)
    40
    """
    ratings = [hp * KILOWATTS_PER_HORSEPOWER for hp in NEMA_HORSEPOWER]
    if series == "IEC":
        ratings = [float(rating) for rating in IEC_KILOWATTS]
    chosen: Any = ratings[-1]
    for rating in reversed(ratings[:-1]):
        chosen = np.where(power <= rating, rating, chosen)
    return chosen


@contract
def motor_load(
    pinion_power: ArrayLike, rating: ArrayLike, drive_efficiency: ArrayLike = 0.95
) -> Number:
    """Motor load as a fraction of its rating.

    Parameters
    ----------
    pinion_power : array_like [kW] in [0, inf)
        What the mill draws.
    rating : array_like [kW] in (0, inf)
        On the motor's plate.
    drive_efficiency : array_like [-] in (0, 1], optional
        Of belts and gears between the motor's shaft and the pinion.

    Returns
    -------
    load : [-]
        Above 1 the motor is too small.

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(motor_load(18.82, 30, 0.92), 2)
    0.68
    """
    return motor_power(pinion_power, drive_efficiency) / rating


@contract
def line_power(
    pinion_power: ArrayLike,
    drive_efficiency: ArrayLike = 0.95,
    motor_efficiency: ArrayLike = 0.91,
) -> Number:
    """Electric power of a driven machine.

    Parameters
    ----------
    pinion_power : array_like [kW] in [0, inf)
        What the machine draws.
    drive_efficiency : array_like [-] in (0, 1], optional
        Of belts and gears.
    motor_efficiency : array_like [-] in (0, 1], optional
        On the motor's plate; 10 CFR 431.25 asked for 0.875 at 5 hp and 0.945 at
        100 hp of enclosed four-pole motors.

    Returns
    -------
    power : [kW]

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(line_power(18.82, 0.92, 0.924), 2)
    22.14
    """
    return motor_power(pinion_power, drive_efficiency) / motor_efficiency


@contract
def driven_speed(
    speed: ArrayLike, driver: ArrayLike, driven: ArrayLike, slip: ArrayLike = 0.0
) -> Number:
    """Speed of a shaft behind a belt or a pair of gears.

    N2 = N1 (d1/d2)(1 - s), stage by stage.

    Parameters
    ----------
    speed : array_like [rpm] in [0, inf)
        Of the driving shaft: the motor's plate says the speed at full load.
    driver : array_like [mm] in (0, inf)
        Pitch diameter of the driving pulley, or its teeth.
    driven : array_like [mm] in (0, inf)
        Pitch diameter of the driven pulley, or its teeth.
    slip : array_like [-] in [0, 0.2], optional
        Lost by the belt: 1 to 2% is usual, none by gears and chains.

    Returns
    -------
    speed : [rpm]

    Source
    ------
    Khurmi & Gupta, Theory of Machines, ch. 11.

    Examples
    --------
    >>> pinion = driven_speed(1750, 150, 900, slip=0.02)
    >>> round(driven_speed(pinion, 17, 156), 1)
    31.1
    """
    return speed * driver / driven * (1 - slip)


@contract
def power_from_current(
    current: ArrayLike,
    voltage: ArrayLike,
    power_factor: ArrayLike = 0.85,
    phases: ArrayLike = 3,
) -> Number:
    """Electric power of a motor, from the current that a clamp meter shows.

    P = sqrt(n) V I cos(phi)/1000, n the phases: 3, or 1.

    Parameters
    ----------
    current : array_like [A] in [0, inf)
        In one line.
    voltage : array_like [V] in (0, inf)
        Between two lines.
    power_factor : array_like [-] in (0, 1], optional
        On the motor's plate, at full load. At half load it is about 0.1 to 0.15 lower.
    phases : array_like [-] in [1, 3], optional

    Returns
    -------
    power : [kW]
        Drawn from the line; times the motor's efficiency it is at the shaft.

    Validity
    --------
    power_factor in [0.5, 1]: a motor with less runs nearly idle

    Source
    ------
    Theraja & Theraja, A Textbook of Electrical Technology, vol. 2, three-phase power.

    Examples
    --------
    >>> round(power_from_current(35, 460, 0.82), 2)
    22.87
    """
    return _line_power(current, voltage, power_factor, phases)


def _line_power(current: Any, voltage: Any, power_factor: Any, phases: Any) -> Any:
    """Power from the line; the phases are checked for the function that is called."""
    neither = (phases - 1) * (phases - 3)
    require(np.equal(neither, 0), "a motor has one phase or three")
    return np.sqrt(phases) * voltage * current * power_factor / WATTS_PER_KILOWATT


@contract
def motor_current(
    power: ArrayLike,
    voltage: ArrayLike,
    motor_efficiency: ArrayLike = 0.91,
    power_factor: ArrayLike = 0.85,
    phases: ArrayLike = 3,
) -> Number:
    """Current of a motor, by the power at its shaft.

    I = 1000 P / (eta sqrt(n) V cos(phi)), n the phases: 3, or 1.

    Parameters
    ----------
    power : array_like [kW] in [0, inf)
        At the shaft; the rating for the current on the plate.
    voltage : array_like [V] in (0, inf)
        Between two lines.
    motor_efficiency : array_like [-] in (0, 1], optional
        On the motor's plate.
    power_factor : array_like [-] in (0, 1], optional
        On the motor's plate.
    phases : array_like [-] in [1, 3], optional

    Returns
    -------
    current : [A]
        In one line. Starting takes five to eight times as much.

    Source
    ------
    Theraja & Theraja, A Textbook of Electrical Technology, vol. 2, three-phase power.

    Examples
    --------
    >>> round(motor_current(10 * KILOWATTS_PER_HORSEPOWER, 480, 0.90), 1)
    11.7
    """
    at_one_ampere = _line_power(1.0, voltage, power_factor, phases)
    return power / motor_efficiency / at_one_ampere


@contract
def generator_fuel(power_rating: ArrayLike, load_fraction: ArrayLike) -> Number:
    """Specific fuel consumption of a diesel generator, by makers' charts.

    Litres an hour for each rated kilowatt, from makers' charts, linear between the
    loads and sizes of the chart, over the load. Below a quarter load the generator
    is taken to burn as much as at a quarter.

    Parameters
    ----------
    power_rating : array_like [kW] in (0, inf)
        Of the generator, continuous.
    load_fraction : array_like [-] in (0, 1.1]
        Mean load over the rating.

    Returns
    -------
    fuel : [L/kWh]

    Validity
    --------
    power_rating in [8, 150]: the charts used go from 8 to 150 kW
    load_fraction in [0.25, 1]: no chart gives fuel below a quarter load

    Source
    ------
    Charts of generator sellers, waltpower.com (half load and up) and bigrentz.com
    (quarter load); single machines differ by a tenth and more.

    Examples
    --------
    >>> round(float(generator_fuel(20, 0.75)), 3)
    0.328
    """
    ratings = [row[0] for row in GENERATORS]
    hourly: Any = 0.0
    for place, load in enumerate(GENERATOR_LOADS):
        # Weight of this column in the result: 1 at its load, 0 at the others.
        share = [float(other == load) for other in GENERATOR_LOADS]
        column = [row[1 + place] / row[0] for row in GENERATORS]
        weight = np.interp(load_fraction, GENERATOR_LOADS, share)
        hourly = hourly + weight * np.interp(power_rating, ratings, column)
    return hourly / load_fraction
