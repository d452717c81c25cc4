"""A customer's lot: what it costs the mill, and the metal that it brings."""

import numpy as np

from ....trade import bullion as metals
from ....trade import contracts, cutoff, purchase
from ...line import Section
from ..cash.revenue import sold_on
from ..cost.components import components

lot = Section("Contract", "The lot and the season")
milling = Section("Contract", "What the lot costs the mill")
metal = Section("Contract", "Metal of the lot")
buying = Section("Contract", "Ore bought on assay")


@lot.line("Customer")
def customer(customer_name):
    """Owner of the ore."""
    return customer_name


@lot.line("Dry weight of the lot", "ton")
def custom_tons(custom_wet_tons, custom_moisture):
    """What is paid and charged for."""
    return custom_wet_tons * (1 - custom_moisture)


@lot.line("Gold in the lot", "oz")
def custom_gold(custom_tons, custom_grade, grade_per_ounce):
    """By the grade expected."""
    return custom_tons * custom_grade / grade_per_ounce


@lot.line("Mill hours of the lot", "hour")
def custom_hours(custom_tons, feed_rate, custom_pace, set_up_hours):
    """With set-up and clean-up."""
    return custom_tons / (feed_rate * custom_pace) + set_up_hours


@lot.line("Tons of the season", "ton/year")
def season_tons(custom_tons, season_lots):
    """All lots."""
    return custom_tons * season_lots


@lot.line("Share of the season's mill hours", "share")
def season_load(custom_hours, season_lots, hours_per_month, season_months):
    """Above 100 % the season is too short for all lots."""
    return custom_hours * season_lots / (hours_per_month * season_months)


milling.total(
    "milling_ton_rate",
    "Mill's cost paid by the ton",
    "$/ton",
    tuple(f"{name}_per_ton" for name in components(("mill", "site"), ("ton",))),
    note="Energy, steel, water, tailings: from the cost sheet.",
)


@milling.line("Mill's other cost, by the hour", "$/hour")
def milling_hour_rate(cost_per_ton, mine_cost_per_ton, milling_ton_rate, feed_rate):
    """Crew, and what is paid by the month, over the running hours."""
    return (cost_per_ton - mine_cost_per_ton - milling_ton_rate) * feed_rate


@milling.line("Cost of set-up, clean-up and laboratory", "$")
def set_up_cost(set_up_hours, milling_hour_rate, lot_assay_fee):
    """The same for a small lot as for a large one."""
    return set_up_hours * milling_hour_rate + lot_assay_fee


@milling.line("Cost of the lot to the mill", "$")
def milling_cost(
    custom_tons,
    milling_ton_rate,
    custom_hours,
    set_up_hours,
    milling_hour_rate,
    set_up_cost,
):
    """By the ton, by the hour, and for set-up."""
    running = (custom_hours - set_up_hours) * milling_hour_rate
    return custom_tons * milling_ton_rate + running + set_up_cost


@milling.line("Cost of a ton", "$/ton")
def milling_cost_per_ton(milling_cost, custom_tons):
    """Of this lot, to the mill."""
    return milling_cost / custom_tons


@milling.line("Cost of a mill hour", "$/hour")
def milling_cost_per_hour(milling_cost, custom_hours):
    """Of this lot."""
    return milling_cost / custom_hours


@milling.line("Worth of a mill hour while a better lot waits", "$/hour")
def waiting_hour_worth(waiting_margin, waiting_pace):
    """Margin that the waiting lot would leave in it; none if that lot loses."""
    return cutoff.opportunity_cost_per_hour(waiting_margin, waiting_pace)


@metal.line("Gold caught and melted", "oz")
def custom_melted(custom_gold, custom_recovery, furnace_recovery):
    """Fine gold, clean-up included."""
    return custom_gold * custom_recovery * furnace_recovery


@metal.line("Silver with it", "oz")
def custom_silver(custom_melted, silver_with_gold):
    """By the fineness of gold and silver in the bullion."""
    return custom_melted * silver_with_gold


@metal.line("Gold found by the clean-up", "oz")
def custom_cleanup(custom_melted, cleanup_share):
    """Left in riffles and mill when the lot is through."""
    return custom_melted * cleanup_share


@metal.line("Gold in the lot's bullion", "oz")
def custom_bullion(custom_melted, custom_cleanup):
    """Fine gold that goes to the refiner."""
    return custom_melted - custom_cleanup


@metal.line("Gold in the middlings", "oz")
def custom_middlings(custom_gold, middlings_share, custom_recovery):
    """Never more than the tables let by."""
    return custom_gold * np.minimum(middlings_share, 1 - custom_recovery)


@metal.line("Gold in the tailings", "oz")
def custom_tails(custom_gold, custom_recovery, custom_middlings):
    """The rest."""
    return custom_gold * (1 - custom_recovery) - custom_middlings


@metal.line("Brought by an ounce in the bullion", "$/oz")
def bullion_ounce_net(gold_price, bullion_payable, refining_charge, silver_credit):
    """After the refiner, with its silver."""
    net = metals.net_gold_price(gold_price, bullion_payable, refining_charge)
    return net + silver_credit


for label, product in (("Middlings sold", "middlings"), ("Tailings sold", "tails")):
    metal.line(
        label,
        "$",
        name=f"custom_{product}_sold",
        reads=(f"custom_{product}", f"{product}_payable", "gold_price"),
    )(sold_on)


def metal_value(gold, gold_price, silver, silver_price, middlings_sold, tails_sold):
    """Gold and silver melted at their price, and what middlings and tailings bring."""
    melted = gold * gold_price + silver * silver_price
    return melted + middlings_sold + tails_sold


metal.line(
    "Value of the metal",
    "$",
    name="custom_value",
    reads=(
        "custom_melted",
        "gold_price",
        "custom_silver",
        "silver_price",
        "custom_middlings_sold",
        "custom_tails_sold",
    ),
)(metal_value)


def unpaid(
    gold, gold_price, gold_payable, refining, silver, silver_price, silver_payable
):
    """Metal that the refiner does not pay for, insurance, and his charge."""
    kept = gold * (gold_price * (1 - gold_payable) + refining)
    return kept + silver * silver_price * (1 - silver_payable)


@metal.line("Kept by refiner, insurer and carrier", "$")
def custom_third_parties(
    custom_melted,
    gold_price,
    bullion_payable,
    refining_charge,
    custom_silver,
    silver_price,
    silver_payable,
    shipment_cost,
):
    """Metal not paid for, refining, insurance and one shipment."""
    kept = unpaid(
        custom_melted,
        gold_price,
        bullion_payable,
        refining_charge,
        custom_silver,
        silver_price,
        silver_payable,
    )
    return kept + shipment_cost


@metal.line("Brought by all metal of the lot", "$")
def custom_proceeds(
    custom_melted, bullion_ounce_net, custom_middlings_sold, custom_tails_sold
):
    """Before the shipment."""
    melted = custom_melted * bullion_ounce_net
    return melted + custom_middlings_sold + custom_tails_sold


@metal.line("By-products that are the mill's", "$")
def mill_extras(
    cleanup_owner,
    middlings_owner,
    tails_owner,
    custom_cleanup,
    bullion_ounce_net,
    custom_middlings_sold,
    custom_tails_sold,
):
    """Clean-up gold, middlings and tailings, by the contract."""
    cleanup = custom_cleanup * bullion_ounce_net
    return (
        np.where(cleanup_owner == "mill", cleanup, 0)
        + np.where(middlings_owner == "mill", custom_middlings_sold, 0)
        + np.where(tails_owner == "mill", custom_tails_sold, 0)
    )


@metal.line("Paid ounces among the mill's by-products", "oz")
def mill_extra_ounces(
    cleanup_owner,
    middlings_owner,
    tails_owner,
    custom_cleanup,
    bullion_payable,
    custom_middlings,
    middlings_payable,
    custom_tails,
    tails_payable,
):
    """What a dollar more on the price of gold brings there."""
    return (
        np.where(cleanup_owner == "mill", custom_cleanup * bullion_payable, 0)
        + np.where(middlings_owner == "mill", custom_middlings * middlings_payable, 0)
        + np.where(tails_owner == "mill", custom_tails * tails_payable, 0)
    )


@metal.line("Paid ounces of the lot", "oz")
def custom_paid_ounces(
    custom_melted,
    bullion_payable,
    custom_middlings,
    middlings_payable,
    custom_tails,
    tails_payable,
):
    """What a dollar more on the price of gold brings to both sides together."""
    others = custom_middlings * middlings_payable + custom_tails * tails_payable
    return custom_melted * bullion_payable + others


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
    """For hard, sticky, wet ore and sulphides; paid under every kind."""
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


@buying.line("Grade from which the highest share is paid", "grade")
def purchase_high_grade(purchase_low_grade, purchase_grade_span):
    """Where the rise ends."""
    return purchase_low_grade + purchase_grade_span


@buying.line("Highest share of the assayed gold paid", "share")
def purchase_high_payable(purchase_low_payable, purchase_payable_rise):
    """Never above all of it."""
    return np.minimum(purchase_low_payable + purchase_payable_rise, 1)


def bought(
    grade, low_grade, high_grade, low_payable, high_payable, deduction, per_ounce
):
    """Ounces of a ton that the mill pays for, at a grade."""
    paid = purchase.paid_gold(
        grade, low_grade, high_grade, low_payable, high_payable, deduction
    )
    return paid / per_ounce


SCHEDULE = (
    "purchase_low_grade",
    "purchase_high_grade",
    "purchase_low_payable",
    "purchase_high_payable",
    "purchase_deduction",
    "grade_per_ounce",
)
buying.line(
    "Gold of a ton paid for",
    "oz/ton",
    name="purchase_gold",
    reads=("custom_grade", *SCHEDULE),
    note="After the deduction, at the share for the grade.",
)(bought)


@buying.line("Paid for an ounce", "$/oz")
def purchase_ounce_price(gold_price, purchase_price_deduction):
    """Gold price less the deduction."""
    return gold_price * (1 - purchase_price_deduction)


@buying.line("Price of the lot", "$")
def purchase_paid(custom_tons, purchase_gold, purchase_ounce_price, purchase_treatment):
    """Below zero the treatment charge eats the gold."""
    return custom_tons * purchase.purchase_price(
        purchase_gold, purchase_ounce_price, 0, purchase_treatment
    )
