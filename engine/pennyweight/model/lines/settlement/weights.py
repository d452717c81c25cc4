"""Settlement of the lot milled: weights, assays and gold balance."""

import numpy as np

from ....trade import assay_exchange
from ....trade import bullion as metals
from ...line import Section
from .cents import in_cents

lot = Section("Contract", "Settlement: weights and assays")
balance = Section("Contract", "Settlement: gold balance")


@lot.line("Lot settled")
def settled_lot(settle_lot):
    """Name or number of the lot."""
    return settle_lot


@lot.line("Settlement dry weight", "ton")
def settle_tons(settle_wet_tons, settle_moisture):
    """Basis of payment and charges."""
    return settle_wet_tons * (1 - settle_moisture)


ASSAYS = (
    "settle_mill_assay",
    "settle_owner_assay",
    "split_limit",
    "settle_umpire_assay",
)


def by_rule(rule):
    """Function for one rule."""

    def settled(mill, owner, limit, umpire):
        return assay_exchange.settled_assay(mill, owner, limit, umpire, rule)

    return settled


RULES = (
    # words, line
    ("middle of three", "settle_by_middle"),
    ("mean with the nearest", "settle_by_nearest"),
    ("the umpire's alone", "settle_by_umpire"),
)
for words, name in RULES:
    lot.line(
        f"Settlement assay, {words}",
        "grade",
        name=name,
        reads=ASSAYS,
        note="Mean of both assays if within the splitting limit.",
    )(by_rule(name.removeprefix("settle_by_")))


@lot.line("Settlement assay", "grade")
def settle_assay(
    settle_owner_assay,
    settle_how,
    settle_mill_assay,
    umpire_rule,
    settle_by_middle,
    settle_by_nearest,
    settle_by_umpire,
    assay_steps,
    rounded_up,
):
    """By the rule above, rounded; the mill's where it is the only one."""
    others = np.where(umpire_rule == "nearest", settle_by_nearest, settle_by_umpire)
    ruled = np.where(umpire_rule == "middle", settle_by_middle, others)
    settled = np.logical_and(settle_owner_assay > 0, settle_how != NO_UMPIRE)
    assay = np.where(settled, ruled, settle_mill_assay)
    return np.floor(assay * assay_steps + rounded_up) / assay_steps


@lot.line("Owner's assay due", "day")
def owner_assay_due(assay_days):
    """Days after weighing; later the mill's assay is final. 0: no deadline."""
    return assay_days


@lot.line("Settlement assay basis")
def settle_how(settle_mill_assay, settle_owner_assay, split_limit, settle_umpire_assay):
    """Rule that gave the settlement assay."""
    apart = assay_exchange.too_far_apart(
        settle_mill_assay, settle_owner_assay, split_limit
    )
    umpire = np.where(settle_umpire_assay > 0, UMPIRE, NO_UMPIRE)
    both = np.where(apart, umpire, "the mean of both assays")
    return np.where(settle_owner_assay > 0, both, MILL_ALONE)


UMPIRE = "the umpire's rule"
MILL_ALONE = "the mill's assay alone"
NO_UMPIRE = "too far apart: an umpire is needed"


@lot.line("Owner's share of the umpire fee", "share")
def settle_umpire_share(
    settle_owner_assay, settle_mill_assay, split_limit, settle_umpire_assay
):
    """The party farther from the umpire pays."""
    return assay_exchange.umpire_share(
        settle_owner_assay, settle_mill_assay, split_limit, settle_umpire_assay
    )


@lot.line("Umpire fee, owner", "$")
@in_cents
def settle_umpire_fee(
    settle_owner_assay, settle_umpire_assay, settle_umpire_share, umpire_fee
):
    """Zero without an umpire."""
    called = np.logical_and(settle_owner_assay > 0, settle_umpire_assay > 0)
    return np.where(called, settle_umpire_share * umpire_fee, 0)


@balance.line("Gold fed", "oz")
def settle_gold_fed(settle_tons, settle_assay, grade_per_ounce):
    """Dry weight times settlement assay."""
    return settle_tons * settle_assay / grade_per_ounce


@balance.line("Gold in settled bullion", "oz")
def settle_bullion_gold(settle_melt_mass, settle_fineness, settle_melt_loss):
    """Weight after the melt loss x fineness / 1,000, in troy ounces of 31.1034768 g."""
    return metals.metal_received(settle_melt_mass, settle_fineness, settle_melt_loss)


@balance.line("Silver in settled bullion", "oz")
def settle_bullion_silver(settle_melt_mass, settle_silver_fineness, settle_melt_loss):
    """As the gold, by its own fineness."""
    return metals.metal_received(
        settle_melt_mass, settle_silver_fineness, settle_melt_loss
    )


@balance.line("Gold in settled tailings", "oz")
def settle_tails(settle_tons, tailings, settle_tails_grade, grade_per_ounce):
    """Dry weight less concentrates and middlings, as planned, times tailings assay."""
    return settle_tons * tailings * settle_tails_grade / grade_per_ounce


@balance.line("Gold found", "oz")
def settle_found(
    settle_bullion_gold, settle_tails, settle_middlings, settle_slag, settle_cleanup
):
    """Bullion, tailings, middlings, slag and clean-up."""
    products = settle_bullion_gold + settle_tails + settle_middlings
    return products + settle_slag + settle_cleanup


@balance.line("Gold balance difference", "share")
def settle_gap(settle_gold_fed, settle_found):
    """Gold found over gold fed, less one; below zero: gold is missing."""
    known = np.logical_and(settle_gold_fed > 0, settle_found > 0)
    return np.where(known, settle_found / settle_gold_fed - 1, np.nan)


WITHIN = "within the tolerance"


@balance.line("Gold balance")
def settle_balance(settle_found, settle_gap, gap_band):
    """Difference against the tolerance."""
    outside = np.where(settle_gap > 0, "more gold than fed", "gold is missing")
    within = np.abs(settle_gap) <= gap_band
    told = np.where(within, WITHIN, outside)
    return np.where(settle_found > 0, told, "no gold entered")


@balance.line("Gold missing", "oz")
def settle_missing(settle_balance, settle_gold_fed, settle_found):
    """Gold fed less gold found; zero within the tolerance."""
    missing = np.maximum(settle_gold_fed - settle_found, 0)
    return np.where(settle_balance == WITHIN, 0, missing)
