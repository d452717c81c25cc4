"""Rules of thumb for deposit and plant: scaled cost, mine life, dilution."""

from numpy.typing import ArrayLike

from .conditions import require
from .function_contract import Number, contract
from .head import mixed_grade

ESTIMATE_CLASSES = {
    5: {"use": "concept screening", "low": (-0.50, -0.20), "high": (0.30, 1.00)},
    4: {"use": "study", "low": (-0.30, -0.15), "high": (0.20, 0.50)},
    3: {"use": "budget", "low": (-0.20, -0.10), "high": (0.10, 0.30)},
    2: {"use": "control, bid", "low": (-0.15, -0.05), "high": (0.05, 0.20)},
    1: {"use": "check, bid", "low": (-0.10, -0.03), "high": (0.03, 0.15)},
}
"""Accuracy of an estimate by class, as shares of it: range of the low end and of the
high end. AACE International Recommended Practice 18R-97 (process
industries); 47R-11 gives the same classes for mining and mineral processing."""


@contract(any_units=True)
def scaled_cost(
    cost: ArrayLike,
    size: ArrayLike,
    new_size: ArrayLike,
    exponent: ArrayLike = 0.6,
    index_ratio: ArrayLike = 1.0,
) -> Number:
    """Cost of a plant of another size, by the six-tenths rule.

    C2 = C1 (Q2/Q1)^n x index ratio; n = 0.6 is the six-tenths rule.

    Parameters
    ----------
    cost : array_like [money] in [0, inf)
        Of the known one.
    size : array_like [-] in (0, inf)
        Capacity of the known one, in any unit.
    new_size : array_like [-] in (0, inf)
        Capacity wanted, in the same unit.
    exponent : array_like [-] in [0, 1.5], optional
    index_ratio : array_like [-] in (0, inf), optional
        Cost index of today over that of the known cost's date.

    Returns
    -------
    cost : [money]

    Source
    ------
    Turton, Bailie, Whiting & Shaeiwitz, Analysis, Synthesis, and Design of Chemical
    Processes, 3rd ed., ch. 7; trusted within about a factor 3 of size.

    Examples
    --------
    >>> round(scaled_cost(100_000, 10, 20))
    151572
    """
    return cost * (new_size / size) ** exponent * index_ratio


@contract
def taylor_life(reserve: ArrayLike) -> Number:
    """Life of a mine by Taylor's rule.

    life = 0.2 T^0.25 years. A rule for large deposits worked at an even rate; poor
    for pockets and for a custom mill.

    Parameters
    ----------
    reserve : array_like [t] in (0, inf)

    Returns
    -------
    life : [year]

    Source
    ------
    Taylor 1977; Taylor 1986, Trans. Instn Min. Metall. A 95, 203-204.

    Examples
    --------
    >>> round(taylor_life(100_000), 2)
    3.56
    """
    return 0.2 * reserve**0.25


@contract
def taylor_rate(reserve: ArrayLike) -> Number:
    """Annual production rate of a mine by Taylor's rule.

    rate = T / life = 5 T^0.75

    Parameters
    ----------
    reserve : array_like [t] in (0, inf)

    Returns
    -------
    rate : [t/year]

    Source
    ------
    Taylor 1977; Taylor 1986, Trans. Instn Min. Metall. A 95, 203-204.

    Examples
    --------
    >>> round(taylor_rate(100_000))
    28117
    """
    return reserve / taylor_life(reserve)


@contract(any_units=True)
def diluted_grade(
    grade: ArrayLike, dilution: ArrayLike, waste_grade: ArrayLike = 0.0
) -> Number:
    """Diluted grade of ore with waste.

    (g + D gw) / (1 + D), D = waste over ore

    Parameters
    ----------
    grade : array_like [g/t] in [0, inf)
        Of the ore in place.
    dilution : array_like [-] in [0, inf)
        Waste over ore, by mass; see `dilution_of_ore` for the other way to count.
    waste_grade : array_like [g/t] in [0, inf), optional

    Returns
    -------
    grade : [g/t]
        As milled.

    Source
    ------
    McCarthy 2001, Mining dilution and losses in underground mining, AusIMM
    Monograph 23, 333-336.

    Examples
    --------
    >>> diluted_grade(10, 0.25)
    8.0
    """
    return mixed_grade(1, grade, dilution, waste_grade)


@contract(any_units=True)
def dilution_of_ore(dilution_of_feed: ArrayLike) -> Number:
    """Dilution as waste over ore, from waste over all that is milled.

    D = d / (1 - d): mining engineers count the first, mill men the second.

    Parameters
    ----------
    dilution_of_feed : array_like [-] in [0, 1)
        Waste over ore and waste together.

    Returns
    -------
    dilution : [-]
        Waste over ore.

    Source
    ------
    McCarthy 2001, Mining dilution and losses in underground mining, AusIMM
    Monograph 23, 333-336.

    Examples
    --------
    >>> dilution_of_ore(0.2)
    0.25
    """
    return dilution_of_feed / (1 - dilution_of_feed)


@contract(any_units=True)
def mined_tons(
    ore: ArrayLike, dilution: ArrayLike, mining_recovery: ArrayLike = 1.0
) -> Number:
    """Tons mined from ore in place, with mining recovery and dilution.

    ore x share mined x (1 + D)

    Parameters
    ----------
    ore : array_like [t] in [0, inf)
        In place.
    dilution : array_like [-] in [0, inf)
        Waste over ore, by mass.
    mining_recovery : array_like [-] in (0, 1], optional
        Share of the ore that is mined; the rest stays behind.

    Returns
    -------
    mined : [t]

    Source
    ------
    McCarthy 2001, Mining dilution and losses in underground mining, AusIMM
    Monograph 23, 333-336.

    Examples
    --------
    >>> mined_tons(1000, 0.25, 0.9)
    1125.0
    """
    return ore * mining_recovery * (1 + dilution)


def estimate_range(cost: ArrayLike, estimate_class: int) -> tuple[Number, Number]:
    """Range in which the true cost may lie, by the class of the estimate.

    The outer ends of the class: the widest low and the widest high.

    Parameters
    ----------
    cost : array_like [money]
        As estimated.
    estimate_class : {5, 4, 3, 2, 1}
        5 is a guess by capacity, 1 a check of every item.

    Returns
    -------
    low, high : [money]

    Raises
    ------
    BadValue
        For a class that does not exist, or a cost that is not a number.

    Source
    ------
    AACE International Recommended Practice 18R-97.

    Examples
    --------
    >>> estimate_range(200_000, 4)
    (140000.0, 300000.0)
    """
    known = estimate_class in ESTIMATE_CLASSES
    require(known, "the class of an estimate must be 5, 4, 3, 2 or 1")
    ends = ESTIMATE_CLASSES[estimate_class]
    return cost_between(cost, ends["low"][0], ends["high"][1])


@contract
def cost_between(
    cost: ArrayLike, below: ArrayLike, above: ArrayLike
) -> tuple[Number, Number]:
    """Low and high end of a cost estimate.

    Parameters
    ----------
    cost : array_like [money] in [0, inf)
        As estimated.
    below : array_like [-] in [-1, 0]
    above : array_like [-] in [0, inf)

    Returns
    -------
    low : [money]
    high : [money]

    Source
    ------
    Definition.

    Examples
    --------
    >>> cost_between(100, -0.5, 1)
    (50.0, 200.0)
    """
    return cost * (1 + below), cost * (1 + above)
