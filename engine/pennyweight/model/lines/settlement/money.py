"""Settlement of the lot milled: metal, charges, and the balance due.

Each amount is in whole cents, so that what is printed adds up as it is printed.
"""

import numpy as np

from ....formulas import lookup
from ....trade import contracts, settlement
from ...inputs import INPUTS
from ...line import Section
from ..cash.revenue import refining_used, sold_on
from ..contract.charges import billed_tons
from ..contract.lot import (
    SCHEDULE,
    custom_cleanup_owned,
    custom_cleanup_sold,
    custom_ounce_net,
    custom_value,
    owner_extras,
    payable,
    purchase_gold,
    purchase_ounce_price,
    purchase_paid,
    unpaid,
)
from ..contract.sides import (
    at_whole_cents,
    contract_charge,
    cost_charge,
    mill_metal,
    rated_charge,
)
from .cents import in_cents

money = Section("Contract", "Settlement: payment")

SETTLED = {
    # line or input of an expected lot: that of the lot as milled
    "gold_price": "settle_price",
    "custom_gold": "settle_gold_fed",
    "custom_grade": "settle_assay",
    "custom_silver": "settle_bullion_silver",
    "bullion_fineness": "settle_fineness",
    "silver_fineness": "settle_silver_fineness",
    "refining_used": "settle_refining",
    "purchase_gold": "settle_bought",
    "purchase_ounce_price": "settle_paid_price",
    "purchase_paid": "settle_ore_price",
    "billed_tons": "settle_billed",
    "rated_charge": "settle_rated",
    "contract_charge": "settle_charge",
    "contract_cost_charge": "settle_cost_charge",
    "contract_lot_charge": "agreed_lot_charge",
    "terms_per_ton": "agreed_per_ton",
    "terms_per_hour": "agreed_per_hour",
}


def settled(name):
    """Name in the settlement of a line or input of an expected lot."""
    return SETTLED.get(name, name.replace("custom_", "settle_"))


def settle(label, unit, **options):
    """Enter the decorated function of an expected lot as a line of the settlement."""
    return money.line(label, unit, rename=settled, **options)


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


settle(
    "Refining charge used, settlement",
    "$/oz",
    note="Per ounce of gold, base metal of the lot's bullion included.",
)(refining_used)


settle(
    "Net price per ounce in bullion",
    "$/oz",
    note="Gold price x gold payable after insurance - refining; without silver.",
)(custom_ounce_net)


@money.line("Value of the gold by the terms", "$")
@in_cents
def settle_gold_value(settle_bullion_gold, settle_ounce_net):
    """Gold in the bullion x net price, before the shipment."""
    return settle_bullion_gold * settle_ounce_net


@money.line("Value of the silver by the terms", "$")
@in_cents
def settle_silver_value(settle_bullion_silver, silver_price, silver_payable):
    """Silver in the bullion x its price x silver payable."""
    return settle_bullion_silver * silver_price * silver_payable


@money.line("Value of the bullion by the terms", "$")
def settle_proceeds(settle_gold_value, settle_silver_value):
    """Gold and silver, before the shipment; whatever the refiner pays."""
    return settle_gold_value + settle_silver_value


@money.line("Mill's share of the bullion's value", "$")
@in_cents
def settle_shared(settle_proceeds, agreed_share):
    """By contract type."""
    return settle_proceeds * agreed_share


for label, product in (("middlings", "middlings"), ("tailings", "tails")):
    money.line(
        f"Settlement {label} revenue",
        "$",
        name=f"settle_{product}_sold",
        reads=(
            *(f"settle_{product}", f"{product}_payable", "settle_price"),
            *("cents", "rounded_up"),
        ),
        note="Zero without a buyer.",
    )(in_cents(sold_on))


settle("Settlement clean-up gold of the owner", "oz")(custom_cleanup_owned)
settle("Settlement clean-up gold revenue", "$")(in_cents(custom_cleanup_sold))
settle("By-product revenue of the owner", "$", name="settle_extras")(owner_extras)


money.line(
    "Settlement payable share",
    "share",
    name="settle_payable",
    reads=("settle_assay", *SCHEDULE),
    note="By the payable schedule.",
)(payable)


settle(
    "Settlement gold paid for",
    "oz/ton",
    note="Ore purchase: after deductions, at the payable share.",
)(purchase_gold)
settle(
    "Settlement price paid per ounce",
    "$/oz",
    note="Ore purchase: less the price deduction.",
)(purchase_ounce_price)
settle("Settlement ore price", "$", note="Ore purchase only; on the settlement assay.")(
    in_cents(purchase_paid)
)
PENALTIES = {
    # measured and allowed: rate, weight
    "work_index": ("hardness_rate", "settle_tons"),
    "clay": ("clay_rate", "settle_tons"),
    "sulphides": ("sulphide_rate", "settle_tons"),
    "moisture": ("moisture_rate", "settle_wet_tons"),
}
for measured, (rate, tons) in PENALTIES.items():
    label = INPUTS[rate].label
    money.line(
        f"Settlement {label[0].lower()}{label[1:]}, amount",
        "$",
        name=f"settle_{measured}_penalty",
        reads=(
            *(tons, f"settle_{measured}", f"allowed_{measured}", rate),
            *("cents", "rounded_up"),
        ),
        note="As measured.",
    )(in_cents(contracts.penalty))
money.total(
    "settle_penalties",
    "Settlement penalties",
    "$",
    tuple(f"settle_{measured}_penalty" for measured in PENALTIES),
    note="Hardness, clay, sulphides and moisture, as measured.",
)


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
    """Cost-plus rate with markup: as signed if the hourly rate is entered, else in
    whole cents per unit, so that the rate printed is the rate applied."""
    charge = at_whole_cents(cost, agreed_markup, cents, rounded_up, one)
    charge = np.where(signed_hour_rate > 0, signed, charge)
    return np.where(agreed_on_cost == "yes", charge, 0)


def laboratory_at_cost_plus(*terms):
    """Per lot."""
    return at_cost_plus(*terms, 1)


COST_PLUS = (
    # line, label, unit, cost, as signed, one unit
    (
        *("ton", "Cost-plus rate per ton", "$/ton"),
        *("custom_ore_milling_ton_rate", "signed_ton_rate", "one_ton"),
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


money.line(
    "Settlement cost-plus charges",
    "$",
    name="settle_cost_charge",
    reads=(
        *("settle_tons", "settle_hours", *(f"agreed_cost_{p}" for p, *_ in COST_PLUS)),
        *("cents", "rounded_up"),
    ),
    note="Zero except for cost plus.",
)(in_cents(cost_charge))
settle("Settlement billed weight", "ton")(billed_tons)
settle("Settlement milling charge at the rates", "$")(in_cents(rated_charge))
settle("Settlement milling charge", "$")(in_cents(contract_charge))


@money.line("Settlement escalation", "$")
@in_cents
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


@money.line("Payment for missing gold", "$")
@in_cents
def settle_made_good_paid(agreed_purchase, settle_made_good, settle_ounce_net):
    """Missing gold that the mill makes good, at the net price of gold in bullion."""
    return np.where(agreed_purchase == "yes", 0, settle_made_good * settle_ounce_net)


@money.line("Shipment, owner", "$")
@in_cents
def settle_shipment(agreed_purchase, shipment_cost):
    """Zero under ore purchase."""
    return np.where(agreed_purchase == "yes", 0, shipment_cost)


@money.line("Balance due to the owner", "$")
@in_cents
def settle_net(
    settle_metal,
    settle_made_good_paid,
    settle_charge,
    settle_escalation,
    settle_penalties,
    settle_shipment,
    settle_umpire_fee,
    settle_deposit,
    settle_advances,
    settle_provisional,
):
    """After deposit, advances and provisional payment; negative: owed by the owner."""
    charges = settle_charge + settle_escalation + settle_penalties
    charges = charges + settle_shipment + settle_umpire_fee
    before = settle_advances + settle_provisional
    metal = settle_metal + settle_made_good_paid
    return settlement.net_to_owner(metal, charges, settle_deposit, before)


@money.line("Payable on a provisional balance", "$")
@in_cents
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


settle(
    "Settlement metal value",
    "$",
    note="At the settlement price; by-products as sold.",
)(custom_value)


@money.line("Mill, owner and third parties", "$")
def settle_shared_out(
    agreed_purchase,
    settle_proceeds,
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
    settle_cleanup,
    settle_ounce_net,
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


@money.line("Metal value not shared out, settlement", "$")
def settle_unshared(settle_shared_out, settle_value):
    """Cents that rounding leaves; more would be an error."""
    return np.abs(settle_shared_out - settle_value)
