"""Jaw crusher, bin, feeder and belts."""

import numpy as np

from ....trade import crushing
from ...line import Section

crusher = Section("Plant", "Jaw crusher")
conveying = Section("Plant", "Ore bin, feeder and belts")


@crusher.line("Crusher capacity at the mill's feed size", "ton/hour")
def crusher_rate(crusher_capacity, crusher_p80, feed_f80):
    """A finer setting passes less; a coarser one no more than entered."""
    return crushing.crusher_capacity_at_product(crusher_capacity, crusher_p80, feed_f80)


@crusher.line("Crusher capacity per day", "ton/day")
def crusher_daily(crusher_rate, crusher_hours):
    """In the crushing hours, stops already left out."""
    return crusher_rate * crusher_hours


@conveying.line("Belt capacity per day", "ton/day")
def belt_daily(belt_capacity, crusher_hours):
    """The belts run with the crusher."""
    return belt_capacity * crusher_hours


@conveying.line("Ore crushed per day", "ton/day")
def crushed_daily(crusher_daily, belt_daily):
    """The most that crusher and belts put into the bin."""
    return np.minimum(crusher_daily, belt_daily)


@conveying.line("Feeder capacity per day", "ton/day")
def feeder_daily(feeder_capacity, running_hours_per_day):
    """The feeder runs with the mill."""
    return feeder_capacity * running_hours_per_day
