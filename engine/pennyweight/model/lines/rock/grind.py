"""Recovery at the planned grind, by gold grain size, liberation and table capture.

The calculation is anchored on the recovery measured at a measured grind, so that only
the difference from there to the planned grind is an estimate.
"""

import numpy as np

from ....trade import gravity, quantiles
from ...axes import SCREEN, Axis
from ...inputs import families
from ...line import Section

recovery = Section("Return per ton", "Recovery at the planned grind")
anchor = Section("Return per ton", "Recovery at the measured grind")
grains = Section("Test lot", "Gold by grain size, without screens")
screens = Section("Test lot", "Gold by grain size, from the screens")

GRAIN = Axis(
    "grain",
    "Gold in finer grains",
    "share",
    tuple((place + 0.5) / 10 for place in range(10)),
    down=True,
)
ANCHOR = Axis("anchor", "Grind", "-", ("measured",))


@grains.line("Normal score of the grain", over="grain")
def grain_score(grain):
    """Standard deviations of the logarithm from the median."""
    return quantiles.normal_quantile(grain)


@grains.line("Grain size", "um", over="grain")
def grain_size(gold_size, gold_size_spread, grain_score):
    """Lognormal by weight; each row stands for a tenth of the gold."""
    return gold_size * gold_size_spread**grain_score


screens.gather(
    "screen_retained",
    "Retained on",
    "um",
    "screen",
    (*families()["screen_opening"][1 : len(SCREEN)], "pan_size"),
    note="Next passing size; 0 in the last row.",
)
screens.gather(
    "screen_next_share",
    "Tailings mass fraction, next screen",
    "-",
    "screen",
    (*families()["screen_tails_share"][1 : len(SCREEN)], "below_pan"),
    note="0 in the last row.",
)


@screens.line("Grain size, gold recovered", "um", over="screen")
def screen_grain_size(screen_opening, screen_retained, last_fraction):
    """Middle of the fraction, geometric; half its upper size if it has no lower."""
    ends = np.logical_and(screen_retained > 0, screen_retained < screen_opening)
    middle = np.sqrt(screen_opening * screen_retained)
    return np.where(ends, middle, screen_opening / last_fraction)


@screens.line("Grain size, gold in tailings", "um", over="screen")
def screen_lost_size(screen_grain_size, particle_over_lost_grain):
    """A third: particles with coarser gold are heavy enough for the tables."""
    return screen_grain_size / particle_over_lost_grain


@recovery.line("Measured recovery", "share")
def measured_recovery(recovery_source, gravity_recovery, lot_recovery):
    """Entered or from the test lot, as chosen."""
    return np.where(recovery_source == "entered", gravity_recovery, lot_recovery)


@recovery.line("Gold freed and caught, by the estimated grain sizes", "share")
def grain_response(
    grain_size,
    product_p80,
    liberation_ratio,
    gold_breakage,
    half_caught_size,
    grain_rows,
):
    """Mean over the grain sizes; not yet anchored at the measured recovery."""
    each = gravity.gravity_response(
        grain_size, product_p80, liberation_ratio, gold_breakage, half_caught_size
    )
    return np.sum(each, axis=0) / grain_rows


@recovery.line("Recovered gold, freed and caught again", "g")
def screen_caught_again(
    screen_caught_gold,
    screen_grain_size,
    product_p80,
    liberation_ratio,
    gold_breakage,
    half_caught_size,
):
    """By the screens; not yet anchored at the measured recovery."""
    each = gravity.gravity_response(
        screen_grain_size,
        product_p80,
        liberation_ratio,
        gold_breakage,
        half_caught_size,
    )
    return np.sum(screen_caught_gold * each, axis=0)


IN_TAILINGS = {
    "screen_caught_again": "screen_lost_caught",
    "screen_caught_gold": "screen_tails_gold",
    "screen_grain_size": "screen_lost_size",
}
recovery.line(
    "Gold in tailings, freed and caught",
    "g",
    rename=lambda name: IN_TAILINGS.get(name, name),
)(screen_caught_again)


@recovery.line("Gold found by the screens", "g")
def screen_all_gold(screen_gold):
    """Recovered, and in the tailings."""
    return np.sum(screen_gold, axis=0)


@recovery.line("Gold freed and caught", "share")
def response(
    grind_model,
    grain_response,
    screen_caught_again,
    screen_lost_caught,
    screen_all_gold,
    one_gram,
):
    """From the screens where chosen and there is gold on them."""
    found = np.where(screen_all_gold > 0, screen_all_gold, one_gram)
    by_screens = (screen_caught_again + screen_lost_caught) / found
    by_size = np.logical_and(grind_model == "size data", screen_all_gold > 0)
    return np.where(by_size, by_screens, grain_response)


@recovery.line("Gold freed and caught, measured grind", "share")
def measured_response(anchor_response):
    """The same at the measured grind."""
    return np.sum(anchor_response, axis=0)


@recovery.line("Table recovery at the planned grind", "share")
def table_recovery(measured_recovery, response, measured_response, highest_recovery):
    """Measured recovery, moved from the measured to the planned grind."""
    return gravity.recovery_at_grind(
        measured_recovery, response, measured_response, highest_recovery
    )


@recovery.line("Gravity-recoverable gold used", "share")
def recoverable_used(measured_recovery, highest_recovery):
    """Serves other grinds only: at the measured grind the recovery is the measured."""
    return gravity.raised_recoverable(measured_recovery, highest_recovery)


@recovery.line("Gravity-recoverable gold basis")
def recoverable_basis(recoverable_used, highest_recovery):
    """A measured recovery overrules what was entered or estimated."""
    return np.where(
        recoverable_used > highest_recovery,
        "raised: the measured recovery is above 95% of it",
        "as entered or estimated",
    )


@recovery.line("Measured gold to middlings", "share")
def measured_middlings(recovery_source, middlings_share, lot_middlings_gold, lot_gold):
    """From where the recovery is: entered, or of the test lot."""
    of_lot = np.where(lot_gold > 0, lot_middlings_gold / lot_gold, 0)
    return np.where(recovery_source == "entered", middlings_share, of_lot)


@recovery.line("Gold to middlings at the planned grind", "share")
def table_middlings(measured_middlings, table_recovery, measured_recovery):
    """Keeps its part of the gold that the tables do not catch."""
    left = np.where(measured_recovery < 1, 1 - measured_recovery, 1)
    return measured_middlings * (1 - table_recovery) / left


@recovery.line("Gravity recovery used", "share")
def planned_recovery(table_recovery, table_middlings, regrind_recovery):
    """With the middlings' gold that regrinding recovers."""
    return table_recovery + table_middlings * regrind_recovery


@recovery.line("Gold to middlings used", "share")
def planned_middlings(table_middlings, regrind_recovery):
    """What regrinding does not recover."""
    return table_middlings * (1 - regrind_recovery)


@anchor.line("Product size, P80", "um", over="anchor")
def anchor_p80(measured_p80, feed_f80, smallest_reduction):
    """Where the recovery was measured."""
    return np.minimum(measured_p80, feed_f80 / smallest_reduction)


anchor.copies("anchor", {"product_p80": "anchor_p80"}, ("response",))


@anchor.line("Grind, planned and measured: larger over smaller")
def grind_distance(product_p80, measured_p80):
    """Beyond 2 the recovery is a guess; mill another lot."""
    return np.maximum(product_p80 / measured_p80, measured_p80 / product_p80)
