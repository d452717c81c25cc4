"""Terms of sale, revenue and margin per ton, and break-even values."""

import numpy as np

from ....trade import bullion, cutoff
from ...line import Section

terms = Section("Return per ton", "Terms of sale")
returns = Section("Return per ton", "Revenue and margin per ton")
even = Section("Return per ton", "Break-even")
table = Section(
    "Return per ton", "Operating margin per ton at other grades and gold prices"
)


@terms.line("Gold payable after insurance", "share")
def bullion_payable(gold_payable, insurance_rate):
    """Share of the fine gold in bullion."""
    return gold_payable - insurance_rate


@terms.line("Silver-to-gold ratio of bullion", "share")
def silver_with_gold(silver_fineness, bullion_fineness):
    """Silver fineness over gold fineness."""
    return silver_fineness / bullion_fineness


@terms.line("Silver credit per ounce of gold", "$/oz")
def silver_credit(silver_with_gold, silver_price, silver_payable):
    """Payable silver in bullion, per ounce of its gold."""
    return silver_with_gold * silver_price * silver_payable


@terms.line("Overall recovery to bullion", "share")
def bullion_share(planned_recovery, furnace_recovery, kept_share):
    """Gravity times smelting recovery, less a hired mill's share."""
    return planned_recovery * furnace_recovery * kept_share


@terms.line("Payable gold, % of gold in feed", "share")
def paid_share(bullion_payable, bullion_share, planned_middlings, middlings_payable):
    """After all losses and deductions, middlings included."""
    return bullion_payable * bullion_share + planned_middlings * middlings_payable


@terms.line("Refining charge used", "$/oz")
def refining_used(
    refining_charge, base_metal_charge, fine, bullion_fineness, silver_fineness
):
    """Per ounce of gold, its base metal included."""
    parts = np.where(bullion_fineness > 0, bullion_fineness, fine)
    base_metal = np.maximum(fine - parts - silver_fineness, 0)
    return refining_charge + base_metal_charge * base_metal / parts


@terms.line("Refining charge per ounce in feed", "$/oz")
def feed_ounce_refining(refining_used, bullion_share):
    """Charged on gold in bullion only."""
    return refining_used * bullion_share


@terms.line("Silver credit per ounce in feed", "$/oz")
def feed_ounce_silver(silver_credit, bullion_share):
    """Silver in bullion only."""
    return silver_credit * bullion_share


@terms.line("Net value per ounce in feed", "$/oz")
def feed_ounce_value(gold_price, paid_share, feed_ounce_refining, feed_ounce_silver):
    """Bullion, and middlings if sold; before shipments."""
    net = bullion.net_gold_price(gold_price, paid_share, feed_ounce_refining)
    return net + feed_ounce_silver


@terms.line("Shipment cost per ton", "$/ton")
def shipping_per_ton(shipment_cost, shipments_per_month, tons_per_month):
    """Freight, melt and assay fees, full working month."""
    return shipment_cost * shipments_per_month / tons_per_month


def sold_on(gold, payable, gold_price):
    """If a buyer takes them."""
    return gold * payable * gold_price


@returns.line("Gross metal value per ton", "$/ton")
def metal_value_per_ton(feed_gold, gold_price):
    """Gold in mill feed at the gold price."""
    return feed_gold * gold_price


@returns.line("Net smelter return (NSR) per ton", "$/ton")
def sales_per_ton(feed_gold, feed_ounce_value, shipping_per_ton):
    """After refining, insurance and shipments; before royalty."""
    return sales(feed_gold, feed_ounce_value, shipping_per_ton)


def sales(feed_gold, feed_ounce_value, shipping):
    """Net smelter return of a ton with a given gold content."""
    return feed_gold * feed_ounce_value - shipping


@returns.line("Royalty per ton", "$/ton")
def royalty_per_ton(sales_per_ton, royalty_rate):
    """Percentage of NSR."""
    return royalty_on(sales_per_ton, royalty_rate)


def royalty_on(sales, royalty_rate):
    """Royalty on net smelter return; zero if that is negative."""
    return np.maximum(sales, 0) * royalty_rate


@returns.line("Revenue per ton, after royalty", "$/ton")
def net_return_per_ton(sales_per_ton, royalty_per_ton):
    """Net smelter return less royalty."""
    return sales_per_ton - royalty_per_ton


@returns.line("Operating cost per ton, from Cost per ton", "$/ton")
def total_cost_per_ton(cost_per_ton):
    """Full year; without capital."""
    return cost_per_ton


@returns.line("Operating margin per ton", "$/ton")
def margin_per_ton(net_return_per_ton, cost_per_ton):
    """Revenue after royalty less operating cost."""
    return net_return_per_ton - cost_per_ton


@returns.line("Operating margin per running hour", "$/hour")
def margin_per_hour(margin_per_ton, feed_rate):
    """Margin per ton times feed rate."""
    return margin_per_ton * feed_rate


@returns.line("Revenue per month, after royalty", "$/month")
def net_return_per_month(net_return_per_ton, tons_per_month):
    """At full output."""
    return net_return_per_ton * tons_per_month


@even.line("Operating break-even NSR per ton", "$/ton")
def sales_needed(cost_per_ton, royalty_rate, shipping_per_ton):
    """Before shipments; covers operating cost and royalty, not capital."""
    return cost_per_ton / (1 - royalty_rate) + shipping_per_ton


@even.line("Break-even grade, before capital", "grade")
def break_even_grade(sales_needed, feed_ounce_value, dilution, grade_per_ounce):
    """Ore grade in place at zero operating margin; without capital."""
    gold = cutoff.break_even_gold(sales_needed, 1, feed_ounce_value)
    return gold * (1 + dilution) * grade_per_ounce


@even.line("Marginal cut-off NSR per ton", "$/ton")
def running_sales_needed(running_cost_per_ton, royalty_rate):
    """Covers variable milling cost and royalty only."""
    return running_cost_per_ton / (1 - royalty_rate)


@even.line("Marginal cut-off grade, ore at the mill", "grade")
def running_break_even_grade(running_sales_needed, feed_ounce_value, grade_per_ounce):
    """As milled, dilution included; mining, haulage and fixed cost are sunk."""
    gold = cutoff.break_even_gold(running_sales_needed, 1, feed_ounce_value)
    return gold * grade_per_ounce


@even.line("Break-even gold price, before capital", "$/oz")
def break_even_gold_price(
    sales_needed, feed_gold, feed_ounce_refining, feed_ounce_silver, paid_share
):
    """At zero operating margin, without capital; 0 if silver alone covers it."""
    gold_needed = sales_needed / feed_gold - feed_ounce_silver
    return np.maximum((gold_needed + feed_ounce_refining) / paid_share, 0)


@even.line("Operating margin at that gold price", "$/ton")
def break_even_margin(
    break_even_gold_price,
    feed_gold,
    paid_share,
    feed_ounce_refining,
    feed_ounce_silver,
    shipping_per_ton,
    royalty_rate,
    cost_per_ton,
):
    """Zero except for rounding."""
    # Negative if silver alone covers the cost, which the trade functions refuse.
    net = break_even_gold_price * paid_share - feed_ounce_refining
    sold = sales(feed_gold, net + feed_ounce_silver, shipping_per_ton)
    return sold - royalty_on(sold, royalty_rate) - cost_per_ton


@table.line("Gold price tested", "$/oz", over="price_step")
def table_price(gold_price, price_step):
    """Gold price times the share above."""
    return gold_price * price_step


@table.line("Ore grade tested", "grade", over="grade_step")
def table_grade(planned_grade, grade_step):
    """Ore grade used times the share beside."""
    return planned_grade * grade_step


@table.line("Net value per ounce in feed, by price", "$/oz", over="price_step")
def table_ounce_value(table_price, paid_share, feed_ounce_refining, feed_ounce_silver):
    """At the gold price above."""
    net = bullion.net_gold_price(table_price, paid_share, feed_ounce_refining)
    return net + feed_ounce_silver


@table.line(
    "Operating margin per ton, by grade and price",
    "$/ton",
    over=("grade_step", "price_step"),
)
def table_margin(
    feed_gold,
    grade_step,
    table_ounce_value,
    shipping_per_ton,
    royalty_rate,
    cost_per_ton,
):
    """At the grade beside and the price above."""
    sold = sales(feed_gold * grade_step, table_ounce_value, shipping_per_ton)
    return sold - royalty_on(sold, royalty_rate) - cost_per_ton
