"""Balances of a ledger by customer: by days past due, and what is due, set off."""

import functools

import numpy as np
from xlsxwriter.utility import xl_col_to_name

from ..formulas import Reference, rounded
from ..workbook.table import Column, Table, live
from .dates import in_words
from .lots import CUSTOMER, PAID
from .overdue import DUE, INTEREST, LATE, OPEN
from .page import CENTS

SIDES = (("The mill owes", np.greater_equal), ("Customers owe the mill", np.less))
"""Lots by what is open of them, compared with 0."""
AGES = (
    ("Not due yet", None, -1),
    ("0 to 30 days past due", 0, 30),
    ("31 to 60 days past due", 31, 60),
    ("61 to 90 days past due", 61, 90),
    ("Over 90 days past due", 91, None),
    ("Due day unknown", None, None),
)
"""With the first and the last day; the last one is of lots without a due day."""
DUE_BY_NOW = (0, None)
SHEET = "Customers"
AMOUNTS = ("net", PAID, OPEN)
TEXTS = (CUSTOMER, DUE)
READ = (*AMOUNTS, LATE, INTEREST, *TEXTS)
"""Columns of the ledger from which the sheet is calculated."""


def balances_by_customer(ledger, first, money):
    """Make the sheet of balances.

    Parameters
    ----------
    ledger : Ledger
    first : int
        Row of its first lot, from 0.
    money : str
        Currency.

    Returns
    -------
    table : Table
    """
    aged, note = LATE in ledger.columns, (_note(ledger),)
    columns = _columns(aged, money)
    table = Table("Balances by customer", columns, ledger.units, SHEET, note)
    table.heads()
    lots, entered = _lots(ledger, first), []
    values, _ = lots
    spans = [span for _, *span in AGES] if aged else []
    for label, side in SIDES:
        top = table.next_row
        on_side = {*values[CUSTOMER][side(values[OPEN], 0)].tolist()}
        for name in filter(on_side.__contains__, ledger.owed):
            row = [_sum(table, lots, name, what, side) for what in (1, *AMOUNTS)]
            row += [_sum(table, lots, name, OPEN, side, span) for span in spans]
            table.row(name, *row)
            entered.append(name)
        if table.next_row > top:
            table.total(label, top)
    if aged or len(entered) > len(ledger.owed):
        _accounts(table, ledger, lots, money)
    return table


def _columns(aged, money):
    ages = [head for head, *_ in AGES] if aged else []
    heads = ("Net to the owner", "Paid to the owner", "Balance owed", *ages)
    return [
        Column("Customer", width=30, looks={"text_wrap": True}),
        Column("Lots", "#,##0", 8, total=True),
        *(Column(f"{head}, {money}", CENTS, 16, total=True) for head in heads),
    ]


def _note(ledger):
    ages = "No lot has an age: no due day is known, because dates are missing."
    if LATE in ledger.columns:
        ages = (
            f"Days past due on {in_words(ledger.day)}. A lot whose due day is unknown, "
            "because a date is missing, has no age."
        )
    return (
        "What the mill owes, and what customers owe it (negative), stand apart in the "
        f"first table. A payment counts for the lot in its row. {ages}"
    )


def _lots(ledger, first):
    """Columns of the ledger: as values, and as ranges of its sheet."""
    last = first + len(ledger.columns["net"])
    values, cells = dict.fromkeys(READ, 0.0), dict.fromkeys(READ, 0.0)
    for name in {*READ} & ledger.columns.keys():
        kind, of = ("text", str) if name in TEXTS else ("number", float)
        values[name] = np.asarray(ledger.columns[name], of)
        if name in ledger.names:
            letter = xl_col_to_name(ledger.names.index(name))
            span = f"Ledger!${letter}${first + 1}:${letter}${last}"
            cells[name] = Reference(span, kind, spread=True)
    values[INTEREST] = np.nan_to_num(values[INTEREST])
    return values, cells


def _accounts(table, ledger, lots, money):
    """Enter the whole account of each customer, and what is due, set off."""
    shown = [("Net to the owner", "net"), ("Paid to the owner", PAID)]
    shown += [("Balance of the account", OPEN)]
    heading = "Account of each customer"
    if LATE in ledger.columns:
        heading += f", and what is due on {in_words(ledger.day)}"
        to, by = (side for _, side in SIDES)
        shown += [("Due to the owner", OPEN, to, DUE_BY_NOW)]
        shown += [("Due from the owner", OPEN, by, DUE_BY_NOW)]
        shown += [("Due to the owner after set-off", OPEN, None, DUE_BY_NOW)]
    if INTEREST in ledger.columns:
        shown += [("Late interest to the owner", INTEREST)]
    table.blank()
    table.heading(heading)
    table.heads("Customer", "Lots", *(f"{head}, {money}" for head, *_ in shown))
    for name in ledger.owed:
        count = ledger.columns[CUSTOMER].count(name)
        table.row(name, count, *(_sum(table, lots, name, *of) for _, *of in shown))


def _sum(table, lots, name, amount, side=None, span=None):
    """Cell with a sum over the lots of a customer: on one side, of one age."""
    values, cells = lots
    reads = (amount, OPEN, DUE, LATE, CUSTOMER, "customer")
    own = {1: 1.0, "customer": name}
    customer = Reference(table.place(0), "text")
    named = isinstance(cells[CUSTOMER], Reference)
    return live(
        _summed(side, span and tuple(span), named),
        values | own,
        cells | own | {"customer": customer},
        reads,
    )


@functools.cache
def _summed(side, span, named):
    """The function of such a sum; ``span`` is the first and the last day past due."""
    first, last = span or (None, None)

    def total(amount, still_open, due, late, owner, customer):
        conditions = [owner == customer] * named
        if side:
            conditions.append(side(still_open, 0))
        if span:
            dated = (first, last) != (None, None)
            conditions.append(due != "" if dated else due == "")
        if first is not None:
            conditions.append(late >= first)
        if last is not None:
            conditions.append(late <= last)
        return rounded(np.sum(functools.reduce(np.multiply, [*conditions, amount])), 2)

    return total
