"""Test lot: gold balance, calculated head grade and recovery."""

import numpy as np

from ....trade import head, quantiles, units
from ...line import Section

lot = Section("Test lot", "Test lot weights")
balance = Section("Test lot", "Test lot gold")
answer = Section("Test lot", "Grade and recovery")
trust = Section("Test lot", "Can the test lot be believed")
screens = Section("Test lot", "Gold by screen fraction")

screens.entries(
    "screen_opening",
    "screen_caught_gold",
    "screen_tails_share",
    "screen_tails_grade",
)


@lot.line("Test lot dry weight", "ton")
def lot_dry_tons(lot_wet_mass, lot_moisture, mass_per_ton):
    """Basis of the assays."""
    return lot_wet_mass * (1 - lot_moisture) / mass_per_ton


@lot.line("Test lot concentrates and middlings", "ton")
def lot_product_tons(lot_first_mass, lot_second_mass, lot_middlings_mass, mass_per_ton):
    """Dry weight."""
    return (lot_first_mass + lot_second_mass + lot_middlings_mass) / mass_per_ton


@lot.line("Test lot tailings weight", "ton")
def lot_tailings_tons(lot_dry_tons, lot_product_tons):
    """Dry feed less concentrates and middlings."""
    return lot_dry_tons - lot_product_tons


@lot.line("Tailings fractions, total", "share")
def lot_tails_shares(screen_tails_share):
    """100% if every fraction was weighed."""
    return np.sum(screen_tails_share, axis=0)


@balance.line("Fine gold in the button", "g")
def lot_button_gold(lot_button_mass, lot_button_fineness):
    """Weight times fineness."""
    return units.fine_gold(lot_button_mass, lot_button_fineness)


@balance.line("Gold in button, slag, riffles and mill", "g")
def lot_cleaned_up(lot_button_gold, lot_slag_gold, lot_hold_up):
    """At the clean-up, gold of the lot before included."""
    return lot_button_gold + lot_slag_gold + lot_hold_up


@balance.line("Test lot gold recovered", "g")
def lot_caught(lot_cleaned_up, lot_carried_in):
    """Less gold of the lot before."""
    return np.maximum(lot_cleaned_up - lot_carried_in, 0)


@balance.line("Test lot gold in middlings", "g")
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


@balance.line("Test lot gold in tailings", "g")
def lot_tailings_gold(screen_tails_gold):
    """Sum of the screen fractions."""
    return np.sum(screen_tails_gold, axis=0)


@balance.line("Test lot tailings grade", "grade")
def lot_tailings_grade(
    lot_tailings_gold, lot_tailings_tons, grade_per_ounce, grams_per_ounce
):
    """Mass-weighted mean of the fractions."""
    return lot_tailings_gold / grams_per_ounce * grade_per_ounce / lot_tailings_tons


@balance.line("Gold recovered, sum of fractions", "g")
def lot_screened(screen_caught_gold):
    """Weighed by screen size."""
    return np.sum(screen_caught_gold, axis=0)


@balance.line("Screen-to-melt gold difference", "share")
def lot_screen_gap(lot_screened, lot_button_gold, lot_slag_gold):
    """Share of the gold in button and slag; n/a if zero."""
    melted = lot_button_gold + lot_slag_gold
    return np.where(melted > 0, np.abs(lot_screened - melted) / melted, np.nan)


@answer.line("Calculated head grade", "grade")
def lot_head(
    lot_caught,
    lot_middlings_gold,
    lot_tailings_tons,
    lot_tailings_grade,
    lot_dry_tons,
    grade_per_ounce,
    grams_per_ounce,
):
    """All gold found over dry tons milled."""
    found = (lot_caught + lot_middlings_gold) / grams_per_ounce * grade_per_ounce
    return head.calculated_head(
        found, lot_tailings_tons, lot_tailings_grade, lot_dry_tons
    )


@answer.line("Call factor")
def lot_call_factor(lot_assay_head, lot_head, one_grade):
    """Gold found over gold assayed in the feed; n/a without a head assay."""
    assayed = np.where(lot_assay_head > 0, lot_assay_head, one_grade)
    found = head.mill_call_factor(assayed, lot_head)
    return np.where(lot_assay_head > 0, found, np.nan)


@answer.line("Head assay over calculated head")
def lot_assay_factor(lot_assay_head, lot_head):
    """Above 1: the assay was too high, or gold was lost or is still in the mill."""
    known = np.logical_and(lot_head > 0, lot_assay_head > 0)
    return np.where(known, lot_assay_head / lot_head, np.nan)


@answer.line("Gold found in the test lot", "g")
def lot_gold(lot_caught, lot_middlings_gold, lot_tailings_gold):
    """All products."""
    return lot_caught + lot_middlings_gold + lot_tailings_gold


@answer.line("Test lot gravity recovery", "share")
def lot_recovery(lot_caught, lot_gold):
    """Gold recovered over gold found; 0 if none was found."""
    return np.where(lot_gold > 0, lot_caught / lot_gold, 0)


@answer.line("Test lot recovery, button alone", "share")
def lot_button_recovery(lot_button_gold, lot_caught, lot_gold):
    """Without gold in slag, riffles and mill; 0 if none was found."""
    button = np.minimum(lot_button_gold, lot_caught)
    return np.where(lot_gold > 0, button / lot_gold, 0)


@answer.line("Gold found, relative standard error", "share")
def lot_gold_error(
    lot_assay_deviation, lot_gold, lot_middlings_gold, screen_tails_gold
):
    """By independent assays; weights are taken as exact."""
    # JCGM 100:2008 (GUM), equation 10: variances of independent parts of a sum add.
    tailings = np.sum(screen_tails_gold * screen_tails_gold, axis=0)
    assayed = lot_middlings_gold * lot_middlings_gold + tailings
    error = lot_assay_deviation * np.sqrt(assayed)
    return np.where(lot_gold > 0, error / lot_gold, 0)


@answer.line("Plus or minus, in standard errors")
def lot_score(sample_confidence):
    """Of a normal distribution, at the confidence level of Sampling."""
    return quantiles.normal_half_width(sample_confidence)


@answer.line("Calculated head grade, plus or minus", "grade")
def lot_head_margin(lot_head, lot_gold_error, lot_score, lot_assay_deviation):
    """From the scatter of its assays; n/a if none is entered."""
    margin = lot_head * lot_gold_error * lot_score
    return np.where(lot_assay_deviation > 0, margin, np.nan)


@answer.line("Head assay less calculated head, plus or minus", "grade")
def lot_heads_margin(
    lot_head, lot_gold_error, lot_assay_head, lot_assay_deviation, lot_score
):
    """From the scatter of all assays, the head's included; n/a if none is entered."""
    # JCGM 100:2008 (GUM), equation 10: variances of independent figures add.
    found, assayed = lot_head * lot_gold_error, lot_assay_head * lot_assay_deviation
    margin = lot_score * np.sqrt(found * found + assayed * assayed)
    return np.where(lot_assay_deviation > 0, margin, np.nan)


@answer.line("Test lot gravity recovery, plus or minus", "share")
def lot_recovery_margin(lot_recovery, lot_gold_error, lot_score, lot_assay_deviation):
    """From the same scatter; the gold recovered was weighed."""
    margin = lot_recovery * lot_gold_error * lot_score
    return np.where(lot_assay_deviation > 0, margin, np.nan)


@answer.line("Test lot recovery, from the screens", "share")
def lot_recovery_by_size(lot_screened, lot_tailings_gold):
    """All fractions; middlings excluded."""
    found = lot_screened + lot_tailings_gold
    return np.where(found > 0, lot_screened / found, np.nan)


@screens.line("Fraction gold in tailings", "g", over="screen")
def screen_tails_gold(
    screen_tails_share,
    screen_tails_grade,
    lot_tails_shares,
    lot_tailings_tons,
    grade_per_ounce,
    grams_per_ounce,
):
    """Mass times assay."""
    share = np.where(lot_tails_shares > 0, screen_tails_share / lot_tails_shares, 0)
    tons = lot_tailings_tons * share
    return tons * screen_tails_grade / grade_per_ounce * grams_per_ounce


@screens.line("Fraction gold, total", "g", over="screen")
def screen_gold(screen_caught_gold, screen_tails_gold):
    """Recovered, and in the tailings."""
    return screen_caught_gold + screen_tails_gold


@screens.line("Fraction recovery", "share", over="screen")
def screen_recovery(screen_caught_gold, screen_gold, lot_screened):
    """0 if the fraction has no gold; n/a if no gold caught was screened."""
    found = np.where(screen_gold > 0, screen_caught_gold / screen_gold, 0)
    return np.where(lot_screened > 0, found, np.nan)


RISES = "next screen is not finer"


@screens.line("Order of the screens", over="screen")
def screen_order(
    screen_opening, screen_retained, screen_tails_share, screen_next_share
):
    """Passing sizes fall from row to row; rows without mass do not count."""
    weighed = np.logical_and(screen_tails_share > 0, screen_next_share > 0)
    rises = np.logical_and(weighed, screen_retained >= screen_opening)
    return np.where(rises, RISES, "in order")


@trust.line("The plan uses the test lot", "count")
def lot_used(job, grade_source, recovery_source):
    """1 if grade or recovery come from it, or the workbook is for it."""
    of_lot = np.logical_or(grade_source == "test lot", recovery_source == "test lot")
    return np.where(np.logical_or(of_lot, job == "test"), 1, 0)


@trust.line("Tailings fractions, gap to 100%", "share")
def lot_tails_gap(lot_tails_shares):
    """The fractions are weighed as parts of their sum; weigh what is missing."""
    return np.where(lot_tails_shares > 0, np.abs(lot_tails_shares - 1), 0)


@trust.line("Gold found over gold fed")
def lot_gold_excess(lot_assay_head, lot_head, one_grade):
    """By the head assay; 0 without one."""
    assayed = np.where(lot_assay_head > 0, lot_assay_head, one_grade)
    return np.where(lot_assay_head > 0, lot_head / assayed, 0)


@trust.line("Gold fed over gold found")
def lot_gold_shortage(lot_gold_excess):
    """By the head assay; 0 without one, or without gold."""
    return np.where(lot_gold_excess > 0, 1 / lot_gold_excess, 0)


@trust.line("Screens out of order", "count")
def lot_screens_rising(screen_order):
    """Enter the screens from coarse to fine; the table below marks the row."""
    return np.sum((screen_order == RISES) * 1, axis=0)


@trust.line("Screened fractions with gold and tailings", "count")
def lot_fractions(screen_caught_gold, screen_tails_share):
    """Each needs an assay of its tailings."""
    golden = (screen_caught_gold > 0) * 1
    return np.sum(golden * (screen_tails_share > 0), axis=0)


@trust.line("Fractions of these with a tailings assay", "count")
def lot_fractions_assayed(screen_caught_gold, screen_tails_share, screen_tails_grade):
    """An empty assay counts as zero: all gold would be recovered."""
    golden = (screen_caught_gold > 0) * 1
    weighed = golden * (screen_tails_share > 0)
    return np.sum(weighed * (screen_tails_grade > 0), axis=0)


@trust.line("Screen-to-melt difference of gold weighed both ways", "share")
def lot_gap_weighed(lot_screened, lot_button_gold, lot_slag_gold, lot_screen_gap):
    """0 unless gold was weighed on the screens and melted."""
    melted = lot_button_gold + lot_slag_gold > 0
    return np.where(np.logical_and(lot_screened > 0, melted), lot_screen_gap, 0)


@trust.line("Grade of the concentrates melted", "grade")
def lot_concentrate_grade(
    lot_button_gold,
    lot_slag_gold,
    lot_first_mass,
    lot_second_mass,
    mass_per_ton,
    grams_per_ounce,
    grade_per_ounce,
):
    """Gold in button and slag over first and second concentrate; 0 if not weighed."""
    weighed = lot_first_mass + lot_second_mass
    gold = (lot_button_gold + lot_slag_gold) / grams_per_ounce * grade_per_ounce
    return np.where(weighed > 0, gold * mass_per_ton / weighed, 0)


SOUND = "no contradiction"


@trust.line("State of its screens")
def lot_screens_state(lot_screens_rising, lot_gap_weighed, widest_screen_gap):
    """Weigh or enter again what is named."""
    gap = lot_gap_weighed > widest_screen_gap
    screens = np.where(gap, "screens and button differ", SOUND)
    rising = lot_screens_rising > 0
    return np.where(rising, "screens not from coarse to fine", screens)


@trust.line("State of its weights")
def lot_weights_state(
    lot_tails_gap,
    tails_gap,
    lot_fractions,
    lot_fractions_assayed,
    lot_screens_state,
):
    """Of its tailings, or if they are sound, of its screens."""
    missing = lot_fractions > lot_fractions_assayed
    tails = np.where(missing, "a tailings assay is missing", lot_screens_state)
    return np.where(lot_tails_gap > tails_gap, "tailings fractions incomplete", tails)


@trust.line("State of its gold")
def lot_gold_state(
    lot_gold_excess,
    lot_gold_shortage,
    highest_call,
    lot_concentrate_grade,
    metal_grade,
):
    """Weigh and assay again what is named."""
    less = lot_gold_shortage > highest_call
    short = np.where(less, "less gold found than fed", SOUND)
    more = lot_gold_excess > highest_call
    gold = np.where(more, "more gold found than fed", short)
    rich = lot_concentrate_grade > metal_grade
    return np.where(rich, "concentrate richer than metal", gold)


@trust.line("State of the test lot")
def lot_state(lot_weights_state, lot_gold_state):
    """Of its weights, or if they are sound, of its gold."""
    return np.where(lot_weights_state == SOUND, lot_gold_state, lot_weights_state)
