"""Initial capital, its accuracy range, the loan, and the refiner's payment period."""

import numpy as np

from ....trade import money, scaling
from ...line import Section

equipment = Section("Capital", "Equipment and mine development")
total = Section("Capital", "Initial capital")
ranges = Section("Capital", "Accuracy range of the estimate")
loan = Section("Capital", "Loan")
waiting = Section("Capital", "Waiting for the refiner")

CLASSES = sorted(scaling.ESTIMATE_CLASSES)
LOW = [scaling.ESTIMATE_CLASSES[grade]["low"][0] for grade in CLASSES]
HIGH = [scaling.ESTIMATE_CLASSES[grade]["high"][1] for grade in CLASSES]

EQUIPMENT = (
    "crushing_capital",
    "mill_capital",
    "table_capital",
    "water_capital",
    "furnace_capital",
    "power_capital",
    "building_capital",
)


equipment.total(
    "equipment_capital",
    "Equipment and buildings",
    "$",
    EQUIPMENT,
    note="Delivered, before installation.",
)


@equipment.line("Equipment and capital base", "$")
def equipment_value(
    capital_source,
    capital_to_spend,
    equipment_share,
    equipment_capital,
    equipment_owned,
    own_mill,
):
    """Base of maintenance and salvage; what is owned included."""
    one, bought = capital_source == "one figure", capital_to_spend * equipment_share
    return np.where(one, bought, equipment_capital * own_mill) + equipment_owned


@equipment.line("Installation", "$")
def installation(equipment_capital, installation_rate):
    """Erection, wiring and piping."""
    return equipment_capital * installation_rate


@equipment.line("Mine development capital", "$")
def mine_opening(mine_capital):
    """Road, adit and first raise."""
    return mine_capital


@total.line("Plant capital before contingency", "$")
def direct_plant_capital(
    capital_source, capital_to_spend, equipment_capital, installation, own_mill
):
    """Equipment and installation of an own mill, or the one figure entered instead."""
    itemised = (equipment_capital + installation) * own_mill
    return np.where(capital_source == "one figure", capital_to_spend, itemised)


@total.line("Capital before contingency", "$")
def direct_capital(capital_source, direct_plant_capital, mine_opening):
    """Plant and mine; one figure contains both."""
    one = capital_source == "one figure"
    return direct_plant_capital + np.where(one, 0, mine_opening)


@total.line("Contingency rate used", "share")
def contingency_used(capital_source, contingency_rate):
    """One figure contains the contingency."""
    return np.where(capital_source == "one figure", 0, contingency_rate)


@total.line("Contingency", "$")
def contingency(direct_capital, contingency_used):
    """For items not yet identified."""
    return direct_capital * contingency_used


@total.line("Initial capital", "$")
def capital(direct_capital, contingency, capital_cost_factor):
    """Spent evenly over the construction months."""
    return (direct_capital + contingency) * capital_cost_factor


@total.line("Initial capital of the plant", "$")
def plant_capital(direct_plant_capital, contingency_used, capital_cost_factor):
    """Without the mine; too high if one figure contains a mine."""
    return direct_plant_capital * (1 + contingency_used) * capital_cost_factor


@total.line("Salvage value", "$")
def salvage(equipment_value, salvage_rate):
    """Sale of the equipment when the work ends."""
    return equipment_value * salvage_rate


@ranges.line("Estimate class, low end", "share")
def class_low(estimate_class):
    """Low end of the AACE accuracy range."""
    return np.interp(estimate_class, CLASSES, LOW)


@ranges.line("Estimate class, high end", "share")
def class_high(estimate_class):
    """High end of the AACE accuracy range."""
    return np.interp(estimate_class, CLASSES, HIGH)


@ranges.line("Initial capital, low end", "$")
def capital_low(capital, class_low):
    """At the low end of the accuracy range."""
    return capital * (1 + class_low)


@ranges.line("Initial capital, high end", "$")
def capital_high(capital, class_high):
    """At the high end of the accuracy range."""
    return capital * (1 + class_high)


@ranges.line("Operating cost per ton, low end", "$/ton")
def cost_per_ton_low(cost_per_ton, class_low):
    """At the low end of the accuracy range."""
    return cost_per_ton * (1 + class_low)


@ranges.line("Operating cost per ton, high end", "$/ton")
def cost_per_ton_high(cost_per_ton, class_high):
    """At the high end of the accuracy range."""
    return cost_per_ton * (1 + class_high)


@loan.line("Loan amount", "$")
def loan_amount(equipment_value, equipment_owned, capital_cost_factor, loan_share):
    """On what is bought; drawn as the capital is spent."""
    return (equipment_value - equipment_owned) * capital_cost_factor * loan_share


@loan.line("Monthly interest rate", "1/month")
def loan_interest(loan_rate, months_per_year):
    """One twelfth of the nominal yearly rate."""
    return loan_rate / months_per_year


@loan.line("Grace period used", "month")
def grace_used(loan_grace, build_months):
    """At least until the loan is drawn in full."""
    return np.maximum(loan_grace, build_months - 1)


@loan.line("Loan balance after the grace period", "$")
def loan_after_grace(
    loan_amount, loan_interest, build_months, grace_used, grace_interest
):
    """Loan amount, with interest if that is added."""
    parts = np.maximum(build_months, 1)
    since = grace_used + 1 - parts
    grown = money.drawn_in_parts(loan_amount, loan_interest, parts, since)
    return np.where(grace_interest == "paid", loan_amount, grown)


@loan.line("Monthly loan payment", "$/month")
def loan_payment(loan_after_grace, loan_interest, loan_months, grace_used):
    """Equal payments after the grace period, interest included."""
    left = np.maximum(loan_months - grace_used, 1)
    return money.loan_payment(loan_after_grace, loan_interest, left)


@waiting.line("Refiner payment period in months", "month")
def lag(refiner_days, days_in_month):
    """From sale to payment."""
    return refiner_days / days_in_month


for months in (1, 2, 3):
    waiting.line(
        f"Payment period left after {months} month{'s' if months > 1 else ''}",
        "month",
        name=f"lag_after_{months}",
        reads=("lag" if months == 1 else f"lag_after_{months - 1}",),
        note="Zero if the refiner has paid.",
    )(lambda lag: np.maximum(lag - 1, 0))
