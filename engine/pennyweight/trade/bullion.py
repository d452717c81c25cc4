"""Bullion: metal content, and the refiner's payment."""

from typing import Any

from numpy.typing import ArrayLike

from .conditions import require
from .exact_units import FINE
from .function_contract import Number, contract
from .units import fine_gold, grams_to_ounces


@contract(any_units=True)
def net_gold_price(
    price: ArrayLike, payable: ArrayLike = 1.0, refining: ArrayLike = 0.0
) -> Number:
    """Net price of an ounce of gold in bullion, after refining.

    payable x price - refining: the refiner pays for a share of the gold and charges
    for refining on each ounce of gold in the bullion.

    Parameters
    ----------
    price : array_like [money/oz] in [0, inf)
        Price of fine gold.
    payable : array_like [-] in (0, 1], optional
        Share of the gold that is paid for.
    refining : array_like [money/oz] in [0, inf), optional
        Charge per ounce of gold delivered. A charge per ounce paid for is multiplied
        by ``payable`` first; a charge by weight of bullion belongs to the fees of
        the lot.

    Returns
    -------
    net_price : [money/oz]
        Per ounce of gold delivered; below zero when refining costs more than gold.

    Source
    ------
    Common practice of refiners; some charge per ounce paid for.

    Examples
    --------
    >>> round(net_gold_price(2400, payable=0.98, refining=6), 2)
    2346.0
    """
    return payable * price - refining


@contract
def mass_after_melting(mass: ArrayLike, melt_loss: ArrayLike = 0.0) -> Number:
    """Mass of metal after a melt.

    Moisture, slag and base metal burn off or stay in the crucible; a refiner
    settles on the mass after his own melt.

    Parameters
    ----------
    mass : array_like [g] in [0, inf)
        Before melting.
    melt_loss : array_like [-] in [0, 1), optional
        Share of the mass that is lost.

    Returns
    -------
    mass : [g]

    Source
    ------
    Definition.

    Examples
    --------
    >>> mass_after_melting(200, 0.02)
    196.0
    """
    return mass * (1 - melt_loss)


@contract
def melt_loss(mass_before: ArrayLike, mass_after: ArrayLike) -> Number:
    """Melt loss as a share of the mass.

    Parameters
    ----------
    mass_before : array_like [g] in (0, inf)
    mass_after : array_like [g] in [0, inf)

    Returns
    -------
    loss : [-]

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(melt_loss(200, 196), 6)
    0.02
    """
    require(mass_after <= mass_before, "a melt does not add mass; check both weights")
    return 1 - mass_after / mass_before


@contract
def bullion_mass(gold: ArrayLike, fineness: ArrayLike) -> Number:
    """Mass of bullion that contains a mass of fine gold.

    Parameters
    ----------
    gold : array_like [g] in [0, inf)
        Pure gold.
    fineness : array_like [-] in (0, 1000]
        Parts of gold in 1000 of bullion.

    Returns
    -------
    mass : [g]

    Source
    ------
    Definition: fineness is parts per thousand by mass.

    Examples
    --------
    >>> bullion_mass(170, 850)
    200.0
    """
    return gold * FINE / fineness


@contract
def bullion_composition(
    gold: ArrayLike, silver: ArrayLike = 0.0, base: ArrayLike = 0.0
) -> dict[str, Number]:
    """Fineness of bullion from the masses of its metals.

    Parameters
    ----------
    gold : array_like [g] in [0, inf)
    silver : array_like [g] in [0, inf), optional
    base : array_like [g] in [0, inf), optional
        Copper, iron, lead and whatever else.

    Returns
    -------
    fineness : mapping [-]
        Parts in 1000 under ``"gold"``, ``"silver"`` and ``"base"``.

    Raises
    ------
    BadValue
        When there is no metal.

    Source
    ------
    Definition: fineness is parts per thousand by mass.

    Examples
    --------
    >>> bullion_composition(85, 10, 5)
    {'gold': 850.0, 'silver': 100.0, 'base': 50.0}
    """
    mass: Any = gold + silver + base
    require(mass > 0, "there must be some metal")
    parts = {"gold": gold, "silver": silver, "base": base}
    return {metal: part * FINE / mass for metal, part in parts.items()}


@contract
def metal_received(
    melt_mass: ArrayLike, fineness: ArrayLike, melt_loss: ArrayLike = 0.0
) -> Number:
    """Metal content of bullion in troy ounces, after the refiner's melt.

    mass x (1 - loss) x fineness/1000, in troy ounces

    Parameters
    ----------
    melt_mass : array_like [g] in [0, inf)
        Mass of the bullion.
    fineness : array_like [-] in [0, 1000]
        Parts of that metal in 1000.
    melt_loss : array_like [-] in [0, 1), optional
        Share of the mass lost in the refiner's melt, when the mass is from before.

    Returns
    -------
    metal : [oz]

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(metal_received(24_960, 913), 2)
    732.67
    """
    received = mass_after_melting(melt_mass, melt_loss)
    return grams_to_ounces(fine_gold(received, fineness))


@contract
def metal_paid_for(
    melt_mass: ArrayLike,
    fineness: ArrayLike,
    payable: ArrayLike,
    melt_loss: ArrayLike = 0.0,
) -> Number:
    """Payable metal of bullion in troy ounces.

    Parameters
    ----------
    melt_mass : array_like [g] in [0, inf)
        Mass of the bullion.
    fineness : array_like [-] in [0, 1000]
        Parts of that metal in 1000.
    payable : array_like [-] in [0, 1]
        Share that is paid for.
    melt_loss : array_like [-] in [0, 1), optional
        Share of the mass lost in the refiner's melt, when the mass is from before.

    Returns
    -------
    metal : [oz]

    Source
    ------
    Common practice of refiners' settlements.

    Examples
    --------
    >>> round(metal_paid_for(24_960, 913, 0.99), 2)
    725.34
    """
    return metal_received(melt_mass, fineness, melt_loss) * payable


@contract
def dore_payment(
    melt_mass: ArrayLike,
    fineness: ArrayLike,
    payable: ArrayLike,
    price: ArrayLike,
    refining: ArrayLike = 0.0,
    charges: ArrayLike = 0.0,
    silver_fineness: ArrayLike = 0.0,
    silver_payable: ArrayLike = 0.0,
    silver_price: ArrayLike = 0.0,
    penalties: ArrayLike = 0.0,
    melt_loss: ArrayLike = 0.0,
) -> Number:
    """Refiner's payment for a doré bar.

    gold x (payable x price - refining) + silver x payable x price - charges
    - penalties, the metals in troy ounces after the melt.

    Parameters
    ----------
    melt_mass : array_like [g] in [0, inf)
        Mass of the bar; the settlement's melt weight when ``melt_loss`` is 0.
    fineness : array_like [-] in [0, 1000]
        Parts of gold in 1000.
    payable : array_like [-] in (0, 1]
        Share of the gold that is paid for.
    price : array_like [money/oz] in [0, inf)
        Price of fine gold.
    refining : array_like [money/oz] in [0, inf), optional
        Charge per ounce of gold in the bar.
    charges : array_like [money] in [0, inf), optional
        For the lot: treatment, melting, assays, shipping, insurance.
    silver_fineness : array_like [-] in [0, 1000], optional
        Parts of silver in 1000.
    silver_payable : array_like [-] in [0, 1], optional
        Share of the silver that is paid for; often none below a least mass.
    silver_price : array_like [money/oz] in [0, inf), optional
    penalties : array_like [money] in [0, inf), optional
        For lead, mercury, arsenic and other metals a refiner dislikes.
    melt_loss : array_like [-] in [0, 1), optional
        Share of the mass lost in the refiner's melt.

    Returns
    -------
    payment : [money]
        Below zero when the charges exceed the metal value.

    Raises
    ------
    BadValue
        When gold and silver exceed 1000 parts.

    Source
    ------
    Common practice of refiners' settlements.

    Examples
    --------
    >>> round(dore_payment(200, 850, 0.98, 2400, refining=6, charges=150), 2)
    12672.36
    """
    require(
        fineness + silver_fineness <= FINE,
        "gold and silver together must not exceed 1000 parts in 1000",
    )
    gold = metal_received(melt_mass, fineness, melt_loss)
    silver = metal_paid_for(melt_mass, silver_fineness, silver_payable, melt_loss)
    metals = gold * net_gold_price(price, payable, refining) + silver * silver_price
    return metals - charges - penalties
