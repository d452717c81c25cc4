"""The grade at which a contract type equals the agreed one, for both sides."""

import numpy as np

from ....formulas import lookup
from ...line import Section
from .break_even import even

equal = Section("Contract", "Indifference grade: workings")


@equal.line("Ore sold: paid for the gold in it", "$/ton/grade", over="contract")
def sold_price(terms_purchase, purchase_ounce_price, grade_per_ounce):
    """Nothing where the ore is not sold."""
    price = purchase_ounce_price / grade_per_ounce
    return np.where(terms_purchase == "yes", price, 0)


@equal.line("Owner's metal for the gold in the rock, as agreed", "$/ton/grade")
def agreed_slope(contract_kind, contract, owner_slope):
    """Unless the ore is sold."""
    return lookup(contract_kind, contract, owner_slope)


@equal.line("Ore sold: paid for the gold in it, as agreed", "$/ton/grade")
def agreed_sold(contract_kind, contract, sold_price):
    """Nothing where the ore is not sold."""
    return lookup(contract_kind, contract, sold_price)


@equal.line("To be covered by the owner's metal, as agreed", "$/ton")
def agreed_needs(contract_kind, contract, owner_needs):
    """Of the kind agreed."""
    return lookup(contract_kind, contract, owner_needs)


@equal.line("Metal for the gold in the rock, above agreed", "$/ton/grade", "contract")
def slope_gap(owner_slope, agreed_slope):
    """To the owner."""
    return owner_slope - agreed_slope


@equal.line("Paid for the gold in ore sold, above agreed", "$/ton/grade", "contract")
def sold_gap(sold_price, agreed_sold):
    """To the owner."""
    return sold_price - agreed_sold


@equal.line("To be covered, above agreed", "$/ton", over="contract")
def needs_gap(owner_needs, agreed_needs):
    """By the owner's metal."""
    return owner_needs - agreed_needs


BOUNDED = (
    "equal_at_low",
    "equal_at_high",
    "equal_unpaid",
    "equal_low",
    "equal_first",
    "equal_second",
    "equal_high",
)
"""Lines in which the grade for none stands where there is none."""


def quotient(over, under, none):
    """Where two straight lines meet; below any grade where they do not."""
    return np.where(under != 0, over / under, -none)


def between(found, low, high, none):
    """The grade found where it lies between two others; else the grade for none."""
    return np.where(np.logical_and(found >= low, found <= high), found, none)


def root(over, under, low, high, none):
    """The quotient where it lies between two grades."""
    return between(quotient(over, under, none), low, high, none)


def at_constant_share(
    slope_gap, sold_gap, needs_gap, payable, deduction, grade_for_none
):
    """Where the kind meets the one agreed, were this share paid at any grade."""
    paid = sold_gap * payable
    over, under = needs_gap + paid * deduction, slope_gap + paid
    return quotient(over, under, grade_for_none)


for end in ("low", "high"):
    equal.line(
        f"Equal, were the {end}est share paid anywhere",
        "grade",
        over="contract",
        name=f"equal_at_{end}",
        reads=(
            "slope_gap",
            "sold_gap",
            "needs_gap",
            f"purchase_{end}_payable",
            "purchase_deduction",
            "grade_for_none",
        ),
        note="Counts where that share is paid only.",
    )(at_constant_share)


@equal.line("Highest grade looked at", "grade")
def grade_for_none(beyond_any, custom_grade):
    """Stands for none."""
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
def equal_low(equal_at_low, purchase_deduction, purchase_low_grade, grade_for_none):
    """Between the deduction and the grade where the share begins to rise."""
    return between(equal_at_low, purchase_deduction, purchase_low_grade, grade_for_none)


@equal.line("Rise of the share paid with the grade", "1/grade")
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
    inner = equal_linear * equal_linear - (part + part + part + part)
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
def equal_high(equal_at_high, purchase_deduction, purchase_high_grade, grade_for_none):
    """Above the grade where the share stops to rise."""
    low = np.maximum(purchase_high_grade, purchase_deduction)
    return between(equal_at_high, low, grade_for_none, grade_for_none)


@even.line("Indifference grade", "grade", over="contract")
def equal_grade(
    equal_unpaid, equal_low, equal_first, equal_second, equal_high, grade_for_none
):
    """Both sides earn the same as under the agreed contract."""
    least = np.minimum(np.minimum(equal_unpaid, equal_low), equal_first)
    least = np.minimum(np.minimum(least, equal_second), equal_high)
    return np.where(least < grade_for_none, least, np.nan)
