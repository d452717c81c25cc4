"""Charge of each contract type for the target margin.

At the lot's expected grade the owner's margin is then the same under every type, since
mill, owner and third parties share the same metal. The types differ in who bears risk.
"""

import inspect

import numpy as np

from ....formulas import is_number, lookup
from ....trade import contracts, money
from ...axes import Axis
from ...inputs import INPUTS
from ...line import Section
from ..cost.components import FIXED, components

wanted = Section("Contract", "What to charge for the target margin")
by_load = Section("Contract", "Tonnage charge for the target margin, by season load")
season = Section("Contract", "Cost of the season")

WHOLE_SEASON = INPUTS["crew_paid_for"].choices[1]
FILL = Axis("season_fill", "Season load", "share", (0.2, 0.4, 0.6, 0.8, 1))

BASIS = Axis(
    "cost_basis",
    "Cost counted",
    "-",
    (
        "full season",
        "booked season",
        "full season with capital",
        "booked season with capital",
    ),
)
"""Full season: the fixed cost is spread over all hours of the season. Booked season:
the lots booked bear all of it."""


@wanted.line("Target margin of the mill", "share")
def margin_wanted(target_margin):
    """Share of income: entered on Inputs, or its estimate."""
    return target_margin


@wanted.line("Cost of the lot", "$", over="cost_basis")
def basis_cost(
    cost_basis, milling_cost, season_idle_cost, season_capital, season_load, lots_milled
):
    """Milling cost, and the lot's part of unused hours and of capital."""
    booked = np.logical_or(
        cost_basis == "booked season", cost_basis == "booked season with capital"
    )
    counted = np.logical_or(
        cost_basis == "full season with capital",
        cost_basis == "booked season with capital",
    )
    idle = np.where(booked, season_idle_cost, 0)
    borne = np.where(booked, 1, np.minimum(season_load, 1))
    capital = np.where(counted, season_capital * borne, 0)
    return milling_cost + (idle + capital) / lots_milled


@wanted.line("Income needed from the lot", "$", over="cost_basis")
def basis_income(basis_cost, target_margin, season_load):
    """Cost divided by (1 less the target margin); n/a if the hours are too few."""
    needed = contracts.charge_for_margin(basis_cost, target_margin, 0, 1)
    return np.where(season_load > 1, np.nan, needed)


def by_unit(basis_income, contract, present_income, term, count, kind):
    """Term of a contract type that gives the income needed."""
    present = lookup(kind, contract, present_income)
    return lookup(kind, contract, term) + (basis_income - present) / count


def unless_minimum(found, charged, least_lot_charge):
    """A charge found at the rates; n/a if the minimum per lot exceeds what it makes."""
    within = np.logical_or(least_lot_charge == 0, charged >= least_lot_charge)
    return np.where(within, found, np.nan)


PER_TON = ("$/ton", "terms_per_ton", "billed_tons")
CHARGES = (
    # line, label, contract type, unit, term, quantity charged
    ("ton_charge", "Tonnage charge needed", "by the ton", *PER_TON),
    (
        *("hour_charge", "Hourly charge needed", "by the hour"),
        *("$/hour", "terms_per_hour", "custom_hours"),
    ),
    (
        *("markup_charge", "Markup needed, cost plus", "cost plus"),
        *("share", "terms_markup", "milling_cost"),
    ),
    (
        *("share_charge", "Mill's share needed", "share"),
        *("share", "terms_share", "bullion_net"),
    ),
    (
        "mixed_charge",
        "Tonnage charge needed beside the share",
        "charge and share",
        *PER_TON,
    ),
    ("own_charge", "Tonnage charge needed, own mixture", "own mixture", *PER_TON),
)
NOTES = {
    "hour_charge": "Set-up hours included; n/a below the minimum.",
    "markup_charge": "On the milling cost; n/a below the minimum.",
    "share_charge": "Of the bullion; n/a below 0% and above 100%.",
}


AT_RATES = "rated_income", "rated_charge", "least_lot_charge"


def present(kind):
    """Lines with the present income of a contract type, and with its minimum charge."""
    return ("mill_income",) if kind == "share" else AT_RATES


def of_kind(kind):
    """Function for the charge of one contract type."""

    def of_share(basis_income, contract, *reads):
        found = by_unit(basis_income, contract, *reads, kind)
        fits = np.logical_and(found >= 0, found <= 1)
        found = np.where(fits, found, np.nan)
        return np.where(is_number(basis_income), found, np.nan)

    def charge(basis_income, contract, rated_income, rated_charge, least, term, count):
        found = by_unit(basis_income, contract, rated_income, term, count, kind)
        more = basis_income - lookup(kind, contract, rated_income)
        charged = lookup(kind, contract, rated_charge) + more
        found = unless_minimum(found, charged, least)
        return np.where(is_number(basis_income), found, np.nan)

    return of_share if kind == "share" else charge


for name, label, kind, unit, term, count in CHARGES:
    wanted.line(
        label,
        unit,
        over="cost_basis",
        name=name,
        reads=("basis_income", "contract", *present(kind), term, count),
        note=NOTES.get(name, "Other terms unchanged; n/a below the minimum."),
    )(of_kind(kind))


@wanted.line("Treatment charge needed, ore purchase", "$/ton", over="cost_basis")
def treatment_charge(
    basis_income, contract, mill_income, purchase_treatment, custom_tons
):
    """Payable schedule unchanged. Below 0, the mill can pay so much more per ton."""
    earned = lookup("purchase", contract, mill_income)
    found = purchase_treatment + (basis_income - earned) / custom_tons
    return np.where(is_number(basis_income), found, np.nan)


@wanted.line("Owner's margin per ton at these charges", "$/ton", over="cost_basis")
def owner_left(
    basis_income, custom_value, custom_third_parties, owner_ton_cost, custom_tons
):
    """At the lot's grade; the same under every contract type."""
    left = custom_value - custom_third_parties - basis_income
    kept = left / custom_tons - owner_ton_cost
    return np.where(is_number(basis_income), kept, np.nan)


@wanted.line("Billed weight of the lot", "ton")
def billed_tons(custom_tons, least_lot_tons):
    """At least the minimum."""
    return contracts.charged_tons(custom_tons, least_lot_tons)


@wanted.line("Net value of the lot's bullion", "$")
def bullion_net(custom_bullion, bullion_ounce_net):
    """After refining; what a share is of."""
    return custom_bullion * bullion_ounce_net


@by_load.line("Customer ore at this load", "ton/year", over="season_fill")
def filling_tons(season_fill, custom_tons, season_lots, season_load):
    """Dry tons that use these hours."""
    return custom_tons * season_lots * season_fill / season_load


def charge_at_load(
    season_fill,
    filling_tons,
    custom_tons,
    season_fixed_cost,
    milling_cost,
    target_margin,
    contract,
    rated_income,
    terms_per_ton,
    billed_tons,
    season_capital=0,
):
    """Tonnage charge if the lots bear the fixed cost of the whole season."""
    unused = season_fixed_cost * (1 - season_fill) + season_capital
    income = contracts.charge_for_margin(
        milling_cost + unused * custom_tons / filling_tons, target_margin, 0, 1
    )
    kind = "by the ton"
    return by_unit(income, contract, rated_income, terms_per_ton, billed_tons, kind)


WITH_CAPITAL = tuple(inspect.signature(charge_at_load).parameters)
for label, name, reads in (
    ("Tonnage charge needed, without capital", "load_charge", ()),
    ("Tonnage charge needed, with capital", "load_charge_capital", WITH_CAPITAL),
):
    by_load.line(
        *(label, "$/ton", "season_fill", name, reads),
        note="For all season hours; before a minimum charge.",
    )(charge_at_load)


season.total(
    "fixed_ton_cost",
    "Mill's fixed cost per ton, full season",
    "$/ton",
    tuple(f"{name}_per_ton" for name in components(("mill", "site"), FIXED)),
    note="Permits, maintenance, camp and others that are paid by the month.",
)


@season.line("Fixed cost of the season", "$/year")
def season_fixed_cost(
    fixed_ton_cost, cost_of_crew_per_ton, crew_paid_for, tons_per_year
):
    """Paid by the month; the crew, too, if it is paid for the whole season."""
    crew = np.where(crew_paid_for == WHOLE_SEASON, cost_of_crew_per_ton, 0)
    return (fixed_ton_cost + crew) * tons_per_year


@season.line("Fixed cost of unused season hours", "$/year")
def season_idle_cost(season_fixed_cost, season_load):
    """Not borne by the lots at full-season cost."""
    return season_fixed_cost * np.maximum(1 - season_load, 0)


@season.line("Capital cost per season", "$/year")
def season_capital(
    plant_capital,
    equipment_owned,
    equipment_value,
    capital_cost_factor,
    sustaining_rate,
    discount_rate,
    depreciation_years,
):
    """Level payments for the whole plant, without a mine, and sustaining capital."""
    plant = plant_capital + equipment_owned
    level = money.loan_payment(plant, discount_rate, depreciation_years)
    return level + equipment_value * capital_cost_factor * sustaining_rate


@season.line("Season hours")
def season_room(season_load):
    """Hours of the booked lots against the hours of the season."""
    full = "too few hours for the lots"
    return np.where(season_load > 1, full, "there is room for the lots")
