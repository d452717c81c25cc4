"""Published settlements and terms, and those that the functions cannot express."""

import math
from itertools import chain

import numpy as np
import pytest

from pennyweight.documents.price_table import price_of
from pennyweight.model import units
from pennyweight.model.lines.contract.lot import stepped
from pennyweight.model.lines.settlement.money import (
    provisional_due,
    settle_late_interest,
)
from pennyweight.trade import assay_exchange, bullion, contracts, purchase, settlement
from pennyweight.trade.exact_units import GRAMS_PER_OUNCE

from ..evidence import evidence
from ..published import settlements as known


@evidence("dore_payment", "read", known.PLACER_SOURCE)
def test_a_buyer_of_placer_gold():
    case = known.PLACER
    paid = bullion.dore_payment(
        case["mass"], 1000, case["payable"], case["price"], 0, case["fee"]
    )
    # The page takes 31.1 g to the ounce and cuts the price of a gram off to cents.
    assert paid == pytest.approx(case["paid"], abs=0.10)
    per_gram = math.floor(100 * case["price"] / 31.1) / 100 * case["payable"]
    per_gram = math.floor(100 * per_gram) / 100
    assert per_gram * case["mass"] - case["fee"] == pytest.approx(case["paid"])


@evidence("melt_loss", "read", known.MINT_1864_SOURCE)
@evidence("mass_after_melting", "read", known.MINT_1864_SOURCE)
def test_a_deposit_at_a_mint():
    case = known.MINT_1864
    lost = bullion.melt_loss(case["before"], case["after"])
    assert lost == pytest.approx(case["lost"], abs=5e-4)
    after = bullion.mass_after_melting(case["before"], case["lost"])
    assert after == pytest.approx(case["after"], abs=0.1)
    per_ounce = case["paid"] / case["after"]
    assert per_ounce == pytest.approx(case["per_ounce"], abs=0.005)
    assert per_ounce / 20.67 == pytest.approx(case["share"], abs=5e-4)


def test_late_interest_is_simple():
    for case in (known.LATE, known.LATE_TREASURY):
        per_day = settle_late_interest(case["amount"], case["rate"], 360)
        assert per_day * case["days"] == pytest.approx(case["interest"], abs=0.005)
    other = known.LATE_COMPOUND
    # Interest on interest, which our terms cannot say, is 8 cents more in 75 days.
    days = 30 * other["months"] + other["days"]
    simple = settle_late_interest(other["amount"], other["rate"], 360) * days
    grown = (1 + other["rate"] / 12) ** other["months"]
    grown *= 1 + other["rate"] / 360 * other["days"]
    compound = other["amount"] * (grown - 1)
    assert compound == pytest.approx(other["interest"], abs=0.005)
    assert simple == pytest.approx(18.75, abs=1e-9)


@pytest.mark.parametrize("case", known.LATE_365)
def test_late_interest_by_a_year_of_365_days(case):
    year = int(units.constants("us")["interest_days"])
    per_day = settle_late_interest(case["amount"], case["rate"], year)
    assert round(per_day * case["days"], case["places"]) == case["interest"]


def pounds(amount):
    whole, shillings, pence = amount
    return whole + shillings / 20 + pence / 240


@evidence("net_to_owner", "read", known.NEW_ZEALAND_SOURCE)
def test_what_a_mine_netted_and_what_it_cost_per_ton():
    case = known.NEW_ZEALAND
    deducted = math.fsum(map(pounds, case["deducted"]))
    assert deducted == pytest.approx(pounds(case["total"]), abs=1e-9)
    net = settlement.net_to_owner(pounds(case["bullion"]), deducted, 0, 0)
    assert net == pytest.approx(-pounds(case["loss"]), abs=1e-9)
    for cost in ("crushing", "treatment"):
        per_ton = pounds(case[f"{cost}_per_ton"])
        assert pounds(case[cost]) / case["tons"] == pytest.approx(per_ton, abs=1 / 240)


@evidence("milling_charge", "read", known.CUSTOM_MILL_SOURCE)
def test_the_charge_of_a_custom_mill():
    case = known.CUSTOM_MILL
    assert contracts.milling_charge(case["tons"], 0, 0, case["charge"]) == case["paid"]


@pytest.mark.parametrize("case", [known.PERIOD, known.MONTH_AFTER])
def test_a_period_is_averaged_over_the_days_that_have_a_price(case):
    told = [(day, str(price)) for day, price in case["prices"]]
    rows = list(enumerate([("date", "price"), *told], 1))
    assert price_of(rows, case["period"])[0] == case["average"]


@evidence("penalty", "read", known.ARSENIC_SOURCE)
@evidence("penalty", "read", known.SIERRA_SOURCE)
def test_penalties_by_steps_of_a_unit():
    case = known.ARSENIC
    rate = case["rate"] / 0.001
    due = contracts.penalty(1, case["found"], case["allowed"], rate)
    assert due == pytest.approx(case["penalty"], rel=1e-12)
    case = known.SIERRA
    rate = case["zinc_rate"] / 0.01
    due = contracts.penalty(1, case["zinc_found"], case["zinc_allowed"], rate)
    assert due == pytest.approx(case["zinc_penalty"], rel=1e-12)


@evidence("purchase_price", "read", known.SIERRA_SOURCE)
def test_ore_at_a_smelter():
    case = known.SIERRA
    gold = purchase.paid_gold(case["grade"], 0.1, 1.0, case["payable"], case["payable"])
    value = purchase.purchase_price(gold, case["price"], 0, case["treatment"])
    assert value == pytest.approx(case["value"], rel=1e-12)


@evidence("settled_assay", "read", known.NEAREST_SOURCE)
@evidence("settled_assay", "read", known.SPLIT_SOURCE)
def test_assays_that_differ():
    case = known.NEAREST
    both = (case["mill"], case["owner"], 0.5, case["umpire"])
    nearest = assay_exchange.settled_assay(*both, "nearest")
    assert nearest == pytest.approx(case["mean"], rel=1e-12)
    assert assay_exchange.settled_assay(*both, "middle") == case["middle"]
    case = known.SPLIT
    near, limit = (case["first"], case["near"]), case["limit"]
    mean = assay_exchange.settled_assay(*near, limit, 0.0, "middle")
    assert mean == pytest.approx(case["mean"], rel=1e-12)
    assert assay_exchange.too_far_apart(case["first"], case["far"], limit)


@evidence("payable_by_step", "read", known.STEPS_SOURCE)
@evidence("grade_by_step", "read", known.STEPS_SOURCE)
def test_a_payable_share_by_grade_steps():
    starts, shares = np.array([*known.STEPS]), np.array([*known.STEPS.values()])
    steps = [*chain.from_iterable(known.STEPS.items())]
    for grade in (20.0, 29.99, 30.0, 59.99, 60.0, 79.99, 80.0, 400.0):
        expected = shares[np.searchsorted(starts, grade, "right") - 1]
        assert stepped(grade, *steps) == expected
    assert stepped(19.99, *steps) == 0
    # A share that rises evenly between the ends is off by up to 1.25 points.
    rising = purchase.payable_share(np.arange(20.0, 100.0), 20, 80, 0.91, 0.96)
    off = np.abs(rising - stepped(np.arange(20.0, 100.0), *steps))
    assert off.max() == pytest.approx(0.0125)
    # Turned round: gold paid for at 59.99 g/t needs that grade; a little more, 60 g/t.
    lowest = [
        min(purchase.grade_by_step(gold, *step) for step in known.STEPS.items())
        for gold in (59.99 * 0.93, 60 * 0.935)
    ]
    assert lowest == pytest.approx([59.99, 60])


@evidence("gold_after_deductions", "read", known.MINIMUM_DEDUCTION_SOURCE)
@evidence("paid_gold", "read", known.MINIMUM_DEDUCTION_SOURCE)
@pytest.mark.parametrize(("found", "share", "least", "paid"), known.MINIMUM_DEDUCTION)
def test_a_share_subject_to_a_minimum_deduction(found, share, least, paid):
    gold = purchase.gold_after_deductions(found, share, 0, least)
    assert gold == pytest.approx(paid, rel=1e-12)
    schedule = (1.0, 2.0, share, share)
    assert purchase.paid_gold(found, *schedule, 0, least) == gold
    if gold:
        back = purchase.grade_for_paid_gold(gold, *schedule, 0, least)
        assert back == pytest.approx(found, rel=1e-12)


@evidence("with_minimum", "read", known.LOT_MINIMUM_SOURCE)
@pytest.mark.parametrize(
    ("item", "rate", "least", "received", "charge"), known.LOT_MINIMUM
)
def test_a_minimum_charge_per_lot(item, rate, least, received, charge):
    by_weight = contracts.milling_charge(received, 0, per_ton=rate)
    assert contracts.with_minimum(by_weight, least) == charge, item


@evidence("purchase_price", "read", known.ORE_SALES_SOURCE)
@pytest.mark.parametrize(("value", "charge", "paid"), known.SWANSEA)
def test_ore_sold_on_its_assay_value(value, charge, paid):
    assert purchase.purchase_price(value, 1, 0, charge) == pytest.approx(paid)


@evidence("payable_by_step", "read", known.ORE_SALES_SOURCE)
def test_a_scale_of_charges_by_assay_value_is_one_of_payable_shares():
    steps = []
    for value, charge in known.RENO.items():
        steps += [value, 1 - charge / value]
    for value, charge in known.RENO.items():
        share = stepped(value, *steps)
        paid = purchase.gold_after_deductions(value, share)
        assert paid == pytest.approx(value - charge)


@evidence("net_to_owner", "read", known.DISTRICT_SOURCE)
def test_the_returns_of_a_district():
    case = {name: pounds(amount) for name, amount in known.DISTRICT.items()}
    metal = case["gold"] + case["bullion"]
    net = settlement.net_to_owner(metal, 0, deposit=case["ore"])
    assert net == pytest.approx(case["total"], abs=1e-9)


@evidence("milling_charge", "read", known.SMELTER_SOURCE)
@pytest.mark.parametrize(("tons", "rate", "amount"), known.SMELTER)
def test_what_a_custom_smelter_paid_by_the_ton(tons, rate, amount):
    charge = contracts.milling_charge(tons, 0, per_ton=pounds(rate))
    assert charge == pytest.approx(pounds(amount), abs=1e-9)


@evidence("dore_payment", "read", known.COINAGE_SOURCE)
def test_the_charge_for_coining_standard_gold():
    case = known.COINAGE
    price = case["value"] / case["ounces"] / case["fineness"] * 1000
    mass, payable = case["ounces"] * GRAMS_PER_OUNCE, 1 - case["charge"]
    paid = bullion.dore_payment(mass, case["fineness"], payable, price, 0, 0)
    assert paid == pytest.approx(case["value"] - 1.60, rel=1e-12)


@evidence("dore_payment", "read", known.KARAT_SOURCE)
def test_lots_that_are_paid_for_by_their_weight():
    case = known.KARAT
    for ounces, expected in case["lots"]:
        payable = case["payable"][ounces > case["over"]]
        mass = ounces * GRAMS_PER_OUNCE
        paid = bullion.dore_payment(
            mass, 1000, payable, case["price"], 0, case["assay"]
        )
        assert paid == pytest.approx(expected, rel=1e-12)


def test_a_provisional_part_of_an_invoice():
    case = known.PROVISIONAL
    cents = (units.CONSTANTS[name][2] for name in ("cents", "rounded_up"))
    assert provisional_due(case["invoice"], case["share"], *cents) == case["first"]
