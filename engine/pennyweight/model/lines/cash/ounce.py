"""Cost of an ounce in three steps, over the plan and per ounce of gold sold."""

import numpy as np

from ...line import Section

ounce = Section("Results", "Cost of an ounce")


@ounce.line("Royalty, refining and selling cost over the plan", "$")
def selling_cost(royalty, refining_paid, shipments_paid, gold_unpaid):
    """With the gold that the refiner and the insurer keep."""
    return (
        np.sum(royalty, axis=0)
        + np.sum(refining_paid, axis=0)
        + np.sum(shipments_paid, axis=0)
        + np.sum(gold_unpaid, axis=0)
    )


@ounce.line("Silver and middlings sales over the plan", "$")
def by_products(silver_sales, middlings_sales):
    """Deducted from the cost of gold."""
    return np.sum(silver_sales, axis=0) + np.sum(middlings_sales, axis=0)


@ounce.line("Sustaining capital and closure over the plan", "$")
def sustaining_cost(sustaining_spent, closure_paid):
    """Without the bond, which comes back."""
    return np.sum(sustaining_spent, axis=0) + np.sum(closure_paid, axis=0)


@ounce.line("Site cost per ounce", "$/oz")
def site_cost_per_ounce(life_cost, ounces_sold):
    """Mining, milling and site, per ounce sold."""
    return life_cost / ounces_sold


@ounce.line("All-in sustaining cost per ounce", "$/oz")
def sustaining_cost_per_ounce(
    site_cost_per_ounce, selling_cost, by_products, sustaining_cost, ounces_sold
):
    """World Gold Council 2013: with royalty, selling, sustaining and closure."""
    more = selling_cost - by_products + sustaining_cost
    return site_cost_per_ounce + more / ounces_sold


@ounce.line("All-in cost per ounce", "$/oz")
def all_in_cost_per_ounce(
    sustaining_cost_per_ounce, life_capital, salvage_received, ounces_sold
):
    """World Gold Council 2013: with all capital less salvage; before tax and loan."""
    capital = life_capital - np.sum(salvage_received, axis=0)
    return sustaining_cost_per_ounce + capital / ounces_sold
