"""The yearly summary: rows of the cash flow summed by year."""

import numpy as np

from ...line import Section
from ..cost import components
from . import capital, cash_flow, income, timeline

summary = Section("Years", "Annual summary")

ROWS = (
    "ore_milled",
    "gold_sold",
    "sales",
    "royalty",
    "net_return",
    "operating_cost",
    "operating_margin",
    "capital_spent",
    "sustaining_spent",
    "salvage_received",
    "closure_paid",
    "tied_up",
    "cash_before_tax",
    "depreciation",
    "profit",
    "tax_paid",
    "cash_after_tax",
    "discounted_after_tax",
    "interest",
    "owner_profit",
    "loan_drawn",
    "loan_paid",
    "tax_saved",
    "owner_cash",
)


@summary.line("Last month of the tax year", "date", over="year")
def year_end_date(
    year, months_before, tax_year_start, start_year, start_month, months_per_year
):
    """First day; empty while the year of the start is not given."""
    last = year * months_per_year - months_before
    ends = np.mod(tax_year_start - 1 + months_per_year - 1, months_per_year) + 1
    return timeline.month_date(last, ends, start_year, start_month, months_per_year)


def in_year(year, plan_year, row):
    """Sum over the months of the year."""
    return np.sum((plan_year == year) * row, axis=0)


MONTHLY = {
    line.name: line
    for module in (timeline, income, components, capital, cash_flow)
    for section in vars(module).values()
    if isinstance(section, Section)
    for line in section.lines
}
for name in ROWS:
    row = MONTHLY[name]
    summary.line(
        row.label,
        row.unit,
        "year",
        name=f"{name}_in_year",
        reads=("year", "plan_year", name),
        total=True,
        note=row.note.replace("the lines above", "all components"),
    )(in_year)


@summary.line("Cumulative cash flow after tax", "$", over="year")
def closing_year_cash(opening_year_cash, cash_after_tax_in_year):
    """End of year."""
    return opening_year_cash + cash_after_tax_in_year
