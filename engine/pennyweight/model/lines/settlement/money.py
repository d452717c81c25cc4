"""Settlement of the lot milled: metal, charges, and the balance due."""

import numpy as np

from ....formulas import lookup
from ....trade import bullion as metals
from ....trade import contracts, settlement
from ...line import Section
from ..cash.revenue import sold_on, with_base_metal
from ..contract.lot import (
    DEDUCTED,
    SCHEDULE,
    bought,
    by_products_of,
    custom_penalties,
    metal_value,
    payable,
    purchase_ounce_price,
    purchase_paid,
    unpaid,
)
from ..contract.sides import contract_charge, mill_metal, rated_charge

money = Section("Contract", "Settlement: payment")

TERMS = (
    # line, label, unit, term of the contract types, note
    ("per_ton", "Tonnage charge", "$/ton", "terms_per_ton", "Per dry ton."),
    (
        *("per_hour", "Hourly charge", "$/hour", "terms_per_hour"),
        "Per mill hour of the lot.",
    ),
    (
        *("share", "Mill's share of bullion", "share", "terms_share"),
        "Of its gold and silver.",
    ),
    ("purchase", "Ore purchase", "-", "terms_purchase", "By contract type."),
    (
        *("lot_charge", "Lot charges", "$", "contract_lot_charge"),
        "Set-up, clean-up, assays and melting.",
    ),
    ("on_cost", "Cost-plus charge", "-", "terms_on_cost", "By contract type."),
    ("markup", "Markup on cost", "share", "terms_markup", "By contract type."),
)
for term, label, unit, read, note in TERMS:
    money.line(
        f"{label}, agreed contract",
        unit,
        name=f"agreed_{term}",
        reads=("contract_kind", "contract", read),
        note=note,
    )(lookup)


money.line(
    "Refining charge used, settlement",
    "$/oz",
    name="settle_refining",
    reads=(
        "refining_charge",
        "base_metal_charge",
        "fine",
        "settle_fineness",
        "settle_silver_fineness",
    ),
    note="Per ounce of gold, base metal of the lot's bullion included.",
)(with_base_metal)


@money.line("Net price per ounce in bullion", "$/oz")
def settle_ounce_net(settle_price, bullion_payable, settle_refining):
    """After refining, without silver."""
    return metals.net_gold_price(settle_price, bullion_payable, settle_refining)


@money.line("Refiner's payment", "$")
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


@money.line("Mill's share of the payment", "$")
def settle_shared(settle_proceeds, agreed_share):
    """By contract type."""
    return settle_proceeds * agreed_share


for label, product in (("middlings", "middlings"), ("tailings", "tails")):
    money.line(
        f"Settlement {label} revenue",
        "$",
        name=f"settle_{product}_sold",
        reads=(f"settle_{product}", f"{product}_payable", "settle_price"),
        note="Zero without a buyer.",
    )(sold_on)


money.line(
    "By-product revenue of the owner",
    "$",
    name="settle_extras",
    reads=(
        *("cleanup_owner", "middlings_owner", "tails_owner"),
        *("settle_cleanup", "settle_ounce_net"),
        *("settle_middlings_sold", "settle_tails_sold"),
    ),
)(by_products_of("owner"))


money.line(
    "Settlement payable share",
    "share",
    name="settle_payable",
    reads=("settle_assay", *SCHEDULE),
    note="By the payable schedule.",
)(payable)


money.line(
    "Settlement gold paid for",
    "oz/ton",
    name="settle_bought",
    reads=("settle_assay", "settle_payable", *DEDUCTED),
    note="Ore purchase: after deductions, at the payable share.",
)(bought)
money.line(
    "Settlement price paid per ounce",
    "$/oz",
    name="settle_paid_price",
    reads=("settle_price", "purchase_price_deduction"),
    note="Ore purchase: less the price deduction.",
)(purchase_ounce_price)
money.line(
    "Settlement ore price",
    "$",
    name="settle_ore_price",
    reads=("settle_tons", "settle_bought", "settle_paid_price", "purchase_treatment"),
    note="Ore purchase only; on the settlement assay.",
)(purchase_paid)

money.line(
    "Settlement penalties",
    "$",
    name="settle_penalties",
    reads=(
        "settle_tons",
        "settle_wet_tons",
        "settle_work_index",
        "allowed_work_index",
        "hardness_rate",
        "settle_clay",
        "allowed_clay",
        "clay_rate",
        "settle_sulphides",
        "allowed_sulphides",
        "sulphide_rate",
        "settle_moisture",
        "allowed_moisture",
        "moisture_rate",
    ),
    note="Hardness, clay, sulphides and moisture, as measured.",
)(custom_penalties)


def at_cost_plus(
    agreed_on_cost,
    cost,
    agreed_markup,
    signed_hour_rate,
    signed,
    cents,
    rounded_up,
    one,
):
    """Cost plus only; markup included. As signed, where the hourly rate is entered;
    else in whole cents for one unit, so that the rate printed is the one applied."""
    steps = cents * one
    charge = contracts.cost_plus(cost, agreed_markup)
    charge = np.floor(charge * steps + rounded_up) / steps
    charge = np.where(signed_hour_rate > 0, signed, charge)
    return np.where(agreed_on_cost == "yes", charge, 0)


def laboratory_at_cost_plus(*terms):
    """Per lot."""
    return at_cost_plus(*terms, 1)


COST_PLUS = (
    # line, label, unit, cost, as signed, one unit
    (
        *("ton", "Cost-plus rate per ton", "$/ton"),
        *("milling_ton_rate", "signed_ton_rate", "one_ton"),
    ),
    (
        *("hour", "Cost-plus rate per mill hour", "$/hour"),
        *("milling_hour_rate", "signed_hour_rate", "one_hour"),
    ),
    (
        *("laboratory", "Cost-plus laboratory charge", "$"),
        *("lot_assay_fee", "signed_laboratory"),
    ),
)
for part, label, unit, cost, signed, *one in COST_PLUS:
    terms = ("agreed_on_cost", cost, "agreed_markup", "signed_hour_rate", signed)
    money.line(
        label,
        unit,
        name=f"agreed_cost_{part}",
        reads=(*terms, "cents", "rounded_up", *one),
        note="Cost plus only; markup included; in whole cents.",
    )(at_cost_plus if one else laboratory_at_cost_plus)


@money.line("Settlement cost-plus charges", "$")
def settle_cost_charge(
    settle_tons, settle_hours, agreed_cost_ton, agreed_cost_hour, agreed_cost_laboratory
):
    """Zero except for cost plus."""
    by_ton, by_hour = settle_tons * agreed_cost_ton, settle_hours * agreed_cost_hour
    return by_ton + by_hour + agreed_cost_laboratory


money.line(
    "Settlement milling charge at the rates",
    "$",
    name="settle_rated",
    reads=(
        *("settle_tons", "settle_hours", "settle_cost_charge"),
        *("agreed_per_ton", "agreed_per_hour", "agreed_lot_charge", "least_lot_tons"),
    ),
)(rated_charge)
money.line(
    "Settlement milling charge",
    "$",
    name="settle_charge",
    reads=("settle_rated", "least_lot_charge"),
)(contract_charge)


@money.line("Settlement escalation", "$")
def settle_escalation(settle_charge, escalation_share, settle_index, escalation_base):
    """Share of the milling charge, by the change of the index."""
    return settle_charge * escalation_share * (settle_index / escalation_base - 1)


@money.line("Owner's metal or ore price", "$")
def settle_metal(
    agreed_purchase, settle_ore_price, settle_proceeds, settle_shared, settle_extras
):
    """By contract type."""
    kept = settle_proceeds - settle_shared + settle_extras
    return np.where(agreed_purchase == "yes", settle_ore_price, kept)


@money.line("Shipment, owner", "$")
def settle_shipment(agreed_purchase, shipment_cost):
    """Zero under ore purchase."""
    return np.where(agreed_purchase == "yes", 0, shipment_cost)


@money.line("Balance due to the owner", "$")
def settle_net(
    settle_metal,
    settle_charge,
    settle_escalation,
    settle_penalties,
    settle_shipment,
    settle_umpire_fee,
    deposit,
    settle_advances,
    settle_provisional,
):
    """After deposit, advances and provisional payment; negative: owed by the owner."""
    charges = settle_charge + settle_escalation + settle_penalties
    charges = charges + settle_shipment + settle_umpire_fee
    before = settle_advances + settle_provisional
    return settlement.net_to_owner(settle_metal, charges, deposit, before)


@money.line("Payable on a provisional balance", "$")
def provisional_due(settle_net, provisional_share):
    """Share of a balance due to the owner; nothing if the owner owes."""
    return np.maximum(settle_net, 0) * provisional_share


@money.line("Late interest per day", "$/day")
def settle_late_interest(settle_net, late_rate, interest_days):
    """Simple interest on the balance due, by a year of 365 days."""
    return np.abs(settle_net) * late_rate / interest_days


@money.line("Balance due")
def settle_words(settle_net):
    """Payable by the mill or by the owner."""
    owed = np.where(settle_net < 0, "the owner owes the mill", "nothing is owed")
    return np.where(settle_net > 0, "the mill pays the owner", owed)


@money.line("Gold produced, settlement", "oz")
def settle_melted(settle_bullion_gold, settle_cleanup):
    """Bullion and clean-up."""
    return settle_bullion_gold + settle_cleanup


money.line(
    "Settlement metal value",
    "$",
    name="settle_value",
    reads=(
        "settle_melted",
        "settle_price",
        "settle_bullion_silver",
        "silver_price",
        "settle_middlings_sold",
        "settle_tails_sold",
    ),
    note="At the settlement price; by-products as sold.",
)(metal_value)


@money.line("Mill, owner and third parties", "$")
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
    settle_melted,
    settle_price,
    bullion_payable,
    settle_refining,
    settle_bullion_silver,
    silver_price,
    silver_payable,
    settle_middlings_sold,
    settle_tails_sold,
):
    """Before deposit and advances; charges cancel out."""
    others = settle_cleanup * settle_ounce_net
    others = others + settle_middlings_sold + settle_tails_sold
    mill = mill_metal(
        agreed_purchase,
        settle_proceeds + others,
        shipment_cost,
        settle_ore_price,
        settle_shared,
        others - settle_extras,
    )
    kept = unpaid(
        settle_melted,
        settle_price,
        bullion_payable,
        settle_refining,
        settle_bullion_silver,
        silver_price,
        silver_payable,
    )
    owner = settle_metal - settle_shipment
    return mill + owner + kept + shipment_cost
