"""Settling the lot as milled: weights, assays, metal, charges, what is owed."""

import numpy as np

from ...formulas import lookup
from ...trade import bullion as metals
from ...trade import contracts, exchange, settlement
from ..line import Section
from .contract import bought, custom_penalties

lot = Section("Contract", "Lot to settle: weights and assays")
balance = Section("Contract", "Lot to settle: gold balance")
money = Section("Contract", "Lot to settle: money")

TERMS = (
    ("per_ton", "$/ton", "Charge by the ton, as agreed"),
    ("per_hour", "$/hour", "Charge by the hour, as agreed"),
    ("share", "share", "Mill's share, as agreed"),
)


def as_agreed(contract_kind, contract, term):
    """Of the kind agreed."""
    return lookup(contract_kind, contract, term)


for term, unit, label in TERMS:
    money.line(
        label,
        unit,
        name=f"agreed_{term}",
        reads=("contract_kind", "contract", f"terms_{term}"),
    )(as_agreed)
money.line(
    "The mill buys the ore",
    name="agreed_purchase",
    reads=("contract_kind", "contract", "terms_purchase"),
)(as_agreed)
money.line(
    "Charged by the lot, as agreed",
    "$",
    name="agreed_lot_charge",
    reads=("contract_kind", "contract", "contract_lot_charge"),
)(as_agreed)
money.line(
    "Charged on the mill's cost, as agreed",
    "$",
    name="agreed_cost_charge",
    reads=("contract_kind", "contract", "contract_cost_charge"),
)(as_agreed)


@lot.line("Lot")
def settled_lot(settle_lot):
    """Name of the lot."""
    return settle_lot


@lot.line("Dry weight", "ton")
def settle_tons(settle_wet_tons, settle_moisture):
    """What is paid and charged for."""
    return settle_wet_tons * (1 - settle_moisture)


ASSAYS = (
    "settle_mill_assay",
    "settle_owner_assay",
    "split_limit",
    "settle_umpire_assay",
)


def by_rule(rule):
    """The function of one rule."""

    def settled(ours, theirs, limit, umpire):
        return exchange.settled_assay(ours, theirs, limit, umpire, rule)

    return settled


for rule, words in (
    ("middle", "middle of three"),
    ("nearest", "mean with the nearest"),
    ("umpire", "the umpire's alone"),
):
    lot.line(
        f"Assay, {words}",
        "grade",
        name=f"settle_by_{rule}",
        reads=ASSAYS,
        note="The mean of both within the limit.",
    )(by_rule(rule))


@lot.line("Assay settled on", "grade")
def settle_assay(
    settle_owner_assay,
    settle_how,
    settle_mill_assay,
    umpire_rule,
    settle_by_middle,
    settle_by_nearest,
    settle_by_umpire,
):
    """By the rule agreed; the mill's where the owner has none or an umpire is due."""
    others = np.where(umpire_rule == "nearest", settle_by_nearest, settle_by_umpire)
    ruled = np.where(umpire_rule == "middle", settle_by_middle, others)
    settled = np.logical_and(settle_owner_assay > 0, settle_how != NO_UMPIRE)
    return np.where(settled, ruled, settle_mill_assay)


@lot.line("How")
def settle_how(settle_mill_assay, settle_owner_assay, split_limit, settle_umpire_assay):
    """What the assay settled on rests on."""
    apart = np.abs(settle_mill_assay - settle_owner_assay) > split_limit
    umpire = np.where(settle_umpire_assay > 0, UMPIRE, NO_UMPIRE)
    both = np.where(apart, umpire, "the mean of both assays")
    return np.where(
        settle_owner_assay > 0, both, "the mill's assay: the owner has none"
    )


UMPIRE = "the umpire decides"
NO_UMPIRE = "too far apart: an umpire is needed"


@lot.line("Owner's part of the umpire's fee", "share")
def settle_umpire_share(
    settle_owner_assay, settle_mill_assay, split_limit, settle_umpire_assay
):
    """The party farther from the umpire pays, once there is one."""
    return exchange.umpire_share(
        settle_owner_assay, settle_mill_assay, split_limit, settle_umpire_assay
    )


@lot.line("Umpire's fee that the owner bears", "$")
def settle_umpire_fee(
    settle_owner_assay, settle_umpire_assay, settle_umpire_share, umpire_fee
):
    """None without an umpire."""
    called = np.logical_and(settle_owner_assay > 0, settle_umpire_assay > 0)
    return np.where(called, settle_umpire_share * umpire_fee, 0)


@balance.line("Gold fed", "oz")
def settle_gold_fed(settle_tons, settle_assay, grade_per_ounce):
    """By the assay settled on."""
    return settle_tons * settle_assay / grade_per_ounce


@balance.line("Gold in the bullion", "oz")
def settle_bullion_gold(settle_melt_mass, settle_fineness, settle_melt_loss):
    """After the refiner's melt."""
    return metals.metal_received(settle_melt_mass, settle_fineness, settle_melt_loss)


@balance.line("Silver in the bullion", "oz")
def settle_bullion_silver(settle_melt_mass, settle_silver_fineness, settle_melt_loss):
    """After the refiner's melt."""
    return metals.metal_received(
        settle_melt_mass, settle_silver_fineness, settle_melt_loss
    )


@balance.line("Gold in the tailings", "oz")
def settle_tails(settle_tons, settle_tails_grade, grade_per_ounce):
    """By their assay."""
    return settle_tons * settle_tails_grade / grade_per_ounce


@balance.line("Gold found", "oz")
def settle_found(
    settle_bullion_gold, settle_tails, settle_middlings, settle_slag, settle_cleanup
):
    """In bullion, tailings, middlings, slag and clean-up."""
    products = settle_bullion_gold + settle_tails + settle_middlings
    return products + settle_slag + settle_cleanup


@balance.line("Found more than fed", "share")
def settle_gap(settle_gold_fed, settle_found):
    """Call factor less one; below zero gold is missing."""
    return settlement.gold_gap(settle_gold_fed, settle_found)


@balance.line("Gold balance")
def settle_balance(settle_gap, gap_band):
    """Against the band agreed."""
    outside = np.where(settle_gap > 0, "more gold than fed", "gold is missing")
    return np.where(np.abs(settle_gap) > gap_band, outside, "within the band agreed")


@money.line("Brought by an ounce in the bullion", "$/oz")
def settle_ounce_net(settle_price, bullion_payable, refining_charge):
    """After the refiner, without silver."""
    return metals.net_gold_price(settle_price, bullion_payable, refining_charge)


@money.line("Paid by the refiner", "$")
def settle_proceeds(
    settle_bullion_gold,
    settle_ounce_net,
    settle_bullion_silver,
    silver_price,
    silver_payable,
):
    """Gold and silver, before the shipment."""
    silver = settle_bullion_silver * silver_price * silver_payable
    return settle_bullion_gold * settle_ounce_net + silver


@money.line("Mill's share of it", "$")
def settle_shared(settle_proceeds, agreed_share):
    """By the kind agreed."""
    return settle_proceeds * agreed_share


@money.line("Clean-up gold paid to the owner", "$")
def settle_extras(cleanup_owner, settle_cleanup, settle_ounce_net):
    """Where it is the owner's."""
    return np.where(cleanup_owner == "owner", settle_cleanup * settle_ounce_net, 0)


@money.line("Price of the ore", "$")
def settle_ore_price(
    settle_tons,
    settle_assay,
    purchase_low_grade,
    purchase_high_grade,
    purchase_low_payable,
    purchase_high_payable,
    purchase_deduction,
    grade_per_ounce,
    settle_price,
    purchase_price_deduction,
    nothing,
    purchase_treatment,
):
    """Where the mill buys it: on the assay settled on."""
    gold = bought(
        settle_assay,
        purchase_low_grade,
        purchase_high_grade,
        purchase_low_payable,
        purchase_high_payable,
        purchase_deduction,
        grade_per_ounce,
    )
    price = settle_price * (1 - purchase_price_deduction)
    return settle_tons * contracts.purchase_price(gold, price, 0, purchase_treatment)


money.line(
    "Penalties",
    "$",
    name="settle_penalties",
    reads=(
        "settle_tons",
        "settle_wet_tons",
        "custom_work_index",
        "allowed_work_index",
        "hardness_rate",
        "custom_clay",
        "allowed_clay",
        "clay_rate",
        "custom_sulphides",
        "allowed_sulphides",
        "sulphide_rate",
        "settle_moisture",
        "allowed_moisture",
        "moisture_rate",
    ),
    note="For hard, sticky, wet ore and sulphides.",
)(custom_penalties)


@money.line("Charged on the mill's cost", "$")
def settle_cost_charge(agreed_cost_charge, settle_tons, custom_tons):
    """For the tons milled; none unless the kind is cost plus."""
    return agreed_cost_charge * settle_tons / custom_tons


@money.line("Milling charge", "$")
def settle_charge(
    settle_tons,
    settle_hours,
    settle_cost_charge,
    agreed_per_ton,
    agreed_per_hour,
    agreed_lot_charge,
    least_lot_tons,
):
    """By the ton, by the hour, on cost and by the lot, as the kind says."""
    return contracts.milling_charge(
        settle_tons,
        settle_hours,
        settle_cost_charge,
        agreed_per_ton,
        agreed_per_hour,
        agreed_lot_charge,
        least_lot_tons,
    )


@money.line("Owner's metal, or price of the ore", "$")
def settle_metal(
    agreed_purchase, settle_ore_price, settle_proceeds, settle_shared, settle_extras
):
    """By the kind agreed."""
    kept = settle_proceeds - settle_shared + settle_extras
    return np.where(agreed_purchase == "yes", settle_ore_price, kept)


@money.line("Shipment", "$")
def settle_shipment(agreed_purchase, shipment_cost):
    """Borne by the owner unless the mill buys the ore."""
    return np.where(agreed_purchase == "yes", 0, shipment_cost)


@money.line("Net to the owner", "$")
def settle_net(
    settle_metal,
    settle_charge,
    settle_penalties,
    settle_shipment,
    settle_umpire_fee,
    deposit,
    settle_advances,
):
    """After deposit and advances; below zero the owner owes it."""
    charges = settle_charge + settle_penalties + settle_shipment + settle_umpire_fee
    return settlement.net_to_owner(settle_metal, charges, deposit, settle_advances)


@money.line("In words")
def settle_words(settle_net):
    """Never by a sign alone."""
    owed = np.where(settle_net < 0, "the owner owes the mill", "nothing is owed")
    return np.where(settle_net > 0, "the mill pays the owner", owed)


@money.line("Value of the metal", "$")
def settle_value(
    settle_bullion_gold,
    settle_cleanup,
    settle_price,
    settle_bullion_silver,
    silver_price,
):
    """Bullion and clean-up at the price of the day."""
    gold = settle_bullion_gold + settle_cleanup
    return gold * settle_price + settle_bullion_silver * silver_price


@money.line("Mill, owner and third parties together", "$")
def settle_shared_out(
    agreed_purchase,
    settle_proceeds,
    settle_cleanup,
    settle_ounce_net,
    shipment_cost,
    settle_ore_price,
    settle_shared,
    settle_extras,
    settle_metal,
    settle_shipment,
    settle_bullion_gold,
    settle_price,
    bullion_payable,
    refining_charge,
    settle_bullion_silver,
    silver_price,
    silver_payable,
):
    """All of it, before deposit and advances; charges go from one to the other."""
    cleanup = settle_cleanup * settle_ounce_net
    dealer = settle_proceeds + cleanup - shipment_cost - settle_ore_price
    milled = settle_shared + cleanup - settle_extras
    mill = np.where(agreed_purchase == "yes", dealer, milled)
    gold = settle_bullion_gold + settle_cleanup
    unpaid = gold * (settle_price * (1 - bullion_payable) + refining_charge)
    silver = settle_bullion_silver * silver_price * (1 - silver_payable)
    owner = settle_metal - settle_shipment
    return mill + owner + unpaid + silver + shipment_cost
