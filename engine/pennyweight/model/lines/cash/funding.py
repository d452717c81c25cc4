"""Owner's return, sources and uses of money, and debt service cover."""

import numpy as np

from ....trade import money
from ...line import Section
from .answers import month_after
from .rate_of_return import only_rate

flows = Section("Cash flow", "Owner's present value")
own = Section("Results", "Return on the owner's money")
uses = Section("Results", "Uses of money, to the month of peak funding")
sources = Section("Results", "Sources of money, to the month of peak funding")
cover = Section("Years", "Lender's view")
lender = Section("Results", "Lender's view")


@flows.monthly("Discounted owner's cash flow", "$", total=True)
def discounted_owner(owner_cash, discount_factor):
    """After tax and loan."""
    return owner_cash * discount_factor


@flows.monthly("Month with negative owner's cumulative cash flow", "month")
def owner_red_month(closing_owner, month):
    """Month number; -1 if not negative."""
    return money.negative_period(closing_owner, month)


@own.line("Owner's net present value", "$")
def owner_net_present_value(discounted_owner):
    """After tax and loan, at the discount rate."""
    return np.sum(discounted_owner, axis=0)


@own.line("Owner's internal rate of return (IRR)", "1/year")
def owner_internal_rate(crossings_owner, last_middle_owner):
    """Real, per year, after tax and loan; n/a unless there is exactly one IRR."""
    return only_rate(crossings_owner, last_middle_owner)


@own.line("IRR status, owner")
def owner_internal_rate_reason(crossings_owner, no_rate_owner):
    """Whether there is exactly one IRR, and if not why."""
    return money.rate_reason(crossings_owner, no_rate_owner)


@own.line("Owner's payback month", "month")
def owner_payback_month(owner_red_month, plan_months):
    """After tax and loan; goes with the peak funding; n/a if never."""
    return month_after(np.max(owner_red_month, axis=0), plan_months)


def until_peak(month, peak_funding_month, row):
    """Sum of a row up to the month of peak funding."""
    return np.sum((month <= peak_funding_month) * row, axis=0)


for section, name, label, row in (
    (uses, "use_capital", "Initial capital spent", "capital_spent"),
    (uses, "use_operating", "Operating cost paid", "operating_cost"),
    (uses, "use_sustaining", "Sustaining capital spent", "sustaining_spent"),
    (uses, "use_working", "Working capital and bond", "tied_up"),
    (uses, "use_closure", "Closure cost paid", "closure_paid"),
    (uses, "use_tax", "Income tax paid by then", "owner_tax_paid"),
    (uses, "use_loan", "Loan payments made", "loan_paid"),
    (sources, "source_sales", "Revenue after royalty by then", "net_return"),
    (sources, "source_salvage", "Salvage received by then", "salvage_received"),
    (sources, "source_loan", "Loan drawn", "loan_drawn"),
):
    section.line(
        label,
        "$",
        name=name,
        reads=("month", "peak_funding_month", row),
        note="From month 1 to the month of peak funding.",
    )(until_peak)
uses.total(
    "all_uses",
    "All uses of money",
    "$",
    tuple(line.name for line in uses.lines),
)


@sources.line("Owner's money", "$")
def source_owner(month, peak_funding_month, owner_cash):
    """The peak funding; negative if the owner never puts money in."""
    return 0 - np.sum((month <= peak_funding_month) * owner_cash, axis=0)


sources.total(
    "all_sources",
    "All sources of money",
    "$",
    ("source_sales", "source_salvage", "source_loan", "source_owner"),
)


def of_production(closing_worked, row):
    """A row from the first month milled; the owner funds what is earlier."""
    return (closing_worked > 0) * row


@cover.line("Cash available for the loan", "$", over="year", total=True)
def cash_for_loan(
    year, plan_year, closing_worked, cash_after_tax, tax_saved, capital_spent
):
    """From the first month milled; after tax on profit after interest."""
    cash = cash_after_tax + tax_saved + capital_spent
    return np.sum((plan_year == year) * of_production(closing_worked, cash), axis=0)


@cover.line("Loan payments from the first month milled", "$", over="year", total=True)
def loan_service(year, plan_year, closing_worked, loan_paid):
    """Interest during construction is paid by the owner."""
    paid = of_production(closing_worked, loan_paid)
    return np.sum((plan_year == year) * paid, axis=0)


@cover.line("Debt service cover ratio (DSCR)", over="year")
def debt_cover(cash_for_loan, loan_service):
    """Cash available over loan payments; n/a without any."""
    return np.where(loan_service > 0, cash_for_loan / loan_service, np.nan)


@cover.line("Cover, or a high number without a payment", over="year")
def debt_cover_compared(cash_for_loan, loan_service, beyond_any):
    """Basis of the lowest cover."""
    return np.where(loan_service > 0, cash_for_loan / loan_service, beyond_any)


@cover.line("Loan payments over the years", "$")
def loan_service_total(loan_service):
    """From the first month milled."""
    return np.sum(loan_service, axis=0)


@cover.line("Cash from milling until the loan is repaid", "$")
def cash_until_repaid(
    closing_worked, cash_after_tax, tax_saved, capital_spent, closing_loan, loan_paid
):
    """All together, as the owner funds the working capital of the first months."""
    cash = of_production(closing_worked, cash_after_tax + tax_saved + capital_spent)
    return np.sum((closing_loan + loan_paid > 0) * cash, axis=0)


@lender.line("Lowest debt service cover ratio")
def lowest_cover(debt_cover_compared, beyond_any):
    """From the first month milled; tax after interest, unlike the loan below."""
    lowest = np.min(debt_cover_compared, axis=0)
    return np.where(lowest < beyond_any, lowest, np.nan)


@lender.line("Loan balance before the last working month", "$")
def loan_at_end(ending, closing_loan, loan_paid, interest):
    """Cleared when the work ends."""
    return np.sum(ending * (closing_loan + loan_paid - interest), axis=0)


@lender.line("Cash available over the loan term, at the loan rate", "$")
def loan_term_value(
    cash_after_tax, capital_spent, closing_worked, month, loan_months, loan_interest
):
    """Present value in month 1, from the first month milled; tax before interest."""
    cash = of_production(closing_worked, cash_after_tax + capital_spent)
    earned = (month > 1) * cash
    return np.sum(
        (month <= loan_months + 1) * earned / (1 + loan_interest) ** (month - 1), axis=0
    )


@lender.line("Loan at the wanted cover", "$")
def loan_at_cover(loan_term_value, wanted_cover):
    """That cash over the wanted cover; unlike the DSCR, tax before interest."""
    return np.maximum(loan_term_value, 0) / wanted_cover
