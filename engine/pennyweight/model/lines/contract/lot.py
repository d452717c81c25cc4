"""A customer's lot: its milling cost and its metal value."""

from itertools import chain

import numpy as np

from ....trade import bullion as metals
from ....trade import contracts, cutoff, purchase
from ...inputs import families
from ...line import Section
from ..cash.revenue import sold_on
from ..cost.components import BASES, by_weight, components

lot = Section("Contract", "Customer lot and season")
in_mill = Section("Plant", "Plant on the customer's ore")
milling = Section("Contract", "Milling cost of the lot")
metal = Section("Contract", "Metal in the lot")
buying = Section("Contract", "Ore purchase on assay")


@lot.line("Customer")
def customer(customer_name):
    """Owner of the ore."""
    return customer_name


@lot.line("Customer lot dry weight", "ton")
def custom_tons(custom_wet_tons, custom_moisture):
    """Basis of payment and charges."""
    return custom_wet_tons * (1 - custom_moisture)


@lot.line("Gold in the customer lot", "oz")
def custom_gold(custom_tons, custom_grade, grade_per_ounce):
    """Dry weight times expected grade."""
    return custom_tons * custom_grade / grade_per_ounce


in_mill.again(
    "custom_ore",
    {"work_index": "custom_work_index", "timed_work_index": "timed_work_index"},
    ("feed_rate",),
)


@lot.line("Feed rate of customer ore", "ton/hour")
def custom_feed_rate(feed_rate, custom_pace, custom_ore_feed_rate):
    """Relative throughput times the plan's, or by the work index of this ore."""
    return np.where(custom_pace > 0, feed_rate * custom_pace, custom_ore_feed_rate)


@lot.line("Mill hours per lot", "hour")
def custom_hours(custom_tons, custom_feed_rate, set_up_hours):
    """Set-up and clean-up included."""
    return custom_tons / custom_feed_rate + set_up_hours


@lot.line("Season mill hours used", "share")
def season_load(custom_hours, season_lots, hours_per_month, season_months):
    """Above 100% the season is too short for all lots."""
    return custom_hours * season_lots / (hours_per_month * season_months)


@lot.line("Lots milled per season", "count/year")
def lots_milled(season_lots, season_load):
    """The booked lots, at most as many as the season's hours hold."""
    return season_lots / np.maximum(season_load, 1)


@lot.line("Customer ore per season", "ton/year")
def season_tons(custom_tons, lots_milled):
    """Dry tons, all lots that are milled."""
    return custom_tons * lots_milled


by_weight.again(
    "custom_ore",
    {
        "work_index": "custom_work_index",
        "feed_rate": "custom_feed_rate",
        "hammer_rate": "custom_ore_hammer_rate",
    },
    ("milling_ton_rate",),
)
milling.total(
    "milling_time_rate",
    "Mill's cost per ton, by time",
    "$/ton",
    tuple(
        f"{name}_per_ton" for name in components(("mill", "site"), set(BASES) - {"ton"})
    ),
    note="Crew and monthly costs.",
)


@milling.line("Mill's cost per hour, other", "$/hour")
def milling_hour_rate(milling_time_rate, feed_rate):
    """Crew and monthly costs, over running hours."""
    return milling_time_rate * feed_rate


@milling.line("Set-up, clean-up and laboratory cost", "$")
def set_up_cost(set_up_hours, milling_hour_rate, lot_assay_fee):
    """Independent of lot size."""
    return set_up_hours * milling_hour_rate + lot_assay_fee


@milling.line("Milling cost of the lot", "$")
def milling_cost(
    custom_tons,
    custom_ore_milling_ton_rate,
    custom_hours,
    set_up_hours,
    milling_hour_rate,
    set_up_cost,
):
    """By ton, by hour, and for set-up."""
    running = (custom_hours - set_up_hours) * milling_hour_rate
    return custom_tons * custom_ore_milling_ton_rate + running + set_up_cost


@milling.line("Milling cost per ton, lot", "$/ton")
def milling_cost_per_ton(milling_cost, custom_tons):
    """Cost to the mill."""
    return milling_cost / custom_tons


@milling.line("Milling cost per hour, lot", "$/hour")
def milling_cost_per_hour(milling_cost, custom_hours):
    """Cost to the mill."""
    return milling_cost / custom_hours


@milling.line("Opportunity cost per mill hour", "$/hour")
def waiting_hour_worth(waiting_margin, waiting_pace):
    """Margin of the next lot; zero if it makes a loss."""
    return cutoff.opportunity_cost_per_hour(waiting_margin, waiting_pace)


@metal.line("Gold produced from the lot", "oz")
def custom_melted(custom_gold, custom_recovery, furnace_recovery):
    """Fine gold, clean-up included."""
    return custom_gold * custom_recovery * furnace_recovery


@metal.line("Silver produced from the lot", "oz")
def custom_silver(custom_melted, silver_with_gold):
    """From gold and silver fineness."""
    return custom_melted * silver_with_gold


@metal.line("Clean-up gold of the lot", "oz")
def custom_cleanup(custom_melted, cleanup_share):
    """From riffles and mill after the lot."""
    return custom_melted * cleanup_share


@metal.line("Gold in the lot's bullion", "oz")
def custom_bullion(custom_melted, custom_cleanup):
    """Fine gold shipped to the refiner."""
    return custom_melted - custom_cleanup


@metal.line("Gold in the lot's middlings", "oz")
def custom_middlings(custom_gold, middlings_share, custom_recovery):
    """At most the gold that passes the tables."""
    return custom_gold * np.minimum(middlings_share, 1 - custom_recovery)


@metal.line("Gold in the lot's tailings", "oz")
def custom_tails(custom_gold, custom_recovery, custom_middlings):
    """Lot gold less concentrates and middlings."""
    return custom_gold * (1 - custom_recovery) - custom_middlings


@metal.line("Net price per ounce of gold in bullion", "$/oz")
def custom_ounce_net(gold_price, bullion_payable, refining_used):
    """After refining, without silver."""
    return metals.net_gold_price(gold_price, bullion_payable, refining_used)


@metal.line("Net value per ounce in bullion", "$/oz")
def bullion_ounce_net(custom_ounce_net, silver_credit):
    """After refining, silver included."""
    return custom_ounce_net + silver_credit


for label, product in (("middlings", "middlings"), ("tailings", "tails")):
    metal.line(
        f"Lot {label} revenue",
        "$",
        name=f"custom_{product}_sold",
        reads=(f"custom_{product}", f"{product}_payable", "gold_price"),
    )(sold_on)


@metal.line("Metal value of the lot", "$")
def custom_value(
    custom_melted,
    gold_price,
    custom_silver,
    silver_price,
    custom_middlings_sold,
    custom_tails_sold,
):
    """Gold and silver at market price, and the revenue of the by-products."""
    melted = custom_melted * gold_price + custom_silver * silver_price
    return melted + custom_middlings_sold + custom_tails_sold


def unpaid(
    gold, gold_price, gold_payable, refining, silver, silver_price, silver_payable
):
    """Value of unpaid metal, insurance and refining charge."""
    kept = gold * (gold_price * (1 - gold_payable) + refining)
    return kept + silver * silver_price * (1 - silver_payable)


@metal.line("Third-party deductions", "$")
def custom_third_parties(
    custom_melted,
    gold_price,
    bullion_payable,
    refining_used,
    custom_silver,
    silver_price,
    silver_payable,
    shipment_cost,
):
    """Unpaid metal, refining, insurance and one shipment."""
    kept = unpaid(
        custom_melted,
        gold_price,
        bullion_payable,
        refining_used,
        custom_silver,
        silver_price,
        silver_payable,
    )
    return kept + shipment_cost


@metal.line("Lot proceeds before shipment", "$")
def custom_proceeds(
    custom_melted, bullion_ounce_net, custom_middlings_sold, custom_tails_sold
):
    """All metal."""
    melted = custom_melted * bullion_ounce_net
    return melted + custom_middlings_sold + custom_tails_sold


@metal.line("Owner's clean-up gold", "oz")
def custom_cleanup_owned(cleanup_owner, custom_cleanup, cleanup_limit, custom_gold):
    """All of it, or what is above the mill's limit."""
    above = np.maximum(custom_cleanup - cleanup_limit * custom_gold, 0)
    return np.where(cleanup_owner == "owner", custom_cleanup, above)


@metal.line("Clean-up gold revenue, owner", "$")
def custom_cleanup_sold(custom_cleanup_owned, custom_ounce_net):
    """At the net price of gold in bullion."""
    return custom_cleanup_owned * custom_ounce_net


def belonging(side, owner, sold):
    """Revenue from a by-product that belongs to a side; else nothing."""
    return np.where(owner == side, sold, 0)


@metal.line("By-product revenue of the mill", "$")
def mill_extras(
    custom_cleanup,
    bullion_ounce_net,
    custom_cleanup_sold,
    middlings_owner,
    custom_middlings_sold,
    tails_owner,
    custom_tails_sold,
):
    """Clean-up gold with all of its silver."""
    kept = custom_cleanup * bullion_ounce_net - custom_cleanup_sold
    middlings = belonging("mill", middlings_owner, custom_middlings_sold)
    return kept + middlings + belonging("mill", tails_owner, custom_tails_sold)


def owner_extras(
    custom_cleanup_sold,
    middlings_owner,
    custom_middlings_sold,
    tails_owner,
    custom_tails_sold,
):
    """Clean-up gold, middlings and tailings, by contract."""
    middlings = belonging("owner", middlings_owner, custom_middlings_sold)
    tails = belonging("owner", tails_owner, custom_tails_sold)
    return custom_cleanup_sold + middlings + tails


@metal.line("Penalties of the lot", "$")
def custom_penalties(
    custom_tons,
    custom_wet_tons,
    custom_work_index,
    allowed_work_index,
    hardness_rate,
    custom_clay,
    allowed_clay,
    clay_rate,
    custom_sulphides,
    allowed_sulphides,
    sulphide_rate,
    custom_moisture,
    allowed_moisture,
    moisture_rate,
):
    """Hardness, clay, sulphides and moisture; under every contract type."""
    return (
        contracts.penalty(
            custom_tons, custom_work_index, allowed_work_index, hardness_rate
        )
        + contracts.penalty(custom_tons, custom_clay, allowed_clay, clay_rate)
        + contracts.penalty(
            custom_tons, custom_sulphides, allowed_sulphides, sulphide_rate
        )
        + contracts.penalty(
            custom_wet_tons, custom_moisture, allowed_moisture, moisture_rate
        )
    )


@buying.line("Payable schedule, high grade", "grade")
def purchase_high_grade(purchase_low_grade, purchase_grade_span):
    """The highest payable share applies from this grade."""
    return purchase_low_grade + purchase_grade_span


@buying.line("Payable schedule, highest share", "share")
def purchase_high_payable(purchase_low_payable, purchase_payable_rise):
    """At most 100%."""
    return np.minimum(purchase_low_payable + purchase_payable_rise, 1)


STEPS = (
    *chain.from_iterable(
        zip(families()["step_from"], families()["step_paid"], strict=True)
    ),
)
"""Inputs of the steps: lowest grade and payable share of each."""
RISING = (
    *("purchase_low_grade", "purchase_high_grade"),
    *("purchase_low_payable", "purchase_high_payable"),
)
SCHEDULE = (*RISING, *STEPS)


def stepped(grade, *steps):
    """Payable share by a schedule of steps."""
    share, each = 0, iter(steps)
    for step_from, step_paid in zip(each, each, strict=True):
        share = purchase.payable_by_step(grade, step_from, step_paid, share)
    return share


def payable(grade, low_grade, high_grade, low_payable, high_payable, *steps):
    """Payable share at a grade: by steps if entered, else by the sliding scale."""
    rising = purchase.payable_share(
        grade, low_grade, high_grade, low_payable, high_payable
    )
    _, first, *_ = steps
    return np.where(first > 0, stepped(grade, *steps), rising)


buying.line(
    "Payable share of the lot's gold",
    "share",
    name="custom_payable",
    reads=("custom_grade", *SCHEDULE),
    note="At the lot's grade, by the payable schedule.",
)(payable)


@buying.line(
    "Paid gold per ton of ore",
    "oz/ton",
    note="After deductions, at the payable share.",
)
def purchase_gold(
    custom_grade,
    custom_payable,
    purchase_deduction,
    purchase_least_deduction,
    grade_per_ounce,
):
    """Payable ounces per ton at a grade."""
    paid = purchase.gold_after_deductions(
        custom_grade, custom_payable, purchase_deduction, purchase_least_deduction
    )
    return paid / grade_per_ounce


@buying.line("Price paid per ounce", "$/oz")
def purchase_ounce_price(gold_price, purchase_price_deduction):
    """Gold price less the price deduction."""
    return gold_price * (1 - purchase_price_deduction)


@buying.line("Ore purchase price of the lot", "$")
def purchase_paid(custom_tons, purchase_gold, purchase_ounce_price, purchase_treatment):
    """Negative if the treatment charge exceeds the gold."""
    return custom_tons * purchase.purchase_price(
        purchase_gold, purchase_ounce_price, 0, purchase_treatment
    )
