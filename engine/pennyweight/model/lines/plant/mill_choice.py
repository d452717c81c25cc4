"""Mills side by side, and the grind that earns most in an hour."""

import numpy as np

from ....formulas import lookup
from ....trade import recovery, sizes
from ...axes import Axis
from ...line import Section

mills = Section("Mills", "Mills to compare")
compared = Section("Mills", "The plan with each of them")
grind = Section("Mills", "Grind choice")
grinds = Section("Mills", "The plan at each grind")
passing = Section("Mills", "Passing at each grind, for size data")

GRIND = Axis(
    "grind",
    "Share of the planned size",
    "share",
    (0.4, 0.6, 0.8, 1.0, 1.3, 1.6, 2.0, 2.6),
)

MEASURED = {"pace_factor": "pace_factor"}
"""What was measured on the plan's own mill and grind is carried over to the others."""

mills.entries(
    "choice_kind",
    "choice_diameter",
    "choice_length",
    "choice_filling",
    "choice_speed",
    "choice_motor",
    "choice_hammer_capacity",
    "choice_capital",
)

compared.copies(
    "choice",
    {
        "mill_kind": "choice_kind",
        "mill_diameter": "choice_diameter",
        "mill_length": "choice_length",
        "ball_filling": "choice_filling",
        "mill_speed": "choice_speed",
        "mill_motor": "choice_motor",
        "hammer_capacity": "choice_hammer_capacity",
        "mill_capital": "choice_capital",
        **MEASURED,
    },
    (
        "speed_share",
        "ball_charge",
        "grinding_energy",
        "mill_power_drawn",
        "mill_motor_load",
        "mill_capacity",
        "feed_rate",
        "tons_per_year",
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


@grinds.line("Size of the product, P80", "um", over="grind")
def grind_p80(product_p80, grind, feed_f80, smallest_reduction):
    """The planned size times the share above; finer than the feed."""
    return np.minimum(product_p80 * grind, feed_f80 / smallest_reduction)


@grinds.line("Size modulus", "um", over="grind")
def grind_modulus(grind_p80, grind_exponent):
    """Of the Gaudin-Schuhmann distribution."""
    return sizes.gaudin_schuhmann_modulus(grind_p80, grind_exponent)


@passing.line("Passing", "share", over=("screen", "grind"))
def grind_passing(screen_opening, grind_modulus, grind_exponent):
    """Finer than the opening beside, at the grind above."""
    return sizes.gaudin_schuhmann_passing(screen_opening, grind_modulus, grind_exponent)


@grinds.line("Response of the tables", over="grind")
def grind_response(
    grind_model,
    grind_p80,
    liberation_size,
    liberation_slope,
    slime_slope,
    grind_passing,
    screen_step,
):
    """By liberation, or by the lot's recovery in each screen fraction."""
    freed = recovery.table_response(
        grind_p80, liberation_size, liberation_slope, slime_slope
    )
    by_size = np.sum(grind_passing * screen_step, axis=0)
    return np.where(grind_model == "size data", by_size, freed)


@grind.line("Response at the planned grind")
def planned_response(everything, grind, grind_response):
    """What the others are measured against."""
    return lookup(everything, grind, grind_response)


@grinds.line("Recovery", "share", over="grind")
def grind_recovery(
    planned_recovery, grind_response, planned_response, highest_recovery
):
    """The planned one, moved with the response, up to the ceiling."""
    moved = planned_recovery * grind_response / planned_response
    ceiling = np.maximum(highest_recovery, planned_recovery)
    return np.minimum(moved, ceiling)


grinds.copies(
    "grind",
    {"product_p80": "grind_p80", "planned_recovery": "grind_recovery", **MEASURED},
    (
        "grinding_energy",
        "mill_capacity",
        "feed_rate",
        "cost_per_ton",
        "net_return_per_ton",
        "margin_per_ton",
        "margin_per_hour",
    ),
)


@grind.line("Best margin of a running hour", "$/hour")
def best_margin_per_hour(grind_margin_per_hour):
    """Of the grinds tried."""
    return np.max(grind_margin_per_hour, axis=0)


@grind.line("At a product size, P80, of", "um")
def best_grind(best_margin_per_hour, grind_margin_per_hour, grind_p80):
    """The grind that earns most in an hour of the mill."""
    return lookup(best_margin_per_hour, grind_margin_per_hour, grind_p80)
