"""Sampling error and sample mass, by Gy's equation and by the grain count."""

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .function_contract import Number, contract
from .grains import GOLD_DENSITY, SPHERE, rock_per_grain

GY_GOLD_DENSITY = 16.0  # g/cm3: native gold with its silver, usual with Gy's equation
GANGUE_DENSITY = 2.65  # g/cm3: quartz


@contract
def composition_factor(
    mineral_share: ArrayLike,
    mineral_density: ArrayLike,
    gangue_density: ArrayLike = GANGUE_DENSITY,
) -> Number:
    """Composition factor of an ore, by Gy.

    c = (1 - a)/a x ((1 - a) mineral density + a gangue density)

    Parameters
    ----------
    mineral_share : array_like [-] in (0, 1)
        Share of the rock's mass that is the mineral, a; 5% lead as galena of
        86.6% lead is 0.0577.
    mineral_density : array_like [g/cm^3] in (0, 25]
    gangue_density : array_like [g/cm^3] in (0, 25], optional

    Returns
    -------
    composition : [g/cm^3]

    Source
    ------
    Gy 1979, Sampling of Particulate Materials, Elsevier; Wills, Mineral Processing
    Technology, chapter on sampling.

    Examples
    --------
    >>> round(composition_factor(0.05 / 0.866, 7.5), 1)
    117.8
    """
    rest = 1 - mineral_share
    density = rest * mineral_density + mineral_share * gangue_density
    return rest / mineral_share * density


@contract
def liberation_factor(
    top_size: ArrayLike,
    liberation_size: ArrayLike,
    liberation_exponent: ArrayLike = 0.5,
) -> Number:
    """Liberation factor of an ore, by Gy.

    l = (liberation size / top size)^b, at most 1

    Parameters
    ----------
    top_size : array_like [mm] in (0, inf)
        Sieve that 95% of the sample passes.
    liberation_size : array_like [mm] in (0, inf)
        Size to which the rock must be broken to free the mineral; for gold the
        size of its coarse grains.
    liberation_exponent : array_like [-] in [0, 3], optional
        b: 0.5 as Gy first had it, 1.5 as is now usual for gold.

    Returns
    -------
    liberation : [-]

    Source
    ------
    Gy 1979, Sampling of Particulate Materials, Elsevier; François-Bongarçon & Gy
    2001, in Mineral Resource and Ore Reserve Estimation, AusIMM Monograph 23.

    Examples
    --------
    >>> round(liberation_factor(25, 0.15), 5)
    0.07746
    """
    return np.minimum(liberation_size / top_size, 1) ** liberation_exponent


@contract
def sampling_constant(
    top_size: ArrayLike,
    composition: ArrayLike,
    liberation: ArrayLike,
    particle_shape: ArrayLike = 0.5,
    size_range: ArrayLike = 0.25,
) -> Number:
    """Sampling constant of an ore, by Gy's equation.

    f g c l d³ of Gy's equation, d in centimetres

    Parameters
    ----------
    top_size : array_like [mm] in (0, inf)
        Sieve that 95% of the sample passes.
    composition : array_like [g/cm^3] in (0, inf)
        From `composition_factor`.
    liberation : array_like [-] in (0, 1]
        From `liberation_factor`.
    particle_shape : array_like [-] in (0, 1], optional
        f: volume of a grain over its cube; 0.5 for rock, 0.2 for flaky gold.
    size_range : array_like [-] in (0, 1], optional
        g: 0.25 for a wide range of sizes (top over bottom above 4), 0.5 for 2 to 4,
        0.75 below 2, 1 for grains of one size.

    Returns
    -------
    constant : [g]

    Source
    ------
    Gy 1979, Sampling of Particulate Materials, Elsevier.

    Examples
    --------
    >>> round(sampling_constant(25, 117.8, 0.07746), 2)
    17.82
    """
    size = top_size / 10  # cm
    return particle_shape * size_range * composition * liberation * size**3


@contract
def fundamental_error(
    sample_mass: ArrayLike, constant: ArrayLike, lot_mass: ArrayLike | None = None
) -> Number:
    """Fundamental sampling error by Gy's equation.

    s = sqrt(K (1/sample mass - 1/lot mass)), relative standard deviation

    Parameters
    ----------
    sample_mass : array_like [g] in (0, inf)
    constant : array_like [g] in (0, inf)
        K, from `sampling_constant`.
    lot_mass : array_like [g] in (0, inf), optional
        Mass from which the sample is taken; far larger when left out.

    Returns
    -------
    error : [-]

    Raises
    ------
    BadValue
        When the sample is larger than its lot.

    Source
    ------
    Gy 1979, Sampling of Particulate Materials, Elsevier.

    Examples
    --------
    >>> round(fundamental_error(178_200, 17.82), 6)
    0.01
    """
    if lot_mass is None:
        return np.sqrt(constant / sample_mass)
    require(sample_mass <= lot_mass, "the sample must not be larger than its lot")
    return np.sqrt(constant * (1 / sample_mass - 1 / lot_mass))


@contract
def mass_for_error(
    error: ArrayLike, constant: ArrayLike, lot_mass: ArrayLike | None = None
) -> Number:
    """Sample mass for a fundamental error, by Gy's equation.

    1 / (s²/K + 1/lot mass), `fundamental_error` solved for the sample.

    Parameters
    ----------
    error : array_like [-] in (0, inf)
        Relative standard deviation that is wanted.
    constant : array_like [g] in (0, inf)
        From `sampling_constant` or `gold_sampling_constant`.
    lot_mass : array_like [g] in (0, inf), optional
        Mass from which the sample is taken; far larger when left out.

    Returns
    -------
    mass : [g]

    Source
    ------
    Gy 1979, Sampling of Particulate Materials, Elsevier.

    Examples
    --------
    >>> round(mass_for_error(0.01, 17.82))
    178200
    """
    if lot_mass is None:
        return constant / error**2
    return 1 / (error**2 / constant + 1 / lot_mass)


@contract
def mass_to_reduce(sample_mass: ArrayLike, factor: ArrayLike = 2.0) -> Number:
    """Sample mass that divides the fundamental error by a factor.

    The error falls with the root of the mass: M x factor^2.

    Parameters
    ----------
    sample_mass : array_like [g] in (0, inf)
    factor : array_like [-] in (0, inf), optional
        2 halves the error.

    Returns
    -------
    mass : [g]

    Source
    ------
    Gy 1979, Sampling of Particulate Materials, Elsevier.

    Examples
    --------
    >>> mass_to_reduce(2500)
    10000.0
    """
    return sample_mass * factor**2


@contract
def gold_sampling_constant(
    grade: ArrayLike,
    top_size: ArrayLike,
    gold_size: ArrayLike,
    liberation_exponent: ArrayLike = 1.5,
    particle_shape: ArrayLike = 0.5,
    size_range: ArrayLike = 0.25,
    gold_density: ArrayLike | None = None,
    thickness: ArrayLike = SPHERE,
) -> Number:
    """Sampling constant of a gold ore, by Gy and by the grain count.

    Gy's f g c l d³, or where that is less, the mass of rock with one grain of gold:
    no sample knows its grade better than its grains can be counted.

    Parameters
    ----------
    grade : array_like [g/t] in (0, 1e6)
    top_size : array_like [mm] in (0, inf)
        Sieve that 95% of the sample passes.
    gold_size : array_like [mm] in (0, inf)
        Diameter of the coarse grains of gold.
    liberation_exponent : array_like [-] in [0, 3], optional
        b of `liberation_factor`; it decides the answer.
    particle_shape : array_like [-] in (0, 1], optional
        f: 0.5 for rock, 0.2 for flaky gold that is free.
    size_range : array_like [-] in (0, 1], optional
        g of `sampling_constant`.
    gold_density : array_like [g/cm^3] in (0, 25], optional
        When left out, 16 in Gy's composition and 17 in the count of grains, as
        their authors take it.
    thickness : array_like [-] in (0, 1], optional
        Of a grain, over its diameter: 2/3 for a sphere.

    Returns
    -------
    constant : [g]

    Source
    ------
    Gy 1979, Sampling of Particulate Materials, Elsevier; François-Bongarçon & Gy
    2001, AusIMM Monograph 23; Clifton and others 1969, U.S. Geological Survey
    Professional Paper 625-C.

    Examples
    --------
    >>> round(gold_sampling_constant(10, 2, 0.2), 1)
    50.6
    """
    gy_density = GY_GOLD_DENSITY if gold_density is None else gold_density
    grain_density = GOLD_DENSITY if gold_density is None else gold_density
    composition = composition_factor(grade / 1e6, gy_density, GANGUE_DENSITY)
    liberation = liberation_factor(top_size, gold_size, liberation_exponent)
    by_rock = sampling_constant(
        top_size, composition, liberation, particle_shape, size_range
    )
    by_grains = rock_per_grain(grade, gold_size, grain_density, thickness)
    return np.maximum(by_rock, by_grains)


@contract
def sampling_error(
    sample_mass: ArrayLike,
    grade: ArrayLike,
    top_size: ArrayLike,
    gold_size: ArrayLike,
    liberation_exponent: ArrayLike = 1.5,
    particle_shape: ArrayLike = 0.5,
    size_range: ArrayLike = 0.25,
    gold_density: ArrayLike | None = None,
    thickness: ArrayLike = SPHERE,
    lot_mass: ArrayLike | None = None,
) -> Number:
    """Relative standard deviation of a gold sample, by Gy and by the grain count.

    Gy's fundamental error with the constant of `gold_sampling_constant`, never
    below what the count of grains allows. Splitting, contamination and assaying
    add to it.

    Parameters
    ----------
    sample_mass : array_like [g] in (0, inf)
    grade : array_like [g/t] in (0, 1e6)
    top_size : array_like [mm] in (0, inf)
        Sieve that 95% of the sample passes.
    gold_size : array_like [mm] in (0, inf)
        Diameter of the coarse grains of gold.
    liberation_exponent : array_like [-] in [0, 3], optional
        1.5 is usual for gold, Gy's own was 0.5: it decides the answer.
    particle_shape : array_like [-] in (0, 1], optional
        f: 0.5 for rock, 0.2 for flaky gold that is free.
    size_range : array_like [-] in (0, 1], optional
        g: 0.25 for a wide range of sizes, 1 for grains of one size.
    gold_density : array_like [g/cm^3] in (0, 25], optional
        As in `gold_sampling_constant`.
    thickness : array_like [-] in (0, 1], optional
        Of a grain, over its diameter: 2/3 for a sphere.
    lot_mass : array_like [g] in (0, inf), optional
        Mass from which the sample is taken; far larger when left out.

    Returns
    -------
    error : [-]

    Raises
    ------
    BadValue
        When the sample is larger than its lot.

    Validity
    --------
    top_size in [0.01, 300]: samples run from pulp to rock as mined; the size is in mm
    gold_size in [0.001, 50]: grains of gold, in mm, are larger than 1 µm, under 50 mm

    Source
    ------
    Gy 1979, Sampling of Particulate Materials, Elsevier; François-Bongarçon & Gy
    2001, AusIMM Monograph 23; Clifton and others 1969, U.S. Geological Survey
    Professional Paper 625-C.

    Examples
    --------
    >>> round(sampling_error(1000, 10, 2, 0.2), 3)
    0.225
    >>> round(sampling_error(1000, 10, 2, 0.2, liberation_exponent=0.5), 3)
    0.711
    """
    constant = gold_sampling_constant(
        grade,
        top_size,
        gold_size,
        liberation_exponent,
        particle_shape,
        size_range,
        gold_density,
        thickness,
    )
    return fundamental_error(sample_mass, constant, lot_mass)
