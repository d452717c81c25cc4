"""Workings of the checks: figures that they compare, and whether they apply."""

import numpy as np

from ....formulas import lookup
from ....trade import crushing, money
from ..cost.components import BASES, components
from ..settlement.weights import NO_UMPIRE, UMPIRE
from . import revenue
from .checks import workings


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


@workings.line("Money in, discounted at the IRR", "$")
def inflows_at_rate(crossings, last_middle, real_cash, discount_years):
    """Zero without an IRR."""
    flows = real_cash * (real_cash > 0)
    value = money.present_value_at(last_middle, flows, discount_years)
    return np.where(crossings == 1, value, 0)


@workings.line("Money out, discounted at the IRR", "$")
def outflows_at_rate(crossings, last_middle, real_cash, discount_years):
    """Zero without an IRR."""
    flows = -real_cash * (real_cash < 0)
    value = money.present_value_at(last_middle, flows, discount_years)
    return np.where(crossings == 1, value, 0)


@workings.line("Table recovery that the middlings leave", "share")
def recovery_left(planned_middlings):
    """Table and middlings recovery together cannot exceed 100%."""
    return 1 - planned_middlings


@workings.line("Work index, planned and timed: larger over smaller")
def rock_distance(pace_source, mill_kind, work_index, timed_work_index):
    """1 if no timed run is used; beyond 2 the throughput is a guess."""
    timed = np.logical_or(pace_source == "measured", mill_kind == "hammer mill")
    apart = np.maximum(work_index / timed_work_index, timed_work_index / work_index)
    return np.where(timed, apart, 1)


@workings.line("Crushing stages required", "count")
def crushing_stages(crusher_f80, feed_f80):
    """At most 6 to 1 each; a feed size of 0 is not known."""
    return crushing.crushing_stages(np.maximum(crusher_f80, feed_f80), feed_f80)


@workings.line("Generator power required", "kW")
def generator_power(power_source, power_demand, generator_rating):
    """0 with grid power, or if no generator rating is entered."""
    rated = np.logical_and(power_source == "generator", generator_rating > 0)
    return np.where(rated, power_demand, 0)


@workings.line("Least power for the generator", "kW")
def generator_least(power_source, generator_rating, least_generator_load):
    """A quarter of its rating; zero with grid power."""
    least = generator_rating * least_generator_load
    return np.where(power_source == "generator", least, 0)


@workings.line("Bin capacity required, for the bin entered", "ton")
def bin_needed_checked(bin_capacity, bin_needed):
    """0 if no ore bin capacity is entered."""
    return np.where(bin_capacity > 0, bin_needed, 0)


@workings.line("Concentrate per melt, for the furnace entered", "mass")
def melt_size_checked(furnace_capacity, melt_size):
    """0 if no furnace charge capacity is entered."""
    return np.where(furnace_capacity > 0, melt_size, 0)


@workings.line("Shortest loan term that leaves a payment", "month")
def shortest_term(loan_share, grace_used):
    """A month more than the grace period used; 0 without a loan."""
    return np.where(loan_share > 0, grace_used + 1, 0)


@workings.line("Shaft energy per ton at mill capacity", "kWh/ton")
def shaft_energy(mill_shaft_power, mill_capacity):
    """Of a hammer mill, by its timed run and the load of its motor."""
    return mill_shaft_power / mill_capacity


@workings.line("Least energy of a hammer mill per ton", "kWh/ton")
def least_hammer_energy(mill_kind, bond_grinding_energy, least_over_bond):
    """Half of Bond's energy; 0 for a ball mill."""
    least = bond_grinding_energy * least_over_bond
    return np.where(mill_kind == "hammer mill", least, 0)


@workings.line("Smallest ball mill of the power equation", "length")
def smallest_in_use(mill_kind, smallest_ball_mill, metres_per_length):
    """Smaller ball mills draw far less power: measure one."""
    smallest = smallest_ball_mill / metres_per_length
    return np.where(mill_kind == "ball mill", smallest, 0)


@workings.line("Ball top size, used and by Bond: larger over smaller")
def ball_size_distance(mill_kind, ball_size, bond_ball_size):
    """Smaller balls do not break the coarse feed; larger ones grind with less surface.

    1 if no balls are used.
    """
    apart = np.maximum(ball_size / bond_ball_size, bond_ball_size / ball_size)
    return np.where(mill_kind == "ball mill", apart, 1)


@workings.line("Gravity recovery with regrinding", "share")
def reground_recovery(regrind_recovery, planned_recovery):
    """Regrinding is a finer grind. 0 if nothing is reground."""
    return np.where(regrind_recovery > 0, planned_recovery, 0)


@workings.line("Assays in use", "count")
def samples_in_use(grade_source, sample_count):
    """0 if the plan's grade is not from the samples."""
    return np.where(grade_source == "samples", sample_count, 0)


@workings.line("Assays in use, and assays without a weight", "count")
def samples_assayed(grade_source, sample_count, samples_without_weight):
    """0 if the plan's grade is not from the samples."""
    assayed = sample_count + samples_without_weight
    return np.where(grade_source == "samples", assayed, 0)


@workings.line("Assays without a missing fine mass", "count")
def samples_complete(sample_count, samples_without_fine):
    """Fire assays, and screen-fire assays with both fractions."""
    return sample_count - samples_without_fine


@workings.line("Ore grade used over the test lot's")
def grade_over_lot(planned_grade, lot_ore_grade):
    """0 without gold in the test lot."""
    return np.where(lot_ore_grade > 0, planned_grade / lot_ore_grade, 0)


@workings.line("Gravity recovery used over the test lot's")
def recovery_over_lot(measured_recovery, lot_recovery):
    """At the measured grind; 0 without gold from the test lot."""
    return np.where(lot_recovery > 0, measured_recovery / lot_recovery, 0)


@workings.line("Samples in use: mean less its lower limit", "grade")
def mean_doubt(samples_in_use, sample_count, sample_mean, sample_mean_low):
    """0 if the grade is not from the samples; one sample tells no limit."""
    known = np.where(sample_count > 1, sample_mean_low, -sample_mean)
    return np.where(samples_in_use > 0, sample_mean - known, 0)


@workings.line("Samples in use: weight of the heaviest", "share")
def heaviest_in_use(samples_in_use, mean_is_lognormal, heaviest_share):
    """0 if the grade is not a weighted mean of the samples."""
    weighted = np.logical_and(samples_in_use > 0, mean_is_lognormal == 0)
    return np.where(weighted, heaviest_share, 0)


@workings.line("Correlation that a lognormal mean in use needs")
def straightness_in_use(
    samples_in_use, mean_is_lognormal, fewest_to_test, sample_straightness_needed
):
    """0 if the mean is not lognormal, or of too few samples to tell."""
    testable = samples_in_use >= fewest_to_test
    used = np.logical_and(testable, mean_is_lognormal > 0)
    return np.where(used, sample_straightness_needed, 0)


@workings.line("Test lot in use: gap of the tailings fractions", "share")
def tails_gap_in_use(lot_used, lot_tails_gap):
    """0 if the plan does not use the test lot."""
    return lot_used * lot_tails_gap


@workings.line("Screens or test lot in use: screen-to-melt difference", "share")
def screen_gap_in_use(grind_model, lot_used, lot_gap_weighed):
    """0 if the plan uses neither, or gold was not weighed both ways."""
    used = np.logical_or(grind_model == "size data", lot_used > 0)
    return np.where(used, lot_gap_weighed, 0)


@workings.line("Screens or test lot in use: screens out of order", "count")
def screens_rising_in_use(grind_model, lot_used, lot_screens_rising):
    """0 if the plan uses neither."""
    used = np.logical_or(grind_model == "size data", lot_used > 0)
    return np.where(used, lot_screens_rising, 0)


@workings.line("Test lot in use: gold found over gold fed")
def gold_excess_in_use(lot_used, lot_gold_excess):
    """0 if the plan does not use the test lot."""
    return lot_used * lot_gold_excess


@workings.line("Test lot in use: gold fed over gold found")
def gold_shortage_in_use(lot_used, lot_gold_shortage):
    """0 if the plan does not use the test lot."""
    return lot_used * lot_gold_shortage


@workings.line("Test lot in use: fractions with gold and tailings", "count")
def fractions_in_use(lot_used, lot_fractions):
    """0 if the plan does not use the test lot."""
    return lot_used * lot_fractions


@workings.line("Test lot in use: grade of the concentrates", "grade")
def lot_richest_in_use(lot_used, lot_concentrate_grade):
    """0 if the plan does not use the test lot."""
    return lot_used * lot_concentrate_grade


@workings.line("Gold recovered over the plan", "oz")
def gold_caught_in_all(gold_fed, planned_recovery):
    """By the tables."""
    return gold_fed * planned_recovery


@workings.line("Ore to mill within the plan", "ton")
def ore_to_mill(job, mill_tons):
    """0 if the job is a contract or a lot: the ore is the customer's."""
    own = np.logical_or(job == "claim", job == "everything")
    return np.where(own, mill_tons, 0)


@workings.line("Settlement: umpire's assays needed", "count")
def umpires_needed(settle_how):
    """1 if mill's and owner's assays differ by more than the splitting limit."""
    apart = np.logical_or(settle_how == UMPIRE, settle_how == NO_UMPIRE)
    return np.where(apart, 1, 0)


@workings.line("Settlement: umpire's assays entered", "count")
def umpires_entered(settle_umpire_assay):
    """1 if there is one."""
    return np.where(settle_umpire_assay > 0, 1, 0)


for basis, (unit, *_) in BASES.items():
    workings.total(
        f"rates_by_{basis.replace(' ', '_')}",
        f"Sum of unit rates per {basis}",
        unit,
        components(bases=(basis,)),
        note="All components on this basis.",
    )


@workings.line("Revenue of a full month, from its gold", "$/month")
def revenue_from_gold(
    feed_gold,
    tons_per_month,
    feed_ounce_value,
    shipment_cost,
    shipments_per_month,
    royalty_rate,
):
    """Net smelter return of the month's gold less royalty."""
    shipping = shipment_cost * shipments_per_month
    sold = revenue.sales(feed_gold * tons_per_month, feed_ounce_value, shipping)
    return sold - revenue.royalty_on(sold, royalty_rate)


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


@workings.line("Loan drawn and interest", "$")
def loan_owed(loan_drawn, interest):
    """Over the plan."""
    return np.sum(loan_drawn, axis=0) + np.sum(interest, axis=0)


@workings.line("Loan payments over the plan", "$")
def loan_repaid(loan_paid):
    """Principal and interest."""
    return np.sum(loan_paid, axis=0)


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


@workings.line("Working capital and bond invested", "$")
def working_capital_invested(tied_up):
    """Sum of the increases."""
    return np.sum(tied_up * (tied_up > 0), axis=0)


@workings.line("Working capital and bond released", "$")
def working_capital_released(tied_up):
    """Sum of the decreases."""
    return 0 - np.sum(tied_up * (tied_up < 0), axis=0)


@workings.line("Ore milled and remaining", "ton")
def ore_accounted(tons_milled, plan_months, month, closing_ore):
    """Ore milled, and ore left in the last month."""
    return tons_milled + lookup(plan_months, month, closing_ore)


@workings.line("Job rests on ore in the ground", "count")
def ore_counts(job):
    """1 if so: the checks of the ore, and of what handles it, apply."""
    return np.where(np.logical_or(job == "claim", job == "everything"), 1, 0)


@workings.line("Job rests on the plant", "count")
def plant_counts(job, own_mill):
    """1 if so, and the mill is one's own: the checks of the plant apply."""
    own = np.logical_or(job == "claim", job == "everything")
    return np.where(np.logical_or(own, job == "contract"), own_mill, 0)


@workings.line("Job rests on the mill", "count")
def mill_counts(job, plant_counts):
    """1 if so, in all but a milled lot: the checks of the mill apply."""
    return np.where(job == "mill", 1, plant_counts)


@workings.line("Job prices a customer's ore", "count")
def contract_counts(job):
    """1 if so: the checks of the season's lots apply."""
    return np.where(job == "contract", 1, 0)


@workings.line("Job settles a lot", "count")
def lot_counts(job):
    """1 if so: the checks of a settlement apply."""
    return np.where(np.logical_or(job == "lot", job == "everything"), 1, 0)


@workings.line("Job rests on the test lot", "count")
def test_counts(job):
    """1 if so, or if a plan may use it: the checks of the test lot apply."""
    own = np.logical_or(job == "claim", job == "everything")
    return np.where(np.logical_or(own, job == "test"), 1, 0)
