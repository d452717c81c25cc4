"""Who carries how much of the risk in grade, recovery and price."""

import numpy as np

from ....trade import contracts
from ...line import Section
from .lot import SCHEDULE, bought

risk = Section("Contract", "One standard deviation of the mill's money, $ a lot")
carried = Section("Contract", "Who carries the risk")
spread = Section("Contract", "One standard deviation of both sides together, $ a lot")


@spread.line("Grade, one standard deviation better", "grade")
def better_grade(custom_grade, grade_risk):
    """Of the lot."""
    return custom_grade * (1 + grade_risk)


@spread.line("Grade, one standard deviation poorer", "grade")
def poorer_grade(custom_grade, grade_risk):
    """Of the lot."""
    return custom_grade * (1 - grade_risk)


for end in ("better", "poorer"):
    spread.line(
        "Gold of a ton paid for at that grade",
        "oz/ton",
        name=f"{end}_gold",
        reads=(f"{end}_grade", *SCHEDULE),
        note=f"The {end} one.",
    )(bought)


@spread.line("Ore bought, from the grade", "$")
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
    """Half the difference between a grade that much higher and lower."""
    slope = (better_gold - poorer_gold) / (better_grade - poorer_grade)
    return custom_tons * purchase_ounce_price * slope * custom_grade * grade_risk


@spread.line("From the grade", "$")
def both_grade_swing(custom_proceeds, grade_risk):
    """All metal is in proportion to the grade."""
    return custom_proceeds * grade_risk


@spread.line("From the recovery", "$")
def both_recovery_swing(
    custom_melted,
    bullion_ounce_net,
    custom_gold,
    custom_recovery,
    tails_payable,
    gold_price,
    recovery_risk,
):
    """What the tables catch is not in the tailings."""
    tails = custom_gold * custom_recovery * tails_payable * gold_price
    return (custom_melted * bullion_ounce_net - tails) * recovery_risk


@spread.line("From the price", "$")
def both_price_swing(custom_paid_ounces, gold_price, price_risk):
    """Until the metal is paid for."""
    return custom_paid_ounces * gold_price * price_risk


@risk.line("From the grade", "$", over="contract")
def mill_grade_swing(
    both_grade_swing,
    terms_purchase,
    bought_swing,
    owner_metal,
    shipment_cost,
    grade_risk,
):
    """What both sides feel, less what the owner does."""
    owner = (owner_metal + shipment_cost) * grade_risk
    return both_grade_swing - np.where(terms_purchase == "yes", bought_swing, owner)


@risk.line("From the recovery", "$", over="contract")
def mill_recovery_swing(
    terms_purchase,
    both_recovery_swing,
    contract_shared,
    cleanup_owner,
    custom_cleanup,
    bullion_ounce_net,
    tails_owner,
    custom_gold,
    custom_recovery,
    tails_payable,
    gold_price,
    recovery_risk,
):
    """All of it where the mill buys the ore."""
    tails = custom_gold * custom_recovery * tails_payable * gold_price
    own = (
        contract_shared
        + np.where(cleanup_owner == "mill", custom_cleanup * bullion_ounce_net, 0)
        - np.where(tails_owner == "mill", tails, 0)
    )
    return np.where(terms_purchase == "yes", both_recovery_swing, own * recovery_risk)


@risk.line("From the price", "$", over="contract")
def mill_price_swing(custom_paid_ounces, owner_ounces, gold_price, price_risk):
    """On the ounces whose price the owner does not carry."""
    return (custom_paid_ounces - owner_ounces) * gold_price * price_risk


@risk.line("All three together", "$", over="contract")
def mill_swing(mill_grade_swing, mill_recovery_swing, mill_price_swing):
    """They vary independently."""
    return all_three(mill_grade_swing, mill_recovery_swing, mill_price_swing)


@risk.line("The owner's, all three together", "$", over="contract")
def owner_swing(
    both_grade_swing,
    both_recovery_swing,
    both_price_swing,
    mill_grade_swing,
    mill_recovery_swing,
    mill_price_swing,
):
    """What both sides feel, less what the mill does."""
    return all_three(
        both_grade_swing - mill_grade_swing,
        both_recovery_swing - mill_recovery_swing,
        both_price_swing - mill_price_swing,
    )


def all_three(grade, recovery, price):
    """Root of the sum of the squares."""
    return np.sqrt(grade * grade + recovery * recovery + price * price)


def part(own, both):
    """What the mill feels of it; none where nobody feels anything."""
    return np.where(both != 0, own / both, np.nan)


for source in ("grade", "recovery", "price"):
    carried.line(
        f"Risk of the {source} carried by the mill",
        "share",
        over="contract",
        name=f"mill_{source}_risk",
        reads=(f"mill_{source}_swing", f"both_{source}_swing"),
        note="The owner carries the rest.",
    )(part)


@carried.line("Variance carried by the mill", "share", over="contract")
def mill_risk(
    mill_grade_swing,
    mill_recovery_swing,
    mill_price_swing,
    both_grade_swing,
    both_recovery_swing,
    both_price_swing,
):
    """Covariance with the whole, as a share of the whole's variance."""
    return contracts.risk_carried(
        mill_grade_swing,
        mill_recovery_swing,
        mill_price_swing,
        both_grade_swing,
        both_recovery_swing,
        both_price_swing,
    )


@carried.line("Variance carried by the owner", "share", over="contract")
def owner_risk(mill_risk):
    """The rest."""
    return 1 - mill_risk
