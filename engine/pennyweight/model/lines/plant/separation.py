"""Shaking tables, classifier, water and furnace."""

import numpy as np

from ....trade import gravity
from ...line import Section

tables = Section("Plant", "Shaking tables")
water = Section("Plant", "Classifier and water")
furnace = Section("Plant", "Furnace")


@tables.line("Table capacity at the planned grind, each", "ton/hour")
def table_rate(table_capacity, measured_p80, product_p80):
    """Lower for finer feed."""
    return gravity.table_capacity_at_grind(table_capacity, measured_p80, product_p80)


@tables.line("Table capacity per day", "ton/day")
def table_daily(table_count, table_rate, running_hours_per_day, passes):
    """While the mill runs, all tables; with reground middlings."""
    return table_count * table_rate * running_hours_per_day / passes


@water.line("Classifier capacity per day", "ton/day")
def classifier_daily(classifier_capacity, running_hours_per_day):
    """Tailings dewatered while the mill runs."""
    return classifier_capacity * running_hours_per_day


@water.line("Water capacity per day", "ton/day")
def water_daily(water_supply, make_up_water):
    """By the make-up water of a day; n/a if water is not the limit."""
    limits = water_limits(water_supply, make_up_water)
    return np.where(limits, water_supply / make_up_water, np.nan)


def water_limits(water_supply, make_up_water):
    """Whether the make-up water can limit the plant."""
    return np.logical_and(water_supply > 0, make_up_water > 0)


def pull_used(recovery_source, lot_mass, lot_mill_feed, mass_per_ton, entered):
    """A product's mass per ton: of the test lot, if recovery is taken from it."""
    weighed = np.logical_and(recovery_source == "test lot", lot_mass > 0)
    return np.where(weighed, lot_mass / mass_per_ton / lot_mill_feed, entered)


@tables.line("Mill feed that the test lot stands for", "ton")
def lot_mill_feed(lot_dry_tons, lot_material, lot_dilution, dilution):
    """At the planned dilution; barren rock leaves no concentrate."""
    own = np.where(lot_material == "as mined", 1 + lot_dilution, 1)
    return lot_dry_tons / own * (1 + dilution)


@tables.line("Mass pull used, first concentrate", "ton/ton")
def planned_first_pull(
    recovery_source, lot_first_mass, lot_mill_feed, mass_per_ton, first_pull
):
    """Entered, or weighed in the test lot, as the recovery."""
    return pull_used(
        recovery_source, lot_first_mass, lot_mill_feed, mass_per_ton, first_pull
    )


@tables.line("Mass pull used, second concentrate", "ton/ton")
def planned_second_pull(
    recovery_source, lot_second_mass, lot_mill_feed, mass_per_ton, second_pull
):
    """Entered, or weighed in the test lot, as the recovery."""
    return pull_used(
        recovery_source, lot_second_mass, lot_mill_feed, mass_per_ton, second_pull
    )


@tables.line("Mass pull used, middlings", "ton/ton")
def planned_middlings_pull(
    recovery_source, lot_middlings_mass, lot_mill_feed, mass_per_ton, middlings_pull
):
    """Entered, or weighed in the test lot, as the recovery."""
    return pull_used(
        recovery_source, lot_middlings_mass, lot_mill_feed, mass_per_ton, middlings_pull
    )


@tables.line("First concentrate per ton", "mass/ton")
def first_concentrate(planned_first_pull, mass_per_ton):
    """Mass pull of the first concentrate."""
    return planned_first_pull * mass_per_ton


@tables.line("First concentrate grade", "grade")
def first_grade(caught_gold, first_share, planned_first_pull, grade_per_ounce):
    """Gold over mass."""
    return caught_gold * first_share / planned_first_pull * grade_per_ounce


@tables.line("Second concentrate per ton", "mass/ton")
def second_concentrate(planned_second_pull, mass_per_ton):
    """Mass pull of the second concentrate."""
    return planned_second_pull * mass_per_ton


@tables.line("Second concentrate grade", "grade")
def second_grade(caught_gold, first_share, planned_second_pull, grade_per_ounce):
    """Gold over mass."""
    return caught_gold * (1 - first_share) / planned_second_pull * grade_per_ounce


@tables.line("Middlings per ton", "mass/ton")
def middlings(planned_middlings_pull, mass_per_ton):
    """Sulphides with locked gold."""
    return planned_middlings_pull * mass_per_ton


@tables.line("Middlings grade", "grade")
def middlings_grade(middlings_gold, planned_middlings_pull, grade_per_ounce):
    """Gold over mass."""
    return middlings_gold / planned_middlings_pull * grade_per_ounce


@tables.line("Tailings per ton", "ton/ton")
def tailings(planned_first_pull, planned_second_pull, planned_middlings_pull):
    """Mill feed less concentrates and middlings."""
    return 1 - planned_first_pull - planned_second_pull - planned_middlings_pull


@water.line("Make-up water per ton", "volume/ton")
def make_up_water(water_per_ton, water_recovered):
    """Circulating water less water recycled."""
    return water_per_ton * (1 - water_recovered)


@water.line("Circulating water flow", "volume/hour")
def water_flow(water_per_ton, feed_rate):
    """While the mill runs."""
    return water_per_ton * feed_rate


@furnace.line("Concentrate melted per month", "mass/month")
def melted_mass(first_concentrate, second_concentrate, dressing_ratio, tons_per_month):
    """Full working month, after dressing."""
    return (first_concentrate + second_concentrate) * dressing_ratio * tons_per_month


@furnace.line("Concentrate per melt", "mass")
def melt_size(melted_mass, shipments_per_month):
    """After dressing; at most the furnace charge capacity, if entered."""
    return melted_mass / np.maximum(shipments_per_month, 1)
