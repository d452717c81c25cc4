"""The months: building, working season, ramp-up, ore running out."""

import numpy as np

from ...line import Section

calendar = Section("Cash flow", "Calendar")
ore = Section("Cash flow", "Ore and gold")


@calendar.monthly("Year of the plan", "year")
def plan_year(month, months_per_year):
    """Month 0 is year 0."""
    return np.ceil(month / months_per_year)


@calendar.monthly("Calendar month", "count")
def calendar_month(start_month, month, months_per_year):
    """1 is January, 12 December."""
    return np.mod(start_month - 1 + month, months_per_year) + 1


@calendar.monthly("In season (1) or not (0)", "count")
def in_season(calendar_month, season_start, season_months, months_per_year):
    """Whether the mill can work in this month of the year."""
    since = np.mod(calendar_month - season_start + months_per_year, months_per_year)
    return np.where(since < season_months, 1, 0)


@calendar.monthly("Building (1) or not (0)", "count")
def building(month, build_months):
    """Capital is spent in these months; month 0 always is one."""
    return np.where(month < np.maximum(build_months, 1), 1, 0)


@calendar.monthly("Open for work (1) or not (0)", "count")
def open_for_work(month, build_months, opening_ore):
    """Built, and ore left; standing cost runs on even out of season."""
    built = month >= np.maximum(build_months, 1)
    return np.where(np.logical_and(built, opening_ore > 0), 1, 0)


@calendar.monthly("Working (1) or not (0)", "count")
def working(open_for_work, in_season):
    """Rock goes through the mill."""
    return open_for_work * in_season


@calendar.monthly("Working months so far", "count")
def closing_worked(opening_worked, working):
    """Counted for the ramp-up."""
    return opening_worked + working


@calendar.monthly("Share of full output", "share")
def output_share(working, opening_worked, ramp_start, ramp_months):
    """Rises in even steps until the ramp-up is over."""
    share = ramp_start + (1 - ramp_start) * opening_worked / ramp_months
    return working * np.minimum(share, 1)


@ore.monthly("Ore milled", "ton", total=True)
def ore_milled(opening_ore, tons_per_month, output_share):
    """Never more than is left."""
    return np.minimum(opening_ore, tons_per_month * output_share)


@ore.monthly("Ore left", "ton", start="mill_tons")
def closing_ore(opening_ore, ore_milled):
    """At the end of the month."""
    return opening_ore - ore_milled


@ore.monthly("Last month of work (1) or not (0)", "count")
def ending(open_for_work, closing_ore, month, plan_months):
    """The ore is gone or the plan ends: the site is closed and cleared."""
    over = np.logical_or(closing_ore <= 0, month >= plan_months)
    return np.where(np.logical_and(open_for_work > 0, over), 1, 0)


@ore.monthly("Hours run", "hour", total=True)
def hours_run(ore_milled, feed_rate):
    """Hours with rock going through."""
    return ore_milled / feed_rate


@ore.monthly("Gold in the mill feed", "oz", total=True)
def gold_milled(ore_milled, feed_gold):
    """In the rock that goes through."""
    return ore_milled * feed_gold


@ore.monthly("Gold caught and melted", "oz", total=True)
def gold_produced(ore_milled, bullion_gold):
    """Before what the plant holds up."""
    return ore_milled * bullion_gold


@ore.monthly("Gold held up in mill and tables", "oz")
def closing_held(opening_held, gold_produced, hold_up, ending):
    """Fills up first; recovered when the work ends."""
    return np.minimum(opening_held + gold_produced, hold_up) * (1 - ending)


@ore.monthly("Gold sold", "oz", total=True)
def gold_sold(gold_produced, opening_held, closing_held):
    """Fine gold in the bullion shipped."""
    return gold_produced + opening_held - closing_held


@ore.monthly("Gold to the middlings", "oz", total=True)
def gold_to_middlings(ore_milled, middlings_gold):
    """Locked in sulphides."""
    return ore_milled * middlings_gold


@ore.monthly("Gold to slag and tailings", "oz", total=True)
def gold_lost(ore_milled, slag_gold, tailings_gold):
    """Not recovered."""
    return ore_milled * (slag_gold + tailings_gold)
