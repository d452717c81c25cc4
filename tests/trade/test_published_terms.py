"""Settlements and terms as others published them, and where ours cannot say them."""

import math

import numpy as np
import pytest

from pennyweight.documents.prices import price_of
from pennyweight.model import units
from pennyweight.model.lines.settlement.money import settle_late_interest
from pennyweight.trade import assay_exchange, bullion, contracts, purchase, settlement

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
    case, other = known.LATE, known.LATE_COMPOUND
    per_day = settle_late_interest(case["amount"], case["rate"], 360)
    assert per_day * case["days"] == pytest.approx(case["interest"], abs=0.005)
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


def test_a_period_is_averaged_over_the_days_that_have_a_price():
    case = known.PERIOD
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


@evidence("payable_share", "read", known.STEPS_SOURCE)
def test_a_paid_share_by_steps_is_met_at_one_step_only():
    """Our share rises evenly: it can be any one step, and is off by 1.25 points."""
    for grade, share in known.STEPS.items():
        paid = purchase.paid_gold(grade + 5.0, 1.0, 2.0, share, share)
        assert paid == pytest.approx(share * (grade + 5), rel=1e-12)
    ends = (min(known.STEPS), max(known.STEPS), 0.91, 0.96)
    grades = np.arange(20.0, 100.0)
    starts = np.array([*known.STEPS])
    stair = np.array([*known.STEPS.values()])[
        np.searchsorted(starts, grades, "right") - 1
    ]
    off = np.abs(purchase.payable_share(grades, *ends) - stair)
    assert off.max() == pytest.approx(0.0125)
