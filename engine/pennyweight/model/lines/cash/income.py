"""What refiner and buyers pay in each month."""

from ...line import Section
from .revenue import royalty_on, sold_on

income = Section("Cash flow", "Revenue")


@income.monthly("Gold sales", "$", total=True)
def gold_sales(gold_sold, gold_price, bullion_payable):
    """Paid by the refiner, less transit insurance."""
    return gold_sold * (gold_price * bullion_payable)


@income.monthly("Gold not paid for, and insurance", "$", total=True)
def gold_unpaid(gold_sold, gold_price, bullion_payable):
    """Part of the gold's value that the refiner and the insurer keep."""
    return gold_sold * (gold_price * (1 - bullion_payable))


@income.monthly("Silver sales", "$", total=True)
def silver_sales(gold_sold, silver_credit):
    """Payable silver in bullion."""
    return gold_sold * silver_credit


income.monthly(
    "Middlings sales",
    "$",
    total=True,
    name="middlings_sales",
    reads=("gold_to_middlings", "middlings_payable", "gold_price"),
)(sold_on)


@income.monthly("Refining charges", "$", total=True)
def refining_paid(gold_sold, refining_used):
    """Deducted by the refiner."""
    return gold_sold * refining_used


@income.monthly("Shipment cost", "$", total=True)
def shipments_paid(working, shipments_per_month, shipment_cost):
    """Freight, melt and assay fees."""
    return working * shipments_per_month * shipment_cost


@income.monthly("Tailings sales", "$", total=True)
def tailings_sales(closing_pile, ending, retreat_payable, gold_price):
    """For retreatment, when the work ends."""
    return sold_on(closing_pile * ending, retreat_payable, gold_price)


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
