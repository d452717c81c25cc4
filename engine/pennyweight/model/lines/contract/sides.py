"""Milling contract types compared: results of mill and owner."""

import numpy as np

from ....formulas import lookup
from ....trade import contracts
from ...line import Section
from .lot import owner_extras

agreed = Section("Contract", "Agreed contract")
terms = Section("Contract", "Contract types: terms")
steps = Section("Contract", "Ore purchase: payable share by grade steps")
lot_sides = Section("Contract", "Mill and owner, $ per lot")
mill_sides = Section("Contract", "Mill's result per ton, hour and season")
season_sides = Section("Contract", "Mill and owner, $ per season")


@agreed.line("Agreed contract type")
def agreed_kind(contract_kind):
    """As chosen; every type is compared below."""
    return contract_kind


terms.entries(
    "terms_per_ton",
    "terms_per_hour",
    "terms_on_cost",
    "terms_markup",
    "terms_share",
    "terms_purchase",
    "terms_lot_charged",
)
steps.entries("step_from", "step_paid")


@lot_sides.line("Lot charges", "$", over="contract")
def contract_lot_charge(terms_lot_charged, set_up_charge, assay_charge):
    """Set-up, clean-up, assays and melting."""
    return np.where(terms_lot_charged == "yes", set_up_charge + assay_charge, 0)


def at_whole_cents(cost, markup, cents, rounded_up, one=1):
    """Cost plus a percentage, in whole cents per unit: the rate to sign."""
    steps = cents * one
    return np.floor(contracts.cost_plus(cost, markup) * steps + rounded_up) / steps


def cost_charge(tons, hours, ton_rate, hour_rate, laboratory):
    """Charge for a lot at cost-plus rates."""
    return tons * ton_rate + hours * hour_rate + laboratory


@lot_sides.line("Cost-plus charges, at rates to sign", "$", over="contract")
def contract_cost_rated(
    terms_markup,
    custom_tons,
    custom_hours,
    custom_ore_milling_ton_rate,
    milling_hour_rate,
    lot_assay_fee,
    cents,
    rounded_up,
    one_ton,
    one_hour,
    signed_ton_rate,
    signed_hour_rate,
    signed_laboratory,
):
    """Rates in whole cents, markup included; those signed, if they are entered."""
    to_cents = (terms_markup, cents, rounded_up)
    rated = cost_charge(
        custom_tons,
        custom_hours,
        at_whole_cents(custom_ore_milling_ton_rate, *to_cents, one_ton),
        at_whole_cents(milling_hour_rate, *to_cents, one_hour),
        at_whole_cents(lot_assay_fee, *to_cents),
    )
    signed = (signed_ton_rate, signed_hour_rate, signed_laboratory)
    as_signed = cost_charge(custom_tons, custom_hours, *signed)
    return np.where(signed_hour_rate > 0, as_signed, rated)


@lot_sides.line("Cost-plus charges", "$", over="contract")
def contract_cost_charge(
    contract,
    contract_kind,
    terms_on_cost,
    contract_cost_rated,
    milling_cost,
    terms_markup,
):
    """Agreed type: at the rates to sign. Others: mill's cost plus markup."""
    by_cost = contracts.cost_plus(milling_cost, terms_markup)
    charge = np.where(contract == contract_kind, contract_cost_rated, by_cost)
    return np.where(terms_on_cost == "yes", charge, 0)


@lot_sides.line("Milling charge at the rates", "$", over="contract")
def rated_charge(
    custom_tons,
    custom_hours,
    contract_cost_charge,
    terms_per_ton,
    terms_per_hour,
    contract_lot_charge,
    least_lot_tons,
):
    """By weight, by hour, on cost and by lot, per contract type."""
    return contracts.milling_charge(
        custom_tons,
        custom_hours,
        contract_cost_charge,
        terms_per_ton,
        terms_per_hour,
        contract_lot_charge,
        least_lot_tons,
    )


@lot_sides.line("Milling charge", "$", over="contract")
def contract_charge(rated_charge, least_lot_charge):
    """At the rates; at least the minimum per lot, if one is charged."""
    return contracts.with_minimum(rated_charge, least_lot_charge)


@lot_sides.line("Mill's share of bullion", "$", over="contract")
def contract_shared(terms_purchase, custom_bullion, terms_share, bullion_ounce_net):
    """Of gold and silver in the lot's bullion, after refining."""
    shared = contracts.shared_metal(custom_bullion, terms_share, bullion_ounce_net)
    return np.where(terms_purchase == "yes", 0, shared)


@lot_sides.line("Metal revenue, mill", "$", over="contract")
def mill_metal(
    terms_purchase,
    custom_proceeds,
    shipment_cost,
    purchase_paid,
    contract_shared,
    mill_extras,
):
    """Share and by-products; ore purchase: all metal less the ore price."""
    margin = custom_proceeds - shipment_cost - purchase_paid
    return np.where(terms_purchase == "yes", margin, contract_shared + mill_extras)


@lot_sides.line("Metal revenue, owner", "$", over="contract")
def owner_metal(
    terms_purchase,
    purchase_paid,
    custom_bullion,
    bullion_ounce_net,
    contract_shared,
    custom_cleanup_sold,
    middlings_owner,
    custom_middlings_sold,
    tails_owner,
    custom_tails_sold,
    shipment_cost,
):
    """Remaining metal less shipment; ore purchase: the ore price."""
    others = owner_extras(
        custom_cleanup_sold,
        middlings_owner,
        custom_middlings_sold,
        tails_owner,
        custom_tails_sold,
    )
    kept = custom_bullion * bullion_ounce_net - contract_shared + others
    return np.where(terms_purchase == "yes", purchase_paid, kept - shipment_cost)


@lot_sides.line("Mill's income", "$", over="contract")
def mill_income(contract_charge, custom_penalties, mill_metal):
    """Charges, penalties and metal."""
    return contract_charge + custom_penalties + mill_metal


@lot_sides.line("Mill's income at the rates", "$", over="contract")
def rated_income(mill_income, contract_charge, rated_charge):
    """Without the minimum charge per lot; basis of the charges needed."""
    return mill_income - (contract_charge - rated_charge)


@lot_sides.line("Mill's cost", "$", over="contract")
def contract_milling_cost(milling_cost):
    """Same for every contract type."""
    return milling_cost


@lot_sides.line("Mill's margin", "$", over="contract")
def mill_margin(mill_income, milling_cost):
    """Income less cost."""
    return mill_income - milling_cost


@lot_sides.line("Net to the owner", "$", over="contract")
def owner_net(owner_metal, contract_charge, custom_penalties):
    """Metal less charges and penalties; negative: payable by the owner."""
    return owner_metal - contract_charge - custom_penalties


@lot_sides.line("Owner's margin", "$", over="contract")
def owner_margin(owner_net, owner_ton_cost, custom_tons):
    """After mining and haulage."""
    return owner_net - owner_ton_cost * custom_tons


@lot_sides.line("Unallocated metal value", "$", over="contract")
def contract_gap(custom_value, mill_income, owner_net, custom_third_parties):
    """Metal value less mill, owner and third parties; must be zero."""
    return np.abs(custom_value - mill_income - owner_net - custom_third_parties)


@mill_sides.line("Mill's income per ton", "$/ton", over="contract")
def mill_income_per_ton(mill_income, custom_tons):
    """Dry tons of the lot."""
    return mill_income / custom_tons


@mill_sides.line("Mill's income per hour", "$/hour", over="contract")
def mill_income_per_hour(mill_income, custom_hours):
    """Set-up hours included."""
    return mill_income / custom_hours


@mill_sides.line("Mill's margin per hour", "$/hour", over="contract")
def mill_margin_per_hour(mill_margin, custom_hours):
    """Set-up hours included."""
    return mill_margin / custom_hours


@mill_sides.line("Mill's margin per hour, over the next lot", "$/hour", "contract")
def mill_margin_over_waiting(mill_margin_per_hour, waiting_hour_worth):
    """Negative if the next lot is better."""
    return mill_margin_per_hour - waiting_hour_worth


@mill_sides.line("Mill's margin, % of income", "share", over="contract")
def mill_margin_share(mill_margin, mill_income):
    """n/a if income is zero."""
    return np.where(mill_income > 0, mill_margin / mill_income, np.nan)


@mill_sides.line("Mill's interest on receivables", "$", over="contract")
def mill_interest(
    terms_purchase,
    contract_charge,
    custom_penalties,
    deposit,
    charge_days,
    contract_shared,
    refiner_days,
    purchase_paid,
    purchase_days,
    discount_rate,
    months_per_year,
    days_in_month,
):
    """At the discount rate; not in the margin."""
    charges = (contract_charge + custom_penalties - deposit) * charge_days
    bought = purchase_paid * (refiner_days - purchase_days)
    metal = np.where(terms_purchase == "yes", bought, contract_shared * refiner_days)
    return (charges + metal) * discount_rate / (months_per_year * days_in_month)


@season_sides.line("Mill's income per season", "$/year", over="contract")
def season_mill_income(mill_income, lots_milled):
    """All lots that the season's hours hold."""
    return mill_income * lots_milled


@season_sides.line("Mill's cost per season", "$/year", over="contract")
def season_milling_cost(contract_milling_cost, lots_milled):
    """All lots that the season's hours hold."""
    return contract_milling_cost * lots_milled


@season_sides.line("Mill's margin per season", "$/year", over="contract")
def season_mill_margin(mill_margin, lots_milled):
    """All lots milled; fixed cost as in a full season, without capital."""
    return mill_margin * lots_milled


@season_sides.line("Mill's margin, full season with capital", "$/year", "contract")
def season_margin_capital(season_mill_margin, season_capital, season_load):
    """Capital by the season hours that the lots use."""
    return season_mill_margin - season_capital * np.minimum(season_load, 1)


@season_sides.line("Mill's margin, booked season", "$/year", over="contract")
def season_margin_booked(season_mill_margin, season_idle_cost):
    """The lots bear the fixed cost of all season hours."""
    return season_mill_margin - season_idle_cost


@season_sides.line("Mill's margin, booked season with capital", "$/year", "contract")
def season_margin_left(season_margin_booked, season_capital):
    """The lots bear all of the capital, too."""
    return season_margin_booked - season_capital


@season_sides.line("Net to the owner per season", "$/year", over="contract")
def season_owner_net(owner_net, lots_milled):
    """All lots that the season's hours hold."""
    return owner_net * lots_milled


@season_sides.line("Owner's margin per season", "$/year", over="contract")
def season_owner_margin(owner_margin, lots_milled):
    """After mining and haulage, all lots milled."""
    return owner_margin * lots_milled


@lot_sides.line("Metal value allocated", "$")
def value_shared_out(custom_value, contract_gap):
    """Lowest of all contract types; must equal the metal value."""
    return custom_value - np.max(contract_gap, axis=0)


@agreed.line("Quote expiry")
def quote_validity(quote_valid_until):
    """Last day of validity."""
    return quote_valid_until


for name, label, unit, of, note in (
    ("agreed_income", "Mill's income", "$", "mill_income", "Per lot."),
    ("agreed_margin", "Mill's margin", "$", "mill_margin", "Per lot."),
    (
        *("agreed_owner_net", "Net to the owner", "$", "owner_net"),
        "Per lot; negative: payable by the owner.",
    ),
    (
        *("agreed_margin_per_ton", "Mill's margin per ton", "$/ton"),
        *("mill_margin_per_ton", "At the lot's grade and the present gold price."),
    ),
    (
        *("agreed_owner_margin_per_ton", "Owner's margin per ton", "$/ton"),
        *("owner_margin_per_ton", "After the customer's mining, not the claim's."),
    ),
):
    agreed.line(
        f"{label}, agreed contract",
        unit,
        name=name,
        reads=("contract_kind", "contract", of),
        note=note,
    )(lookup)


for name, label, of, note in (
    (
        *("agreed_season_margin", "Mill's margin, booked season, agreed contract"),
        *("season_margin_booked", "The lots bear the unused hours."),
    ),
    (
        *("agreed_season_left", "With capital, booked season, agreed contract"),
        *("season_margin_left", "The lots bear all capital, too."),
    ),
):
    mill_sides.line(
        label,
        "$/year",
        name=name,
        reads=("contract_kind", "contract", of),
        note=note,
    )(lookup)
