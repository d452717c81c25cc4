"""Cost per ounce (site, all-in sustaining, all-in) and mean realised gold price."""

import numpy as np

from ...line import Section

ounce = Section("Results", "Cost of an ounce, in money of the price date")


def of_price_date(row, price_level):
    """Sum over the months, without inflation."""
    return np.sum(row / price_level, axis=0)


@ounce.line("Royalty, refining and selling cost over the plan", "$")
def selling_cost(royalty, refining_paid, shipments_paid, gold_unpaid, price_level):
    """With the gold that the refiner and the insurer keep."""
    return (
        of_price_date(royalty, price_level)
        + of_price_date(refining_paid, price_level)
        + of_price_date(shipments_paid, price_level)
        + of_price_date(gold_unpaid, price_level)
    )


@ounce.line("Silver, middlings and tailings sales over the plan", "$")
def by_products(silver_sales, middlings_sales, tailings_sales, price_level):
    """Deducted from the cost of gold."""
    return (
        of_price_date(silver_sales, price_level)
        + of_price_date(middlings_sales, price_level)
        + of_price_date(tailings_sales, price_level)
    )


@ounce.line("Sustaining capital and closure over the plan", "$")
def sustaining_cost(sustaining_spent, closure_paid, price_level):
    """Without the bond, which comes back."""
    spent = of_price_date(sustaining_spent, price_level)
    return spent + of_price_date(closure_paid, price_level)


@ounce.line("Mean realised gold price", "$/oz")
def mean_gold_price(gold_sold, gold_price_in_month, price_level, ounces_sold):
    """By months, weighted by the gold sold; before what the refiner keeps."""
    brought = of_price_date(gold_sold * gold_price_in_month, price_level)
    return brought / ounces_sold


@ounce.line("Site cost per ounce", "$/oz")
def site_cost_per_ounce(operating_cost, price_level, ounces_sold):
    """Mining, milling and site, per ounce sold."""
    return of_price_date(operating_cost, price_level) / ounces_sold


@ounce.line("All-in sustaining cost per ounce", "$/oz")
def sustaining_cost_per_ounce(
    site_cost_per_ounce, selling_cost, by_products, sustaining_cost, ounces_sold
):
    """World Gold Council 2013: with royalty, selling, sustaining and closure."""
    more = selling_cost - by_products + sustaining_cost
    return site_cost_per_ounce + more / ounces_sold


@ounce.line("All-in cost per ounce", "$/oz")
def all_in_cost_per_ounce(
    sustaining_cost_per_ounce, capital_spent, salvage_received, price_level, ounces_sold
):
    """World Gold Council 2013: with all capital less salvage; before tax and loan."""
    capital = of_price_date(capital_spent - salvage_received, price_level)
    return sustaining_cost_per_ounce + capital / ounces_sold
