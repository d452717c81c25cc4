"""From net return to cash: capital, money tied up, tax, loan, cumulative cash."""

import numpy as np

from ....trade import money
from ...line import Section

margin = Section("Cash flow", "Operating margin")
spending = Section("Cash flow", "Capital and closing")
waiting = Section("Cash flow", "Money tied up")
tax = Section("Cash flow", "Tax")
flows = Section("Cash flow", "Cash")
owner = Section("Cash flow", "Loan and the owner's own money")


@margin.monthly("Operating margin", "$", total=True)
def operating_margin(net_return, operating_cost):
    """Net return less operating cost."""
    return net_return - operating_cost


@spending.monthly("Capital", "$", total=True)
def capital_spent(building, capital, build_months):
    """In equal parts over the months of building."""
    return building * capital / np.maximum(build_months, 1)


@spending.monthly("Sustaining capital", "$", total=True)
def sustaining_spent(
    working, equipment_value, sustaining_rate, season_months, capital_cost_factor
):
    """A year's share spread over the working months."""
    yearly = equipment_value * capital_cost_factor * sustaining_rate
    return working * yearly / season_months


@spending.monthly("Salvage", "$", total=True)
def salvage_received(ending, salvage):
    """When the work ends."""
    return ending * salvage


@spending.monthly("Closing the site", "$", total=True)
def closure_paid(ending, closure_cost):
    """When the work ends."""
    return ending * closure_cost


@spending.monthly("Reclamation bond held", "$")
def closing_bond(opening_bond, month, ending, reclamation_bond):
    """Paid in at month 0, paid back when the work ends."""
    return np.where(month > 0, opening_bond, reclamation_bond) * (1 - ending)


@waiting.monthly("Owed by the refiner", "$")
def closing_receivable(sales, refiner_days, days_in_month, month, plan_months):
    """Sales not yet paid; the plan's last month is settled at once."""
    owed = np.maximum(sales, 0) * refiner_days / days_in_month
    return np.where(month < plan_months, owed, 0)


@waiting.monthly("Stock of balls, parts and fuel", "$")
def closing_stores(opening_stores, open_for_work, ending, stores):
    """Bought when the work begins, used up when it ends."""
    return np.maximum(opening_stores, open_for_work * stores) * (1 - ending)


@waiting.monthly("Money newly tied up", "$", total=True)
def tied_up(
    opening_receivable,
    closing_receivable,
    opening_stores,
    closing_stores,
    opening_bond,
    closing_bond,
):
    """Below zero where it comes back."""
    held_before = opening_receivable + opening_stores + opening_bond
    return closing_receivable + closing_stores + closing_bond - held_before


@tax.monthly("Depreciation", "$", total=True)
def depreciation(
    opening_undepreciated,
    depreciation_method,
    depreciation_years,
    months_per_year,
    capital,
    ore_milled,
    mill_tons,
    open_for_work,
    ending,
):
    """What is left is written off when the work ends."""
    by_tons = capital * ore_milled / mill_tons
    by_time = open_for_work * capital / (depreciation_years * months_per_year)
    planned = np.where(depreciation_method == "unit of production", by_tons, by_time)
    return np.where(
        ending > 0, opening_undepreciated, np.minimum(planned, opening_undepreciated)
    )


@tax.monthly("Not yet depreciated", "$")
def closing_undepreciated(opening_undepreciated, capital_spent, depreciation):
    """Capital spent and not yet written off."""
    return opening_undepreciated + capital_spent - depreciation


@tax.monthly("Profit before tax", "$", total=True)
def profit(
    operating_margin, depreciation, sustaining_spent, salvage_received, closure_paid
):
    """Before interest; sustaining capital counts at once."""
    running = operating_margin - depreciation - sustaining_spent
    return running + salvage_received - closure_paid


@tax.monthly("Profit that is taxed", "$", total=True)
def taxed_profit(profit, opening_losses):
    """After earlier losses."""
    return np.maximum(profit - opening_losses, 0)


@tax.monthly("Losses carried forward", "$")
def closing_losses(opening_losses, profit):
    """Set against later profits."""
    return np.maximum(opening_losses - profit, 0)


@tax.monthly("Tax", "$", total=True)
def tax_paid(taxed_profit, tax_rate):
    """At a plain rate, as if there were no loan; ask a tax adviser."""
    return taxed_profit * tax_rate


@flows.monthly("Cash before tax", "$", total=True)
def cash_before_tax(
    operating_margin,
    capital_spent,
    sustaining_spent,
    salvage_received,
    closure_paid,
    tied_up,
):
    """Money in is above zero, money out below. Before any loan."""
    spent = capital_spent + sustaining_spent + closure_paid + tied_up
    return operating_margin + salvage_received - spent


@flows.monthly("Cash after tax", "$", total=True)
def cash_after_tax(cash_before_tax, tax_paid):
    """Before any loan."""
    return cash_before_tax - tax_paid


@flows.monthly("Cumulative cash after tax", "$")
def closing_cash(opening_cash, cash_after_tax):
    """Before any loan."""
    return opening_cash + cash_after_tax


@flows.monthly("Years to discount", "year")
def discount_years(month, payment_timing, months_per_year):
    """From today to the payments of the month; month 0 is today."""
    return money.periods_to_discount(month, payment_timing) / months_per_year


@flows.monthly("Discount factor")
def discount_factor(discount_rate, discount_years):
    """Today's worth of a dollar in this month."""
    return money.discount_factor(discount_rate, discount_years)


@flows.monthly("Discounted cash before tax", "$", total=True)
def discounted_before_tax(cash_before_tax, discount_factor):
    """Before any loan."""
    return cash_before_tax * discount_factor


@flows.monthly("Discounted cash after tax", "$", total=True)
def discounted_after_tax(cash_after_tax, discount_factor):
    """Before any loan."""
    return cash_after_tax * discount_factor


@flows.monthly("Cumulative discounted cash after tax", "$")
def closing_discounted(opening_discounted, discounted_after_tax):
    """Ends at the net present value."""
    return opening_discounted + discounted_after_tax


@owner.monthly("Loan drawn", "$", total=True)
def loan_drawn(month, loan_amount):
    """In month 0."""
    return np.where(month > 0, 0, loan_amount)


@owner.monthly("Interest", "$", total=True)
def interest(opening_loan, loan_interest):
    """On what is still owed."""
    return opening_loan * loan_interest


@owner.monthly("Payments on the loan", "$", total=True)
def loan_paid(opening_loan, interest, loan_payment):
    """Interest included; the last payment clears the loan."""
    return np.minimum(loan_payment, opening_loan + interest)


@owner.monthly("Loan still owed", "$")
def closing_loan(opening_loan, loan_drawn, interest, loan_paid):
    """At the end of the month."""
    return opening_loan + loan_drawn + interest - loan_paid


@owner.monthly("Profit after interest", "$", total=True)
def owner_profit(profit, interest):
    """What is taxed when there is a loan."""
    return profit - interest


for function, label, name, reads in (
    (
        taxed_profit,
        "Profit after interest that is taxed",
        "owner_taxed_profit",
        ("owner_profit", "opening_owner_losses"),
    ),
    (
        tax_paid,
        "Tax after interest",
        "owner_tax",
        ("owner_taxed_profit", "tax_rate"),
    ),
):
    owner.monthly(
        label, "$", total=True, name=name, reads=reads, note="As above, with the loan."
    )(function)
owner.monthly(
    "Losses carried forward, after interest",
    "$",
    name="closing_owner_losses",
    reads=("opening_owner_losses", "owner_profit"),
)(closing_losses)


@owner.monthly("Tax saved by interest", "$", total=True)
def tax_saved(tax_paid, owner_tax):
    """Below zero where losses are used up earlier."""
    return tax_paid - owner_tax


@owner.monthly("Owner's cash", "$", total=True)
def owner_cash(cash_after_tax, tax_saved, loan_drawn, loan_paid):
    """After tax and loan."""
    return cash_after_tax + tax_saved + loan_drawn - loan_paid


@owner.monthly("Owner's cumulative cash", "$")
def closing_owner(opening_owner, owner_cash):
    """Its low point is the money that has to be at hand."""
    return opening_owner + owner_cash
