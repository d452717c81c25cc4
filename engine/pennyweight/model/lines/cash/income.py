"""What refiner and buyers pay in each month."""

from ...line import Section
from .revenue import royalty_on, sold_on

income = Section("Cash flow", "Income")


@income.monthly("Sales of gold", "$", total=True)
def gold_sales(gold_sold, gold_price, bullion_payable):
    """Gold paid by the refiner, less insurance in transit."""
    return gold_sold * (gold_price * bullion_payable)


@income.monthly("Silver", "$", total=True)
def silver_sales(gold_sold, silver_credit):
    """Paid with the bullion."""
    return gold_sold * silver_credit


income.monthly(
    "Middlings",
    "$",
    total=True,
    name="middlings_sales",
    reads=("gold_to_middlings", "middlings_payable", "gold_price"),
)(sold_on)


@income.monthly("Refining", "$", total=True)
def refining_paid(gold_sold, refining_charge):
    """Deducted by the refiner."""
    return gold_sold * refining_charge


@income.monthly("Shipments", "$", total=True)
def shipments_paid(working, shipments_per_month, shipment_cost):
    """Freight, melt and assay fees."""
    return working * shipments_per_month * shipment_cost


@income.monthly("Sales after the refiner", "$", total=True)
def sales(gold_sales, silver_sales, middlings_sales, refining_paid, shipments_paid):
    """Before the royalty."""
    return gold_sales + silver_sales + middlings_sales - refining_paid - shipments_paid


@income.monthly("Royalty", "$", total=True)
def royalty(sales, royalty_rate):
    """Paid to the owner of the ground; none on a month of loss."""
    return royalty_on(sales, royalty_rate)


@income.monthly("Net return", "$", total=True)
def net_return(sales, royalty):
    """What the metal brings."""
    return sales - royalty
