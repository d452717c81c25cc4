"""Conversion of grades and masses between units, by exact constants."""

from numpy.typing import ArrayLike

from .exact_units import (
    FINE,
    GRAMS_PER_GRAIN,
    GRAMS_PER_OUNCE,
    GRAMS_PER_PENNYWEIGHT,
    GRAMS_PER_TONNE_PER_OUNCE_PER_LONG_TON,
    GRAMS_PER_TONNE_PER_OUNCE_PER_SHORT_TON,
    PURE_KARATS,
)
from .function_contract import Number, contract


@contract
def oz_per_ton_to_g_per_t(grade: ArrayLike) -> Number:
    """Grade in g/t from troy ounces per short ton.

    g/t = 240/7 oz/ton, exactly, because an ounce is 480 grains and a short ton
    14,000,000.

    Parameters
    ----------
    grade : array_like [oz/ton] in [0, inf)

    Returns
    -------
    grade : [g/t]

    Source
    ------
    Definition; NIST Special Publication 811 (2008), appendix B.8.

    Examples
    --------
    >>> round(oz_per_ton_to_g_per_t(1), 6)
    34.285714
    """
    return grade * GRAMS_PER_TONNE_PER_OUNCE_PER_SHORT_TON


@contract
def g_per_t_to_oz_per_ton(grade: ArrayLike) -> Number:
    """Grade in troy ounces per short ton from g/t.

    Parameters
    ----------
    grade : array_like [g/t] in [0, inf)

    Returns
    -------
    grade : [oz/ton]

    Source
    ------
    Definition; NIST Special Publication 811 (2008), appendix B.8.

    Examples
    --------
    >>> round(g_per_t_to_oz_per_ton(10), 6)
    0.291667
    """
    return grade / GRAMS_PER_TONNE_PER_OUNCE_PER_SHORT_TON


@contract
def oz_per_long_ton_to_g_per_t(grade: ArrayLike) -> Number:
    """Grade in g/t from troy ounces per long ton (old British assays).

    g/t = 1500/49 oz per long ton, exactly.

    Parameters
    ----------
    grade : array_like [oz/long_ton] in [0, inf)

    Returns
    -------
    grade : [g/t]

    Source
    ------
    Definition; NIST Special Publication 811 (2008), appendix B.8.

    Examples
    --------
    >>> round(oz_per_long_ton_to_g_per_t(1), 6)
    30.612245
    """
    return grade * GRAMS_PER_TONNE_PER_OUNCE_PER_LONG_TON


@contract
def troy_mass(
    ounces: ArrayLike, pennyweights: ArrayLike = 0.0, grains: ArrayLike = 0.0
) -> Number:
    """Mass in grams from troy ounces, pennyweights and grains.

    Parameters
    ----------
    ounces : array_like [oz] in [0, inf)
    pennyweights : array_like [dwt] in [0, inf), optional
        Twenty to the ounce.
    grains : array_like [grain] in [0, inf), optional
        Twenty-four to the pennyweight.

    Returns
    -------
    mass : [g]

    Source
    ------
    Definition; NIST Special Publication 811 (2008), appendix B.8.

    Examples
    --------
    >>> troy_mass(0, 20)
    31.1034768
    """
    troy = ounces * GRAMS_PER_OUNCE + pennyweights * GRAMS_PER_PENNYWEIGHT
    return troy + grains * GRAMS_PER_GRAIN


@contract
def grams_to_ounces(mass: ArrayLike) -> Number:
    """Mass in troy ounces from grams.

    Parameters
    ----------
    mass : array_like [g] in [0, inf)

    Returns
    -------
    mass : [oz]

    Source
    ------
    Definition; NIST Special Publication 811 (2008), appendix B.8.

    Examples
    --------
    >>> grams_to_ounces(62.2069536)
    2.0
    """
    return mass / GRAMS_PER_OUNCE


@contract
def grams_to_pennyweights(mass: ArrayLike) -> Number:
    """Mass in pennyweights from grams.

    Parameters
    ----------
    mass : array_like [g] in [0, inf)

    Returns
    -------
    mass : [dwt]

    Source
    ------
    Definition; NIST Special Publication 811 (2008), appendix B.8.

    Examples
    --------
    >>> round(grams_to_pennyweights(31.1034768), 9)
    20.0
    """
    return mass / GRAMS_PER_PENNYWEIGHT


@contract(any_units=True)
def fine_gold(mass: ArrayLike, fineness: ArrayLike) -> Number:
    """Fine gold content of bullion, by its fineness.

    Parameters
    ----------
    mass : array_like [g] in [0, inf)
        Mass of the bullion.
    fineness : array_like [-] in [0, 1000]
        Parts of gold in 1000 parts of bullion.

    Returns
    -------
    mass : [g]
        Mass of pure gold.

    Source
    ------
    Definition: fineness is parts per thousand by mass.

    Examples
    --------
    >>> fine_gold(200, 850)
    170.0
    """
    return mass * fineness / FINE


@contract
def fineness_of_karat(karat: ArrayLike) -> Number:
    """Fineness of gold from its karats.

    1000 k/24

    Parameters
    ----------
    karat : array_like [-] in [0, 24]
        Parts of gold in 24 parts of the alloy; carat in British books.

    Returns
    -------
    fineness : [-]
        Parts per thousand.

    Source
    ------
    Definition: pure gold has 24 karats.

    Examples
    --------
    >>> fineness_of_karat(18)
    750.0
    """
    return karat / PURE_KARATS * FINE


@contract
def bead_grade(bead_mass: ArrayLike, sample_mass: ArrayLike) -> Number:
    """Grade of a sample from the bead of a fire assay.

    A bead in milligrams from one assay ton reads directly in ounces per ton; from
    any mass of sample, g/t = 1000 mg/g.

    Parameters
    ----------
    bead_mass : array_like [mg] in [0, inf)
        Mass of gold parted from the bead.
    sample_mass : array_like [g] in (0, inf)
        Mass of ore fused; an assay ton is 175/6 or 29.1667 g.

    Returns
    -------
    grade : [g/t]

    Source
    ------
    Definition: milligrams per kilogram are grams per tonne.

    Examples
    --------
    >>> round(g_per_t_to_oz_per_ton(bead_grade(0.5, 175 / 6)), 9)
    0.5
    """
    return 1000 * bead_mass / sample_mass
