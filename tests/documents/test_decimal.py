"""10,000 random settlements against a naive one in decimal arithmetic, to the cent."""

from decimal import ROUND_FLOOR, Decimal

import numpy as np
import pytest

from pennyweight.documents.account import ACCOUNT
from pennyweight.documents.ledger import _printed
from pennyweight.model.mill import MODEL
from pennyweight.model.run import run
from tests.thorough import sampled

each_number = pytest.mark.parametrize("lots", sampled([1_000, 10_000], 2))
KINDS = MODEL.axes["contract"].values
SPANS = {
    # input: lowest, highest, decimals
    "settle_wet_tons": (1, 60, 3),
    "settle_moisture": (0, 0.15, 4),
    "settle_mill_assay": (0.05, 1.5, 3),
    "settle_owner_assay": (0.05, 1.5, 3),
    "settle_umpire_assay": (0.05, 1.5, 3),
    "split_limit": (0, 0.1, 3),
    "umpire_fee": (0, 300, 2),
    "settle_melt_mass": (10, 900, 1),
    "settle_melt_loss": (0, 0.01, 4),
    "settle_fineness": (600, 950, 1),
    "settle_silver_fineness": (0, 50, 1),
    "settle_cleanup": (0, 1, 3),
    "settle_middlings": (0, 2, 3),
    "settle_tails_grade": (0, 0.3, 3),
    "settle_price": (1500, 5000, 2),
    "settle_hours": (2, 60, 1),
    "settle_work_index": (9, 20, 1),
    "settle_clay": (0, 0.1, 3),
    "settle_sulphides": (0, 0.1, 3),
    "deposit": (0, 2000, 2),
    "settle_advances": (0, 9000, 2),
    "settle_provisional": (0, 5000, 2),
    "settle_index": (80, 130, 1),
    "escalation_share": (0, 0.5, 2),
    "middlings_payable": (0, 0.8, 2),
    "tails_payable": (0, 0.3, 2),
}
CHOICES = {
    "umpire_rule": ("middle", "nearest", "umpire"),
    "cleanup_owner": ("mill", "owner"),
    "middlings_owner": ("mill", "owner"),
    "tails_owner": ("mill", "owner"),
    "contract_kind": tuple(kind for kind in KINDS if kind != "cost plus"),
}
OUNCE = Decimal("31.1034768")
CENT, SLACK = Decimal(100), Decimal("0.500001")


def drawn(lots):
    """Random lots and terms, each figure as somebody would type it."""
    rng = np.random.default_rng(16)
    found = {
        name: np.round(rng.uniform(low, high, lots), places)
        for name, (low, high, places) in SPANS.items()
    }
    found |= {name: rng.choice(words, lots) for name, words in CHOICES.items()}
    near = rng.random(lots) < 0.6
    close = np.round(found["settle_mill_assay"] + rng.uniform(-0.02, 0.02, lots), 3)
    found["settle_owner_assay"] = np.where(near, close, found["settle_owner_assay"])
    found["settle_owner_assay"] = np.maximum(found["settle_owner_assay"], 0.01)
    return found


def cents(amount):
    return ((amount * CENT + SLACK).to_integral_value(ROUND_FLOOR)) / CENT


def assay_of(lot):
    """The assay that counts, and the owner's part of the umpire's fee."""
    mill, owner = lot["settle_mill_assay"], lot["settle_owner_assay"]
    umpire, fee = lot["settle_umpire_assay"], Decimal(0)
    apart = abs(mill - owner) > lot["split_limit"]
    off = abs(umpire - mill), abs(umpire - owner)
    if not apart:
        found = (mill + owner) / 2
    else:
        nearer = mill if off[0] < off[1] else owner
        nearer = (mill + owner) / 2 if off[0] == off[1] else nearer
        rule = {
            "middle": sorted([mill, owner, umpire])[1],
            "nearest": (umpire + nearer) / 2,
            "umpire": umpire,
        }
        found = rule[lot["umpire_rule"]]
        part = Decimal("0.5") if off[0] == off[1] else Decimal(int(off[1] > off[0]))
        fee = part * lot["umpire_fee"]
    steps = (found * 1000 + SLACK).to_integral_value(ROUND_FLOOR)
    return steps / 1000, fee


def settled(lot, terms):
    """Amounts of the account, exact, by name."""
    kind = KINDS.index(lot["contract_kind"])
    per_ton, per_hour, share = (
        terms[f"terms_{name}"][kind] for name in ("per_ton", "per_hour", "share")
    )
    buys, by_lot = lot["contract_kind"] == "purchase", terms["lot_charge"][kind]
    dry = lot["settle_wet_tons"] * (1 - lot["settle_moisture"])
    assay, fee = assay_of(lot)
    price = lot["settle_price"]
    net = price * terms["bullion_payable"] - terms["refining_charge"]
    mass = lot["settle_melt_mass"] * (1 - lot["settle_melt_loss"]) / 1000 / OUNCE
    gold, silver = mass * lot["settle_fineness"], mass * lot["settle_silver_fineness"]
    proceeds = gold * net + silver * terms["silver_price"] * terms["silver_payable"]
    products = (terms[f"{which}_pull"] for which in ("first", "second", "middlings"))
    tails = dry * (1 - sum(products)) * lot["settle_tails_grade"]
    metal = proceeds * (1 - share)
    metal += lot["settle_cleanup"] * net * (lot["cleanup_owner"] == "owner")
    for owner, gold_in, paid in (
        ("middlings_owner", lot["settle_middlings"], lot["middlings_payable"]),
        ("tails_owner", tails, lot["tails_payable"]),
    ):
        metal += gold_in * paid * price * (lot[owner] == "owner")
    if buys:
        metal = ore_price(dry, assay, price, terms)
    charge = max(dry, terms["least_lot_tons"]) * per_ton
    charge += lot["settle_hours"] * per_hour + by_lot
    change = lot["settle_index"] / terms["escalation_base"] - 1
    return {
        "settle_metal": metal,
        "settle_charge": charge,
        "settle_escalation": charge * lot["escalation_share"] * change,
        "settle_penalties": penalties(lot, dry, terms),
        "settle_shipment": Decimal(0) if buys else terms["shipment_cost"],
        "settle_umpire_fee": fee,
        "deposit": lot["deposit"],
        "settle_advances": lot["settle_advances"],
        "settle_provisional": lot["settle_provisional"],
    }


def ore_price(dry, assay, price, terms):
    """Paid share of the assay less the deduction, less treatment."""
    low = terms["purchase_low_grade"]
    rise = (assay - low) / terms["purchase_grade_span"]
    rise = min(max(rise, Decimal(0)), Decimal(1))
    lowest = terms["purchase_low_payable"]
    share = lowest + rise * min(terms["purchase_payable_rise"], 1 - lowest)
    paid = max(assay - terms["purchase_deduction"], Decimal(0)) * share
    price = price * (1 - terms["purchase_price_deduction"])
    return dry * (paid * price - terms["purchase_treatment"])


def penalties(lot, dry, terms):
    total = Decimal(0)
    for found, limit, rate, tons in (
        ("settle_work_index", "allowed_work_index", "hardness_rate", dry),
        ("settle_clay", "allowed_clay", "clay_rate", dry),
        ("settle_sulphides", "allowed_sulphides", "sulphide_rate", dry),
        (
            *("settle_moisture", "allowed_moisture", "moisture_rate"),
            lot["settle_wet_tons"],
        ),
    ):
        over = max(lot[found] - terms[limit], Decimal(0))
        total += tons * over * terms[rate]
    return total


def terms_in_decimals():
    values = run()
    found = {
        name: Decimal(str(value.item()))
        for name, value in values.items()
        if np.ndim(value) == 0 and np.asarray(value).dtype.kind == "f"
    }
    insured = 1 - found["insurance_rate"]
    found["bullion_payable"] = Decimal(repr(float(values["bullion_payable"])))
    assert insured > 0
    for name in ("per_ton", "per_hour", "share"):
        row = values[f"terms_{name}"]
        found[f"terms_{name}"] = [Decimal(str(float(value))) for value in row]
    charges = values["contract_lot_charge"]
    found["lot_charge"] = [Decimal(str(float(value))) for value in charges]
    return found


@each_number
def test_a_naive_settlement_in_decimals_agrees_to_the_cent(lots):
    inputs, terms = drawn(lots), terms_in_decimals()
    values = run(inputs)
    printed = _printed(values)
    off = []
    for at in range(lots):
        lot = {
            name: Decimal(str(float(column[at]))) if name in SPANS else str(column[at])
            for name, column in inputs.items()
        }
        amounts, before = settled(lot, terms), Decimal(0)
        total = Decimal(0)
        for name, sign in ACCOUNT:
            exact = sign * amounts[name]
            line = cents(before + exact) - cents(before)
            before, total = before + exact, total + line
            shown = sign * Decimal(str(round(float(printed[name][at]), 2)))
            if shown != line:
                off.append((at, name, shown, line))
        assert total == cents(before)
    assert off == []


@each_number
def test_the_parties_share_exactly_the_metal_there_is(lots):
    values = run(drawn(lots))
    shared = values["settle_shared_out"]
    assert shared == pytest.approx(values["settle_value"], abs=0.005)
    printed = _printed(values)
    net = sum(sign * printed[name] for name, sign in ACCOUNT)
    assert net == pytest.approx(values["settle_net"], abs=0.00501)
