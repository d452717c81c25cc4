"""Cut-off and break-even grades and prices, and the opportunity cost of a mill hour.

One equation, `break_even_gold`, gives every cut-off; only the cost differs. Marginal:
the rock is already at the mill, and only the mill's variable cost counts. Full: mining,
haulage, milling and the fixed cost of the time. Lane's three: the fixed cost is charged
to the bottleneck, which is the mine, the mill or the market.
"""

import numpy as np
from numpy.typing import ArrayLike

from .bullion import net_gold_price
from .conditions import require
from .exact_units import GRAMS_PER_OUNCE
from .function_contract import Number, contract


@contract(any_units=True)
def break_even_gold(
    cost_per_ton: ArrayLike, recovery: ArrayLike, net_price: ArrayLike
) -> Number:
    """Break-even gold content per ton, by cost over net value.

    g = cost / (recovery x net price), in the units of the price and the ton.

    Parameters
    ----------
    cost_per_ton : array_like [money/ton] in [0, inf)
        Of milling alone for the marginal cut-off, of everything for the full one.
    recovery : array_like [-] in (0, 1]
        Share of the gold that reaches the bullion.
    net_price : array_like [money/oz] in (0, inf)
        Of an ounce of gold in the bullion, after the refiner.

    Returns
    -------
    gold : [oz/ton]
        Per ton of the kind that the cost is for.

    Source
    ------
    Lane 1964, Colorado School of Mines Quarterly 59(4), 811-829; common practice.

    Examples
    --------
    >>> round(break_even_gold(100, 0.91, 1886), 5)
    0.05827
    """
    return cost_per_ton / (recovery * net_price)


@contract
def break_even_gold_by_tail(
    cost_per_ton: ArrayLike,
    net_price: ArrayLike,
    fixed_tail: ArrayLike = 0.0,
    proportional_tail: ArrayLike = 0.0,
) -> Number:
    """Break-even gold content per ton with a known tailings grade.

    g = (cost / net price + t0) / (1 - s): recovery falls with the grade, so that
    the break-even is above the one at the usual recovery.

    Parameters
    ----------
    cost_per_ton : array_like [money/ton] in [0, inf)
    net_price : array_like [money/oz] in (0, inf)
        Of an ounce of gold in the bullion, after the refiner.
    fixed_tail : array_like [oz/ton] in [0, inf), optional
        Part of the tail that stays whatever the grade, t0.
    proportional_tail : array_like [-] in [0, 1), optional
        Part of the tail that is a share of the grade, s.

    Returns
    -------
    gold : [oz/ton]
        Per ton of the kind that the cost is for.

    Source
    ------
    `break_even_gold` with the recovery of `tail_recovery`, solved for the grade.

    Examples
    --------
    >>> round(break_even_gold_by_tail(60, 2000, 0.03, 0.1), 4)
    0.0667
    """
    recovered = break_even_gold(cost_per_ton, 1, net_price)
    return (recovered + fixed_tail) / (1 - proportional_tail)


@contract
def break_even_grade(
    cost_per_ton: ArrayLike,
    recovery: ArrayLike,
    price: ArrayLike,
    payable: ArrayLike = 1.0,
    refining: ArrayLike = 0.0,
) -> Number:
    """Break-even grade in g/t, by cost over net value.

    g = 31.1034768 cost / (recovery x (payable x price - refining)). Divide the cost by
    1 - r where a royalty takes the share r of the net smelter return.

    Parameters
    ----------
    cost_per_ton : array_like [money/t] in [0, inf)
        Per tonne; marginal or full cut-off as the costs counted.
    recovery : array_like [-] in (0, 1]
        Share of the gold that reaches the bullion.
    price : array_like [money/oz] in (0, inf)
        Price of fine gold.
    payable : array_like [-] in (0, 1], optional
        Share of the gold that the refiner pays for.
    refining : array_like [money/oz] in [0, inf), optional
        Charge per ounce of gold in the bullion.

    Returns
    -------
    grade : [g/t]

    Raises
    ------
    BadValue
        When the refining charge is not below the price.

    Source
    ------
    Lane 1964, Colorado School of Mines Quarterly 59(4), 811-829; common practice.

    Examples
    --------
    >>> round(break_even_grade(60, 0.70, 2400, payable=0.98, refining=6), 3)
    1.136
    """
    net_price = net_gold_price(price, payable, refining)
    require(net_price > 0, "the price must exceed the refining charge")
    return break_even_gold(cost_per_ton, recovery, net_price) * GRAMS_PER_OUNCE


@contract(any_units=True)
def break_even_net_price(
    cost_per_ton: ArrayLike, recovery: ArrayLike, gold: ArrayLike
) -> Number:
    """Break-even net price of an ounce of gold.

    net price = cost / (recovery x gold), in the units of the gold and the ton.

    Parameters
    ----------
    cost_per_ton : array_like [money/ton] in [0, inf)
    recovery : array_like [-] in (0, 1]
        Share of the gold that reaches the bullion.
    gold : array_like [oz/ton] in (0, inf)
        In a ton of the kind that the cost is for.

    Returns
    -------
    net_price : [money/oz]
        Of an ounce of gold in the bullion, after the refiner.

    Source
    ------
    Lane 1964, Colorado School of Mines Quarterly 59(4), 811-829; common practice.

    Examples
    --------
    >>> round(break_even_net_price(120, 0.60, 0.25), 2)
    800.0
    """
    # Grade and price are factors of one product, so that one equation solves for both.
    return break_even_gold(cost_per_ton, recovery, gold)


@contract
def break_even_price(
    cost_per_ton: ArrayLike,
    recovery: ArrayLike,
    grade: ArrayLike,
    payable: ArrayLike = 1.0,
    refining: ArrayLike = 0.0,
) -> Number:
    """Break-even gold price of ore of a given grade.

    price = (refining + 31.1034768 cost / (recovery x grade)) / payable

    Parameters
    ----------
    cost_per_ton : array_like [money/t] in [0, inf)
        Per tonne.
    recovery : array_like [-] in (0, 1]
        Share of the gold that reaches the bullion.
    grade : array_like [g/t] in (0, inf)
    payable : array_like [-] in (0, 1], optional
        Share of the gold that the refiner pays for.
    refining : array_like [money/oz] in [0, inf), optional
        Charge per ounce of gold in the bullion.

    Returns
    -------
    price : [money/oz]
        Of fine gold.

    Source
    ------
    Lane 1964, Colorado School of Mines Quarterly 59(4), 811-829; common practice.

    Examples
    --------
    >>> round(break_even_price(60, 0.70, 1.136392, payable=0.98, refining=6), 1)
    2400.0
    """
    gold = grade / GRAMS_PER_OUNCE
    return (refining + break_even_net_price(cost_per_ton, recovery, gold)) / payable


@contract
def mine_limited_cutoff(
    milling_cost: ArrayLike,
    price: ArrayLike,
    selling_cost: ArrayLike = 0.0,
    recovery: ArrayLike = 1.0,
) -> Number:
    """Cut-off grade with the mine as bottleneck, by Lane.

    h / ((p - k) y): the rock comes anyway, so it need only pay for its milling.

    Parameters
    ----------
    milling_cost : array_like [money/ton] in [0, inf)
        Variable cost of milling a ton, h.
    price : array_like [money/oz] in (0, inf)
        Per ounce of product, p.
    selling_cost : array_like [money/oz] in [0, inf), optional
        Refining and selling per ounce, k.
    recovery : array_like [-] in (0, 1], optional
        Share of the metal that reaches the product, y.

    Returns
    -------
    cutoff : [oz/ton]

    Raises
    ------
    BadValue
        When the selling cost is not below the price.

    Source
    ------
    Lane 1964, Colorado School of Mines Quarterly 59(4), 811-829.

    Examples
    --------
    >>> mine_limited_cutoff(2, 25, 5)
    0.1
    """
    require(selling_cost < price, "the price must exceed the cost of selling")
    return break_even_gold(milling_cost, recovery, price - selling_cost)


@contract
def mill_limited_cutoff(
    milling_cost: ArrayLike,
    fixed_cost: ArrayLike,
    mill_capacity: ArrayLike,
    price: ArrayLike,
    selling_cost: ArrayLike = 0.0,
    recovery: ArrayLike = 1.0,
) -> Number:
    """Cut-off grade with the mill as bottleneck, by Lane.

    (h + f/H) / ((p - k) y): a ton must also pay for the time it takes at the mill.

    Parameters
    ----------
    milling_cost : array_like [money/ton] in [0, inf)
        Variable cost of milling a ton, h.
    fixed_cost : array_like [money] in [0, inf)
        Of a period, f. To maximise present value, add a period's interest on the
        value of the operation, less the rise of that value.
    mill_capacity : array_like [ton] in (0, inf)
        That the mill takes in a period, H.
    price : array_like [money/oz] in (0, inf)
        Per ounce of product, p.
    selling_cost : array_like [money/oz] in [0, inf), optional
        Refining and selling per ounce, k.
    recovery : array_like [-] in (0, 1], optional
        Share of the metal that reaches the product, y.

    Returns
    -------
    cutoff : [oz/ton]

    Raises
    ------
    BadValue
        When the selling cost is not below the price.

    Source
    ------
    Lane 1964, Colorado School of Mines Quarterly 59(4), 811-829.

    Examples
    --------
    >>> mill_limited_cutoff(2, 300, 50, 25, 5)
    0.4
    """
    ton_with_time = milling_cost + fixed_cost / mill_capacity
    return mine_limited_cutoff(ton_with_time, price, selling_cost, recovery)


@contract
def market_limited_cutoff(
    milling_cost: ArrayLike,
    fixed_cost: ArrayLike,
    market_capacity: ArrayLike,
    price: ArrayLike,
    selling_cost: ArrayLike = 0.0,
    recovery: ArrayLike = 1.0,
) -> Number:
    """Cut-off grade with the market or the refining as bottleneck, by Lane.

    h / ((p - k - f/K) y): an ounce must also pay for the time it takes to sell.

    Parameters
    ----------
    milling_cost : array_like [money/ton] in [0, inf)
        Variable cost of milling a ton, h.
    fixed_cost : array_like [money] in [0, inf)
        Of a period, f.
    market_capacity : array_like [oz] in (0, inf)
        Product that can be refined or sold in a period, K.
    price : array_like [money/oz] in (0, inf)
        Per ounce of product, p.
    selling_cost : array_like [money/oz] in [0, inf), optional
        Refining and selling per ounce, k.
    recovery : array_like [-] in (0, 1], optional
        Share of the metal that reaches the product, y.

    Returns
    -------
    cutoff : [oz/ton]

    Raises
    ------
    BadValue
        When selling and fixed cost are not below the price.

    Source
    ------
    Lane 1964, Colorado School of Mines Quarterly 59(4), 811-829.

    Examples
    --------
    >>> market_limited_cutoff(2, 300, 40, 25, 5)
    0.16
    """
    ounce_with_time = selling_cost + fixed_cost / market_capacity
    return mine_limited_cutoff(milling_cost, price, ounce_with_time, recovery)


@contract
def opportunity_cost_per_hour(
    next_lot_margin: ArrayLike, next_lot_throughput: ArrayLike
) -> Number:
    """Opportunity cost per mill hour, by the margin of the next lot.

    margin per ton x tons per hour of the waiting lot, and nothing when that lot
    would lose money.

    Parameters
    ----------
    next_lot_margin : array_like [money/ton] in (-inf, inf)
        What a ton of the waiting lot leaves after its own variable cost.
    next_lot_throughput : array_like [ton/hour] in [0, inf)
        At which the mill would take the waiting lot.

    Returns
    -------
    worth : [money/hour]

    Source
    ------
    Lane 1964, Colorado School of Mines Quarterly 59(4), 811-829 (the mill-limited
    case, with the next lot's margin in place of the fixed cost).

    Examples
    --------
    >>> opportunity_cost_per_hour(120, 0.8)
    96.0
    """
    return np.maximum(next_lot_margin * next_lot_throughput, 0)


@contract
def cost_with_opportunity(
    cost_per_ton: ArrayLike, throughput: ArrayLike, opportunity_cost: ArrayLike
) -> Number:
    """Cost per ton including the opportunity cost of its mill time.

    cost + opportunity cost per hour / tons per hour, for `break_even_gold` at a mill
    that is short of hours.

    Parameters
    ----------
    cost_per_ton : array_like [money/ton] in [0, inf)
        Variable cost of the lot's own tons.
    throughput : array_like [ton/hour] in (0, inf)
        At which the mill takes the lot.
    opportunity_cost : array_like [money/hour] in [0, inf)
        From `opportunity_cost_per_hour`, or the fixed cost of an hour.

    Returns
    -------
    cost : [money/ton]

    Source
    ------
    Lane 1964, Colorado School of Mines Quarterly 59(4), 811-829.

    Examples
    --------
    >>> cost_with_opportunity(60, 1.2, 96)
    140.0
    """
    return cost_per_ton + opportunity_cost / throughput
