"""What has to be built and paid before the first ounce."""

import numpy as np

from ....trade import money, scaling
from ...line import Section

equipment = Section("Capital", "Equipment and mine")
total = Section("Capital", "Capital to start")
ranges = Section("Capital", "How far off the estimate may be")
loan = Section("Capital", "Loan")

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


@equipment.line("Equipment that lasts", "$")
def equipment_value(capital_source, capital_to_spend, equipment_capital):
    """Base of upkeep, salvage and loan; all capital where that is one figure."""
    one = capital_source == "one figure"
    return np.where(one, capital_to_spend, equipment_capital)


@equipment.line("Installation", "$")
def installation(equipment_capital, installation_rate):
    """Setting up, wiring, piping."""
    return equipment_capital * installation_rate


@equipment.line("Opening the mine", "$")
def mine_opening(mine_capital):
    """Road, adit, first raise."""
    return mine_capital


@total.line("Capital before contingency", "$")
def direct_capital(equipment_capital, installation, mine_opening):
    """Equipment, installation and mine."""
    return equipment_capital + installation + mine_opening


@total.line("Contingency", "$")
def contingency(direct_capital, contingency_rate):
    """For what has been forgotten."""
    return direct_capital * contingency_rate


@total.line("Capital", "$")
def capital(
    capital_source, capital_to_spend, direct_capital, contingency, capital_cost_factor
):
    """Spent evenly over the months of building."""
    itemised = direct_capital + contingency
    one = capital_source == "one figure"
    return np.where(one, capital_to_spend, itemised) * capital_cost_factor


@total.line("Salvage", "$")
def salvage(equipment_value, salvage_rate):
    """Brought by the equipment when the work ends."""
    return equipment_value * salvage_rate


@ranges.line("Low end of the estimate class", "share")
def class_low(estimate_class):
    """How far the true figure may lie below (AACE)."""
    return np.interp(estimate_class, CLASSES, LOW)


@ranges.line("High end of the estimate class", "share")
def class_high(estimate_class):
    """How far the true figure may lie above (AACE)."""
    return np.interp(estimate_class, CLASSES, HIGH)


@ranges.line("Capital, low end", "$")
def capital_low(capital, class_low):
    """If the estimate is too high."""
    return capital * (1 + class_low)


@ranges.line("Capital, high end", "$")
def capital_high(capital, class_high):
    """If the estimate is too low."""
    return capital * (1 + class_high)


@ranges.line("Operating cost for a ton, low end", "$/ton")
def cost_per_ton_low(cost_per_ton, class_low):
    """If the estimate is too high."""
    return cost_per_ton * (1 + class_low)


@ranges.line("Operating cost for a ton, high end", "$/ton")
def cost_per_ton_high(cost_per_ton, class_high):
    """If the estimate is too low."""
    return cost_per_ton * (1 + class_high)


@loan.line("Loan", "$")
def loan_amount(equipment_value, capital_cost_factor, loan_share):
    """Drawn in month 0."""
    return equipment_value * capital_cost_factor * loan_share


@loan.line("Interest a month", "1/month")
def loan_interest(loan_rate, months_per_year):
    """A twelfth of the yearly rate."""
    return loan_rate / months_per_year


@loan.line("Payment", "$/month")
def loan_payment(loan_amount, loan_interest, loan_months):
    """Equal payments from month 1 on, interest included."""
    return money.loan_payment(loan_amount, loan_interest, loan_months)
