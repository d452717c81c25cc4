"""The answers: does it pay, how much, how soon, how much money it takes."""

import numpy as np

from ....formulas import lookup
from ....trade import money
from ...line import Section

verdict_section = Section("Results", "Does it pay?")
worth = Section("Results", "Worth of the whole plan")
funding = Section("Results", "Money needed, and when it comes back")
ton = Section("Results", "A ton and an ounce")
life = Section("Results", "Work done")

PAYS = "pays"
RUNNING_ONLY = "pays its running cost but not its capital"
DOES_NOT_PAY = "does not pay"


@verdict_section.line("Verdict")
def verdict(margin_per_ton, net_present_value):
    lasting = np.where(net_present_value >= 0, PAYS, RUNNING_ONLY)
    return np.where(margin_per_ton > 0, lasting, DOES_NOT_PAY)


@verdict_section.line("Net return of a ton less its cost", "$/ton")
def margin_shown(margin_per_ton):
    """Above zero: pays its running cost. With NPV above zero too: pays."""
    return margin_per_ton


@worth.line("Net present value after tax", "$")
def net_present_value(discounted_after_tax):
    """Today's worth of all cash, before any loan."""
    return np.sum(discounted_after_tax, axis=0)


@worth.line("Net present value before tax", "$")
def net_present_value_before_tax(discounted_before_tax):
    """Today's worth of all cash before tax, before any loan."""
    return np.sum(discounted_before_tax, axis=0)


@worth.line("Rate of return after tax", "1/year")
def internal_rate(crossings, last_middle):
    """A year; none where no single rate means anything."""
    return np.where(crossings == 1, last_middle, np.nan)


@worth.line("About that rate")
def internal_rate_reason(crossings, no_rate):
    """Why there is a rate, or none."""
    return money.rate_reason(crossings, no_rate)


@worth.line("Rate of return before tax", "1/year")
def internal_rate_before_tax(crossings_before_tax, last_middle_before_tax):
    """A year; none where no single rate means anything."""
    return np.where(crossings_before_tax == 1, last_middle_before_tax, np.nan)


@worth.line("About that rate")
def internal_rate_before_tax_reason(crossings_before_tax, no_rate_before_tax):
    """Why there is a rate, or none."""
    return money.rate_reason(crossings_before_tax, no_rate_before_tax)


@worth.line("Cash over the whole life, after tax", "$")
def life_cash(cash_after_tax):
    """Not discounted."""
    return np.sum(cash_after_tax, axis=0)


flows = Section("Cash flow", "In the red")


@flows.monthly("Month, where cumulative cash is below zero", "month")
def red_month(closing_cash, month):
    """-1 elsewhere."""
    return money.negative_period(closing_cash, month)


@flows.monthly("Month, where discounted cumulative cash is below zero", "month")
def discounted_red_month(closing_discounted, month):
    """-1 elsewhere."""
    return money.negative_period(closing_discounted, month)


@funding.line("Month in which the money is back", "month")
def payback_month(red_month, plan_months):
    """Cumulative cash after tax stays above zero from here; none if never."""
    return month_after(np.max(red_month, axis=0), plan_months)


@funding.line("The same, discounted", "month")
def discounted_payback_month(discounted_red_month, plan_months):
    """With interest at the discount rate; none if never."""
    return month_after(np.max(discounted_red_month, axis=0), plan_months)


def month_after(last_red, plan_months):
    """The month after the last in the red; no answer when the plan ends red."""
    return np.where(last_red < plan_months, last_red + 1, np.nan)


@funding.line("Lowest point of the owner's cash", "$")
def lowest_cash(closing_owner):
    """Below zero, after tax and loan."""
    return np.min(closing_owner, axis=0)


@funding.line("Money needed at most", "$")
def peak_funding(lowest_cash):
    """The owner's own money that has to be at hand."""
    return np.maximum(-lowest_cash, 0)


@funding.line("In month", "month")
def peak_funding_month(lowest_cash, closing_owner, month):
    """When the owner's cash is lowest."""
    return lookup(lowest_cash, closing_owner, month)


@ton.line("Gold price that covers all operating cost", "$/oz")
def price_floor(break_even_gold_price):
    """From the return sheet."""
    return break_even_gold_price


@ton.line("Grade that covers all operating cost", "grade")
def grade_floor(break_even_grade):
    """Of the ore in the ground; from the return sheet."""
    return break_even_grade


@ton.line("Grade worth milling when the rock lies at the mill", "grade")
def running_grade_floor(running_break_even_grade):
    """Marginal cut-off; from the return sheet."""
    return running_break_even_grade


@life.line("Tons milled", "ton")
def tons_milled(ore_milled):
    """Over the plan."""
    return np.sum(ore_milled, axis=0)


@life.line("Ore left at the end of the plan", "ton")
def ore_unmilled(mill_tons, tons_milled):
    """Above zero when the ore outlasts the plan's months."""
    return mill_tons - tons_milled


@life.line("Months from the start to the end of the work", "month")
def life_months(ending, month):
    """The month in which the work ends."""
    return np.sum(ending * month, axis=0)


@life.line("Months of work", "month")
def months_worked(working):
    """With rock going through the mill."""
    return np.sum(working, axis=0)


@life.line("Ounces sold", "oz")
def ounces_sold(gold_sold):
    """Fine gold in the bullion shipped."""
    return np.sum(gold_sold, axis=0)


@life.line("Operating cost over the life, for a ton", "$/ton")
def life_cost_per_ton(operating_cost, tons_milled):
    """Ramp-up and idle months included."""
    return np.sum(operating_cost, axis=0) / tons_milled
