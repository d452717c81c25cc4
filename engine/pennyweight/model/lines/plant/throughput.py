"""Throughput of the plant: bottleneck, feed rate and hours."""

import numpy as np

from ....formulas import is_number, lookup
from ....trade import gravity, mills
from ...axes import Axis
from ...line import Section
from .separation import water_limits

pace = Section("Plant", "Plant throughput")

OWN_MILL, HIRED_MILL = "own mill", "hired mill"
STAGES = (
    *("jaw crusher", "belts", "feeder", "mill", "shaking tables", "classifier"),
    "water",
)
STAGE = Axis("stage", "Stage", "-", STAGES, down=True)


pace.gather(
    "stage_daily",
    "Stage capacity per day",
    "ton/day",
    "stage",
    (
        "crusher_daily",
        "belt_daily",
        "feeder_daily",
        "mill_daily",
        "table_daily",
        "classifier_daily",
        "water_daily",
    ),
    note="Working day, with the usual stops.",
)


@pace.line("Running hours per day", "hour/day")
def running_hours_per_day(hours_per_day, availability):
    """With feed; the rest is stops, repairs and clean-up."""
    return hours_per_day * availability


@pace.line("Plant capacity per day", "ton/day")
def plant_daily(
    crusher_daily,
    belt_daily,
    feeder_daily,
    mill_daily,
    table_daily,
    classifier_daily,
    water_daily,
    water_supply,
    make_up_water,
):
    """Capacity of the slowest stage."""
    before = np.minimum(np.minimum(crusher_daily, belt_daily), feeder_daily)
    tables = np.minimum(np.minimum(before, mill_daily), table_daily)
    dry = np.minimum(tables, classifier_daily)
    limits = water_limits(water_supply, make_up_water)
    return np.where(limits, np.minimum(dry, water_daily), dry)


@pace.line("Own mill (1) or a hired one (0)", "count")
def own_mill(job, ore_milled_by):
    """Of a claim; 1 in all other jobs."""
    of_claim = np.logical_or(job == "claim", job == "everything")
    return np.where(np.logical_and(of_claim, ore_milled_by == HIRED_MILL), 0, 1)


@pace.line("Bottleneck")
def bottleneck(own_mill, plant_daily, stage_daily, stage):
    """Stage with the lowest capacity, or a hired mill."""
    slowest = lookup(plant_daily, stage_daily, stage)
    return np.where(own_mill == 1, slowest, HIRED_MILL)


@pace.line("Stage utilisation", "share", over="stage")
def stage_load(own_mill, plant_daily, stage_daily, pace_factor):
    """Feed at the planned rate over stage capacity."""
    load = plant_daily * pace_factor / stage_daily
    known = np.logical_and(own_mill == 1, is_number(stage_daily))
    return np.where(known, load, np.nan)


@pace.line("Calculated feed rate", "ton/hour")
def calculated_feed_rate(plant_daily, running_hours_per_day):
    """Plant capacity per day over running hours."""
    return plant_daily / running_hours_per_day


@pace.line("Measured throughput at the planned grind", "ton/hour")
def measured_at_grind(
    measured_pace, measured_p80, timed_work_index, product_p80, work_index
):
    """From the timed run, by rock and product size."""
    return mills.capacity_at_grind(
        measured_pace, measured_p80, timed_work_index, product_p80, work_index
    )


@pace.line("Feed rate that the other units take", "ton/hour")
def others_rate(
    crusher_daily,
    belt_daily,
    feeder_daily,
    table_daily,
    classifier_daily,
    running_hours_per_day,
    measured_pace,
    measured_p80,
    product_p80,
):
    """Without the mill; at least what they took in the timed run."""
    before = np.minimum(np.minimum(crusher_daily, belt_daily), feeder_daily)
    slowest = np.minimum(np.minimum(before, table_daily), classifier_daily)
    taken = gravity.table_capacity_at_grind(measured_pace, measured_p80, product_p80)
    return np.maximum(slowest / running_hours_per_day, taken)


@pace.line("Measured over calculated feed rate", "share")
def pace_factor(
    pace_source,
    measured_at_grind,
    others_rate,
    water_daily,
    water_supply,
    make_up_water,
    running_hours_per_day,
    calculated_feed_rate,
):
    """1 if the plan uses the calculated feed rate."""
    taken = np.minimum(measured_at_grind, others_rate)
    limits = water_limits(water_supply, make_up_water)
    wet = np.where(
        limits, np.minimum(taken, water_daily / running_hours_per_day), taken
    )
    return np.where(pace_source == "measured", wet / calculated_feed_rate, 1)


@pace.line("Feed rate", "ton/hour")
def feed_rate(own_mill, calculated_feed_rate, pace_factor, toll_tons, hours_per_month):
    """While the mill runs; a hired mill's tons."""
    hired = toll_tons / hours_per_month
    return np.where(own_mill == 1, calculated_feed_rate * pace_factor, hired)


@pace.line("Limit of the feed rate")
def feed_rate_limit(
    own_mill, pace_source, feed_rate, measured_at_grind, check_tolerance, bottleneck
):
    """The timed run, or the stage with the lowest capacity per day."""
    reached = feed_rate >= measured_at_grind * (1 - check_tolerance)
    measured = np.logical_and(own_mill == 1, pace_source == "measured")
    return np.where(
        np.logical_and(measured, reached), "measured throughput", bottleneck
    )


@pace.line("Running hours", "hour/month")
def hours_per_month(running_hours_per_day, days_per_month):
    """Full working month, with feed."""
    return running_hours_per_day * days_per_month


@pace.line("Throughput per month", "ton/month")
def tons_per_month(feed_rate, hours_per_month):
    """Full working month."""
    return feed_rate * hours_per_month


@pace.line("Throughput per year", "ton/year")
def tons_per_year(tons_per_month, season_months):
    """Full output over the working season."""
    return tons_per_month * season_months


@pace.line("Operators required, all units", "count")
def attention_needed(
    crusher_attention,
    conveying_attention,
    mill_attention,
    table_attention,
    water_attention,
):
    """Average number of people, while the units run; 0 if not entered."""
    return (
        crusher_attention
        + conveying_attention
        + mill_attention
        + table_attention
        + water_attention
    )


@pace.line("Bin capacity required", "ton")
def bin_needed(feed_rate, hours_per_day, crusher_hours, one_day):
    """Mill feed while the crusher is idle."""
    idle = np.maximum(hours_per_day - crusher_hours, 0)
    return feed_rate * idle * one_day
