"""A running ledger of lots under one contract: what each leaves, what is owed."""

import math

import numpy as np

from ..errors import BadValue, CallError, WorkbookError, nearest
from ..formulas import Reference
from ..model.inputs import INPUTS, complete
from ..model.rules import check_rules
from ..model.run import run
from ..trade import settlement
from ..workbook.csv_file import entered
from ..workbook.style import NONE_AT_ZERO
from ..workbook.table import Column, Table, live, table_bytes
from .page import number as number_of
from .page import unit_of
from .statement import refuse_unsettled

WHAT = "table of lots"
PAID = "paid"
"""Column of the table of lots: paid to the owner after the settlement."""

COLUMNS = (
    # name, head, unit
    ("settle_lot", "Lot", "-"),
    ("settle_tons", "Dry weight", "ton"),
    ("settle_assay", "Assay settled on", "grade"),
    ("settle_how", "How", "-"),
    ("settle_bullion_gold", "Gold in the bullion", "oz"),
    ("settle_metal", "Metal, or price of the ore", "$"),
    ("charges", "All charges", "$"),
    ("deposit", "Deposit", "$"),
    ("settle_advances", "Advances", "$"),
    ("net", "Net to the owner", "$"),
    (PAID, "Paid to the owner", "$"),
    ("balance", "Owed to the owner so far", "$"),
    ("words", "In words", "-"),
)
CHARGES = ("settle_charge", "settle_penalties", "settle_shipment", "settle_umpire_fee")
WIDTHS = {"settle_lot": 18, "settle_how": 26, "words": 18}


def read_lots(rows, units):
    """Read the table of lots: a line a lot, a column an input.

    Parameters
    ----------
    rows : list of (int, list of str)
        By `csv_file.read_csv`. The head names inputs of the section Lot to settle,
        with or without ``settle_``, ``deposit`` and ``paid``.
    units : {"us", "metric"}

    Returns
    -------
    lots : dict of str to list
        Columns; ``paid`` is always there.

    Raises
    ------
    CallError
        For a column that is unknown or stands twice, a line that is longer than the
        head, or an empty table.
    WorkbookError
        For a value that is missing or out of bounds, with its line.
    """
    (_, heads), *lines = rows or [(1, [])]
    if not lines:
        raise CallError(f"The {WHAT} is empty: give a head and a line a lot.")
    names = [_input_of(head) for head in heads]
    for name in names:
        if names.count(name) > 1:
            raise CallError(f"The {WHAT} has two columns for {name}: leave one out.")
    if "settle_lot" not in names:
        raise CallError(f"The {WHAT} needs a column lot.")
    lots = {name: [] for name in (*names, PAID)}
    for number, fields in lines:
        row = _fields(number, fields, heads)
        for name, head, field in zip(names, heads, row, strict=True):
            place = f"line {number}, {head}"
            lots[name].append(_value(name, field, units, place))
    lots[PAID] = lots[PAID] or [0.0] * len(lines)
    return lots


def _fields(number, fields, heads):
    """The fields of a line, one for each head; empty ones at its end are cut off."""
    if len(fields) > len(heads):
        raise CallError(
            f"Line {number} of the {WHAT} has {len(fields)} fields for {len(heads)} "
            "columns."
        )
    return [*fields, *[""] * (len(heads) - len(fields))]


def _input_of(head):
    allowed = {n for n, entry in INPUTS.items() if entry.section == "Lot to settle"}
    allowed |= {PAID, "deposit"}
    for name in (head, f"settle_{head}"):
        if name in allowed:
            return name
    known = sorted(n.removeprefix("settle_") for n in allowed)
    raise CallError(
        f"The {WHAT} has a column {head!r}; it may have {', '.join(known)}."
        + nearest(head, known)
    )


def _value(name, field, units, place):
    """A field as a value; what is paid is any amount, below zero by the owner."""
    try:
        if name != PAID:
            return entered(name, field, units, place)
        paid = float(field)
        if not math.isfinite(paid):
            raise ValueError
    except BadValue as error:
        none = name in NONE_AT_ZERO and not field
        hint = " Enter 0 where there is no such assay." if none else ""
        raise WorkbookError(f"{error}{hint}") from None
    except ValueError:
        raise WorkbookError(
            f"{place}: {field!r} is no amount of money. Enter one, 0 where nothing "
            "was paid."
        ) from None
    return paid


def ledger(inputs, units, lots):
    """Give the bytes of the ledger.

    Parameters
    ----------
    inputs : mapping
        Of the book whose terms hold.
    units : {"us", "metric"}
    lots : dict of str to list
        By `read_lots`.

    Returns
    -------
    content : bytes
    owed : float
        To the owner after the last lot, in whole cents; below zero the owner owes.

    Raises
    ------
    WorkbookError
        When a lot contradicts itself, or needs an umpire that it does not have.
    """
    _check_lots(inputs, units, lots)
    texts = (PAID, "settle_lot")
    given = {n: np.asarray(column) for n, column in lots.items() if n not in texts}
    values = run({**inputs, **given}, units)
    values["settle_lot"] = np.asarray(lots["settle_lot"])
    count = len(lots["settle_lot"])
    refuse_unsettled(
        {"settle_how": np.broadcast_to(values["settle_how"], count)},
        np.asarray(lots["settle_lot"]),
    )
    values[PAID] = np.asarray(lots[PAID], float)
    values["charges"] = sum(values[name] for name in CHARGES)
    rows = {
        name: np.broadcast_to(values[name], count).tolist()
        for name, *_ in COLUMNS
        if name in values
    }
    return _write(values, units, rows, count)


def _check_lots(inputs, units, lots):
    """Name the lot that contradicts itself."""
    columns = {name: column for name, column in lots.items() if name != PAID}
    for lot in zip(*columns.values(), strict=True):
        one = dict(zip(columns, lot, strict=True))
        try:
            check_rules(complete({**inputs, **one}, units), units=units)
        except BadValue as error:
            raise WorkbookError(f"{one['settle_lot']}: {error}") from None


def net(metal, charges, deposit, advances):
    """In whole cents, as its statement says."""
    owed = settlement.net_to_owner(metal, charges, deposit, advances)
    return settlement.whole_cents(owed)


def balance(before, net, paid):
    """Carried on from lot to lot, free of noise below a cent."""
    return settlement.whole_cents(before + net - paid)


def words(balance):
    """Never by a sign alone."""
    owed = np.where(balance < 0, "the owner owes", "nothing owed")
    return np.where(balance > 0, "the mill owes", owed)


CALCULATED = {
    "net": (net, ("settle_metal", "charges", "deposit", "settle_advances")),
    "balance": (balance, ("before", "net", PAID)),
    "words": (words, ("balance",)),
}


def _write(values, units, rows, count):
    by = str(values["prepared_by"])
    table = Table(
        f"Ledger: {by} and {values['customer_name']}",
        [_column(name, head, unit, units) for name, head, unit in COLUMNS],
        units,
        "Ledger",
        (f"Terms: {values['contract_kind']}. Each net is in whole cents.",),
    )
    table.heads()
    first, before = table.next_row, 0.0
    for number in range(count):
        before = _row(table, rows, number, before)
    sums = {name: table.place(at) for at, (name, *_) in enumerate(COLUMNS)}
    cells = {name: Reference(place) for name, place in sums.items()}
    paid = {name: float(np.sum(rows[name])) for name in ("net", PAID)}
    last = live(lambda net, paid: net - paid, paid, cells)
    at = [name for name, *_ in COLUMNS].index("balance")
    table.total("All lots", first, **{f"at_{at}": last})
    return table_bytes([table], "Ledger", by), before


def _column(name, head, unit, units):
    told = unit_of(unit, units)
    return Column(
        f"{head}, {told}" if told else head,
        number_of(unit, units) if unit != "-" else "",
        WIDTHS.get(name, 15),
        total=unit in ("$", "ton", "oz") and name != "balance",
    )


def _row(table, rows, number, before):
    """One lot; gives the balance after it."""
    places = {name: table.place(at) for at, (name, *_) in enumerate(COLUMNS)}
    cells = {name: Reference(place) for name, place in places.items()}
    at = [name for name, *_ in COLUMNS].index("balance")
    last = Reference(table.place(at, table.next_row - 1)) if number else 0.0
    values = {n: column[number] for n, column in rows.items() if n not in CALCULATED}
    values["before"], cells["before"] = before, last
    entries = []
    for name, *_ in COLUMNS:
        if name in CALCULATED:
            function, reads = CALCULATED[name]
            entries.append(live(function, values, cells, reads))
            values[name] = entries[-1].value
        else:
            entries.append(values[name])
    table.row(*entries)
    rows.setdefault("net", []).append(values["net"])
    return values["balance"]
