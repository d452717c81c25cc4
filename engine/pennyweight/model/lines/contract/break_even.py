"""Owner's break-even, required charges, and break-even lot size."""

import functools

import numpy as np

from ....trade import contracts, purchase
from ...line import Section
from .lot import RISING, STEPS

even = Section("Contract", "Owner's break-even and required charges")


@even.line("Owner's cost to recover", "$/ton", over="contract")
def owner_needs(
    contract_charge,
    custom_penalties,
    owner_ton_cost,
    custom_tons,
    terms_purchase,
    shipment_cost,
    purchase_treatment,
):
    """Charges, mining, haulage, and shipment or treatment."""
    shipped = shipment_cost / custom_tons
    sale = np.where(terms_purchase == "yes", purchase_treatment, shipped)
    charges = (contract_charge + custom_penalties) / custom_tons
    return charges + owner_ton_cost + sale


@even.line("Owner's metal revenue per unit of grade", "$/ton/grade", "contract")
def owner_slope(terms_purchase, owner_metal, shipment_cost, custom_tons, custom_grade):
    """In proportion to grade; zero for ore purchase."""
    metal = (owner_metal + shipment_cost) / custom_tons / custom_grade
    return np.where(terms_purchase == "yes", 0, metal)


@even.line("Payable schedule, slope", "1/grade")
def payable_slope(purchase_high_payable, purchase_low_payable, purchase_grade_span):
    """Rise of the payable share per unit of grade."""
    return (purchase_high_payable - purchase_low_payable) / purchase_grade_span


for end in ("low", "high"):
    even.line(
        f"Paid grade at the {end} grade",
        "grade",
        name=f"purchase_gold_{end}",
        reads=(f"purchase_{end}_grade", *RISING, "purchase_deduction"),
        note="After the unit deduction.",
    )(purchase.paid_gold)


@even.line("Paid grade required, ore purchase", "grade", over="contract")
def gold_needed(owner_needs, purchase_ounce_price, grade_per_ounce):
    """Covers the owner's cost."""
    return owner_needs / purchase_ounce_price * grade_per_ounce


@even.line("Ore grade required, rising share", "grade", over="contract")
def rising_grade(
    gold_needed,
    purchase_low_grade,
    purchase_low_payable,
    payable_slope,
    purchase_deduction,
):
    """Applies between the low and the high grade only."""
    return purchase.grade_on_sliding_scale(
        gold_needed,
        purchase_low_grade,
        purchase_low_payable,
        payable_slope,
        purchase_deduction,
    )


def grade_by_steps(gold_needed, purchase_deduction, *steps):
    """Lowest grade of all steps; n/a without steps."""
    each = iter(steps)
    found = [
        # An empty step pays so little that it is never the lowest.
        purchase.grade_by_step(
            gold_needed, grade, np.maximum(share, purchase.TINY), purchase_deduction
        )
        for grade, share in zip(each, each, strict=True)
    ]
    lowest = functools.reduce(np.minimum, found)
    _, first, *_ = steps
    return np.where(first > 0, lowest, np.nan)


even.line(
    "Ore grade required, grade steps",
    "grade",
    over="contract",
    name="stepped_grade",
    reads=("gold_needed", "purchase_deduction", *STEPS),
    note="Lowest grade at which a step pays it; n/a without steps.",
)(grade_by_steps)


@even.line("Ore grade required, ore purchase", "grade", over="contract")
def sold_grade(
    gold_needed,
    purchase_gold_low,
    purchase_gold_high,
    purchase_low_payable,
    purchase_high_payable,
    rising_grade,
    purchase_deduction,
    step_paid_01,
    stepped_grade,
    purchase_least_deduction,
):
    """By the payable schedule; the minimum deduction included."""
    rising = purchase.grade_by_segment(
        gold_needed,
        purchase_gold_low,
        purchase_gold_high,
        purchase_low_payable,
        purchase_high_payable,
        rising_grade,
        purchase_deduction,
    )
    sold = np.where(step_paid_01 > 0, stepped_grade, rising)
    return np.maximum(sold, gold_needed + purchase_least_deduction)


@even.line("Owner's break-even grade", "grade", over="contract")
def owner_break_even_grade(terms_purchase, owner_needs, owner_slope, sold_grade):
    """Mining and haulage included; n/a if the owner gets no metal."""
    kept = np.where(owner_slope > 0, owner_needs / owner_slope, np.nan)
    return np.where(terms_purchase == "yes", sold_grade, kept)


@even.line("Owner's price exposure", "oz", over="contract")
def owner_ounces(
    terms_purchase,
    custom_tons,
    purchase_gold,
    purchase_price_deduction,
    custom_paid_ounces,
    custom_bullion,
    bullion_payable,
    terms_share,
    mill_extra_ounces,
):
    """Change of revenue per $/oz of gold price."""
    shared = custom_bullion * bullion_payable * terms_share
    kept = custom_paid_ounces - shared - mill_extra_ounces
    sold = custom_tons * purchase_gold * (1 - purchase_price_deduction)
    return np.where(terms_purchase == "yes", sold, kept)


@even.line("Owner's break-even gold price", "$/oz", over="contract")
def owner_break_even_price(gold_price, owner_margin, owner_ounces):
    """Zero: at any price; n/a if the owner gets no metal."""
    price = gold_price - owner_margin / owner_ounces
    return np.where(owner_ounces > 0, np.maximum(price, 0), np.nan)


@even.line("Tonnage charge for the target margin", "$/ton", over="contract")
def charge_wanted(
    milling_cost,
    target_margin,
    rated_income,
    terms_per_ton,
    custom_tons,
    least_lot_tons,
):
    """Before a minimum charge; full-season cost, no capital."""
    tons = contracts.charged_tons(custom_tons, least_lot_tons)
    other = rated_income - terms_per_ton * tons
    return contracts.charge_for_margin(milling_cost, target_margin, other, tons)


@even.line("Tonnage charge equal to the next lot", "$/ton", over="contract")
def charge_against_waiting(
    milling_cost,
    custom_hours,
    waiting_hour_worth,
    rated_income,
    terms_per_ton,
    custom_tons,
    least_lot_tons,
):
    """Covers cost and opportunity cost; before a minimum charge."""
    cost = milling_cost + custom_hours * waiting_hour_worth
    tons = contracts.charged_tons(custom_tons, least_lot_tons)
    other = rated_income - terms_per_ton * tons
    return (cost - other) / tons


@even.line("Set-up cost not billed", "$", over="contract")
def set_up_uncharged(
    set_up_cost,
    terms_purchase,
    shipment_cost,
    contract_lot_charge,
    terms_per_hour,
    set_up_hours,
    terms_on_cost,
    terms_markup,
):
    """Lot costs less lot charges, independent of lot size."""
    shipped = np.where(terms_purchase == "yes", shipment_cost, 0)
    on_cost = contracts.cost_plus(set_up_cost, terms_markup)
    charged = contract_lot_charge + terms_per_hour * set_up_hours
    charged = charged + np.where(terms_on_cost == "yes", on_cost, 0)
    return set_up_cost + shipped - charged


@even.line("Break-even lot size", "ton", over="contract")
def smallest_lot(
    mill_margin,
    contract_charge,
    rated_charge,
    set_up_uncharged,
    terms_per_ton,
    custom_tons,
    least_lot_tons,
):
    """Dry tons, without minimums; n/a if no size breaks even."""
    topped = contracts.charged_tons(custom_tons, least_lot_tons) - custom_tons
    rated_margin = mill_margin - (contract_charge - rated_charge)
    by_ton = rated_margin + set_up_uncharged - terms_per_ton * topped
    return contracts.break_even_lot(set_up_uncharged, by_ton / custom_tons)
