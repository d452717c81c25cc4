"""Kinds of milling contract side by side: what each does to mill and owner."""

import numpy as np

from ....formulas import lookup
from ....trade import contracts
from ...line import Section

agreed = Section("Contract", "The kind agreed")
terms = Section("Contract", "Kinds of contract: terms")
lot_sides = Section("Contract", "Both sides of a lot, $ a lot")
mill_sides = Section("Contract", "The mill, by the ton and by the hour")
season_sides = Section("Contract", "Both sides of the season")


@agreed.line("Kind agreed")
def agreed_kind(contract_kind):
    """Chosen on the sheet Inputs."""
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


@lot_sides.line("Charged by the lot", "$", over="contract")
def contract_lot_charge(terms_lot_charged, set_up_charge, assay_charge):
    """Set-up, clean-up, assays and melt."""
    return np.where(terms_lot_charged == "yes", set_up_charge + assay_charge, 0)


@lot_sides.line("Charged on the mill's cost", "$", over="contract")
def contract_cost_charge(terms_on_cost, milling_cost, terms_markup):
    """Cost plus a percentage."""
    charge = contracts.cost_plus(milling_cost, terms_markup)
    return np.where(terms_on_cost == "yes", charge, 0)


@lot_sides.line("Milling charge", "$", over="contract")
def contract_charge(
    custom_tons,
    custom_hours,
    contract_cost_charge,
    terms_per_ton,
    terms_per_hour,
    contract_lot_charge,
    least_lot_tons,
):
    """By the ton, by the hour, on cost and by the lot, as the kind says."""
    return contracts.milling_charge(
        custom_tons,
        custom_hours,
        contract_cost_charge,
        terms_per_ton,
        terms_per_hour,
        contract_lot_charge,
        least_lot_tons,
    )


@lot_sides.line("Mill's share of the recovered gold", "$", over="contract")
def contract_shared(terms_purchase, custom_bullion, terms_share, bullion_ounce_net):
    """Of the lot's bullion, after the refiner."""
    shared = contracts.shared_metal(custom_bullion, terms_share, bullion_ounce_net)
    return np.where(terms_purchase == "yes", 0, shared)


@lot_sides.line("Metal to the mill", "$", over="contract")
def mill_metal(
    terms_purchase,
    custom_proceeds,
    shipment_cost,
    purchase_paid,
    contract_shared,
    mill_extras,
):
    """Share and by-products; where it buys: all, less the ore's price."""
    margin = custom_proceeds - shipment_cost - purchase_paid
    return np.where(terms_purchase == "yes", margin, contract_shared + mill_extras)


@lot_sides.line("Metal to the owner", "$", over="contract")
def owner_metal(
    terms_purchase,
    purchase_paid,
    custom_bullion,
    bullion_ounce_net,
    contract_shared,
    cleanup_owner,
    custom_cleanup,
    middlings_owner,
    custom_middlings_sold,
    tails_owner,
    custom_tails_sold,
    shipment_cost,
):
    """The rest, less the shipment; where ore is bought: its price."""
    kept = (
        custom_bullion * bullion_ounce_net
        - contract_shared
        + np.where(cleanup_owner == "owner", custom_cleanup * bullion_ounce_net, 0)
        + np.where(middlings_owner == "owner", custom_middlings_sold, 0)
        + np.where(tails_owner == "owner", custom_tails_sold, 0)
    )
    return np.where(terms_purchase == "yes", purchase_paid, kept - shipment_cost)


@lot_sides.line("Income of the mill", "$", over="contract")
def mill_income(contract_charge, custom_penalties, mill_metal):
    """Charges, penalties and metal."""
    return contract_charge + custom_penalties + mill_metal


@lot_sides.line("Cost to the mill", "$", over="contract")
def contract_milling_cost(milling_cost):
    """The same under every kind."""
    return milling_cost


@lot_sides.line("Margin of the mill", "$", over="contract")
def mill_margin(mill_income, milling_cost):
    """Income less cost."""
    return mill_income - milling_cost


@lot_sides.line("Net to the owner", "$", over="contract")
def owner_net(owner_metal, contract_charge, custom_penalties):
    """Metal less charges and penalties; below zero the owner owes it."""
    return owner_metal - contract_charge - custom_penalties


@lot_sides.line("Margin of the owner", "$", over="contract")
def owner_margin(owner_net, owner_ton_cost, custom_tons):
    """After mining and haulage."""
    return owner_net - owner_ton_cost * custom_tons


@lot_sides.line("Not shared out", "$", over="contract")
def contract_gap(custom_value, mill_income, owner_net, custom_third_parties):
    """Value of the metal less mill, owner and third parties: nothing."""
    return np.abs(custom_value - mill_income - owner_net - custom_third_parties)


@mill_sides.line("Income of a ton", "$/ton", over="contract")
def mill_income_per_ton(mill_income, custom_tons):
    """Of the mill."""
    return mill_income / custom_tons


@mill_sides.line("Income of a mill hour", "$/hour", over="contract")
def mill_income_per_hour(mill_income, custom_hours):
    """Of the mill, set-up hours included."""
    return mill_income / custom_hours


@mill_sides.line("Margin of a mill hour", "$/hour", over="contract")
def mill_margin_per_hour(mill_margin, custom_hours):
    """Set-up hours included."""
    return mill_margin / custom_hours


@mill_sides.line("The same, less what a waiting lot would bring", "$/hour", "contract")
def mill_margin_over_waiting(mill_margin_per_hour, waiting_hour_worth):
    """Below zero the waiting lot is the better one."""
    return mill_margin_per_hour - waiting_hour_worth


@mill_sides.line("Margin as a share of the income", "share", over="contract")
def mill_margin_share(mill_margin, mill_income):
    """None where there is no income."""
    return np.where(mill_income > 0, mill_margin / mill_income, np.nan)


@mill_sides.line("Interest while the mill waits for money", "$", over="contract")
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
    """At the discount rate, on what is still owed; not in the margin."""
    charges = (contract_charge + custom_penalties - deposit) * charge_days
    bought = purchase_paid * (refiner_days - purchase_days)
    metal = np.where(terms_purchase == "yes", bought, contract_shared * refiner_days)
    return (charges + metal) * discount_rate / (months_per_year * days_in_month)


@season_sides.line("Income of the mill", "$/year", over="contract")
def season_mill_income(mill_income, season_lots):
    """All lots of the season."""
    return mill_income * season_lots


@season_sides.line("Cost to the mill", "$/year", over="contract")
def season_milling_cost(contract_milling_cost, season_lots):
    """All lots of the season."""
    return contract_milling_cost * season_lots


@season_sides.line("Margin of the mill", "$/year", over="contract")
def season_mill_margin(mill_margin, season_lots):
    """All lots of the season."""
    return mill_margin * season_lots


@season_sides.line("Net to the owner", "$/year", over="contract")
def season_owner_net(owner_net, season_lots):
    """All lots of the season."""
    return owner_net * season_lots


@season_sides.line("Margin of the owner", "$/year", over="contract")
def season_owner_margin(owner_margin, season_lots):
    """After mining and haulage."""
    return owner_margin * season_lots


@lot_sides.line("Value of the metal that is shared out", "$")
def value_shared_out(custom_value, contract_gap):
    """Under the worst of all kinds: all of it."""
    return custom_value - np.max(contract_gap, axis=0)


@agreed.line("Quote valid until")
def quote_validity(quote_valid_until):
    """Date on the quote."""
    return quote_valid_until


@agreed.line("Mill's income under the kind agreed", "$")
def agreed_income(contract_kind, contract, mill_income):
    """For a lot."""
    return lookup(contract_kind, contract, mill_income)


@agreed.line("Mill's margin under the kind agreed", "$")
def agreed_margin(contract_kind, contract, mill_margin):
    """For a lot."""
    return lookup(contract_kind, contract, mill_margin)


@agreed.line("Net to the owner under the kind agreed", "$")
def agreed_owner_net(contract_kind, contract, owner_net):
    """For a lot; below zero the owner owes it."""
    return lookup(contract_kind, contract, owner_net)
