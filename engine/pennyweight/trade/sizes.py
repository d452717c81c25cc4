"""Size distributions of crushed and ground rock, and their fit to screens."""

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .function_contract import Number, contract


class SizeFit(NamedTuple):
    """A distribution fitted to screens."""

    size_modulus: float
    """um"""
    exponent: float
    """Slope of the line on the distribution's own paper."""
    r_squared: float
    """Of the passing, screen by screen, not of its logarithms."""


@contract
def gaudin_schuhmann_passing(
    size: ArrayLike, size_modulus: ArrayLike, exponent: ArrayLike
) -> Number:
    """Fraction passing a size, by Gates, Gaudin and Schuhmann's equation.

    Y = (x/k)^m up to k, and 1 above.

    Parameters
    ----------
    size : array_like [um] in [0, inf)
    size_modulus : array_like [um] in (0, inf)
        k, the size that all passes.
    exponent : array_like [-] in (0, inf)
        m, the slope on paper with both axes logarithmic.

    Returns
    -------
    passing : [-]

    Source
    ------
    Schuhmann 1940, AIME Technical Publication 1189; Gaudin 1926.

    Examples
    --------
    >>> round(gaudin_schuhmann_passing(218.11, 300, 0.7), 4)
    0.8
    """
    return np.minimum(size / size_modulus, 1) ** exponent


@contract
def gaudin_schuhmann_size(
    passing: ArrayLike, size_modulus: ArrayLike, exponent: ArrayLike
) -> Number:
    """Passing size of a product, by Gates, Gaudin and Schuhmann's equation.

    x = k Y^(1/m).

    Parameters
    ----------
    passing : array_like [-] in [0, 1]
    size_modulus : array_like [um] in (0, inf)
        k, the size that all passes.
    exponent : array_like [-] in (0, inf)
        m, the slope on paper with both axes logarithmic.

    Returns
    -------
    size : [um]

    Source
    ------
    Schuhmann 1940, AIME Technical Publication 1189; Gaudin 1926.

    Examples
    --------
    >>> round(gaudin_schuhmann_size(0.8, 300, 0.7), 2)
    218.11
    """
    return size_modulus * passing ** (1 / exponent)


@contract
def gaudin_schuhmann_modulus(p80: ArrayLike, exponent: ArrayLike) -> Number:
    """Size modulus of a Gates-Gaudin-Schuhmann distribution from its P80.

    k = P80 / 0.8^(1/m)

    Parameters
    ----------
    p80 : array_like [um] in (0, inf)
    exponent : array_like [-] in (0, inf)

    Returns
    -------
    size_modulus : [um]

    Source
    ------
    Schuhmann 1940, AIME Technical Publication 1189; Gaudin 1926.

    Examples
    --------
    >>> round(gaudin_schuhmann_modulus(218.11, 0.7))
    300
    """
    return p80 / gaudin_schuhmann_size(0.8, 1, exponent)


@contract
def rosin_rammler_passing(
    size: ArrayLike, size_modulus: ArrayLike, exponent: ArrayLike
) -> Number:
    """Fraction passing a size, by Rosin and Rammler's equation.

    Y = 1 - exp(-(x/x')^n). Where books print exp(-...) alone, they mean the
    fraction retained.

    Parameters
    ----------
    size : array_like [um] in [0, inf)
    size_modulus : array_like [um] in (0, inf)
        x', the size that 63.2% passes.
    exponent : array_like [-] in (0, inf)
        n; the larger, the closer the sizes.

    Returns
    -------
    passing : [-]

    Source
    ------
    Rosin & Rammler 1933, J. Inst. Fuel 7, 29-36.

    Examples
    --------
    >>> round(rosin_rammler_passing(181.28, 100, 0.8), 4)
    0.8
    """
    return 1 - np.exp(-((size / size_modulus) ** exponent))


@contract
def rosin_rammler_size(
    passing: ArrayLike, size_modulus: ArrayLike, exponent: ArrayLike
) -> Number:
    """Passing size of a product, by Rosin and Rammler's equation.

    x = x' (-ln(1 - Y))^(1/n); P80 is x' (ln 5)^(1/n).

    Parameters
    ----------
    passing : array_like [-] in [0, 1)
    size_modulus : array_like [um] in (0, inf)
        x', the size that 63.2% passes.
    exponent : array_like [-] in (0, inf)
        n; the larger, the closer the sizes.

    Returns
    -------
    size : [um]

    Source
    ------
    Rosin & Rammler 1933, J. Inst. Fuel 7, 29-36.

    Examples
    --------
    >>> round(rosin_rammler_size(0.8, 100, 0.8), 2)
    181.28
    """
    return size_modulus * (-np.log(1 - passing)) ** (1 / exponent)


@contract
def fit_gaudin_schuhmann(openings: ArrayLike, passing: ArrayLike) -> SizeFit:
    """Gates-Gaudin-Schuhmann fit to a screen analysis, by least squares.

    A straight line through ln Y over ln x, by least squares. Screens that pass
    nothing or everything say nothing about the line and are left out. Not a live
    formula.

    Parameters
    ----------
    openings : 1-D [um] in (0, inf)
    passing : 1-D [-] in [0, 1]
        Fraction that passes each.

    Returns
    -------
    size_modulus : [um]
    exponent : [-]
    r_squared : [-]

    Raises
    ------
    BadValue
        With fewer than two screens between nothing and everything passing.

    Source
    ------
    Schuhmann 1940, AIME Technical Publication 1189; least squares by NumPy.

    Examples
    --------
    >>> fit = fit_gaudin_schuhmann([125, 106, 75, 53], [0.628, 0.556, 0.373, 0.35])
    >>> round(fit.size_modulus), round(fit.exponent, 2)
    (246, 0.73)
    """
    return _fit(openings, passing, np.log, gaudin_schuhmann_passing)


@contract
def fit_rosin_rammler(openings: ArrayLike, passing: ArrayLike) -> SizeFit:
    """Rosin-Rammler fit to a screen analysis, by least squares.

    A straight line through ln(-ln(1 - Y)) over ln x, by least squares. Screens that
    pass nothing or everything say nothing about the line and are left out. Not a
    live formula.

    Parameters
    ----------
    openings : 1-D [um] in (0, inf)
    passing : 1-D [-] in [0, 1]
        Fraction that passes each.

    Returns
    -------
    size_modulus : [um]
    exponent : [-]
    r_squared : [-]

    Raises
    ------
    BadValue
        With fewer than two screens between nothing and everything passing.

    Source
    ------
    Rosin & Rammler 1933, J. Inst. Fuel 7, 29-36; least squares by NumPy.

    Examples
    --------
    >>> fit = fit_rosin_rammler([125, 106, 75, 53], [0.628, 0.556, 0.373, 0.35])
    >>> round(fit.size_modulus), round(fit.exponent, 2)
    (133, 1.02)
    """
    return _fit(openings, passing, _twice_logarithm, rosin_rammler_passing)


def _twice_logarithm(passing: Any) -> Any:
    return np.log(-np.log(1 - passing))


def _fit(openings: Any, passing: Any, straighten: Callable, law: Callable) -> SizeFit:
    require(openings.ndim == 1, "give one screen analysis at a time")
    require(openings.shape == passing.shape, "give one fraction passing per screen")
    telling = (passing > 0) & (passing < 1)
    x, y = openings[telling], passing[telling]
    require(np.unique(x).size > 1, "two screens must pass some of the material")
    exponent, height = np.polyfit(np.log(x), straighten(y), 1)
    require(exponent > 0 and np.ptp(y) > 0, "a coarser screen must pass more")
    size_modulus = np.exp(-height / exponent)
    error = np.sum((y - law(x, size_modulus, exponent)) ** 2)
    spread = np.sum((y - np.mean(y)) ** 2)
    return SizeFit(float(size_modulus), float(exponent), float(1 - error / spread))


@contract
def size_distribution_methods(
    openings: ArrayLike, passing: ArrayLike
) -> dict[str, str]:
    """Size distributions that fit a screen analysis, best first.

    Not a live formula.

    Parameters
    ----------
    openings : 1-D [um] in (0, inf)
    passing : 1-D [-] in [0, 1]
        Fraction that passes each.

    Returns
    -------
    methods : mapping [-]
        Name of the distribution to the reason, with the share of the spread in the
        passing that it explains.

    Raises
    ------
    BadValue
        With fewer than three screens between nothing and everything passing: any law
        goes through two.

    Source
    ------
    Definition: the larger coefficient of determination fits better.

    Examples
    --------
    >>> screens = [600, 425, 300, 212, 150]
    >>> list(size_distribution_methods(screens, [0.97, 0.91, 0.80, 0.66, 0.52]))
    ['rosin_rammler', 'gaudin_schuhmann']
    """
    telling = (passing > 0) & (passing < 1)
    require(np.sum(telling) > 2, "three screens must pass some of the material")
    fits = {
        "gaudin_schuhmann": fit_gaudin_schuhmann(openings, passing),
        "rosin_rammler": fit_rosin_rammler(openings, passing),
    }
    best = sorted(fits, key=lambda name: -fits[name].r_squared)
    return {
        name: f"explains {100 * fits[name].r_squared:.2f}% of the spread in passing"
        for name in best
    }
