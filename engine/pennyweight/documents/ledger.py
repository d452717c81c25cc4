"""A running ledger of lots under one contract: net of each lot, and the balance."""

import numpy as np

from ..formulas import Reference, rounded
from ..model.mill import MODEL
from ..model.run import run
from ..trade import settlement
from ..workbook.table import Column, Table, live, table_bytes
from .account import ACCOUNT
from .lots import LOT, PAID, as_arrays, check_lots, require_columns
from .page import number as number_of
from .page import symbol, unit_of
from .refusals import refuse_unbalanced, refuse_unsettled
from .terms import citation, refuse_other_terms, unsigned

WHAT = "table of lots"
ADVANCES = "settle_advances"
CHARGES = tuple(name for name, sign in ACCOUNT if sign < 0 and name != ADVANCES)
OWN = {
    # columns with heads of their own, and their units
    "charges": ("Charges", "$"),
    "deposit": ("Deposit paid", "$"),
    ADVANCES: ("Advances paid", "$"),
    "net": ("Net to the owner", "$"),
    PAID: ("Paid to the owner", "$"),
    "balance": ("Balance owed to the owner", "$"),
    "words": ("Balance due", "-"),
}
LINES = (LOT, "settle_tons", "settle_assay", "settle_how", "settle_bullion_gold")
PLACES = {"ton": 4, "oz": 4}
"""Decimals to which weights are rounded, so that printed columns add up."""
WIDTHS = {LOT: 18, "settle_how": 26, "words": 24}


def ledger(inputs, units, lots, confirmed=""):
    """Give the bytes of the ledger.

    Parameters
    ----------
    inputs : mapping
        Of the book whose terms apply.
    units : {"us", "metric"}
    lots : Lots
    confirmed : str
        Why lots are paid whose gold balance is outside the tolerance.

    Returns
    -------
    content : bytes
    owed : float
        To the owner after the last lot, in whole cents; if negative the owner owes.

    Raises
    ------
    WorkbookError
        When a column is missing, a lot contradicts itself, needs an umpire's assay
        that it does not have, or does not balance and nobody confirmed it.
    """
    own = run(inputs, units)
    require_columns(lots, own)
    refuse_other_terms(own)
    check_lots(lots, inputs, units)
    values = run({**inputs, **as_arrays(lots)}, units)
    count = len(lots.names)
    _refuse_unsettled(lots, values["settle_how"])
    note = refuse_unbalanced(values, lots.names, units, confirmed)
    values |= {name: np.asarray(lots.columns[name]) for name in (LOT, PAID)}
    columns = _columns(values)
    rows = {
        name: np.broadcast_to(values[name], count).tolist()
        for name in columns
        if name not in CALCULATED
    }
    return _write(values, units, rows, columns, note)


def _refuse_unsettled(lots, hows):
    for at, how in enumerate(np.broadcast_to(hows, len(lots.names))):
        place = lots.place(at, "settle_umpire_assay")
        refuse_unsettled(how, f"{lots.names[at]} ({place})")


def _columns(values):
    """Head and unit of each column, and values rounded as printed.

    Metal and charges are rounded as on the statement of the lot.
    """
    metal, charges = values["settle_metal"], sum(values[name] for name in CHARGES)
    values["charges"] = -settlement.cumulative_rounding(metal, -charges)
    values["settle_metal"] = settlement.round_to_cents(metal)
    buys = str(np.ravel(values["agreed_purchase"])[0]) == "yes"
    lines = [n for n in LINES if not (buys and n == "settle_bullion_gold")]
    found = {name: _of_model(name) for name in lines}
    paid = "settle_ore_price" if buys else "settle_metal"
    found["settle_metal"] = (MODEL.lines[paid].label, "$")
    for name, (_, unit) in found.items():
        if unit in PLACES:
            values[name] = rounded(values[name], PLACES[unit])
    return {**found, **OWN}


def _of_model(name):
    if name == LOT:
        return "Lot", "-"
    line = MODEL.lines[name]
    return line.label, line.unit


def net(metal, charges, deposit, advances):
    """In whole cents, as its statement says."""
    owed = settlement.net_to_owner(metal, charges, deposit, advances)
    return settlement.round_to_cents(owed)


def balance(before, net, paid):
    """Carried on from lot to lot, free of noise below a cent."""
    return settlement.round_to_cents(before + net - paid)


def words(balance):
    """Never by a sign alone."""
    owed = np.where(balance < 0, "the owner owes the mill", "nothing is owed")
    return np.where(balance > 0, "the mill owes the owner", owed)


CALCULATED = {
    "net": (net, ("settle_metal", "charges", "deposit", "settle_advances")),
    "balance": (balance, ("before", "net", PAID)),
    "words": (words, ("balance",)),
}


def _write(values, units, rows, columns, note):
    by, money = str(values["prepared_by"]), symbol(str(values["currency"]))
    table = Table(
        f"Ledger: {by} and {values['customer_name']}",
        [_column(name, *told, units, money) for name, told in columns.items()],
        units,
        "Ledger",
        (
            f"{citation(values)} Contract type: {values['contract_kind']}. Money is "
            f"{values['currency']}, each amount in whole cents as on the statement of "
            f"its lot. {unsigned(values)}",
            note,
        ),
    )
    table.heads()
    names = list(columns)
    first, before = table.next_row, 0.0
    for at in range(len(rows[LOT])):
        before = _row(table, rows, names, at, before)
    cells = {name: Reference(table.place(names.index(name))) for name in ("net", PAID)}
    sums = {"net": float(np.sum(rows["net"])), PAID: float(np.sum(rows[PAID]))}
    last = live(lambda net, paid: net - paid, sums, cells, ("net", PAID))
    table.total("All lots", first, **{f"at_{names.index('balance')}": last})
    return table_bytes([table], "Ledger", by), before


def _column(name, head, unit, units, money):
    told = unit_of(unit, units).replace("$", money)
    return Column(
        f"{head}, {told}" if told else head,
        number_of(unit, units) if unit != "-" else "",
        WIDTHS.get(name, 15),
        total=unit in ("$", "ton", "oz") and name != "balance",
    )


def _row(table, rows, names, at, before):
    """One lot; gives the balance after it."""
    cells = {name: Reference(table.place(place)) for place, name in enumerate(names)}
    above = table.place(names.index("balance"), table.next_row - 1)
    cells["before"] = Reference(above) if at else 0.0
    values = {name: column[at] for name, column in rows.items() if name != "net"}
    values["before"] = before
    entries = []
    for name in names:
        if name in CALCULATED:
            function, reads = CALCULATED[name]
            entries.append(live(function, values, cells, reads))
            values[name] = entries[-1].value
        else:
            entries.append(values[name])
    table.row(*entries)
    rows.setdefault("net", []).append(values["net"])
    return values["balance"]
