"""Calendar, price levels and production by month."""

import numpy as np

from ....formulas import month_start
from ....trade import money
from ...line import Section

calendar = Section("Cash flow", "Calendar")
levels = Section("Cash flow", "Price levels")
ore = Section("Cash flow", "Ore and gold")


@calendar.monthly("Tax year", "year")
def plan_year(month, months_before, months_per_year):
    """The first ends with the tax year in which the plan starts."""
    return np.ceil((months_before + month) / months_per_year)


@calendar.monthly("Calendar month", "count")
def calendar_month(start_month, month, months_per_year):
    """1 is January, 12 is December."""
    return np.mod(start_month - 1 + month - 1, months_per_year) + 1


@calendar.monthly("Date of the month", "date")
def month_date(month, calendar_month, start_year, start_month, months_per_year):
    """First day; empty while the year of the start is not given."""
    year = start_year + np.floor((start_month - 1 + month - 1) / months_per_year)
    return np.where(start_year > 0, month_start(year, calendar_month), 0)


@calendar.monthly("In season (1) or not (0)", "count")
def in_season(calendar_month, season_start, season_months, months_per_year):
    """Month of the working season."""
    since = np.mod(calendar_month - season_start + months_per_year, months_per_year)
    return np.where(since < season_months, 1, 0)


@calendar.monthly("Construction (1) or not (0)", "count")
def building(month, build_months):
    """Capital is spent in these months; month 1 is always one."""
    return np.where(month <= np.maximum(build_months, 1), 1, 0)


@calendar.monthly("Open (1) or not (0)", "count")
def open_for_work(month, build_months, opening_ore):
    """Built, with ore left; maintenance runs in idle months."""
    built = month > build_months
    return np.where(np.logical_and(built, opening_ore > 0), 1, 0)


@calendar.monthly("Site held (1) or not (0)", "count")
def site_held(building, open_for_work):
    """From the start to closure; insurance, permits and office cost."""
    return np.maximum(building, open_for_work)


@calendar.monthly("Milling (1) or not (0)", "count")
def working(open_for_work, in_season):
    """Open and in season."""
    return open_for_work * in_season


@calendar.monthly("Cumulative working months", "count")
def closing_worked(opening_worked, working):
    """Basis of the ramp-up."""
    return opening_worked + working


@calendar.monthly("Output, % of full output", "share")
def output_share(working, opening_worked, ramp_start, ramp_months):
    """Rises in even steps during ramp-up."""
    share = ramp_start + (1 - ramp_start) * opening_worked / ramp_months
    return working * np.minimum(share, 1)


@levels.monthly("Discounting time", "year")
def discount_years(month, payment_timing, months_per_year):
    """From the start of month 1 to the cash flows of the month."""
    return money.periods_to_discount(month, payment_timing) / months_per_year


@levels.monthly("General price level")
def price_level(inflation, discount_years):
    """Of the start: 1; rises by inflation."""
    return 1 / money.discount_factor(inflation, discount_years)


def risen(price_level, rise, discount_years):
    """Price level with a rise above or below inflation."""
    return price_level / money.discount_factor(rise, discount_years)


for name, label, rise in (
    ("metal_level", "Metal price level", "metal_rise"),
    ("wage_level", "Wage level", "wage_rise"),
    ("energy_level", "Energy price level", "energy_rise"),
):
    levels.monthly(
        label,
        name=name,
        reads=("price_level", rise, "discount_years"),
        note="Of the start: 1; rises by inflation and the rise above it.",
    )(risen)


@ore.monthly("Ore milled", "ton", total=True)
def ore_milled(opening_ore, tons_per_month, output_share, feed_rate, one_hour):
    """Dry tons. A rest of less than one mill hour is milled as well."""
    # Otherwise a rounding error could keep the mine open for another month or season.
    in_reach = output_share * (tons_per_month + feed_rate * one_hour)
    planned = output_share * tons_per_month
    return np.where(opening_ore <= in_reach, opening_ore, planned)


@ore.monthly("Ore remaining", "ton", start="mill_tons")
def closing_ore(opening_ore, ore_milled):
    """End of month."""
    return opening_ore - ore_milled


@ore.monthly("Last working month (1) or not (0)", "count")
def ending(open_for_work, closing_ore, month, plan_months):
    """Ore exhausted or plan over; the site is closed."""
    over = np.logical_or(closing_ore <= 0, month >= plan_months)
    return np.where(np.logical_and(open_for_work > 0, over), 1, 0)


@ore.monthly("Hours run", "hour", total=True)
def hours_run(ore_milled, feed_rate):
    """Ore milled over feed rate."""
    return ore_milled / feed_rate


@ore.monthly("Staffed hours", "hour", total=True)
def hours_staffed(
    working, ore_milled, tons_per_month, output_share, hours_per_day, days_per_month
):
    """All hours of the crew; in the last month until the ore is milled."""
    part = np.minimum(ore_milled / (tons_per_month * output_share), 1)
    return np.where(working > 0, hours_per_day * days_per_month * part, 0)


@ore.monthly("Gold in mill feed", "oz", total=True)
def gold_milled(ore_milled, feed_gold):
    """Ore milled times gold per ton."""
    return ore_milled * feed_gold


@ore.monthly("Gold produced", "oz", total=True)
def gold_produced(ore_milled, bullion_gold, kept_share):
    """The owner's smelted gold, before change of gold in circuit."""
    return ore_milled * bullion_gold * kept_share


@ore.monthly("Gold in circuit", "oz")
def closing_held(opening_held, gold_produced, hold_up, own_mill, ending):
    """Builds up first; recovered when the work ends. In an own mill."""
    filled = np.minimum(opening_held + gold_produced, hold_up * own_mill)
    return filled * (1 - ending)


@ore.monthly("Gold sold", "oz", total=True)
def gold_sold(gold_produced, opening_held, closing_held):
    """Fine gold in the bullion shipped."""
    return gold_produced + opening_held - closing_held


@ore.monthly("Gold to middlings", "oz", total=True)
def gold_to_middlings(ore_milled, middlings_gold):
    """In the sulphides."""
    return ore_milled * middlings_gold


@ore.monthly("Gold to slag, tailings and a hired mill", "oz", total=True)
def gold_lost(ore_milled, slag_gold, tailings_gold, bullion_gold, kept_share):
    """Not recovered, or the hired mill's share."""
    shared = bullion_gold * (1 - kept_share)
    return ore_milled * (slag_gold + tailings_gold + shared)


@ore.monthly("Gold in the tailings pile", "oz")
def closing_pile(opening_pile, ore_milled, tailings_gold):
    """Since the start."""
    return opening_pile + ore_milled * tailings_gold
