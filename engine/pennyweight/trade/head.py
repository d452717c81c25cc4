"""Head grades: calculated head, call factors and grades of mixtures."""

from numpy.typing import ArrayLike

from .conditions import require
from .function_contract import Number, contract


@contract(any_units=True)
def gold_accounted_for(
    gold_recovered: ArrayLike, tails_tons: ArrayLike, tails_grade: ArrayLike
) -> Number:
    """Gold accounted for in the bullion and the tailings of a lot.

    Parameters
    ----------
    gold_recovered : array_like [g] in [0, inf)
        Pure gold, not bullion.
    tails_tons : array_like [t] in [0, inf)
        Dry.
    tails_grade : array_like [g/t] in [0, inf)

    Returns
    -------
    gold : [g]
        Ounces and tons serve as well, and give ounces.

    Source
    ------
    Common practice of metallurgical accounting.

    Examples
    --------
    >>> gold_accounted_for(14, 1.5, 3.0)
    18.5
    """
    return gold_recovered + tails_tons * tails_grade


@contract(any_units=True)
def calculated_head(
    gold_recovered: ArrayLike,
    tails_tons: ArrayLike,
    tails_grade: ArrayLike,
    tons: ArrayLike,
) -> Number:
    """Calculated head grade of a lot, from its bullion and tailings.

    (gold recovered + tails tons x tails grade) / tons

    Parameters
    ----------
    gold_recovered : array_like [g] in [0, inf)
        Pure gold, not bullion.
    tails_tons : array_like [t] in [0, inf)
        Dry.
    tails_grade : array_like [g/t] in [0, inf)
    tons : array_like [t] in (0, inf)
        Dry mass of the lot milled.

    Returns
    -------
    head : [g/t]
        Ounces and tons serve as well, and give ounces per ton.

    Raises
    ------
    BadValue
        When there are more tails than tons milled.

    Source
    ------
    Common practice of metallurgical accounting.

    Examples
    --------
    >>> round(calculated_head(14, 1.55, 3.0, 1.5875), 3)
    11.748
    """
    require(
        tails_tons <= tons,
        "the tails cannot weigh more than the lot that was milled; both are dry",
    )
    return gold_accounted_for(gold_recovered, tails_tons, tails_grade) / tons


@contract(any_units=True)
def calculated_recovery(
    gold_recovered: ArrayLike, tails_tons: ArrayLike, tails_grade: ArrayLike
) -> Number:
    """Recovery of a lot, from its bullion and tailings.

    gold recovered / (gold recovered + tails tons x tails grade)

    Parameters
    ----------
    gold_recovered : array_like [g] in [0, inf)
        Pure gold, not bullion.
    tails_tons : array_like [t] in [0, inf)
    tails_grade : array_like [g/t] in [0, inf)

    Returns
    -------
    recovery : [-]

    Raises
    ------
    BadValue
        When there is no gold anywhere.

    Source
    ------
    Common practice of metallurgical accounting.

    Examples
    --------
    >>> round(calculated_recovery(14, 1.55, 3.0), 4)
    0.7507
    """
    gold = gold_accounted_for(gold_recovered, tails_tons, tails_grade)
    require(gold > 0, "there must be gold in the bullion or in the tails")
    return gold_recovered / gold


@contract(any_units=True)
def assay_call_factor(assay_head: ArrayLike, calculated_head: ArrayLike) -> Number:
    """Assay head over calculated head.

    Parameters
    ----------
    assay_head : array_like [g/t] in [0, inf)
        Grade by samples of the feed.
    calculated_head : array_like [g/t] in (0, inf)
        Grade by gold recovered and tails, in the same unit.

    Returns
    -------
    factor : [-]

    Source
    ------
    Common practice of metallurgical accounting.

    Examples
    --------
    >>> assay_call_factor(12, 10)
    1.2
    """
    return 1 / mill_call_factor(assay_head, calculated_head)


@contract(any_units=True)
def mill_call_factor(assay_head: ArrayLike, calculated_head: ArrayLike) -> Number:
    """Mill call factor: calculated head over assay head.

    The mines' usual direction, the inverse of `assay_call_factor`.

    Parameters
    ----------
    assay_head : array_like [g/t] in (0, inf)
        Grade by samples of the feed.
    calculated_head : array_like [g/t] in [0, inf)
        Grade by gold recovered and tails, in the same unit.

    Returns
    -------
    factor : [-]

    Source
    ------
    Common practice: mine call factor, gold accounted for over gold called for.

    Examples
    --------
    >>> mill_call_factor(12.5, 10)
    0.8
    """
    return calculated_head / assay_head


@contract(any_units=True)
def mixed_grade(
    first_mass: ArrayLike,
    first_grade: ArrayLike,
    second_mass: ArrayLike,
    second_grade: ArrayLike,
) -> Number:
    """Grade of two masses together.

    (m1 g1 + m2 g2) / (m1 + m2)

    Parameters
    ----------
    first_mass : array_like [t] in [0, inf)
        Any unit of mass, the same for both.
    first_grade : array_like [g/t] in [0, inf)
        Any unit of grade, the same for both.
    second_mass : array_like [t] in [0, inf)
    second_grade : array_like [g/t] in [0, inf)

    Returns
    -------
    grade : [g/t]

    Raises
    ------
    BadValue
        When there is no mass.

    Source
    ------
    Definition.

    Examples
    --------
    >>> mixed_grade(100, 10, 25, 0)
    8.0
    """
    mass = first_mass + second_mass
    require(mass > 0, "there must be some mass")
    return (first_mass * first_grade + second_mass * second_grade) / mass


@contract(any_units=True)
def metallics_grade(
    coarse_mass: ArrayLike,
    coarse_grade: ArrayLike,
    fine_mass: ArrayLike,
    fine_grade: ArrayLike,
) -> Number:
    """Grade of a sample by a screen fire (metallics) assay.

    (m+ g+ + m- g-) / (m+ + m-): all of the oversize is assayed, for coarse gold
    stays on the screen, and several splits of the undersize.

    Parameters
    ----------
    coarse_mass : array_like [g] in [0, inf)
        Oversize; any unit of mass, the same for both.
    coarse_grade : array_like [g/t] in [0, inf)
        Any unit of grade, the same for both.
    fine_mass : array_like [g] in [0, inf)
        Undersize, all of it.
    fine_grade : array_like [g/t] in [0, inf)
        Mean of its assays.

    Returns
    -------
    grade : [g/t]

    Raises
    ------
    BadValue
        When there is no mass.

    Source
    ------
    Beringer & Beringer, A Text-book of Assaying, on ores that hold metallic grains.

    Examples
    --------
    >>> metallics_grade(20, 500, 980, 5)
    14.9
    """
    return mixed_grade(coarse_mass, coarse_grade, fine_mass, fine_grade)


@contract(any_units=True)
def gold_in_specimen(
    mass: ArrayLike,
    mass_in_water: ArrayLike,
    gold_gravity: ArrayLike = 19.3,
    rock_gravity: ArrayLike = 2.65,
) -> Number:
    """Gold in a specimen of gold and rock, weighed in air and under water.

    (W - D (1 - 1/Gr)) / (1/Gr - 1/Gg): the volumes of gold and rock add up, and the
    water lifts them by the weight that they displace. If the specimen hangs in a cup
    of water on the scale, the scale gains what is displaced, D - W.

    Parameters
    ----------
    mass : array_like [g] in (0, inf)
        Dry, D; in any unit.
    mass_in_water : array_like [g] in [0, inf)
        Hung under water, W; in the same unit.
    gold_gravity : array_like [-] in (0, 25), optional
        19.3 if fine. Native gold is 15 to 19: each 1% of silver takes off about 0.15.
    rock_gravity : array_like [-] in (0, 20), optional
        Quartz 2.65; sulphides and ironstone spoil the answer.

    Returns
    -------
    gold : [g]
        Native gold, silver and all.

    Raises
    ------
    BadValue
        When the specimen is lighter than the rock or heavier than the gold.

    Source
    ------
    Archimedes; firstclassminers.org, 3.07 W - 1.91 D.

    Examples
    --------
    >>> round(gold_in_specimen(96, 74.5), 2)
    45.24
    """
    require(rock_gravity < gold_gravity, "gold must be heavier than the rock")
    rock_in_water = mass * (1 - 1 / rock_gravity)
    gold_in_water = mass * (1 - 1 / gold_gravity)
    require(rock_in_water <= mass_in_water, "the specimen is lighter than its rock")
    require(mass_in_water <= gold_in_water, "the specimen is heavier than gold")
    return (mass_in_water - rock_in_water) / (1 / rock_gravity - 1 / gold_gravity)
