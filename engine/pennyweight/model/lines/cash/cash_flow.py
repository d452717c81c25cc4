"""Net cash flow: capital, working capital, tax, loan, cumulative cash flow."""

import numpy as np

from ....trade import money
from ...line import Section

margin = Section("Cash flow", "Operating margin")
spending = Section("Cash flow", "Capital and closure")
waiting = Section("Cash flow", "Working capital")
tax = Section("Cash flow", "Tax")
flows = Section("Cash flow", "Net cash flow")
owner = Section("Cash flow", "Loan and owner's cash flow")


@margin.monthly("Operating margin", "$", total=True)
def operating_margin(net_return, operating_cost):
    """Revenue after royalty less operating cost."""
    return net_return - operating_cost


@spending.monthly("Capital expenditure", "$", total=True)
def capital_spent(building, capital, build_months):
    """Equal parts over the construction months, as quoted."""
    return building * capital / np.maximum(build_months, 1)


@spending.monthly("Sustaining capital", "$", total=True)
def sustaining_spent(
    working,
    equipment_value,
    sustaining_rate,
    season_months,
    capital_cost_factor,
    price_level,
):
    """Yearly amount spread over the working months."""
    yearly = equipment_value * capital_cost_factor * sustaining_rate
    return working * yearly / season_months * price_level


@spending.monthly("Salvage received", "$", total=True)
def salvage_received(ending, salvage, price_level):
    """When the work ends."""
    return ending * salvage * price_level


@spending.monthly("Closure cost", "$", total=True)
def closure_paid(ending, closure_cost, price_level):
    """When the work ends."""
    return ending * closure_cost * price_level


@spending.monthly("Reclamation bond held", "$")
def closing_bond(opening_bond, month, ending, reclamation_bond):
    """Paid in month 1, returned when the work ends."""
    return np.where(month > 1, opening_bond, reclamation_bond) * (1 - ending)


OWED = ("closing_owed", "closing_owed_1", "closing_owed_2", "closing_owed_3")
"""Receivables from sales of the month, and of one to three months before."""


@waiting.monthly("Owed for sales of the month", "$")
def closing_owed(sales, lag, month, plan_months):
    """Not yet paid at the end of the month; all paid in the last."""
    owed = np.maximum(sales, 0) * np.minimum(lag, 1)
    return np.where(month < plan_months, owed, 0)


def still_owed(owed_before, lag_after, month, plan_months):
    """Remaining part of the receivable of a month before."""
    return np.where(month < plan_months, owed_before * np.minimum(lag_after, 1), 0)


for months, name in enumerate(OWED[1:], 1):
    waiting.monthly(
        f"Owed for sales {months} month{'s' if months > 1 else ''} before",
        "$",
        name=name,
        reads=(
            OWED[months - 1].replace("closing", "opening"),
            f"lag_after_{months}",
            "month",
            "plan_months",
        ),
        note="Not yet paid at the end of the month.",
    )(still_owed)
waiting.total(
    "closing_receivable",
    "Accounts receivable",
    "$",
    OWED,
    over="month",
    note="Sales not yet paid; all paid in the last month.",
)


@waiting.monthly("Inventory of balls, parts and fuel", "$")
def closing_stores(
    opening_stores, open_for_work, ending, stores, own_mill, price_level
):
    """Bought when the work begins, used up when it ends."""
    bought = open_for_work * stores * own_mill * price_level
    return np.maximum(opening_stores, bought) * (1 - ending)


@waiting.monthly("Increase in working capital and bond", "$", total=True)
def tied_up(
    opening_receivable,
    closing_receivable,
    opening_stores,
    closing_stores,
    opening_bond,
    closing_bond,
):
    """Negative when released."""
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
    tons_milled,
    open_for_work,
    ending,
):
    """Remaining book value is written off when the work ends."""
    by_tons = capital * ore_milled / tons_milled
    by_time = open_for_work * capital / (depreciation_years * months_per_year)
    planned = np.where(depreciation_method == "unit of production", by_tons, by_time)
    return np.where(
        ending > 0, opening_undepreciated, np.minimum(planned, opening_undepreciated)
    )


@tax.monthly("Net book value", "$")
def closing_undepreciated(opening_undepreciated, capital_spent, depreciation):
    """Capital spent less depreciation."""
    return opening_undepreciated + capital_spent - depreciation


@tax.monthly("Profit before tax", "$", total=True)
def profit(
    operating_margin, depreciation, sustaining_spent, salvage_received, closure_paid
):
    """Before interest; sustaining capital is expensed."""
    running = operating_margin - depreciation - sustaining_spent
    return running + salvage_received - closure_paid


@tax.monthly("Income tax paid", "$", total=True)
def tax_paid(tax_due_month, tax_in_year, month):
    """Tax of a year, some months after it; negative if refunded."""
    return np.sum((tax_due_month == month) * tax_in_year, axis=0)


@flows.monthly("Net cash flow before tax", "$", total=True)
def cash_before_tax(
    operating_margin,
    capital_spent,
    sustaining_spent,
    salvage_received,
    closure_paid,
    tied_up,
):
    """Inflow positive, outflow negative; before any loan."""
    spent = capital_spent + sustaining_spent + closure_paid + tied_up
    return operating_margin + salvage_received - spent


@flows.monthly("Net cash flow after tax", "$", total=True)
def cash_after_tax(cash_before_tax, tax_paid):
    """Before any loan."""
    return cash_before_tax - tax_paid


@flows.monthly("Cumulative cash flow after tax", "$")
def closing_cash(opening_cash, cash_after_tax):
    """Before any loan."""
    return opening_cash + cash_after_tax


@flows.monthly("Discount factor")
def discount_factor(discount_rate, discount_years, price_level):
    """Present value of 1 $ in this month, in money of the price date."""
    return money.discount_factor(discount_rate, discount_years) / price_level


@flows.monthly("Discounted cash flow before tax", "$", total=True)
def discounted_before_tax(cash_before_tax, discount_factor):
    """Before any loan."""
    return cash_before_tax * discount_factor


@flows.monthly("Discounted cash flow after tax", "$", total=True)
def discounted_after_tax(cash_after_tax, discount_factor):
    """Before any loan."""
    return cash_after_tax * discount_factor


@flows.monthly("Cumulative discounted cash flow", "$")
def closing_discounted(opening_discounted, discounted_after_tax):
    """After tax, before any loan; ends at the NPV."""
    return opening_discounted + discounted_after_tax


owner.monthly(
    "Loan drawdown",
    "$",
    total=True,
    name="loan_drawn",
    reads=("building", "loan_amount", "build_months"),
    note="As the capital is spent.",
)(capital_spent)


@owner.monthly("Loan interest", "$", total=True)
def interest(opening_loan, loan_interest):
    """On the opening balance."""
    return opening_loan * loan_interest


@owner.monthly("Loan payments", "$", total=True)
def loan_paid(
    opening_loan, interest, loan_payment, month, grace_used, grace_interest, ending
):
    """Equal payments after the grace period; the rest when the work ends."""
    owed = opening_loan + interest
    in_grace = np.where(grace_interest == "paid", interest, 0)
    early = np.where(month <= grace_used + 1, in_grace, loan_payment)
    return np.where(ending > 0, owed, np.minimum(early, owed))


@owner.monthly("Loan balance", "$")
def closing_loan(
    opening_loan, loan_drawn, interest, loan_paid, loan_amount, check_tolerance
):
    """End of month; what rounding leaves of the loan is repaid."""
    left = opening_loan + loan_drawn + interest - loan_paid
    return np.where(left > check_tolerance * loan_amount, left, 0)


@owner.monthly("Profit after interest", "$", total=True)
def owner_profit(profit, interest):
    """Before tax."""
    return profit - interest


owner.monthly(
    "Income tax paid, after interest",
    "$",
    total=True,
    name="owner_tax_paid",
    reads=("tax_due_month", "owner_tax_in_year", "month"),
    note="As above, with the loan's interest.",
)(tax_paid)


@owner.monthly("Interest tax saving", "$", total=True)
def tax_saved(tax_paid, owner_tax_paid):
    """Negative if losses are used up earlier."""
    return tax_paid - owner_tax_paid


@owner.monthly("Owner's net cash flow", "$", total=True)
def owner_cash(cash_after_tax, tax_saved, loan_drawn, loan_paid):
    """After tax and loan."""
    return cash_after_tax + tax_saved + loan_drawn - loan_paid


@owner.monthly("Owner's cumulative cash flow", "$")
def closing_owner(opening_owner, owner_cash):
    """Its lowest value is the peak funding."""
    return opening_owner + owner_cash
