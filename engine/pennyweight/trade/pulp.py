"""Pulp of ground rock and water: density, share of solids, pumping and settling."""

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .exact_units import STANDARD_GRAVITY
from .function_contract import Number, contract

HEAVIER = "the solids must be heavier than the liquid"

WATER = 1000.0  # kg/m3, of specific gravity 1
SECONDS_PER_HOUR = 3600.0
MILLIMETRES_PER_METRE = 1000.0
MICROMETRES_PER_METRE = 1e6
WATTS_PER_KILOWATT = 1000.0
PASCAL_SECONDS = 0.001  # Pa s, of a millipascal second

# Constants of Concha and Almendra's velocity of a sphere.
SPHERE_VELOCITY, SPHERE_WAKE = 20.52, 0.0921


@contract
def pulp_gravity(
    solids_share: ArrayLike, solids_gravity: ArrayLike, liquid_gravity: ArrayLike = 1.0
) -> Number:
    """Specific gravity of a pulp from its share of solids.

    1 / (x/Gs + (1 - x)/Gl): the volumes of solids and liquid add up.

    Parameters
    ----------
    solids_share : array_like [-] in [0, 1]
        Solids over pulp, by mass: 0.30 is 30% solids.
    solids_gravity : array_like [-] in (0, 20)
        Specific gravity of the rock; quartz 2.65.
    liquid_gravity : array_like [-] in (0, 5), optional

    Returns
    -------
    gravity : [-]
        Kilograms of a litre.

    Source
    ------
    Definition; engineeringtoolbox.com, slurry density.

    Examples
    --------
    >>> round(pulp_gravity(0.30, 2.5), 2)
    1.22
    """
    return 1 / (solids_share / solids_gravity + (1 - solids_share) / liquid_gravity)


@contract
def solids_share(
    pulp_gravity: ArrayLike, solids_gravity: ArrayLike, liquid_gravity: ArrayLike = 1.0
) -> Number:
    """Share of solids in a pulp, by mass, from the weight of a litre.

    x = Gs (Gp - Gl) / (Gp (Gs - Gl)), `pulp_gravity` solved for the share.

    Parameters
    ----------
    pulp_gravity : array_like [-] in (0, 20)
        Kilograms of a litre of pulp.
    solids_gravity : array_like [-] in (0, 20)
        Specific gravity of the rock; quartz 2.65.
    liquid_gravity : array_like [-] in (0, 5), optional

    Returns
    -------
    share : [-]

    Raises
    ------
    BadValue
        When the pulp's gravity does not lie between the liquid's and the solids'.

    Source
    ------
    `pulp_gravity`, solved for the share.

    Examples
    --------
    >>> round(solids_share(1.22, 2.5), 4)
    0.3005
    """
    require(liquid_gravity < solids_gravity, HEAVIER)
    require(liquid_gravity <= pulp_gravity, "the pulp must not be lighter than liquid")
    require(pulp_gravity <= solids_gravity, "the pulp must not be heavier than solids")
    above = (pulp_gravity - liquid_gravity) / (solids_gravity - liquid_gravity)
    return solids_gravity / pulp_gravity * above


@contract
def solids_by_volume(
    solids_share: ArrayLike, solids_gravity: ArrayLike, liquid_gravity: ArrayLike = 1.0
) -> Number:
    """Share of solids in a pulp, by volume, from the share by mass.

    (x/Gs) / (x/Gs + (1 - x)/Gl)

    Parameters
    ----------
    solids_share : array_like [-] in [0, 1]
        Solids over pulp, by mass.
    solids_gravity : array_like [-] in (0, 20)
        Specific gravity of the rock; quartz 2.65.
    liquid_gravity : array_like [-] in (0, 5), optional

    Returns
    -------
    share : [-]

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(solids_by_volume(0.65, 2.7), 2)
    0.41
    """
    solids = solids_share / solids_gravity
    return solids / (solids + (1 - solids_share) / liquid_gravity)


@contract(any_units=True)
def water_with_solids(solids: ArrayLike, solids_share: ArrayLike) -> Number:
    """Water in the pulp that carries some solids.

    W = S (1 - x)/x

    Parameters
    ----------
    solids : array_like [ton/hour] in [0, inf)
        Dry solids, in any unit of mass or of mass in a time.
    solids_share : array_like [-] in (0, 1]
        Solids over pulp, by mass.

    Returns
    -------
    water : [ton/hour]
        In the unit of the solids. A tonne is a cubic metre; a short ton is 239.7
        gallons.

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(water_with_solids(2, 0.25), 6)
    6.0
    """
    return solids * (1 - solids_share) / solids_share


@contract
def pulp_flow(
    solids: ArrayLike,
    solids_share: ArrayLike,
    solids_gravity: ArrayLike,
    liquid_gravity: ArrayLike = 1.0,
) -> Number:
    """Flow of a pulp by volume, from its solids.

    Q = S / (x G), G of `pulp_gravity`.

    Parameters
    ----------
    solids : array_like [t/hour] in [0, inf)
        Dry solids.
    solids_share : array_like [-] in (0, 1]
        Solids over pulp, by mass.
    solids_gravity : array_like [-] in (0, 20)
        Specific gravity of the rock; quartz 2.65.
    liquid_gravity : array_like [-] in (0, 5), optional

    Returns
    -------
    flow : [m^3/hour]
        What the pump must move.

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(pulp_flow(2, 0.25, 2.65), 3)
    6.755
    """
    gravity = pulp_gravity(solids_share, solids_gravity, liquid_gravity)
    return solids / (solids_share * gravity)


@contract
def pump_power(
    flow: ArrayLike,
    head: ArrayLike,
    pulp_gravity: ArrayLike = 1.0,
    efficiency: ArrayLike = 0.5,
) -> Number:
    """Power at the shaft of a pump, by the weight lifted.

    P = rho g Q H / eta

    Parameters
    ----------
    flow : array_like [m^3/hour] in [0, inf)
    head : array_like [m] in [0, inf)
        Height of the lift, and what friction in pipe and fittings takes.
    pulp_gravity : array_like [-] in (0, 20), optional
        Kilograms of a litre of what is pumped, of `pulp_gravity`.
    efficiency : array_like [-] in (0, 1], optional
        Of the pump: small slurry pumps 0.3 to 0.5, small water pumps 0.5 to 0.7.

    Returns
    -------
    power : [kW]

    Source
    ------
    Coulson & Richardson, Chemical Engineering vol. 1, ch. 8; usual efficiencies are
    common practice, from memory.

    Examples
    --------
    >>> round(pump_power(6.75, 12, 1.184, 0.4), 2)
    0.65
    """
    a_second = flow / SECONDS_PER_HOUR
    watts = pulp_gravity * WATER * STANDARD_GRAVITY * a_second * head / efficiency
    return watts / WATTS_PER_KILOWATT


@contract
def stokes_velocity(
    size: ArrayLike,
    solids_gravity: ArrayLike,
    viscosity: ArrayLike = 1.0,
    liquid_gravity: ArrayLike = 1.0,
) -> Number:
    """Settling velocity of a fine grain alone in a liquid, by Stokes's law.

    v = g d^2 (Gs - Gl) / (18 mu): of a sphere. Above about 60 um for quartz and 40 um
    for heavy minerals in water the law gives too much; `settling_velocity` goes on.
    Neighbours slow a grain, clay holds it up, flocs sink faster.

    Parameters
    ----------
    size : array_like [um] in (0, inf)
        Diameter.
    solids_gravity : array_like [-] in (0, 25)
        Specific gravity of the grain.
    viscosity : array_like [mPa*s] in (0, inf), optional
        Of the liquid: water 1.0 at 20 degrees Celsius, 1.5 at 5.
    liquid_gravity : array_like [-] in (0, 5), optional

    Returns
    -------
    velocity : [mm/s]

    Raises
    ------
    BadValue
        When the solids are not heavier than the liquid.

    Validity
    --------
    size in [1, 100]: coarser grains drag a wake; finer ones are moved by the water

    Source
    ------
    Coulson & Richardson, Chemical Engineering vol. 2, ch. 3, Stokes's law.

    Examples
    --------
    >>> round(stokes_velocity(40, 2.65), 3)
    1.438
    """
    require(liquid_gravity < solids_gravity, HEAVIER)
    metres = size / MICROMETRES_PER_METRE
    weight = (solids_gravity - liquid_gravity) * WATER * STANDARD_GRAVITY
    metres_a_second = weight * metres**2 / (18 * viscosity * PASCAL_SECONDS)
    return metres_a_second * MILLIMETRES_PER_METRE


@contract
def settling_velocity(
    size: ArrayLike,
    solids_gravity: ArrayLike,
    viscosity: ArrayLike = 1.0,
    liquid_gravity: ArrayLike = 1.0,
) -> Number:
    """Settling velocity of a grain of any size alone in a liquid, as of a sphere.

    With P^3 = 3 mu^2/(4 (rs - rl) rl g) and Q^3 = 4 (rs - rl) mu g/(3 rl^2),
    v = 20.52 Q P/d (sqrt(1 + 0.0921 (d/P)^1.5) - 1)^2. Crushed grains of sand sink at
    half to four fifths of it.

    Parameters
    ----------
    size : array_like [um] in (0, inf)
        Diameter.
    solids_gravity : array_like [-] in (0, 25)
        Specific gravity of the grain.
    viscosity : array_like [mPa*s] in (0, inf), optional
        Of the liquid: water 1.0 at 20 degrees Celsius, 1.5 at 5.
    liquid_gravity : array_like [-] in (0, 5), optional

    Returns
    -------
    velocity : [mm/s]

    Raises
    ------
    BadValue
        When the solids are not heavier than the liquid.

    Validity
    --------
    size in [1, 2000]: the drag that was fitted holds that far in water

    Source
    ------
    Concha & Almendra 1979, Int. J. Miner. Process. 5, 349-367, from memory; within
    9% of the drag curve of spheres.

    Examples
    --------
    >>> round(settling_velocity(500, 2.65), 1)
    81.0
    """
    require(liquid_gravity < solids_gravity, HEAVIER)
    weight = (solids_gravity - liquid_gravity) * WATER * STANDARD_GRAVITY
    liquid, drag = liquid_gravity * WATER, viscosity * PASCAL_SECONDS
    length = (0.75 * drag**2 / (weight * liquid)) ** (1 / 3)
    speed = (weight * drag / (0.75 * liquid**2)) ** (1 / 3)
    relative = size / MICROMETRES_PER_METRE / length
    wake = np.sqrt(1 + SPHERE_WAKE * relative**1.5) - 1
    return speed * SPHERE_VELOCITY / relative * wake**2 * MILLIMETRES_PER_METRE


@contract
def settling_area(flow: ArrayLike, velocity: ArrayLike) -> Number:
    """Least area of a pond or thickener in which grains settle out of an overflow.

    A = Q / v: a grain that sinks slower than the water rises leaves with it.

    Parameters
    ----------
    flow : array_like [m^3/hour] in [0, inf)
        Water that leaves over the top.
    velocity : array_like [mm/s] in (0, inf)
        At which the finest grain to keep settles. Double the area for currents.

    Returns
    -------
    area : [m^2]

    Source
    ------
    Definition of the overflow rate.

    Examples
    --------
    >>> round(settling_area(6, 0.09), 2)
    18.52
    """
    return flow * MILLIMETRES_PER_METRE / SECONDS_PER_HOUR / velocity
