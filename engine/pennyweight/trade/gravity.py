"""Gravity recovery at other grinds: liberation of gold and capture by tables."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from .function_contract import Number, contract

LIBERATION_RATIO = 4.0  # P80 that frees half of the grains, over their size
LIBERATION_SLOPE = 2.5
BREAKAGE = 0.2  # gold breaks far more slowly than rock
HALF_CAUGHT = 40.0  # um: tables lose gold below 75 um and catch little below 40 um
CAPTURE_SLOPE = 2.0
HIGHEST_SHARE = 0.95  # of gravity-recoverable gold, that a plant is believed to catch


@contract
def liberated_fraction(
    gold_size: ArrayLike,
    product_p80: ArrayLike,
    liberation_ratio: ArrayLike = LIBERATION_RATIO,
) -> Number:
    """Fraction of gold grains that a grind frees, by a power of size over grain.

    L = 1/(1 + (P80/(k x))^2.5): half of the grains are free where the product is k
    times as coarse as they are, nearly all at half of that.

    Parameters
    ----------
    gold_size : array_like [um] in (0, inf)
        Of the grains in the rock.
    product_p80 : array_like [um] in (0, inf)
    liberation_ratio : array_like [-] in (0, inf), optional
        k. A cubic grain in a particle of twice its size gives a specific gravity of
        4.7, which a table still keeps, and the median particle is near half the P80.

    Returns
    -------
    fraction : [-]

    Validity
    --------
    gold_size in [1, 50000]: grains of gold, in µm, are larger than 1 µm, under 50 mm

    Source
    ------
    A form chosen here; Gaudin 1939, Principles of Mineral Dressing, has (1 - p/x)^3
    for brittle grains, which is too harsh for gold. Slope and ratio fit the fractions
    of an ore crushed to 1.7 mm, REM International Engineering Journal 73(4), 2020,
    p. 579.

    Examples
    --------
    >>> round(liberated_fraction(100, 200), 3)
    0.85
    """
    coarseness = product_p80 / (liberation_ratio * gold_size)
    return 1 / (1 + coarseness**LIBERATION_SLOPE)


@contract
def freed_size(
    gold_size: ArrayLike,
    product_p80: ArrayLike,
    liberation_ratio: ArrayLike = LIBERATION_RATIO,
    breakage: ArrayLike = BREAKAGE,
) -> Number:
    """Size of gold grains after grinding.

    y = x/(1 + k x/P80)^b: as in the rock where the grind is coarse, smaller by a
    power of the grind where the mill goes on hitting free gold.

    Parameters
    ----------
    gold_size : array_like [um] in (0, inf)
        Of the grains in the rock.
    product_p80 : array_like [um] in (0, inf)
    liberation_ratio : array_like [-] in (0, inf), optional
        k, as for `liberated_fraction`.
    breakage : array_like [-] in [0, 1], optional
        b: 0 if grains keep their size, 1 if they shrink with the grind.

    Returns
    -------
    size : [um]

    Source
    ------
    A form chosen here; free gold breaks 6 to 20 times more slowly than rock (Banisi,
    Laplante & Marois 1991, recalled).

    Examples
    --------
    >>> round(freed_size(100, 100, breakage=0.2), 1)
    72.5
    """
    return gold_size / (1 + liberation_ratio * gold_size / product_p80) ** breakage


@contract
def table_capture(
    gold_size: ArrayLike, half_caught_size: ArrayLike = HALF_CAUGHT
) -> Number:
    """Fraction of free gold that tables catch, by its size.

    C = 1/(1 + (y50/y)^2): 78% at 75 um and half at 40 um unless another size is
    given.

    Parameters
    ----------
    gold_size : array_like [um] in (0, inf)
        Of the free grains.
    half_caught_size : array_like [um] in (0, inf), optional
        y50, the size of which half is caught.

    Returns
    -------
    fraction : [-]

    Source
    ------
    A form chosen here. Common practice: tables lose gold below 75 um and catch
    little below 40 um. Sluices are coarser: Mitchell, Evans & Styles 1997, British
    Geological Survey WC/97/14, fits y50 110 um.

    Examples
    --------
    >>> round(table_capture(75), 3)
    0.779
    """
    return 1 / (1 + (half_caught_size / gold_size) ** CAPTURE_SLOPE)


@contract
def gravity_response(
    gold_size: ArrayLike,
    product_p80: ArrayLike,
    liberation_ratio: ArrayLike = LIBERATION_RATIO,
    breakage: ArrayLike = BREAKAGE,
    half_caught_size: ArrayLike = HALF_CAUGHT,
) -> Number:
    """Fraction of gold grains of one size that a grind frees and tables catch.

    `liberated_fraction` times `table_capture` at the `freed_size`. Weight it with
    the gold of each size, not with the mass.

    Parameters
    ----------
    gold_size : array_like [um] in (0, inf)
        Of the grains in the rock.
    product_p80 : array_like [um] in (0, inf)
    liberation_ratio : array_like [-] in (0, inf), optional
        As for `liberated_fraction`.
    breakage : array_like [-] in [0, 1], optional
        As for `freed_size`.
    half_caught_size : array_like [um] in (0, inf), optional
        As for `table_capture`.

    Returns
    -------
    response : [-]

    Source
    ------
    The three functions that it joins.

    Examples
    --------
    >>> round(gravity_response(100, 400), 3)
    0.413
    """
    free = liberated_fraction(gold_size, product_p80, liberation_ratio)
    left = freed_size(gold_size, product_p80, liberation_ratio, breakage)
    return free * table_capture(left, half_caught_size)


def raised_recoverable(measured_recovery: Any, recoverable: Any) -> Any:
    """Gravity-recoverable gold, raised where a measured recovery shows more.

    Examples
    --------
    >>> round(float(raised_recoverable(0.67, 0.65)), 3)
    0.705
    """
    return np.minimum(np.maximum(recoverable, measured_recovery / HIGHEST_SHARE), 1)


@contract
def recovery_at_grind(
    measured_recovery: ArrayLike,
    response: ArrayLike,
    measured_response: ArrayLike,
    recoverable: ArrayLike = 1.0,
) -> Number:
    """Gravity recovery at another grind, anchored on a measured one.

    The odds of recovering gravity-recoverable gold, R/(G - R), move as the odds of
    the response, u/(1 - u). So the measured recovery holds at the measured grind, and
    no grind recovers more than all of it.

    Parameters
    ----------
    measured_recovery : array_like [-] in [0, 1]
    response : array_like [-] in (0, 1)
        Sum of the `gravity_response` of all gold at the grind asked for.
    measured_response : array_like [-] in (0, 1)
        At the grind of the measured recovery.
    recoverable : array_like [-] in (0, 1], optional
        G, gravity-recoverable gold over all gold; raised where the measured recovery
        is more than 95% of it.

    Returns
    -------
    recovery : [-]

    Source
    ------
    A form chosen here: plain scaling by the responses can pass 100%. G: Laplante, A
    Standardized Test to Determine Gravity Recoverable Gold.

    Examples
    --------
    >>> round(recovery_at_grind(0.6, 0.4, 0.5, 0.9), 3)
    0.514
    """
    most = raised_recoverable(measured_recovery, recoverable)
    gained = measured_recovery * response * (1 - measured_response)
    lost = (most - measured_recovery) * measured_response * (1 - response)
    return most * gained / (gained + lost)


@contract(any_units=True)
def table_capacity_at_grind(
    measured_capacity: ArrayLike,
    measured_p80: ArrayLike,
    product_p80: ArrayLike,
) -> Number:
    """Capacity of a shaking table at another feed size.

    Q = Q1 (P80/P1)^0.6, from a capacity known at one feed size.

    Parameters
    ----------
    measured_capacity : array_like [ton/hour] in [0, inf)
    measured_p80 : array_like [um] in (0, inf)
        Of the feed at which it is known.
    product_p80 : array_like [um] in (0, inf)

    Returns
    -------
    capacity : [ton/hour]

    Source
    ------
    The exponent of Razumov's equation, 0.1 rho (A d (rho1 - 1)/(rho2 - 1))^0.6, from
    memory; Wills, Mineral Processing Technology, has 2 t/h at 1.5 mm and 0.5 t/h at
    100 to 150 um, exponent 0.56, from memory too.

    Examples
    --------
    >>> round(table_capacity_at_grind(1.0, 300, 150), 3)
    0.66
    """
    return measured_capacity * (product_p80 / measured_p80) ** 0.6
