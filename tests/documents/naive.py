"""A second settlement in decimal arithmetic, and random lots and terms for it."""

from decimal import ROUND_FLOOR, Decimal

import numpy as np

from pennyweight.documents.account import ACCOUNT
from pennyweight.documents.ledger import WHAT, Ledger, _printed
from pennyweight.documents.lots import read_lots
from pennyweight.model.jobs import AGREED_RATES
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.workbook.csv_file import csv_rows

from ..model.drawing import STEPS, steps

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
    "cleanup_limit": (0, 0.1, 3),
    "settle_made_good": (0, 1, 3),
    "settle_middlings": (0, 2, 3),
    "settle_tails_grade": (0, 0.3, 3),
    "settle_price": (1500, 5000, 2),
    "settle_hours": (2, 60, 1),
    "settle_work_index": (9, 20, 1),
    "settle_clay": (0, 0.1, 3),
    "settle_sulphides": (0, 0.1, 3),
    "settle_deposit": (0, 2000, 2),
    "settle_advances": (0, 9000, 2),
    "settle_provisional": (0, 5000, 2),
    "settle_index": (80, 130, 1),
    "escalation_share": (0, 0.5, 2),
    "middlings_payable": (0, 0.8, 2),
    "tails_payable": (0, 0.3, 2),
    "purchase_least_deduction": (0, 0.2, 3),
    "least_lot_charge": (0, 4000, 2),
}
METRIC = {
    # instead, in g/t
    **dict.fromkeys(("settle_mill_assay", "settle_owner_assay"), (2, 50, 2)),
    "settle_umpire_assay": (2, 50, 2),
    "split_limit": (0, 3, 2),
    "settle_tails_grade": (0, 10, 2),
    "purchase_least_deduction": (0, 6, 2),
}
CHOICES = {
    "umpire_rule": ("middle", "nearest", "umpire"),
    "cleanup_owner": ("mill", "owner"),
    "middlings_owner": ("mill", "owner"),
    "tails_owner": ("mill", "owner"),
    "contract_kind": KINDS,
}
OUNCE = Decimal("31.1034768")
CENT, SLACK = Decimal(100), Decimal("0.500001")


def drawn(lots, seed=16, units="us"):
    """Random lots and terms, each figure as somebody would type it."""
    rng = np.random.default_rng(seed)
    spans = SPANS | (METRIC if units == "metric" else {})
    found = {
        name: np.round(rng.uniform(low, high, lots), places)
        for name, (low, high, places) in spans.items()
    }
    found |= {name: rng.choice(words, lots) for name, words in CHOICES.items()}
    _, most, places = spans["split_limit"]
    near = rng.random(lots) < 0.6
    apart = rng.uniform(-most / 5, most / 5, lots)
    close = np.round(found["settle_mill_assay"] + apart, places)
    found["settle_owner_assay"] = np.where(near, close, found["settle_owner_assay"])
    found["settle_owner_assay"] = np.maximum(found["settle_owner_assay"], 0.01)
    none = rng.random(lots) < 0.1
    found["settle_owner_assay"][none] = 0.0
    for name in ("purchase_least_deduction", "least_lot_charge"):
        found[name][rng.random(lots) < 0.5] = 0.0
    each = [steps(rng) for _ in range(lots)]
    scale, fine = (30 if units == "metric" else 1), places + 2
    for name in each[0]:
        column = np.array([one[name] for one in each])
        if name.startswith(STEPS[0]):
            # No two steps at one grade after rounding.
            column = (column * scale + int(name[-2:]) / 10**fine) * (column > 0)
        found[name] = np.round(column, fine)
    return found


def cents(amount):
    return ((amount * CENT + SLACK).to_integral_value(ROUND_FLOOR)) / CENT


def assay_of(lot, terms):
    """The assay that counts, and the owner's part of the umpire's fee."""
    mill, owner = lot["settle_mill_assay"], lot["settle_owner_assay"]
    umpire, fee = lot["settle_umpire_assay"], Decimal(0)
    apart = abs(mill - owner) > lot["split_limit"]
    off = abs(umpire - mill), abs(umpire - owner)
    if not owner:
        found = mill
    elif not apart:
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
    count = (found * terms["assay_steps"] + SLACK).to_integral_value(ROUND_FLOOR)
    return count / terms["assay_steps"], fee


def settled(lot, terms):
    """Amounts of the account in cents by name, and the cents that rounding adds."""
    kind = KINDS.index(lot["contract_kind"])
    per_ton, per_hour, share = (
        terms[f"terms_{name}"][kind] for name in ("per_ton", "per_hour", "share")
    )
    buys, by_lot = lot["contract_kind"] == "purchase", terms["lot_charge"][kind]
    dry = lot["settle_wet_tons"] * (1 - lot["settle_moisture"])
    assay, fee = assay_of(lot, terms)
    price = lot["settle_price"]
    net = price * terms["bullion_payable"] - terms["refining_charge"]
    mass = lot["settle_melt_mass"] * (1 - lot["settle_melt_loss"]) / 1000 / OUNCE
    gold, silver = mass * lot["settle_fineness"], mass * lot["settle_silver_fineness"]
    value = silver * terms["silver_price"] * terms["silver_payable"]
    proceeds = cents(gold * net) + cents(value)
    limit = lot["cleanup_limit"] * dry * assay / terms["grade_per_ounce"]
    owned = max(lot["settle_cleanup"] - limit, Decimal(0))
    if lot["cleanup_owner"] == "owner":
        owned = lot["settle_cleanup"]
    odd = proceeds - gold * net - value
    products = (terms[f"{which}_pull"] for which in ("first", "second", "middlings"))
    tails = dry * (1 - sum(products)) * lot["settle_tails_grade"]
    metal = proceeds - cents(proceeds * share)
    metal += cents(owned * net)
    for owner, gold_in, paid in (
        ("middlings_owner", lot["settle_middlings"], lot["middlings_payable"]),
        ("tails_owner", tails / terms["grade_per_ounce"], lot["tails_payable"]),
    ):
        metal += cents(gold_in * paid * price) * (lot[owner] == "owner")
    if buys:
        metal = cents(ore_price(dry, assay, price, lot, terms))
    charge = max(dry, terms["least_lot_tons"]) * per_ton
    charge += lot["settle_hours"] * per_hour + by_lot
    if lot["contract_kind"] == "cost plus":
        ton, hour, laboratory = terms["cost_plus"]
        charge += cents(dry * ton + lot["settle_hours"] * hour + laboratory)
    charge = cents(charge)
    charge = max(charge, lot["least_lot_charge"]) if charge else charge
    change = lot["settle_index"] / terms["escalation_base"] - 1
    amounts = {
        "settle_metal": metal,
        "settle_made_good_paid": cents(lot["settle_made_good"] * net) * (not buys),
        "settle_charge": charge,
        "settle_escalation": cents(charge * lot["escalation_share"] * change),
        "settle_penalties": penalties(lot, dry, terms),
        "settle_shipment": Decimal(0) if buys else terms["shipment_cost"],
        "settle_umpire_fee": cents(fee),
        "settle_deposit": lot["settle_deposit"],
        "settle_advances": lot["settle_advances"],
        "settle_provisional": lot["settle_provisional"],
    }
    return amounts, odd


def ore_price(dry, assay, price, lot, terms):
    """Paid share of the assay less the deduction, less treatment."""
    share = payable_share(assay, lot, terms)
    paid = (assay - terms["purchase_deduction"]) * share
    paid = max(min(paid, assay - lot["purchase_least_deduction"]), Decimal(0))
    price = price * (1 - terms["purchase_price_deduction"])
    paid = paid / terms["grade_per_ounce"]
    return dry * (paid * price - terms["purchase_treatment"])


def payable_share(assay, lot, terms):
    """By the last step reached where there are steps, else rising evenly."""
    rows = [[lot[f"{name}_{at:02d}"] for name in STEPS] for at in range(1, 7)]
    used = [row for row in rows if row[1]]
    if used:
        return next((share for grade, share in used[::-1] if grade <= assay), 0)
    rise = (assay - terms["purchase_low_grade"]) / terms["purchase_grade_span"]
    rise = min(max(rise, Decimal(0)), Decimal(1))
    lowest = terms["purchase_low_payable"]
    return lowest + rise * min(terms["purchase_payable_rise"], 1 - lowest)


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
        total += cents(tons * over * terms[rate])
    return total


def terms_in_decimals(units="us"):
    """The terms of the example that no draw changes."""
    values = run(units=units)
    found = {
        name: Decimal(str(value.item()))
        for name, value in values.items()
        if np.ndim(value) == 0 and np.asarray(value).dtype.kind == "f"
    }
    found["bullion_payable"] = Decimal(repr(float(values["bullion_payable"])))
    for name in ("per_ton", "per_hour", "share"):
        row = values[f"terms_{name}"]
        found[f"terms_{name}"] = [Decimal(str(float(value))) for value in row]
    charges = values["contract_lot_charge"]
    found["lot_charge"] = [Decimal(str(float(value))) for value in charges]
    on_cost = run({"contract_kind": "cost plus"}, units, AGREED_RATES)
    found["cost_plus"] = [
        Decimal(str(round(float(on_cost[name]), 2))) for name in AGREED_RATES
    ]
    return found


def printed_lines(lot, terms):
    """Amounts of the account by name, their sum, and the cents that rounding adds."""
    amounts, odd = settled(lot, terms)
    return amounts, sum(sign * amounts[name] for name, sign in ACCOUNT), odd


def in_decimals(inputs, at):
    """One lot of those drawn."""
    return {
        name: str(column[at])
        if np.asarray(column).dtype.kind == "U"
        else Decimal(str(float(column[at])))
        for name, column in inputs.items()
    }


def settlements_that_differ(lots, seed=16, units="us"):
    """Settle random lots both ways; gives the lines that differ."""
    inputs, terms = drawn(lots, seed, units), terms_in_decimals(units)
    values = run(inputs, units)
    printed, off = _printed(values), []
    for at in range(lots):
        lines, net, odd = printed_lines(in_decimals(inputs, at), terms)
        for name, _ in ACCOUNT:
            shown = Decimal(str(round(float(printed[name][at]), 2)))
            if shown != lines[name]:
                off.append((at, name, shown, lines[name]))
        if net != Decimal(str(round(float(values["settle_net"][at]), 2))):
            off.append((at, "net", values["settle_net"][at], net))
        if abs(abs(float(odd)) - values["settle_unshared"][at]) > 1e-6:
            off.append((at, "shared out", values["settle_unshared"][at], odd))
    return off


def ledgers_that_differ(lots, seed=16, units="us"):
    """Keep a ledger of random lots under random terms; gives what differs."""
    inputs, terms = drawn(lots, seed, units), terms_in_decimals(units)
    inputs["settle_made_good"][:] = 0.0  # more than is missing would be refused
    rng = np.random.default_rng([seed, 1])
    columns = {n: inputs[n] for n in inputs if n.startswith("settle_")}
    agreed = {n: column[0] for n, column in inputs.items() if n not in columns}
    paid = np.round(rng.uniform(-2000, 20_000, lots), 2)
    customers = rng.choice(["Quernhope", "Umberlow", "Tamsel"], lots)
    table = {"lot": [f"L{at}" for at in range(lots)], "customer": customers}
    table |= {"paid": paid, "slag": np.zeros(lots), **columns}
    rows = zip(*table.values(), strict=True)
    text = "\n".join(",".join(map(str, row)) for row in [[*table], *rows])
    read = read_lots(csv_rows(text, WHAT), units, "lots.csv")
    made = Ledger(agreed, units, read, "random figures")
    off, owed = [], dict.fromkeys(customers.tolist(), Decimal(0))
    for at, customer in enumerate(customers.tolist()):
        lot = in_decimals({**inputs, **{n: [v] * lots for n, v in agreed.items()}}, at)
        lines, net, _ = printed_lines(lot, terms)
        owed[customer] += net - Decimal(str(paid[at]))
        expected = {**lines, "net": net, "balance": owed[customer]}
        for name, value in expected.items():
            shown = made.columns.get(name, [0.0] * lots)[at]
            if Decimal(str(round(float(shown), 2))) != value:
                off.append((at, name, shown, value))
    if {n: Decimal(str(round(a, 2))) for n, a in made.owed.items()} != owed:
        off.append(("owed", made.owed, owed))
    return off
