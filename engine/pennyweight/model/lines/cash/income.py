"""Monthly revenue from the refiner and other buyers."""

import numpy as np

from ....trade import money
from ...line import Section
from .revenue import royalty_on, sold_on

prices = Section("Years", "Gold price by year")
income = Section("Cash flow", "Revenue")

FLAT = "the same in every year"
DATED = "that of the price date"
BY_YEAR = "taken from the sheet Years"

prices.entries("gold_price_by_year")


@prices.line("Share of the gold price used", "share", over="year")
def closing_price_share(gold_price_by_year, opening_price_share):
    """An empty year takes the one before; 100% if none before is filled."""
    before = np.where(opening_price_share > 0, opening_price_share, 1)
    return np.where(gold_price_by_year > 0, gold_price_by_year, before)


@prices.line("Change of the gold price in a year", "share")
def gold_price_growth(inflation, metal_rise, one_year):
    """By inflation and the rise above it, in money of the cash flow."""
    general = money.discount_factor(inflation, one_year)
    return 1 / general / money.discount_factor(metal_rise, one_year) - 1


@prices.line("Basis of the gold price")
def gold_price_basis(closing_price_share, inflation, metal_rise):
    """Before its yearly change; break-even values and contracts keep the gold price."""
    moved = np.sum((closing_price_share != 1) * closing_price_share, axis=0)
    flat = np.logical_and(inflation == 0, metal_rise == 0)
    return np.where(moved > 0, BY_YEAR, np.where(flat, FLAT, DATED))


@prices.line("Gold price of the year", "$/oz", over="year")
def gold_price_in_year(gold_price, closing_price_share):
    """A change of the gold price moves every year."""
    return gold_price * closing_price_share


@income.monthly("Share of the gold price in the month", "share")
def price_share_in_month(year, plan_year, closing_price_share):
    """That of its tax year."""
    return np.sum((year == plan_year) * closing_price_share, axis=0)


@income.monthly("Gold price of the month", "$/oz")
def gold_price_in_month(gold_price, price_share_in_month, metal_level):
    """Gold price times the share and the price level."""
    return gold_price * price_share_in_month * metal_level


@income.monthly("Gold sales", "$", total=True)
def gold_sales(gold_sold, gold_price_in_month, bullion_payable):
    """Paid by the refiner, less transit insurance."""
    return gold_sold * (gold_price_in_month * bullion_payable)


@income.monthly("Gold not paid for, and insurance", "$", total=True)
def gold_unpaid(gold_sold, gold_price_in_month, bullion_payable):
    """Part of the gold's value that the refiner and the insurer keep."""
    return gold_sold * (gold_price_in_month * (1 - bullion_payable))


@income.monthly("Silver sales", "$", total=True)
def silver_sales(gold_sold, silver_credit, metal_level):
    """Payable silver in bullion."""
    return gold_sold * silver_credit * metal_level


income.monthly(
    "Middlings sales",
    "$",
    total=True,
    name="middlings_sales",
    reads=("gold_to_middlings", "middlings_payable", "gold_price_in_month"),
)(sold_on)


@income.monthly("Refining charges", "$", total=True)
def refining_paid(gold_sold, refining_used, price_level):
    """Deducted by the refiner."""
    return gold_sold * refining_used * price_level


@income.monthly("Shipment cost", "$", total=True)
def shipments_paid(working, shipments_per_month, shipment_cost, price_level):
    """Freight, melt and assay fees."""
    return working * shipments_per_month * shipment_cost * price_level


@income.monthly("Tailings sales", "$", total=True)
def tailings_sales(
    own_mill, closing_pile, ending, retreat_payable, gold_price_in_month
):
    """For retreatment, when the work ends; a hired mill keeps its tailings."""
    left = closing_pile * ending * own_mill
    return sold_on(left, retreat_payable, gold_price_in_month)


@income.monthly("Net smelter return (NSR)", "$", total=True)
def sales(
    gold_sales,
    silver_sales,
    middlings_sales,
    tailings_sales,
    refining_paid,
    shipments_paid,
):
    """Before royalty."""
    metal = gold_sales + silver_sales + middlings_sales + tailings_sales
    return metal - refining_paid - shipments_paid


@income.monthly("Royalty", "$", total=True)
def royalty(sales, royalty_rate):
    """Percentage of NSR; zero if NSR is negative."""
    return royalty_on(sales, royalty_rate)


@income.monthly("Revenue after royalty", "$", total=True)
def net_return(sales, royalty):
    """Net smelter return less royalty."""
    return sales - royalty
