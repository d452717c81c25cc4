"""Inside volume and ball charge of a mill."""

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .function_contract import Choice, Number, contract

BALL_BULK_DENSITY = 4.65  # t/m3, loose steel balls: 290 lb/ft3


@contract
def inside_diameter(shell_diameter: ArrayLike, liner_thickness: ArrayLike) -> Number:
    """Diameter of a mill inside the liners.

    Parameters
    ----------
    shell_diameter : array_like [m] in (0, 15)
        Inside the shell.
    liner_thickness : array_like [m] in [0, 0.5)

    Returns
    -------
    diameter : [m]

    Raises
    ------
    BadValue
        When the liners fill the shell.

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(inside_diameter(1.2, 0.05), 3)
    1.1
    """
    require(2 * liner_thickness < shell_diameter, "liners must leave room in the shell")
    return shell_diameter - 2 * liner_thickness


@contract
def mill_volume(diameter: ArrayLike, length: ArrayLike) -> Number:
    """Volume of a mill inside the liners.

    Parameters
    ----------
    diameter : array_like [m] in (0, 15)
        Inside the liners.
    length : array_like [m] in (0, 25)
        Inside the end liners.

    Returns
    -------
    volume : [m^3]

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(mill_volume(1.2, 1.2), 3)
    1.357
    """
    return np.pi / 4 * diameter**2 * length


@contract
def filling_from_height(
    height: ArrayLike, diameter: ArrayLike, method: Choice = "segment"
) -> Number:
    """Ball charge of a stopped mill as a share of its volume, by the free height.

    Exactly, the charge is a segment of a circle: V = (arccos c - c sqrt(1 -
    c^2))/pi with c = 2 H/D - 1. The rule of thumb is V = 1.13 - 1.26 H/D.

    Parameters
    ----------
    height : array_like [m] in [0, 15)
        From the crown, inside the liners, down to the level charge.
    diameter : array_like [m] in (0, 15)
        Inside the liners.
    method : {"segment", "rule"}, optional

    Returns
    -------
    filling : [-]
        Fraction of the mill's volume that balls and voids take.

    Raises
    ------
    BadValue
        When the height is beyond the diameter.

    Source
    ------
    Geometry of the circle; the rule is Rowland & Kjos 1980, in Mular & Bhappu,
    Mineral Processing Plant Design, ch. 12.

    Examples
    --------
    >>> round(filling_from_height(0.6, 1.2), 6)
    0.5
    >>> round(filling_from_height(0.7, 1.2, method="rule"), 3)
    0.395
    """
    require(height <= diameter, "the free height cannot be beyond the diameter")
    if method == "rule":
        return np.clip(1.13 - 1.26 * height / diameter, 0, 1)
    cosine = 2 * height / diameter - 1
    return (np.arccos(cosine) - cosine * np.sqrt(1 - cosine**2)) / np.pi


@contract
def filling_from_height_methods(
    height: ArrayLike, diameter: ArrayLike
) -> dict[str, str]:
    """Methods of `filling_from_height` that apply, each with the reason.

    Not a live formula.

    Parameters
    ----------
    height : array_like [m] in [0, 15)
        From the crown, inside the liners, down to the level charge.
    diameter : array_like [m] in (0, 15)
        Inside the liners.

    Returns
    -------
    methods : mapping [-]
        Method to reason.

    Source
    ------
    Derived: the two methods compared over all heights.

    Examples
    --------
    >>> list(filling_from_height_methods(0.7, 1.2))
    ['segment', 'rule']
    """
    methods = {"segment": "exact for a level charge in a round mill"}
    filling = filling_from_height(height, diameter)
    if np.all((filling >= 0.25) & (filling <= 0.55)):
        methods["rule"] = "within half a point of volume where balls usually stand"
    return methods


@contract
def ball_charge_mass(
    diameter: ArrayLike,
    length: ArrayLike,
    filling: ArrayLike,
    bulk_density: ArrayLike = BALL_BULK_DENSITY,
) -> Number:
    """Mass of the ball charge of a mill.

    Parameters
    ----------
    diameter : array_like [m] in (0, 15)
        Inside the liners.
    length : array_like [m] in (0, 25)
        Inside the end liners.
    filling : array_like [-] in [0, 1]
        Fraction of the volume that balls and their voids take.
    bulk_density : array_like [t/m^3] in (0, 10), optional
        Of loose balls; steel 4.65.

    Returns
    -------
    mass : [t]

    Source
    ------
    Definition; 290 lb/ft3 is Bond 1961, Brit. Chem. Eng. 6, 543-548.

    Examples
    --------
    >>> round(ball_charge_mass(1.2, 1.2, 0.4), 3)
    2.524
    """
    return mill_volume(diameter, length) * filling * bulk_density
