"""Checks: balances that must agree, and limits of the plant."""

import numpy as np

from ....formulas import lookup
from ....trade import money
from ...axes import Axis
from ...line import Section
from ..cost.components import BASES, components

overall = Section("Checks", "All checks")
balances = Section("Checks", "Balances")
limits = Section("Checks", "Limits")
measured = Section("Checks", "Measurements and balances of gold")
workings = Section("Checks", "Check workings")


@workings.line("Gold sold, in middlings and lost", "oz")
def gold_accounted(gold_sold, gold_to_middlings, gold_lost):
    """Over the plan; no gold in circuit at the end."""
    return (
        np.sum(gold_sold, axis=0)
        + np.sum(gold_to_middlings, axis=0)
        + np.sum(gold_lost, axis=0)
    )


@workings.line("Gold in mill feed over the plan", "oz")
def gold_fed(gold_milled):
    """Ore milled times head grade."""
    return np.sum(gold_milled, axis=0)


@workings.line("Final cumulative cash flow", "$")
def last_cash(plan_months, month, closing_cash):
    """After tax, last month of the plan."""
    return lookup(plan_months, month, closing_cash)


@workings.line("Final cumulative discounted cash flow", "$")
def last_discounted(plan_months, month, closing_discounted):
    """After tax, last month of the plan."""
    return lookup(plan_months, month, closing_discounted)


@workings.line("Net present value at the IRR, over all money moved", "share")
def value_at_rate(crossings, last_middle, cash_after_tax, discount_years):
    """Zero, also without an IRR."""
    value = money.present_value_at(last_middle, cash_after_tax, discount_years)
    inflow = money.present_value_at(
        last_middle, (cash_after_tax > 0) * cash_after_tax, discount_years
    )
    return np.where(crossings == 1, value / (inflow + inflow - value), 0)


@workings.line("Table and middlings recovery", "share")
def gold_claimed(planned_recovery, planned_middlings):
    """Sum of both, of gold in mill feed."""
    return planned_recovery + planned_middlings


@workings.line("Screen-fire rows in use without a fine mass", "count")
def fine_missing_in_use(grade_source, samples_without_fine):
    """0 if the plan's grade is not from the samples."""
    return np.where(grade_source == "samples", samples_without_fine, 0)


@workings.line("Test lot in use: gap of the tailings fractions", "share")
def tails_gap_in_use(lot_used, lot_tails_gap):
    """0 if the plan does not use the test lot."""
    return lot_used * lot_tails_gap


@workings.line("Test lot in use: gold found over gold fed")
def gold_excess_in_use(lot_used, lot_gold_excess):
    """0 if the plan does not use the test lot."""
    return lot_used * lot_gold_excess


@workings.line("Test lot in use: grade of the concentrates", "grade")
def lot_richest_in_use(lot_used, lot_concentrate_grade):
    """0 if the plan does not use the test lot."""
    return lot_used * lot_concentrate_grade


@workings.line("Gold recovered over the plan", "oz")
def gold_caught_in_all(gold_fed, planned_recovery):
    """By the tables."""
    return gold_fed * planned_recovery


@workings.line("Nothing")
def nothing():
    """Zero, to compare with."""
    return 0


@workings.line("Everything")
def everything():
    """One, to compare with."""
    return 1


for basis, (unit, *_) in BASES.items():
    workings.total(
        f"rates_by_{basis.replace(' ', '_')}",
        f"Sum of unit rates per {basis}",
        unit,
        components(bases=(basis,)),
        note="All components on this basis.",
    )


@workings.line("Operating cost per year, from unit rates", "$/year")
def cost_from_rates(
    rates_by_ton,
    rates_by_hour,
    rates_by_staffed_hour,
    rates_by_working_month,
    rates_by_open_month,
    rates_by_month,
    tons_per_year,
    hours_per_month,
    availability,
    season_months,
    months_per_year,
):
    """Each sum of unit rates times its yearly quantity."""
    return (
        rates_by_ton * tons_per_year
        + rates_by_hour * hours_per_month * season_months
        + rates_by_staffed_hour * hours_per_month / availability * season_months
        + rates_by_working_month * season_months
        + (rates_by_open_month + rates_by_month) * months_per_year
    )


@workings.line("Mining, variable and fixed cost per ton", "$/ton")
def cost_by_group(mine_cost_per_ton, running_cost_per_ton, standing_cost_per_ton):
    """Sum of the three groups."""
    return mine_cost_per_ton + running_cost_per_ton + standing_cost_per_ton


@workings.line("Final loan balance", "$")
def last_loan(plan_months, month, closing_loan):
    """Last month of the plan."""
    return lookup(plan_months, month, closing_loan)


@workings.line("Owner's cash flow, loan effects removed", "$")
def owner_cash_before_loan(owner_cash, tax_saved, loan_drawn, loan_paid):
    """Over the plan."""
    return (
        np.sum(owner_cash, axis=0)
        - np.sum(tax_saved, axis=0)
        - np.sum(loan_drawn, axis=0)
        + np.sum(loan_paid, axis=0)
    )


@workings.line("Net cash flow after tax, from the years", "$")
def cash_from_years(cash_after_tax_in_year):
    """Sum of the yearly summary."""
    return np.sum(cash_after_tax_in_year, axis=0)


@workings.line("Depreciation over the plan", "$")
def life_depreciation(depreciation):
    """Sum of all months."""
    return np.sum(depreciation, axis=0)


@workings.line("Capital expenditure over the plan", "$")
def life_capital(capital_spent):
    """Without sustaining capital."""
    return np.sum(capital_spent, axis=0)


@workings.line("Working capital not yet released", "$")
def last_tied_up(tied_up):
    """Receivables, inventory and bond, at the end."""
    return np.sum(tied_up, axis=0)


@workings.line("Ore milled and remaining", "ton")
def ore_accounted(tons_milled, plan_months, month, closing_ore):
    """Ore milled, and ore left in the last month."""
    return tons_milled + lookup(plan_months, month, closing_ore)


BALANCES = (
    # what, shown line, line that it must equal
    (
        "Gold sold, in middlings and lost = gold in mill feed",
        "gold_accounted",
        "gold_fed",
    ),
    (
        "Ore milled and remaining = mill feed over the plan",
        "ore_accounted",
        "mill_tons",
    ),
    ("Final cumulative cash flow = sum of cash flows", "last_cash", "life_cash"),
    (
        "Final cumulative discounted cash flow = NPV",
        "last_discounted",
        "net_present_value",
    ),
    ("NPV at the IRR = 0", "value_at_rate", "nothing"),
    (
        "Operating cost per year: from unit rates = from tons",
        "cost_from_rates",
        "cost_per_year",
    ),
    (
        "Mining, variable and fixed cost = operating cost per ton",
        "cost_by_group",
        "cost_per_ton",
    ),
    ("Sum of the years = sum of the months", "cash_from_years", "life_cash"),
    ("Depreciation = capital expenditure", "life_depreciation", "life_capital"),
    ("Working capital released = invested", "last_tied_up", "nothing"),
    ("Final loan balance = 0", "last_loan", "nothing"),
    (
        "Contracts: mill + owner + third parties = metal value",
        "value_shared_out",
        "custom_value",
    ),
    (
        "Settlement: mill + owner + third parties = metal value",
        "settle_shared_out",
        "settle_value",
    ),
    (
        "Owner's cash flow without loan = net cash flow",
        "owner_cash_before_loan",
        "life_cash",
    ),
)

LIMITS = (
    # what, shown line, line or input that it must not exceed
    ("Mill motor load is at most 100%", "mill_motor_load", "everything"),
    ("Mill speed is at most 90% of critical", "speed_share", "highest_speed"),
    ("Ball mill is at least 0.8 m inside liners", "diameter_shortfall", "nothing"),
    ("Generator load is at most 100%", "generator_load", "everything"),
    ("Operators required are at most operators per shift", "attention_needed", "crew"),
    ("Bin capacity required is at most ore bin capacity", "bin_needed", "bin_capacity"),
    (
        "Concentrate per melt is at most furnace capacity",
        "melt_size",
        "furnace_capacity",
    ),
    ("All ore is milled within the plan", "ore_unmilled", "nothing"),
    ("Table and middlings recovery is at most 100%", "gold_claimed", "everything"),
    (
        "Feed rate is at most the calculated feed rate",
        "feed_rate",
        "calculated_feed_rate",
    ),
    (
        "Planned grind is within a factor of 2 of the measured grind",
        "grind_distance",
        "farthest_grind",
    ),
)


MEASUREMENTS = (
    # what, shown line, line that it must not exceed
    (
        "Screen-fire assays in use have a fine mass",
        "fine_missing_in_use",
        "nothing",
    ),
    (
        "Test lot in use: tailings fractions sum to 100%",
        "tails_gap_in_use",
        "tails_gap",
    ),
    (
        "Test lot in use: gold found is at most 1.5 times gold fed",
        "gold_excess_in_use",
        "highest_call",
    ),
    (
        "Test lot in use: concentrates are at most pure metal",
        "lot_richest_in_use",
        "metal_grade",
    ),
    ("First concentrate is at most pure metal", "first_grade", "metal_grade"),
    ("Second concentrate is at most pure metal", "second_grade", "metal_grade"),
    ("Gold in circuit is at most the gold recovered", "hold_up", "gold_caught_in_all"),
)


def enter(section, name, checks, label, relation):
    """Enter one table of checks, and give the axis along which it runs."""
    what, shown, wanted = zip(*checks, strict=True)

    @section.line("Pass", "check", over=name, name=f"{name}_holds", reads=_reads(name))
    def holds(actual, expected, check_tolerance):
        """1 if passed, 0 if failed."""
        return relation(actual, expected, check_tolerance)

    section.gather(
        f"{name}_actual", "Actual", "mixed", name, shown, note="Actual value."
    )
    section.gather(
        f"{name}_expected", label, "mixed", name, wanted, note=f"{label} value."
    )
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


BALANCE = enter(balances, "balance", BALANCES, "Expected", agrees)
LIMIT = enter(limits, "limit", LIMITS, "Limit", keeps_below)
MEASUREMENT = enter(measured, "measurement", MEASUREMENTS, "Limit", keeps_below)


@overall.line("Balances that fail", "count")
def balances_failed(balance_holds):
    """0 required; otherwise the workbook is faulty."""
    return np.sum(1 - balance_holds, axis=0)


@overall.line("Limits exceeded", "count")
def limits_failed(limit_holds):
    """Plan beyond a limit of the plant; see the table."""
    return np.sum(1 - limit_holds, axis=0)


@overall.line("Measurements that disagree", "count")
def measurements_failed(measurement_holds):
    """There is no verdict before they are mended; see the table."""
    return np.sum(1 - measurement_holds, axis=0)


@overall.line("State of the checks")
def checks_flag(balances_failed, limits_failed, measurements_failed):
    """Shown on every sheet."""
    within = np.where(limits_failed > 0, "a limit is exceeded", "all checks passed")
    sound = np.where(measurements_failed > 0, "measurements disagree", within)
    return np.where(balances_failed > 0, "a balance fails", sound)
