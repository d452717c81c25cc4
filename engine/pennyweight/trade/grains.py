"""Gold grains in a sample: their number, and the error of a grade from it."""

import numpy as np
from numpy.typing import ArrayLike

from .function_contract import Number, contract

GOLD_DENSITY = 17.0  # g/cm3: native gold, as Clifton and others take it
SPHERE = 2 / 3  # a disc this thick for its diameter weighs as much as the sphere
FLAKE = 0.1  # a flake a tenth as thick as wide


@contract
def grain_mass(
    gold_size: ArrayLike,
    gold_density: ArrayLike = GOLD_DENSITY,
    thickness: ArrayLike = SPHERE,
) -> Number:
    """Mass of a gold grain.

    π/4 size³ x thickness x density: a disc, whose thickness is given as a share of
    its diameter; two thirds weighs as much as a sphere.

    Parameters
    ----------
    gold_size : array_like [mm] in (0, inf)
        Diameter.
    gold_density : array_like [g/cm^3] in (0, 25], optional
    thickness : array_like [-] in (0, 1], optional
        Over diameter: 2/3 for a sphere, 0.1 for a flake.

    Returns
    -------
    mass : [g]

    Source
    ------
    Geometry; Clifton, Hunter, Swanson & Phillips 1969, U.S. Geological Survey
    Professional Paper 625-C.

    Examples
    --------
    >>> round(grain_mass(1.0), 5)
    0.0089
    """
    return np.pi / 4 * (gold_size / 10) ** 3 * thickness * gold_density


@contract
def rock_per_grain(
    grade: ArrayLike,
    gold_size: ArrayLike,
    gold_density: ArrayLike = GOLD_DENSITY,
    thickness: ArrayLike = SPHERE,
) -> Number:
    """Mass of rock per gold grain of one size.

    Parameters
    ----------
    grade : array_like [g/t] in (0, 1e6]
    gold_size : array_like [mm] in (0, inf)
        Diameter of the grains that carry most of the gold.
    gold_density : array_like [g/cm^3] in (0, 25], optional
    thickness : array_like [-] in (0, 1], optional
        Over diameter: 2/3 for a sphere, 0.1 for a flake.

    Returns
    -------
    mass : [g]

    Source
    ------
    Clifton, Hunter, Swanson & Phillips 1969, U.S. Geological Survey Professional
    Paper 625-C.

    Examples
    --------
    >>> round(rock_per_grain(10, 1.0))
    890
    """
    return grain_mass(gold_size, gold_density, thickness) / (grade / 1e6)


@contract
def grain_count(
    sample_mass: ArrayLike,
    grade: ArrayLike,
    gold_size: ArrayLike,
    gold_density: ArrayLike = GOLD_DENSITY,
    thickness: ArrayLike = SPHERE,
) -> Number:
    """Expected number of gold grains of one size in a sample.

    Parameters
    ----------
    sample_mass : array_like [g] in (0, inf)
    grade : array_like [g/t] in (0, 1e6]
    gold_size : array_like [mm] in (0, inf)
        Diameter of the grains that carry most of the gold.
    gold_density : array_like [g/cm^3] in (0, 25], optional
    thickness : array_like [-] in (0, 1], optional
        Over diameter: 2/3 for a sphere, 0.1 for a flake.

    Returns
    -------
    grains : [-]

    Source
    ------
    Clifton, Hunter, Swanson & Phillips 1969, U.S. Geological Survey Professional
    Paper 625-C.

    Examples
    --------
    >>> round(grain_count(1000, 10, 0.2), 1)
    140.4
    """
    return sample_mass / rock_per_grain(grade, gold_size, gold_density, thickness)


@contract
def grain_count_error(grains: ArrayLike) -> Number:
    """Relative standard deviation of a grade from its grain count, by Poisson's law.

    1 / sqrt(N), by Poisson's law: 20 grains 22%, a hundred 10%.

    Parameters
    ----------
    grains : array_like [-] in (0, inf)

    Returns
    -------
    error : [-]

    Source
    ------
    Clifton, Hunter, Swanson & Phillips 1969, U.S. Geological Survey Professional
    Paper 625-C.

    Examples
    --------
    >>> round(grain_count_error(20), 3)
    0.224
    """
    return 1 / np.sqrt(grains)


@contract
def mass_for_grains(
    grade: ArrayLike,
    gold_size: ArrayLike,
    grains: ArrayLike = 20,
    gold_density: ArrayLike = GOLD_DENSITY,
    thickness: ArrayLike = SPHERE,
) -> Number:
    """Sample mass with an expected number of gold grains.

    Parameters
    ----------
    grade : array_like [g/t] in (0, 1e6]
    gold_size : array_like [mm] in (0, inf)
        Diameter of the grains that carry most of the gold.
    grains : array_like [-] in (0, inf), optional
        Twenty give the grade within half of it, 19 times in 20.
    gold_density : array_like [g/cm^3] in (0, 25], optional
    thickness : array_like [-] in (0, 1], optional
        Over diameter: 2/3 for a sphere, 0.1 for a flake.

    Returns
    -------
    mass : [g]

    Source
    ------
    Clifton, Hunter, Swanson & Phillips 1969, U.S. Geological Survey Professional
    Paper 625-C.

    Examples
    --------
    >>> round(mass_for_grains(10, 1.0) / 1000, 1)
    17.8
    """
    return grains * rock_per_grain(grade, gold_size, gold_density, thickness)
