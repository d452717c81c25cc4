"""Checks: balances that must close, and limits that the plant should keep."""

import numpy as np

from ....formulas import lookup
from ....trade import money
from ...axes import Axis
from ...line import Section
from ..cost.components import components

overall = Section("Checks", "All checks")
balances = Section("Checks", "Balances")
limits = Section("Checks", "Limits")
workings = Section("Checks", "What the checks compare")


@workings.line("Gold sold, in middlings and lost", "oz")
def gold_accounted(gold_sold, gold_to_middlings, gold_lost):
    """Nothing is held up any more at the end."""
    return (
        np.sum(gold_sold, axis=0)
        + np.sum(gold_to_middlings, axis=0)
        + np.sum(gold_lost, axis=0)
    )


@workings.line("Gold in the rock milled", "oz")
def gold_fed(gold_milled):
    """Over the life."""
    return np.sum(gold_milled, axis=0)


@workings.line("Last cumulative cash", "$")
def last_cash(plan_months, month, closing_cash):
    """After tax, in the last month of the plan."""
    return lookup(plan_months, month, closing_cash)


@workings.line("Last cumulative discounted cash", "$")
def last_discounted(plan_months, month, closing_discounted):
    """After tax, in the last month of the plan."""
    return lookup(plan_months, month, closing_discounted)


@workings.line("Present value at the rate of return, of the outlay", "share")
def value_at_rate(crossings, last_middle, cash_after_tax, discount_years, outlay):
    """Zero; also where there is no rate."""
    value = money.present_value_at(last_middle, cash_after_tax, discount_years)
    return np.where(crossings == 1, value / outlay, 0)


@workings.line("Gold claimed by tables and middlings", "share")
def gold_claimed(planned_recovery, middlings_share):
    """More than all of it when test lot and middlings contradict one another."""
    return planned_recovery + middlings_share


@workings.line("Nothing")
def nothing():
    """Zero, to compare with."""
    return 0


@workings.line("Everything")
def everything():
    """One, to compare with."""
    return 1


for basis, label in (
    ("ton", "Rates by the ton"),
    ("hour", "Rates by the hour"),
    ("working month", "Rates by the working month"),
    ("month", "Rates by the month"),
):
    workings.total(
        f"rates_by_{basis.replace(' ', '_')}",
        label,
        {"ton": "$/ton", "hour": "$/hour"}.get(basis, "$/month"),
        components(bases=(basis,)),
        note="Sum of the rates on this basis.",
    )


@workings.line("Cost of a full year, from the rates", "$/year")
def cost_from_rates(
    rates_by_ton,
    rates_by_hour,
    rates_by_working_month,
    rates_by_month,
    tons_per_year,
    hours_per_month,
    season_months,
    months_per_year,
):
    """Each sum of rates times what it is paid for in a year."""
    return (
        rates_by_ton * tons_per_year
        + rates_by_hour * hours_per_month * season_months
        + rates_by_working_month * season_months
        + rates_by_month * months_per_year
    )


@workings.line("Mine, mill and standing cost", "$/ton")
def cost_by_group(mine_cost_per_ton, running_cost_per_ton, standing_cost_per_ton):
    """The three groups of the cost sheet."""
    return mine_cost_per_ton + running_cost_per_ton + standing_cost_per_ton


@workings.line("Loan owed at the end", "$")
def last_loan(plan_months, month, closing_loan):
    """In the last month of the plan."""
    return lookup(plan_months, month, closing_loan)


@workings.line("Owner's cash, loan added back", "$")
def owner_cash_before_loan(owner_cash, tax_saved, loan_drawn, loan_paid):
    """Over the life."""
    return (
        np.sum(owner_cash, axis=0)
        - np.sum(tax_saved, axis=0)
        - np.sum(loan_drawn, axis=0)
        + np.sum(loan_paid, axis=0)
    )


@workings.line("Cash after tax, from the years", "$")
def cash_from_years(cash_after_tax_in_year):
    """Sum of the yearly summary."""
    return np.sum(cash_after_tax_in_year, axis=0)


@workings.line("Depreciation over the life", "$")
def life_depreciation(depreciation):
    """All of it."""
    return np.sum(depreciation, axis=0)


@workings.line("Capital over the life", "$")
def life_capital(capital_spent):
    """Without sustaining capital."""
    return np.sum(capital_spent, axis=0)


@workings.line("Money still tied up at the end", "$")
def last_tied_up(tied_up):
    """Refiner, stores and bond."""
    return np.sum(tied_up, axis=0)


@workings.line("Ore milled and left", "ton")
def ore_accounted(tons_milled, plan_months, month, closing_ore):
    """Tons through the mill, and those left in the last month."""
    return tons_milled + lookup(plan_months, month, closing_ore)


BALANCES = (
    # what, shown line, line that it must equal
    ("Gold in equals gold out", "gold_accounted", "gold_fed"),
    ("Ore milled and left equals ore to mill", "ore_accounted", "mill_tons"),
    ("Last cumulative cash equals the sum of cash", "last_cash", "life_cash"),
    ("Last discounted cash equals NPV", "last_discounted", "net_present_value"),
    ("NPV at the rate of return is zero", "value_at_rate", "nothing"),
    ("Cost of a year from rates and from tons", "cost_from_rates", "cost_per_year"),
    ("Groups of cost add up", "cost_by_group", "cost_per_ton"),
    ("Years add up to the months", "cash_from_years", "life_cash"),
    ("All capital is depreciated", "life_depreciation", "life_capital"),
    ("Money tied up comes back", "last_tied_up", "nothing"),
    ("The loan is repaid", "last_loan", "nothing"),
    ("Contracts share out the metal's value", "value_shared_out", "custom_value"),
    ("A settlement shares it out, too", "settle_shared_out", "settle_value"),
    ("Owner's cash and loan make the cash", "owner_cash_before_loan", "life_cash"),
)

LIMITS = (
    # what, shown line, line or input that it must not exceed
    ("Motor of the mill is big enough", "mill_motor_load", "everything"),
    ("Mill runs at a usual speed", "speed_share", "highest_speed"),
    ("Generator is big enough", "generator_load", "everything"),
    ("Crew is big enough for the units", "attention_needed", "crew"),
    ("Bin carries the mill while the crusher rests", "bin_needed", "bin_capacity"),
    ("One melt fits the furnace", "melt_size", "furnace_capacity"),
    ("Ore is milled within the plan", "ore_unmilled", "nothing"),
    ("No gold is caught twice", "gold_claimed", "everything"),
)


def enter(section, name, checks, label, relation):
    """Enter one table of checks, and give the axis along which it runs."""
    what, shown, wanted = zip(*checks, strict=True)

    @section.line("Holds", "check", over=name, name=f"{name}_holds", reads=_reads(name))
    def holds(actual, expected, check_tolerance):
        """1 where it holds."""
        return relation(actual, expected, check_tolerance)

    section.gather(f"{name}_actual", "Is", "mixed", name, shown, note="Found.")
    section.gather(f"{name}_expected", label, "mixed", name, wanted, note="Wanted.")
    return Axis(name, "Check", "-", what, down=True)


def _reads(name):
    return (f"{name}_actual", f"{name}_expected", "check_tolerance")


def agrees(actual, expected, tolerance):
    """1 where two figures agree, relative to their size."""
    size = np.maximum(np.abs(expected), 1)
    return np.where(np.abs(actual - expected) <= tolerance * size, 1, 0)


def keeps_below(actual, allowed, tolerance):
    """1 where a figure does not exceed what is allowed."""
    return np.where(actual <= allowed + tolerance, 1, 0)


BALANCE = enter(balances, "balance", BALANCES, "Must equal", agrees)
LIMIT = enter(limits, "limit", LIMITS, "At most", keeps_below)


@overall.line("Balances that do not close", "count")
def balances_failed(balance_holds):
    """Must be 0; anything else is a fault of the book."""
    return np.sum(1 - balance_holds, axis=0)


@overall.line("Limits exceeded", "count")
def limits_failed(limit_holds):
    """What the plant cannot do as planned; look at the table."""
    return np.sum(1 - limit_holds, axis=0)


@overall.line("Checks")
def checks_flag(balances_failed, limits_failed):
    """Shown on every sheet."""
    sound = np.where(limits_failed > 0, "a limit is exceeded", "all checks hold")
    return np.where(balances_failed > 0, "a balance does not close", sound)
