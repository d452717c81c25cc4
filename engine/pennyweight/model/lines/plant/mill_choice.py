"""Comparison of mills, and grinds with the highest margin per hour and per ton."""

import numpy as np

from ....formulas import lookup
from ...axes import Axis
from ...line import Section

mills = Section("Mills", "Mills to compare")
held = Section("Mills", "What the comparison holds")
compared = Section("Mills", "Plan with each mill")
grind = Section("Mills", "Best grind")
grinds = Section("Mills", "Plan at each grind")

GRIND = Axis(
    "grind",
    "Share of the planned size",
    "share",
    (0.4, 0.6, 0.8, 1.0, 1.3, 1.6, 2.0, 2.6),
)

mills.entries(
    "choice_kind",
    "choice_count",
    "choice_diameter",
    "choice_length",
    "choice_filling",
    "choice_speed",
    "choice_motor",
    "choice_hammer_capacity",
    "choice_capital",
)


@held.line("Energy in the comparison")
def energy_compared(energy_source):
    """A bill says nothing of another mill."""
    held = "held at the bill of the plan's mill"
    return np.where(energy_source == "bill", held, "calculated for each mill")


@held.line("Wear parts in the comparison")
def consumables_compared(consumables_source):
    """Purchases say nothing of another mill."""
    held = "held at the purchases of the plan's mill"
    return np.where(consumables_source == "bought", held, "calculated for each mill")


@held.line("Maintenance and other fixed cost in the comparison")
def fixed_cost_compared(fixed_cost_source):
    """One figure says nothing of another mill's price."""
    held = "held at the one figure entered"
    return np.where(fixed_cost_source == "one figure", held, "by each mill's price")


@held.line("Capital in the comparison")
def capital_compared(capital_source):
    """One figure says nothing of another mill's price."""
    held = "held at the one figure entered"
    return np.where(capital_source == "one figure", held, "by each mill's price")


@compared.line("Measured over calculated feed rate", "share", over="choice")
def choice_pace_factor(choice_kind, mill_kind, pace_factor):
    """As measured on the plan's mill; 1 for a mill of the other type."""
    return np.where(choice_kind == mill_kind, pace_factor, 1)


compared.copies(
    "choice",
    {
        "mill_kind": "choice_kind",
        "mill_count": "choice_count",
        "mill_diameter": "choice_diameter",
        "mill_length": "choice_length",
        "ball_filling": "choice_filling",
        "mill_speed": "choice_speed",
        "mill_motor": "choice_motor",
        "hammer_capacity": "choice_hammer_capacity",
        "mill_capital": "choice_capital",
        "pace_factor": "choice_pace_factor",
    },
    (
        "speed_share",
        "diameter_shortfall",
        "ball_charge",
        "bond_ball_size",
        "grinding_energy",
        "mill_power_drawn",
        "mill_motor_load",
        "mill_capacity",
        "required_rate",
        "mill_verdict",
        "feed_rate",
        "tons_per_year",
        "ball_wear_rate",
        "ball_charge_hours",
        "ball_life",
        "cost_of_balls_per_ton",
        "cost_of_liners_per_ton",
        "cost_of_hammers_per_ton",
        "cost_of_energy_per_ton",
        "cost_per_ton",
        "margin_per_ton",
        "margin_per_hour",
    ),
)


@grinds.line("Product size tested, P80", "um", over="grind")
def grind_p80(product_p80, grind, feed_f80, smallest_reduction):
    """Planned size times the share above; finer than the feed."""
    return np.minimum(product_p80 * grind, feed_f80 / smallest_reduction)


grinds.copies(
    "grind",
    {"product_p80": "grind_p80"},
    (
        "planned_recovery",
        "grinding_energy",
        "mill_capacity",
        "feed_rate",
        "cost_per_ton",
        "net_return_per_ton",
        "margin_per_ton",
        "margin_per_hour",
    ),
)


@grind.line("Highest operating margin per running hour", "$/hour")
def best_margin_per_hour(grind_margin_per_hour):
    """Of the grinds tested."""
    return np.max(grind_margin_per_hour, axis=0)


@grinds.line("Shortfall from the highest margin, rounded down", "$/hour", over="grind")
def grind_margin_forgone(best_margin_per_hour, grind_margin_per_hour, exchange_rate):
    """Zero for the best grinds; below one US dollar per hour counts as equal."""
    below = best_margin_per_hour - grind_margin_per_hour
    return np.floor(below / exchange_rate) * exchange_rate


@grind.line("Best product size per running hour, P80", "um")
def best_grind(grind_margin_forgone, grind_p80):
    """If mill hours are short and ore is not; finest of equal grinds."""
    least = np.min(grind_margin_forgone, axis=0)
    return lookup(least, grind_margin_forgone, grind_p80)


@grind.line("Recovery at that product size per hour")
def best_grind_basis(best_grind, measured_p80, farthest_grind):
    """Far from the measured grind it is a guess."""
    apart = np.maximum(best_grind / measured_p80, measured_p80 / best_grind)
    far = apart > farthest_grind
    return np.where(far, "far from the measured grind: mill a lot there", "estimated")


@grind.line("Highest operating margin per ton", "$/ton")
def best_margin_per_ton(grind_margin_per_ton):
    """Of the grinds tested."""
    return np.max(grind_margin_per_ton, axis=0)


@grinds.line("US cents per ton below the highest margin, rounded down", over="grind")
def grind_cents_forgone(
    best_margin_per_ton, grind_margin_per_ton, cents, one_ton, exchange_rate
):
    """Zero for the best grinds; below one cent per ton counts as equal."""
    below = best_margin_per_ton - grind_margin_per_ton
    return np.floor(below * (cents * one_ton) / exchange_rate)


@grind.line("Best product size per ton, P80", "um")
def best_grind_per_ton(grind_cents_forgone, grind_p80):
    """If ore is limited, as on a claim; finest of equal grinds."""
    least = np.min(grind_cents_forgone, axis=0)
    return lookup(least, grind_cents_forgone, grind_p80)


grind.line(
    "Recovery at that product size per ton",
    name="best_grind_per_ton_basis",
    reads=("best_grind_per_ton", "measured_p80", "farthest_grind"),
)(best_grind_basis)
