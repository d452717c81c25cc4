"""Risk shares of mill and owner: grade, recovery and price."""

import functools
import re

import numpy as np

from ....trade import contracts
from ...line import Section
from .lot import SCHEDULE, payable, purchase_gold

risk = Section("Contract", "Standard deviation of one side, $ per lot")
carried = Section("Contract", "Shares of the risk")
spread = Section("Contract", "Standard deviation of both sides together, $ per lot")


@spread.line("Grade plus one std. deviation", "grade")
def better_grade(custom_grade, grade_risk):
    """Of the lot."""
    return custom_grade * (1 + grade_risk)


@spread.line("Grade minus one std. deviation", "grade")
def poorer_grade(custom_grade, grade_risk):
    """Of the lot."""
    return custom_grade * (1 - grade_risk)


for end, words in (("better", "higher"), ("poorer", "lower")):
    spread.line(
        f"Payable share, {words} grade",
        "share",
        name=f"{end}_payable",
        reads=(f"{end}_grade", *SCHEDULE),
        note="One standard deviation from the lot's grade.",
    )(payable)
    spread.line(
        f"Paid gold per ton, {words} grade",
        "oz/ton",
        name=f"{end}_gold",
        rename=functools.partial(re.sub, "custom", end),
        note="One standard deviation from the lot's grade.",
    )(purchase_gold)


@spread.line("Ore price, from grade", "$")
def bought_swing(
    custom_tons,
    purchase_ounce_price,
    better_gold,
    poorer_gold,
    better_grade,
    poorer_grade,
    custom_grade,
    grade_risk,
):
    """Half the difference between higher and lower grade."""
    slope = (better_gold - poorer_gold) / (better_grade - poorer_grade)
    return custom_tons * purchase_ounce_price * slope * custom_grade * grade_risk


@spread.line("Both sides, from grade", "$")
def both_grade_swing(custom_proceeds, grade_risk):
    """All metal is in proportion to grade."""
    return custom_proceeds * grade_risk


@spread.line("Both sides, from recovery", "$")
def both_recovery_swing(
    custom_melted,
    bullion_ounce_net,
    custom_gold,
    custom_recovery,
    tails_payable,
    gold_price,
    recovery_risk,
):
    """Gold recovered is missing from the tailings."""
    tails = custom_gold * custom_recovery * tails_payable * gold_price
    return (custom_melted * bullion_ounce_net - tails) * recovery_risk


@spread.line("Paid ounces in the mill's by-products", "oz")
def mill_extra_ounces(
    middlings_owner,
    tails_owner,
    custom_cleanup,
    custom_cleanup_owned,
    bullion_payable,
    custom_middlings,
    middlings_payable,
    custom_tails,
    tails_payable,
):
    """Change of revenue per $/oz of gold price."""
    return (
        (custom_cleanup - custom_cleanup_owned) * bullion_payable
        + np.where(middlings_owner == "mill", custom_middlings * middlings_payable, 0)
        + np.where(tails_owner == "mill", custom_tails * tails_payable, 0)
    )


@spread.line("Paid ounces of the lot", "oz")
def custom_paid_ounces(
    custom_melted,
    bullion_payable,
    custom_middlings,
    middlings_payable,
    custom_tails,
    tails_payable,
):
    """Change of both sides' revenue per $/oz of gold price."""
    others = custom_middlings * middlings_payable + custom_tails * tails_payable
    return custom_melted * bullion_payable + others


@spread.line("Both sides, from gold price", "$")
def both_price_swing(custom_paid_ounces, gold_price, price_risk):
    """Until payment."""
    return custom_paid_ounces * gold_price * price_risk


@risk.line("Mill, from grade", "$", over="contract")
def mill_grade_swing(
    both_grade_swing,
    terms_purchase,
    bought_swing,
    owner_metal,
    shipment_cost,
    grade_risk,
):
    """Both sides' less the owner's."""
    owner = (owner_metal + shipment_cost) * grade_risk
    return both_grade_swing - np.where(terms_purchase == "yes", bought_swing, owner)


@risk.line("Mill, from recovery", "$", over="contract")
def mill_recovery_swing(
    terms_purchase,
    both_recovery_swing,
    contract_shared,
    custom_cleanup,
    bullion_ounce_net,
    custom_cleanup_owned,
    custom_ounce_net,
    tails_owner,
    custom_gold,
    custom_recovery,
    tails_payable,
    gold_price,
    recovery_risk,
):
    """All of it under ore purchase."""
    tails = custom_gold * custom_recovery * tails_payable * gold_price
    # Of each further ounce the owner has all, or all above the mill's limit.
    owned = np.where(custom_cleanup_owned > 0, custom_cleanup, 0)
    own = (
        contract_shared
        + custom_cleanup * bullion_ounce_net
        - owned * custom_ounce_net
        - np.where(tails_owner == "mill", tails, 0)
    )
    return np.where(terms_purchase == "yes", both_recovery_swing, own * recovery_risk)


@risk.line("Mill, from gold price", "$", over="contract")
def mill_price_swing(custom_paid_ounces, owner_ounces, gold_price, price_risk):
    """On the paid ounces without the owner's exposure."""
    return (custom_paid_ounces - owner_ounces) * gold_price * price_risk


@risk.line("Mill, all three", "$", over="contract")
def mill_swing(mill_grade_swing, mill_recovery_swing, mill_price_swing):
    """Independent variations."""
    return all_three(mill_grade_swing, mill_recovery_swing, mill_price_swing)


@risk.line("Owner, all three", "$", over="contract")
def owner_swing(
    both_grade_swing,
    both_recovery_swing,
    both_price_swing,
    mill_grade_swing,
    mill_recovery_swing,
    mill_price_swing,
):
    """Independent variations."""
    return all_three(
        both_grade_swing - mill_grade_swing,
        both_recovery_swing - mill_recovery_swing,
        both_price_swing - mill_price_swing,
    )


def all_three(grade, recovery, price):
    """Root of the sum of the squares."""
    return np.sqrt(grade * grade + recovery * recovery + price * price)


def part(own, both):
    """The mill's share; n/a if both sides together have no risk."""
    return np.where(both != 0, own / both, np.nan)


for source in ("grade", "recovery", "price"):
    carried.line(
        f"{source.capitalize()} risk, mill's share",
        "share",
        over="contract",
        name=f"mill_{source}_risk",
        reads=(f"mill_{source}_swing", f"both_{source}_swing"),
        note="The rest is the owner's.",
    )(part)


@carried.line("Variance, mill's share", "share", over="contract")
def mill_risk(
    mill_grade_swing,
    mill_recovery_swing,
    mill_price_swing,
    both_grade_swing,
    both_recovery_swing,
    both_price_swing,
):
    """Covariance with the total over variance of the total."""
    return contracts.risk_carried(
        mill_grade_swing,
        mill_recovery_swing,
        mill_price_swing,
        both_grade_swing,
        both_recovery_swing,
        both_price_swing,
    )


@carried.line("Variance, owner's share", "share", over="contract")
def owner_risk(mill_risk):
    """1 less the mill's share."""
    return 1 - mill_risk
