"""Exact constants of the trade's units, and the grades written in them.

Every constant is exact by definition: a pound is 7000 grains, a troy ounce 480
grains, a grain 64.79891 mg (NIST Special Publication 811, 2008, appendix B).
Formulas keep to metric units inside; these constants stand at the border.
"""

from numpy.typing import ArrayLike

from .contract import Number, contract

GRAMS_PER_GRAIN = 0.06479891  # g/grain
GRAMS_PER_OUNCE = 31.1034768  # g/oz, troy: 480 grains
GRAMS_PER_PENNYWEIGHT = 1.55517384  # g/dwt: 24 grains, 20 to the troy ounce
KILOGRAMS_PER_POUND = 0.45359237  # kg/lb, avoirdupois: 7000 grains
TONNES_PER_SHORT_TON = 0.90718474  # t/st: 2000 lb
TONNES_PER_LONG_TON = 1.0160469088  # t/long ton: 2240 lb
GRAMS_PER_TONNE_PER_OUNCE_PER_SHORT_TON = 240 / 7  # (g/t)/(oz/st)
GRAMS_PER_TONNE_PER_OUNCE_PER_LONG_TON = 1500 / 49  # (g/t)/(oz/long ton)
ASSAY_TON_SHORT = 175 / 6  # g: a bead of 1 mg from it is 1 oz per short ton
ASSAY_TON_LONG = 98 / 3  # g: a bead of 1 mg from it is 1 oz per long ton
KILOWATTS_PER_HORSEPOWER = 0.7456998715822702  # kW/hp: 550 ft lbf/s
METRES_PER_FOOT = 0.3048  # m/ft
MILLIMETRES_PER_INCH = 25.4  # mm/in
MICROMETRES_PER_MILLIMETRE = 1000.0  # um/mm
LITRES_PER_GALLON = 3.785411784  # L/gal, US: 231 cubic inches
STANDARD_GRAVITY = 9.80665  # m/s2
FINE = 1000.0  # parts of pure metal, as fineness counts


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
def bead_grade(bead_mass: ArrayLike, sample_mass: ArrayLike) -> Number:
    """Grade of a sample from the bead of a fire assay.

    A bead in milligrams from one assay ton reads directly in ounces per ton; from
    any mass of sample, g/t = 1000 mg/g.

    Parameters
    ----------
    bead_mass : array_like [mg] in [0, inf)
        Mass of gold parted from the bead.
    sample_mass : array_like [g] in (0, inf)
        Mass of ore fused; `ASSAY_TON_SHORT` is 29.1667 g.

    Returns
    -------
    grade : [g/t]

    Source
    ------
    Definition: milligrams per kilogram are grams per tonne.

    Examples
    --------
    >>> round(g_per_t_to_oz_per_ton(bead_grade(0.5, ASSAY_TON_SHORT)), 9)
    0.5
    """
    return 1000 * bead_mass / sample_mass
