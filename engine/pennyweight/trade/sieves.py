"""Sieves by mesh number, and passing sizes from screen analyses."""

import functools

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..errors import BadValue
from .conditions import require
from .exact_units import MICROMETRES_PER_MILLIMETRE
from .function_contract import Choice, Number, contract

# Tyler standard screen scale: wires to the inch, and the opening in um. Openings
# double every fourth sieve of this closer series from 74 um at 200 mesh.
TYLER = {
    2.5: 7925.0,
    3: 6680.0,
    3.5: 5613.0,
    4: 4699.0,
    5: 3962.0,
    6: 3327.0,
    7: 2794.0,
    8: 2362.0,
    9: 1981.0,
    10: 1651.0,
    12: 1397.0,
    14: 1168.0,
    16: 991.0,
    20: 833.0,
    24: 701.0,
    28: 589.0,
    32: 495.0,
    35: 417.0,
    42: 351.0,
    48: 295.0,
    60: 246.0,
    65: 208.0,
    80: 175.0,
    100: 147.0,
    115: 124.0,
    150: 104.0,
    170: 88.0,
    200: 74.0,
    250: 61.0,
    270: 53.0,
    325: 43.0,
    400: 38.0,
}


@functools.cache
def _sieves(series: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mesh numbers and openings in um of a series, coarsest first."""
    if series == "Tyler":
        return np.array(list(TYLER)), np.array(list(TYLER.values()))
    from fluids.particle_size_distribution import ASTM_E11_sieves

    openings = {}
    for sieve in ASTM_E11_sieves.values():
        name = sieve.old_designation
        if name.startswith("No. "):
            whole, *part = name[4:].split()
            # The one with a fraction is No. 3 1/2.
            openings[float(whole) + 0.5 * len(part)] = round(sieve.opening * 1e6, 6)
    meshes = np.array(sorted(openings))
    return meshes, np.array([openings[mesh] for mesh in meshes])


@contract
def mesh_to_um(mesh: ArrayLike, series: Choice = "US") -> Number:
    """Opening of a sieve by its mesh number.

    Not a live formula.

    Parameters
    ----------
    mesh : array_like [-] in (0, 1000)
        Number of the sieve.
    series : {"US", "Tyler"}, optional
        US sieves are ASTM E11; old mill records count in the Tyler series, which
        differs between 10 and 140 mesh.

    Returns
    -------
    opening : [um]

    Raises
    ------
    BadValue
        When the series has no sieve of that number.

    Source
    ------
    ASTM E11, as the package fluids has it; Tyler standard screen scale.

    Examples
    --------
    >>> mesh_to_um(60), mesh_to_um(65, "Tyler")
    (250.0, 208.0)
    """
    meshes, openings = _sieves(series)
    place = np.minimum(np.searchsorted(meshes, mesh), len(meshes) - 1)
    missing = np.ravel(mesh)[np.ravel(meshes[place] != mesh)]
    if missing.size:
        near = np.sort(meshes[np.argsort(np.abs(np.log(meshes / missing[0])))[:2]])
        raise BadValue(
            f"mesh_to_um: the {series} series has no {missing[0]:g} mesh; "
            f"take {near[0]:g} or {near[1]:g}, or give micrometres."
        )
    return openings[place]


@contract
def um_to_mesh(opening: ArrayLike, series: Choice = "US") -> Number:
    """Mesh number of the sieve whose opening is nearest, as a ratio.

    Not a live formula.

    Parameters
    ----------
    opening : array_like [um] in (0, 200000)
    series : {"US", "Tyler"}, optional

    Returns
    -------
    mesh : [-]

    Source
    ------
    ASTM E11, as the package fluids has it; Tyler standard screen scale.

    Examples
    --------
    >>> um_to_mesh(74), um_to_mesh(208, "Tyler")
    (200.0, 65.0)
    """
    meshes, openings = _sieves(series)
    ratio = np.log(np.asarray(opening)[..., np.newaxis] / openings)
    return meshes[np.argmin(np.abs(ratio), axis=-1)]


@contract
def cumulative_passing(retained: ArrayLike) -> Number:
    """Cumulative fraction passing each screen, from the masses retained.

    Not a live formula.

    Parameters
    ----------
    retained : 1-D [g] in [0, inf)
        Masses on the screens from the coarsest to the finest, and last in the pan.

    Returns
    -------
    passing : [-]
        One for each screen; the pan has none.

    Raises
    ------
    BadValue
        When nothing was weighed.

    Source
    ------
    Definition.

    Examples
    --------
    >>> cumulative_passing([10, 40, 30, 20]).round(2).tolist()
    [0.9, 0.5, 0.2]
    """
    total = np.sum(retained, axis=-1, keepdims=True)
    require(total > 0, "the screens must carry some mass")
    return 1 - np.cumsum(retained, axis=-1)[..., :-1] / total


@contract
def size_from_screens(
    openings: ArrayLike, passing: ArrayLike, fraction: ArrayLike = 0.8
) -> Number:
    """Passing size of a product, by interpolation between two screens.

    A straight line between the screens on paper with both axes logarithmic, as Bond
    plots it. Not a live formula.

    Parameters
    ----------
    openings : 1-D [um] in (0, inf)
        Of the screens, in any order.
    passing : 1-D [-] in [0, 1]
        Fraction that passes each.
    fraction : array_like [-] in (0, 1), optional

    Returns
    -------
    size : [um]

    Raises
    ------
    BadValue
        When a coarser screen passes less than a finer one, or when no two screens
        enclose the fraction.

    Source
    ------
    Bond 1961, Brit. Chem. Eng. 6, 378-385: sizes are read from a plot of logarithms.

    Examples
    --------
    >>> round(size_from_screens([300, 212, 150], [0.9, 0.7, 0.5]), 1)
    254.9
    """
    require(openings.shape == passing.shape, "give one fraction passing per screen")
    order = np.argsort(openings)
    sizes, rising = openings[order], passing[order]
    require(np.all(np.diff(sizes) > 0), "no two screens may have the same opening")
    require(np.all(np.diff(rising) >= 0), "a coarser screen must not pass less")
    some = rising > 0
    require(np.any(some), "some material must pass the coarsest screen")
    sizes, rising = sizes[some], rising[some]
    enclosed = (rising[0] <= fraction) & (fraction <= rising[-1])
    said = f"two screens must enclose {np.asarray(fraction)}"
    require(enclosed, f"{said}: use coarser or finer ones")
    return np.exp(np.interp(np.log(fraction), np.log(rising), np.log(sizes)))


@contract
def p80_from_screens(openings: ArrayLike, passing: ArrayLike) -> Number:
    """P80 of a product, by interpolation between two screens.

    Not a live formula.

    Parameters
    ----------
    openings : 1-D [um] in (0, inf)
        Of the screens, in any order.
    passing : 1-D [-] in [0, 1]
        Fraction that passes each.

    Returns
    -------
    size : [um]

    Raises
    ------
    BadValue
        As `size_from_screens`.

    Source
    ------
    Bond 1961, Brit. Chem. Eng. 6, 378-385.

    Examples
    --------
    >>> round(p80_from_screens([300, 212, 150], [0.9, 0.7, 0.5]), 1)
    254.9
    """
    return size_from_screens(openings, passing, 0.8)


@contract
def top_size(
    openings: ArrayLike, passing: ArrayLike, fraction: ArrayLike = 0.95
) -> Number:
    """Top size of a sample in millimetres, by interpolation between two screens.

    Not a live formula.

    Parameters
    ----------
    openings : 1-D [um] in (0, inf)
        Of the screens, in any order.
    passing : 1-D [-] in [0, 1]
        Fraction that passes each.
    fraction : array_like [-] in (0, 1), optional

    Returns
    -------
    size : [mm]

    Raises
    ------
    BadValue
        As `size_from_screens`.

    Source
    ------
    Gy 1979, Sampling of Particulate Materials: the opening that 95% passes.

    Examples
    --------
    >>> round(top_size([2000, 1000], [0.98, 0.8]), 2)
    1.8
    """
    return size_from_screens(openings, passing, fraction) / MICROMETRES_PER_MILLIMETRE
