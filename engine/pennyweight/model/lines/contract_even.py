"""Where contracts break even, what to charge, and where two kinds are equal."""

import numpy as np

from ...formulas import lookup
from ...trade import contracts
from ..line import Section

even = Section("Contract", "Break-even of the owner, and the charge to ask for")
equal = Section("Contract", "Equal to the kind agreed: both sides")


@even.line("To be covered by the owner's metal", "$/ton", over="contract")
def owner_needs(
    contract_charge,
    custom_penalties,
    owner_ton_cost,
    custom_tons,
    terms_purchase,
    shipment_cost,
    purchase_treatment,
):
    """Charges, mining, haulage, and the shipment or the treatment of ore sold."""
    shipped = shipment_cost / custom_tons
    sale = np.where(terms_purchase == "yes", purchase_treatment, shipped)
    charges = (contract_charge + custom_penalties) / custom_tons
    return charges + owner_ton_cost + sale


@even.line(
    "Owner's metal for a grade unit, unless ore is sold", "$/ton/grade", "contract"
)
def owner_slope(terms_purchase, owner_metal, shipment_cost, custom_tons, custom_grade):
    """In proportion to the grade."""
    metal = (owner_metal + shipment_cost) / custom_tons / custom_grade
    return np.where(terms_purchase == "yes", 0, metal)


@even.line("Grade at which the owner breaks even", "grade", over="contract")
def owner_break_even_grade(
    terms_purchase,
    owner_needs,
    owner_slope,
    purchase_ounce_price,
    purchase_low_grade,
    purchase_high_grade,
    purchase_low_payable,
    purchase_high_payable,
    purchase_deduction,
    grade_per_ounce,
):
    """Mining and haulage included; none where the owner keeps no metal."""
    sold = contracts.grade_paid(
        owner_needs / purchase_ounce_price * grade_per_ounce,
        purchase_low_grade,
        purchase_high_grade,
        purchase_low_payable,
        purchase_high_payable,
        purchase_deduction,
    )
    kept = np.where(owner_slope > 0, owner_needs / owner_slope, np.nan)
    return np.where(terms_purchase == "yes", sold, kept)


@even.line("Ounces whose price the owner carries", "oz", over="contract")
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
    """What a dollar more on the price of gold brings the owner."""
    shared = custom_bullion * bullion_payable * terms_share
    kept = custom_paid_ounces - shared - mill_extra_ounces
    sold = custom_tons * purchase_gold * (1 - purchase_price_deduction)
    return np.where(terms_purchase == "yes", sold, kept)


@even.line("Gold price at which the owner breaks even", "$/oz", over="contract")
def owner_break_even_price(gold_price, owner_margin, owner_ounces):
    """Zero: at any price; none where the owner keeps no metal."""
    price = gold_price - owner_margin / owner_ounces
    return np.where(owner_ounces > 0, np.maximum(price, 0), np.nan)


@even.line("Charge by the ton that leaves the margin wanted", "$/ton", over="contract")
def charge_wanted(
    milling_cost, target_margin, mill_income, terms_per_ton, custom_tons, least_lot_tons
):
    """In place of the charge by the ton, all other terms as they are."""
    tons = contracts.charged_tons(custom_tons, least_lot_tons)
    other = mill_income - terms_per_ton * tons
    return contracts.charge_for_margin(milling_cost, target_margin, other, tons)


@even.line("Charge by the ton that equals the waiting lot", "$/ton", over="contract")
def charge_against_waiting(
    milling_cost,
    custom_hours,
    waiting_hour_worth,
    nothing,
    mill_income,
    terms_per_ton,
    custom_tons,
    least_lot_tons,
):
    """The mill's hours then earn what the waiting lot would bring."""
    cost = milling_cost + custom_hours * waiting_hour_worth
    tons = contracts.charged_tons(custom_tons, least_lot_tons)
    other = mill_income - terms_per_ton * tons
    return contracts.charge_for_margin(cost, nothing, other, tons)


@even.line("Set-up that the kind does not charge", "$", over="contract")
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
    """Cost of a lot whatever its size, less the income that comes whatever its size."""
    shipped = np.where(terms_purchase == "yes", shipment_cost, 0)
    on_cost = contracts.cost_plus(set_up_cost, terms_markup)
    charged = contract_lot_charge + terms_per_hour * set_up_hours
    charged = charged + np.where(terms_on_cost == "yes", on_cost, 0)
    return set_up_cost + shipped - charged


@even.line("Lot below which set-up eats the margin", "ton", over="contract")
def smallest_lot(
    mill_margin,
    set_up_uncharged,
    terms_per_ton,
    custom_tons,
    least_lot_tons,
):
    """Dry tons, without the minimum lot; none where no lot is large enough."""
    topped = contracts.charged_tons(custom_tons, least_lot_tons) - custom_tons
    by_ton = mill_margin + set_up_uncharged - terms_per_ton * topped
    return contracts.least_lot(set_up_uncharged, by_ton / custom_tons)


@equal.line("Ore sold: paid for a grade unit", "$/ton/grade", over="contract")
def sold_price(terms_purchase, purchase_ounce_price, grade_per_ounce):
    """Nothing where the ore is not sold."""
    price = purchase_ounce_price / grade_per_ounce
    return np.where(terms_purchase == "yes", price, 0)


@equal.line("Owner's metal for a grade unit, as agreed", "$/ton/grade")
def agreed_slope(contract_kind, contract, owner_slope):
    """Unless the ore is sold."""
    return lookup(contract_kind, contract, owner_slope)


@equal.line("Ore sold: paid for a grade unit, as agreed", "$/ton/grade")
def agreed_sold(contract_kind, contract, sold_price):
    """Nothing where the ore is not sold."""
    return lookup(contract_kind, contract, sold_price)


@equal.line("To be covered by the owner's metal, as agreed", "$/ton")
def agreed_needs(contract_kind, contract, owner_needs):
    """Of the kind agreed."""
    return lookup(contract_kind, contract, owner_needs)


@equal.line("Metal for a grade unit, above agreed", "$/ton/grade", over="contract")
def slope_gap(owner_slope, agreed_slope):
    """To the owner."""
    return owner_slope - agreed_slope


@equal.line("Paid for a grade unit sold, above agreed", "$/ton/grade", over="contract")
def sold_gap(sold_price, agreed_sold):
    """To the owner."""
    return sold_price - agreed_sold


@equal.line("To be covered, above agreed", "$/ton", over="contract")
def needs_gap(owner_needs, agreed_needs):
    """By the owner's metal."""
    return owner_needs - agreed_needs


def root(over, under, low, high, none):
    """The quotient where it lies between two grades; else the grade for none."""
    found = np.where(under != 0, over / np.where(under != 0, under, np.nan), -none)
    return np.where(np.logical_and(found >= low, found <= high), found, none)


@equal.line("Highest grade looked at", "grade")
def grade_for_none(beyond_any, custom_grade):
    """Stands for no such grade."""
    return beyond_any * custom_grade


@equal.line("Equal below the deduction", "grade", over="contract")
def equal_unpaid(
    slope_gap, sold_gap, needs_gap, nothing, purchase_deduction, grade_for_none
):
    """Or anywhere, when neither kind or both sell the ore."""
    reach = np.where(sold_gap == 0, grade_for_none, purchase_deduction)
    low = purchase_deduction * nothing
    return root(needs_gap, slope_gap, low, reach, grade_for_none)


@equal.line("Equal at the lowest share paid", "grade", over="contract")
def equal_low(
    slope_gap,
    sold_gap,
    needs_gap,
    purchase_low_payable,
    purchase_deduction,
    purchase_low_grade,
    grade_for_none,
):
    """Between the deduction and the grade where the share begins to rise."""
    paid = sold_gap * purchase_low_payable
    over, under = needs_gap + paid * purchase_deduction, slope_gap + paid
    return root(over, under, purchase_deduction, purchase_low_grade, grade_for_none)


@equal.line("Rise of the share paid, for a grade unit", "1/grade")
def payable_slope(purchase_high_payable, purchase_low_payable, purchase_grade_span):
    """Between the lowest and the highest."""
    return (purchase_high_payable - purchase_low_payable) / purchase_grade_span


@equal.line("Share paid at no grade, were the rise to go on", "share")
def payable_start(purchase_low_payable, payable_slope, purchase_low_grade):
    """Where the sloping line begins."""
    return purchase_low_payable - payable_slope * purchase_low_grade


@equal.line("Equal while it rises: linear part", "$/ton/grade", over="contract")
def equal_linear(slope_gap, sold_gap, payable_start, payable_slope, purchase_deduction):
    """Of the square."""
    return slope_gap + sold_gap * (payable_start - payable_slope * purchase_deduction)


@equal.line("Equal while it rises: constant part", "$/ton", over="contract")
def equal_constant(needs_gap, sold_gap, payable_start, purchase_deduction):
    """Of the square."""
    return -needs_gap - sold_gap * payable_start * purchase_deduction


@equal.line("Equal while it rises: root of the square", "$/ton/grade", "contract")
def equal_root(equal_linear, equal_constant, sold_gap, payable_slope):
    """Below zero where the two never meet."""
    part = sold_gap * payable_slope * equal_constant
    inner = equal_linear**2 - (part + part + part + part)
    above, below = np.sqrt(np.maximum(inner, 0)), np.sqrt(np.maximum(-inner, 0))
    return np.where(inner >= 0, above, -below)


def equal_rising(linear, constant, square, deduction, low, high, none, sign):
    """One of the two grades while the share paid rises."""
    bottom = np.maximum(deduction, low)
    found = root(constant + constant, sign * square - linear, bottom, high, none)
    return np.where(square >= 0, found, none)


@equal.line("Equal while the share rises, first", "grade", over="contract")
def equal_first(
    equal_linear,
    equal_constant,
    equal_root,
    purchase_deduction,
    purchase_low_grade,
    purchase_high_grade,
    grade_for_none,
):
    """One root of the square."""
    return equal_rising(
        equal_linear,
        equal_constant,
        equal_root,
        purchase_deduction,
        purchase_low_grade,
        purchase_high_grade,
        grade_for_none,
        1,
    )


@equal.line("Equal while the share rises, second", "grade", over="contract")
def equal_second(
    equal_linear,
    equal_constant,
    equal_root,
    purchase_deduction,
    purchase_low_grade,
    purchase_high_grade,
    grade_for_none,
):
    """The other root of the square."""
    return equal_rising(
        equal_linear,
        equal_constant,
        equal_root,
        purchase_deduction,
        purchase_low_grade,
        purchase_high_grade,
        grade_for_none,
        -1,
    )


@equal.line("Equal at the highest share paid", "grade", over="contract")
def equal_high(
    slope_gap,
    sold_gap,
    needs_gap,
    purchase_high_payable,
    purchase_deduction,
    purchase_high_grade,
    grade_for_none,
):
    """Above the grade where the share stops to rise."""
    paid = sold_gap * purchase_high_payable
    over, under = needs_gap + paid * purchase_deduction, slope_gap + paid
    low = np.maximum(purchase_high_grade, purchase_deduction)
    return root(over, under, low, grade_for_none, grade_for_none)


@equal.line("Grade at which the kind equals the one agreed", "grade", over="contract")
def equal_grade(
    equal_unpaid, equal_low, equal_first, equal_second, equal_high, grade_for_none
):
    """The lowest. One grade for both sides: what one gains the other loses."""
    least = np.minimum(np.minimum(equal_unpaid, equal_low), equal_first)
    least = np.minimum(np.minimum(least, equal_second), equal_high)
    return np.where(least < grade_for_none, least, np.nan)
