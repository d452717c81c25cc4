"""Terms of sale, net return, margin, and where the operation breaks even."""

import numpy as np

from ....trade import bullion, cutoff
from ...line import Section

terms = Section("Return per ton", "Terms of sale")
returns = Section("Return per ton", "Net return and margin of a ton")
even = Section("Return per ton", "Break-even")
table = Section("Return per ton", "Margin of a ton at other grades and prices")


@terms.line("Gold of an ounce that is paid, at the refiner", "share")
def bullion_payable(gold_payable, insurance_rate):
    """After insurance in transit."""
    return gold_payable - insurance_rate


@terms.line("Silver with an ounce of gold in the bullion", "share")
def silver_with_gold(silver_fineness, bullion_fineness):
    """By the fineness of both."""
    return silver_fineness / bullion_fineness


@terms.line("Silver paid with an ounce of gold", "$/oz")
def silver_credit(silver_with_gold, silver_price, silver_payable):
    """Silver in the bullion, at the refiner's terms."""
    return silver_with_gold * silver_price * silver_payable


@terms.line("Gold of the mill feed that comes into the bullion", "share")
def bullion_share(planned_recovery, furnace_recovery):
    """Caught, and not lost in the furnace."""
    return planned_recovery * furnace_recovery


@terms.line("Paid ounces for an ounce in the mill feed", "share")
def paid_share(bullion_payable, bullion_share, middlings_share, middlings_payable):
    """Every loss and deduction on the gold together."""
    # A test lot's recovery may claim gold that the middlings are said to hold.
    middlings = middlings_share * middlings_payable
    return np.minimum(bullion_payable * bullion_share + middlings, 1)


@terms.line("Refining, for an ounce in the mill feed", "$/oz")
def feed_ounce_refining(refining_charge, bullion_share):
    """Charged on the gold in the bullion only."""
    return refining_charge * bullion_share


@terms.line("Silver, for an ounce in the mill feed", "$/oz")
def feed_ounce_silver(silver_credit, bullion_share):
    """Comes with the gold in the bullion only."""
    return silver_credit * bullion_share


@terms.line("Brought by an ounce in the mill feed", "$/oz")
def feed_ounce_value(gold_price, paid_share, feed_ounce_refining, feed_ounce_silver):
    """From bullion, and from middlings if a buyer takes them."""
    net = bullion.net_gold_price(gold_price, paid_share, feed_ounce_refining)
    return net + feed_ounce_silver


@terms.line("Shipments, for a ton", "$/ton")
def shipping_per_ton(shipment_cost, shipments_per_month, tons_per_month):
    """Freight, melt and assay fees of a full working month."""
    return shipment_cost * shipments_per_month / tons_per_month


def sold_on(gold, payable, gold_price):
    """If a buyer takes them."""
    return gold * payable * gold_price


@returns.line("Metal in a ton at the gold price", "$/ton")
def metal_value_per_ton(feed_gold, gold_price):
    """Gold in the mill feed, before any loss or charge."""
    return feed_gold * gold_price


@returns.line("Sales of a ton", "$/ton")
def sales_per_ton(feed_gold, feed_ounce_value, shipping_per_ton):
    """Paid by refiner and buyer, less shipments."""
    return sales(feed_gold, feed_ounce_value, shipping_per_ton)


def sales(feed_gold, feed_ounce_value, shipping):
    """Sales of a ton that holds some gold."""
    return feed_gold * feed_ounce_value - shipping


@returns.line("Royalty on a ton", "$/ton")
def royalty_per_ton(sales_per_ton, royalty_rate):
    """Paid to the owner of the ground."""
    return royalty_on(sales_per_ton, royalty_rate)


def royalty_on(sales, royalty_rate):
    """Royalty on sales; none where they are below zero."""
    return np.maximum(sales, 0) * royalty_rate


@returns.line("Net return of a ton", "$/ton")
def net_return_per_ton(sales_per_ton, royalty_per_ton):
    """What the metal of a ton brings after every charge and the royalty."""
    return sales_per_ton - royalty_per_ton


@returns.line("Cost for a ton", "$/ton")
def total_cost_per_ton(cost_per_ton):
    """Operating cost, from the cost sheet."""
    return cost_per_ton


@returns.line("Margin of a ton", "$/ton")
def margin_per_ton(net_return_per_ton, cost_per_ton):
    """Net return less operating cost."""
    return net_return_per_ton - cost_per_ton


@returns.line("Margin of a running hour", "$/hour")
def margin_per_hour(margin_per_ton, feed_rate):
    """What an hour of the mill earns."""
    return margin_per_ton * feed_rate


@returns.line("Net return of a full month", "$/month")
def net_return_per_month(net_return_per_ton, tons_per_month):
    """At full output."""
    return net_return_per_ton * tons_per_month


@even.line("Sales that cover all operating cost", "$/ton")
def sales_needed(cost_per_ton, royalty_rate, shipping_per_ton):
    """Before shipments and royalty."""
    return cost_per_ton / (1 - royalty_rate) + shipping_per_ton


@even.line("Grade that covers all operating cost", "grade")
def break_even_grade(sales_needed, feed_ounce_value, dilution, grade_per_ounce):
    """Grade of the ore in the ground at which the margin of a ton is zero."""
    gold = cutoff.break_even_gold(sales_needed, 1, feed_ounce_value)
    return gold * (1 + dilution) * grade_per_ounce


@even.line("Sales that cover what a ton more costs", "$/ton")
def running_sales_needed(running_cost_per_ton, royalty_rate):
    """For rock that lies at the mill already."""
    return running_cost_per_ton / (1 - royalty_rate)


@even.line("Grade worth milling when the rock lies at the mill", "grade")
def running_break_even_grade(
    running_sales_needed, feed_ounce_value, dilution, grade_per_ounce
):
    """Marginal cut-off: mining and standing cost are spent either way."""
    gold = cutoff.break_even_gold(running_sales_needed, 1, feed_ounce_value)
    return gold * (1 + dilution) * grade_per_ounce


@even.line("Gold price that covers all operating cost", "$/oz")
def break_even_gold_price(
    sales_needed, feed_gold, feed_ounce_refining, feed_ounce_silver, paid_share
):
    """Price at which the margin of a ton is zero."""
    gold_needed = sales_needed / feed_gold - feed_ounce_silver
    return (gold_needed + feed_ounce_refining) / paid_share


@even.line("Operating margin per ton at that price", "$/ton")
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
    """Zero, but for rounding."""
    net = bullion.net_gold_price(break_even_gold_price, paid_share, feed_ounce_refining)
    sold = sales(feed_gold, net + feed_ounce_silver, shipping_per_ton)
    return sold - royalty_on(sold, royalty_rate) - cost_per_ton


@table.line("Gold price", "$/oz", over="price_step")
def table_price(gold_price, price_step):
    """Today's price times the share above."""
    return gold_price * price_step


@table.line("Grade of the ore", "grade", over="grade_step")
def table_grade(planned_grade, grade_step):
    """The planned grade times the share beside."""
    return planned_grade * grade_step


@table.line("Brought by an ounce in the mill feed", "$/oz", over="price_step")
def table_ounce_value(table_price, paid_share, feed_ounce_refining, feed_ounce_silver):
    """At the price above."""
    net = bullion.net_gold_price(table_price, paid_share, feed_ounce_refining)
    return net + feed_ounce_silver


@table.line("Margin of a ton", "$/ton", over=("grade_step", "price_step"))
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
