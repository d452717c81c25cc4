"""The test lot: what the tables caught, what the rock must have carried."""

import numpy as np

from ....trade import head, units
from ...line import Section

lot = Section("Test lot", "The lot")
balance = Section("Test lot", "Gold of the lot")
answer = Section("Test lot", "What the rock carried")
screens = Section("Test lot", "Gold by screen fraction")

screens.entries(
    "screen_opening",
    "screen_caught_gold",
    "screen_tails_share",
    "screen_tails_grade",
)


@lot.line("Dry weight of the lot", "ton")
def lot_dry_tons(lot_wet_mass, lot_moisture, mass_per_ton):
    """What the assays speak of."""
    return lot_wet_mass * (1 - lot_moisture) / mass_per_ton


@lot.line("Concentrates and middlings", "ton")
def lot_product_tons(lot_first_mass, lot_second_mass, lot_middlings_mass, mass_per_ton):
    """Taken out by the tables."""
    return (lot_first_mass + lot_second_mass + lot_middlings_mass) / mass_per_ton


@lot.line("Tailings", "ton")
def lot_tailings_tons(lot_dry_tons, lot_product_tons):
    """All the rest."""
    return lot_dry_tons - lot_product_tons


@lot.line("Fractions of the tailings together", "share")
def lot_tails_shares(screen_tails_share):
    """Of their mass; 100 % when every fraction was weighed."""
    return np.sum(screen_tails_share, axis=0)


@balance.line("Fine gold in the button", "g")
def lot_button_gold(lot_button_mass, lot_button_fineness):
    """Weight times fineness."""
    return units.fine_gold(lot_button_mass, lot_button_fineness)


@balance.line("Gold caught", "g")
def lot_caught(lot_button_gold, lot_slag_gold, lot_hold_up):
    """Button, slag, and what was swept from riffles and mill."""
    return lot_button_gold + lot_slag_gold + lot_hold_up


@balance.line("Gold in the middlings", "g")
def lot_middlings_gold(
    lot_middlings_mass,
    lot_middlings_grade,
    mass_per_ton,
    grade_per_ounce,
    grams_per_ounce,
):
    """Mass times assay."""
    ounces = lot_middlings_mass / mass_per_ton * lot_middlings_grade / grade_per_ounce
    return ounces * grams_per_ounce


@balance.line("Gold in the tailings", "g")
def lot_tailings_gold(screen_tails_gold):
    """Sum of the fractions."""
    return np.sum(screen_tails_gold, axis=0)


@balance.line("Assay of the tailings", "grade")
def lot_tailings_grade(
    lot_tailings_gold, lot_tailings_tons, grade_per_ounce, grams_per_ounce
):
    """Fractions by their mass."""
    return lot_tailings_gold / grams_per_ounce * grade_per_ounce / lot_tailings_tons


@balance.line("Gold weighed on the screens", "g")
def lot_screened(screen_caught_gold):
    """Sum of the fractions."""
    return np.sum(screen_caught_gold, axis=0)


@balance.line("Gap between screens and melt", "share")
def lot_screen_gap(lot_screened, lot_button_gold, lot_slag_gold):
    """As a share of the gold in button and slag; none without any."""
    melted = lot_button_gold + lot_slag_gold
    return np.where(melted > 0, np.abs(lot_screened - melted) / melted, np.nan)


@answer.line("Calculated head", "grade")
def lot_head(
    lot_caught,
    lot_middlings_gold,
    lot_tailings_tons,
    lot_tailings_grade,
    lot_dry_tons,
    grade_per_ounce,
    grams_per_ounce,
):
    """All gold found, over the tons milled: what the rock really carried."""
    found = (lot_caught + lot_middlings_gold) / grams_per_ounce * grade_per_ounce
    return head.calculated_head(
        found, lot_tailings_tons, lot_tailings_grade, lot_dry_tons
    )


@answer.line("Call factor")
def lot_call_factor(lot_assay_head, lot_head):
    """Gold found over gold assayed."""
    return head.mill_call_factor(lot_assay_head, lot_head)


@answer.line("Assay of the feed over calculated head")
def lot_assay_factor(lot_call_factor):
    """Above 1 the assays promised more than the rock carried."""
    return np.where(lot_call_factor > 0, 1 / lot_call_factor, np.nan)


@answer.line("Gold found in the lot", "g")
def lot_gold(lot_caught, lot_middlings_gold, lot_tailings_gold):
    """In all products."""
    return lot_caught + lot_middlings_gold + lot_tailings_gold


@answer.line("Recovery of the lot", "share")
def lot_recovery(lot_caught, lot_gold):
    """Gold caught by the tables, of the gold found; 0 where none was."""
    return np.where(lot_gold > 0, lot_caught / lot_gold, 0)


@answer.line("The same, from the screens", "share")
def lot_recovery_by_size(lot_screened, lot_tailings_gold):
    """All fractions together; middlings left out."""
    found = lot_screened + lot_tailings_gold
    return np.where(found > 0, lot_screened / found, np.nan)


@screens.line("Gold in the tailings", "g", over="screen")
def screen_tails_gold(
    screen_tails_share,
    screen_tails_grade,
    lot_tails_shares,
    lot_tailings_tons,
    grade_per_ounce,
    grams_per_ounce,
):
    """Mass of the fraction times its assay."""
    share = np.where(lot_tails_shares > 0, screen_tails_share / lot_tails_shares, 0)
    tons = lot_tailings_tons * share
    return tons * screen_tails_grade / grade_per_ounce * grams_per_ounce


@screens.line("Gold in the fraction", "g", over="screen")
def screen_gold(screen_caught_gold, screen_tails_gold):
    """Caught, and lost to the tailings."""
    return screen_caught_gold + screen_tails_gold


@screens.line("Recovery", "share", over="screen")
def screen_recovery(screen_caught_gold, screen_gold):
    """Of the fraction; 0 where it holds no gold."""
    return np.where(screen_gold > 0, screen_caught_gold / screen_gold, 0)


@screens.line("Recovery, handed on", "share", over="screen")
def closing_screen(screen_recovery):
    """For the row below."""
    return screen_recovery


@screens.line("Change of recovery", "share", over="screen")
def screen_step(screen_recovery, opening_screen):
    """Against the coarser fraction above."""
    return screen_recovery - opening_screen
