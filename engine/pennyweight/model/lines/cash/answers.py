"""Results of the plan: verdict, present value, rate of return, payback, funding."""

import numpy as np

from ....formulas import lookup
from ....trade import money
from ...line import Section
from ..settlement.weights import NO_UMPIRE, WITHIN
from .rate_of_return import only_rate

verdict_section = Section("Results", "Verdict")
worth = Section("Results", "Value of the plan")
funding = Section("Results", "Funding and payback")
ton = Section("Results", "Break-even values and cut-off")
life = Section("Results", "Production over the plan")

PAYS = "pays"
RUNNING_ONLY = "pays its running cost but not its capital"
WITHOUT_CAPITAL = "pays its running cost but not its other costs"
DOES_NOT_PAY = "does not pay"
UNBALANCED = "not yet: gold found and gold fed differ by more than the tolerance"
NO_ASSAY = "not yet: an umpire's assay is needed to settle"
MILL_PAID = "pays the mill"
LOT_ONLY = "covers the lot, but not the booked season"
MILL_UNPAID = "does not pay the mill"
REAL = "real, of the price date"
NOMINAL = "nominal, of each month; figures per ounce and of a full year are real"
DISAGREE = "not yet: a check fails, see the sheet Checks"
NO_TAILS = "not yet: the tailings of the test lot have no assay"
CONTRADICTED = "the figures contradict each other, see the sheet Checks"
UNCONTRADICTED = "the figures do not contradict each other"


@verdict_section.line("Verdict")
def verdict(money_verdict, measurements_failed):
    """None while a check of measurements fails."""
    return np.where(measurements_failed > 0, DISAGREE, money_verdict)


@verdict_section.line("Verdict of the lot")
def lot_verdict(settle_how, agreed_purchase, settle_balance, settle_words):
    """Who pays, once the assay is settled and the gold balance agrees."""
    fed = np.logical_or(settle_balance == WITHIN, agreed_purchase == "yes")
    paid = np.where(fed, settle_words, UNBALANCED)
    return np.where(settle_how == NO_UMPIRE, NO_ASSAY, paid)


@verdict_section.line("Verdict of the test lot")
def test_verdict(lot_tailings_gold, measurements_failed):
    """Whether its own figures, entered apart, contradict each other."""
    agreed = np.where(measurements_failed > 0, CONTRADICTED, UNCONTRADICTED)
    return np.where(lot_tailings_gold > 0, agreed, NO_TAILS)


@verdict_section.line("Verdict of the contract")
def contract_verdict(agreed_margin, agreed_season_margin):
    """Margin of the lot, and of the season that is booked; without capital."""
    paid = np.where(agreed_season_margin >= 0, MILL_PAID, LOT_ONLY)
    return np.where(agreed_margin >= 0, paid, MILL_UNPAID)


@verdict_section.line("Verdict of the job")
def job_verdict(
    job, verdict, contract_verdict, lot_verdict, test_verdict, mill_verdict
):
    """Of the claim, the agreed contract, the settled lot, the test lot or the mill."""
    of_plan = np.where(job == "contract", contract_verdict, verdict)
    of_lot = np.where(job == "lot", lot_verdict, test_verdict)
    milled = np.logical_or(job == "lot", job == "test")
    other = np.where(milled, of_lot, mill_verdict)
    planned = np.logical_or(job == "claim", job == "everything")
    return np.where(np.logical_or(planned, job == "contract"), of_plan, other)


@verdict_section.line("Verdict by the money")
def money_verdict(life_margin, net_present_value, capital):
    """From NPV after tax and the operating margin over the plan."""
    short = np.where(capital > 0, RUNNING_ONLY, WITHOUT_CAPITAL)
    lasting = np.where(net_present_value >= 0, PAYS, short)
    return np.where(life_margin > 0, lasting, DOES_NOT_PAY)


@verdict_section.line("Operating margin over the plan", "$")
def life_margin(operating_margin):
    """Positive: pays its running cost. With NPV not negative: pays."""
    return np.sum(operating_margin, axis=0)


@worth.line("Net present value after tax", "$")
def net_present_value(discounted_after_tax):
    """Before any loan."""
    return np.sum(discounted_after_tax, axis=0)


@worth.line("Net present value before tax", "$")
def net_present_value_before_tax(discounted_before_tax):
    """Before any loan."""
    return np.sum(discounted_before_tax, axis=0)


@worth.line("Money of the cash flow")
def money_basis(inflation):
    """Present values are in money of the price date in both."""
    return np.where(inflation == 0, REAL, NOMINAL)


@worth.line("Internal rate of return (IRR) after tax", "1/year")
def internal_rate(crossings, last_middle):
    """Real, per year; n/a unless there is exactly one IRR."""
    return only_rate(crossings, last_middle)


@worth.line("IRR status, after tax")
def internal_rate_reason(crossings, no_rate):
    """Whether there is exactly one IRR, and if not why."""
    return money.rate_reason(crossings, no_rate)


@worth.line("Internal rate of return (IRR) before tax", "1/year")
def internal_rate_before_tax(crossings_before_tax, last_middle_before_tax):
    """Real, per year; n/a unless there is exactly one IRR."""
    return only_rate(crossings_before_tax, last_middle_before_tax)


@worth.line("IRR status, before tax")
def internal_rate_before_tax_reason(crossings_before_tax, no_rate_before_tax):
    """Whether there is exactly one IRR, and if not why."""
    return money.rate_reason(crossings_before_tax, no_rate_before_tax)


@worth.line("Undiscounted net cash flow after tax", "$")
def life_cash(cash_after_tax):
    """Over the plan, before any loan."""
    return np.sum(cash_after_tax, axis=0)


flows = Section("Cash flow", "Payback workings")


@flows.monthly("Month with negative cumulative cash flow", "month")
def red_month(closing_cash, month):
    """Month number; -1 if not negative."""
    return money.negative_period(closing_cash, month)


@flows.monthly("Month with negative cumulative discounted cash flow", "month")
def discounted_red_month(closing_discounted, month):
    """Month number; -1 if not negative."""
    return money.negative_period(closing_discounted, month)


@funding.line("Payback month before loan", "month")
def payback_month(red_month, plan_months):
    """Cumulative cash flow stays positive from here; n/a if never."""
    return month_after(np.max(red_month, axis=0), plan_months)


@funding.line("Discounted payback month", "month")
def discounted_payback_month(discounted_red_month, plan_months):
    """Cumulative discounted cash flow stays positive; n/a if never."""
    return month_after(np.max(discounted_red_month, axis=0), plan_months)


@flows.monthly("Month with owner's cash flow", "month")
def owner_cash_month(owner_cash, month):
    """Month number; 0 without cash flow."""
    return np.where(owner_cash != 0, month, 0)


@funding.line("Last month with owner's cash flow", "month")
def last_cash_month(owner_cash_month):
    """Of sales, costs, tax, closure or loan."""
    return np.max(owner_cash_month, axis=0)


@flows.monthly("Month on the cash chart", "month")
def charted_month(month, last_cash_month):
    """The chart ends with the last cash flow."""
    return np.minimum(month, last_cash_month)


def month_after(last_red, plan_months):
    """Month after the last negative one; NaN if the plan ends negative."""
    return np.where(last_red < plan_months, last_red + 1, np.nan)


@funding.line("Lowest cumulative owner's cash flow", "$")
def lowest_cash(closing_owner):
    """After tax and loan."""
    return np.min(closing_owner, axis=0)


@funding.line("Peak funding", "$")
def peak_funding(lowest_cash):
    """Owner's cash required, after tax and loan."""
    return np.maximum(0 - lowest_cash, 0)


@flows.monthly("Owner's cash above its lowest, rounded down", "$")
def owner_cash_above_lowest(closing_owner, lowest_cash, exchange_rate):
    """Less than one US dollar above the lowest counts as the lowest."""
    return np.floor((closing_owner - lowest_cash) / exchange_rate) * exchange_rate


@funding.line("Month of peak funding", "month")
def peak_funding_month(owner_cash_above_lowest, month):
    """First month with the owner's lowest cash."""
    lowest = np.min(owner_cash_above_lowest, axis=0)
    return lookup(lowest, owner_cash_above_lowest, month)


@ton.line("Break-even gold price, operating", "$/oz")
def price_floor(break_even_gold_price):
    """Before capital; a full year."""
    return break_even_gold_price


@ton.line("Break-even grade, operating", "grade")
def grade_floor(break_even_grade):
    """Ore in place; from the sheet Return per ton."""
    return break_even_grade


@ton.line("Marginal cut-off grade, ore as milled", "grade")
def running_grade_floor(running_break_even_grade):
    """Dilution included; from the sheet Return per ton."""
    return running_break_even_grade


@life.line("Ore milled over the plan", "ton")
def tons_milled(ore_milled):
    """Dry tons."""
    return np.sum(ore_milled, axis=0)


@life.line("Ore not milled within the plan", "ton")
def ore_unmilled(mill_tons, tons_milled):
    """Above zero if the plan ends before the ore."""
    return mill_tons - tons_milled


@life.line("Months to the end of work", "month")
def life_months(ending, month):
    """Construction included."""
    return np.sum(ending * month, axis=0)


@life.line("Months worked", "month")
def months_worked(working):
    """Months with milling."""
    return np.sum(working, axis=0)


@life.line("Gold sold over the plan", "oz")
def ounces_sold(gold_sold):
    """Fine gold in the bullion shipped."""
    return np.sum(gold_sold, axis=0)


@life.line("Operating cost over the plan", "$")
def life_cost(operating_cost):
    """Construction, ramp-up and idle months included."""
    return np.sum(operating_cost, axis=0)


@life.line("Life-of-mine operating cost per ton", "$/ton")
def life_cost_per_ton(life_cost, tons_milled):
    """Construction, ramp-up and idle months included."""
    return life_cost / tons_milled
