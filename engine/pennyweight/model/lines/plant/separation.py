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
def table_daily(table_count, table_rate, hours_per_day, passes):
    """Working day without stops, all tables; with reground middlings."""
    return table_count * table_rate * hours_per_day / passes


@water.line("Classifier capacity per day", "ton/day")
def classifier_daily(classifier_capacity, hours_per_day):
    """Tailings dewatered on a working day without stops."""
    return classifier_capacity * hours_per_day


@water.line("Water capacity per day", "ton/day")
def water_daily(water_supply, make_up_water, crusher_daily):
    """By make-up water; crusher's capacity if water is not the limit."""
    limits = np.logical_and(water_supply > 0, make_up_water > 0)
    return np.where(limits, water_supply / make_up_water, crusher_daily)


@tables.line("First concentrate per ton", "mass/ton")
def first_concentrate(first_pull, mass_per_ton):
    """Mass pull of the first concentrate."""
    return first_pull * mass_per_ton


@tables.line("First concentrate grade", "grade")
def first_grade(caught_gold, first_share, first_pull, grade_per_ounce):
    """Gold over mass."""
    return caught_gold * first_share / first_pull * grade_per_ounce


@tables.line("Second concentrate per ton", "mass/ton")
def second_concentrate(second_pull, mass_per_ton):
    """Mass pull of the second concentrate."""
    return second_pull * mass_per_ton


@tables.line("Second concentrate grade", "grade")
def second_grade(caught_gold, first_share, second_pull, grade_per_ounce):
    """Gold over mass."""
    return caught_gold * (1 - first_share) / second_pull * grade_per_ounce


@tables.line("Middlings per ton", "mass/ton")
def middlings(middlings_pull, mass_per_ton):
    """Sulphides with locked gold."""
    return middlings_pull * mass_per_ton


@tables.line("Middlings grade", "grade")
def middlings_grade(middlings_gold, middlings_pull, grade_per_ounce):
    """Gold over mass."""
    return middlings_gold / middlings_pull * grade_per_ounce


@tables.line("Tailings per ton", "ton/ton")
def tailings(first_pull, second_pull, middlings_pull):
    """Mill feed less concentrates and middlings."""
    return 1 - first_pull - second_pull - middlings_pull


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
    """After dressing; at most the furnace charge capacity."""
    return melted_mass / np.maximum(shipments_per_month, 1)
