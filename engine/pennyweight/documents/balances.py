"""Balances of a ledger by customer: by days past due, and what is due, set off."""

import functools

import numpy as np
from xlsxwriter.utility import xl_col_to_name

from .. import formulas
from ..formulas import Reference, rounded
from ..workbook.table import Cell, Column, Table, live
from .dates import in_words
from .lots import CUSTOMER, PAID
from .overdue import DUE, INTEREST, LATE, OPEN
from .page import CENTS

SIDES = (("The mill owes", np.greater_equal), ("Customers owe the mill", np.less))
"""Lots by what is open of them, compared with 0."""
AGES = (
    # with first and last day
    ("Not due yet", None, -1),
    ("0 to 30 days past due", 0, 30),
    ("31 to 60 days past due", 31, 60),
    ("61 to 90 days past due", 61, 90),
    ("Over 90 days past due", 91, None),
)
UNKNOWN = "Due day unknown"
SHEET = "Customers"
WHOLE = ("Lots", "Net to the owner", "Paid to the owner", "Balance owed")
TEXTS = (CUSTOMER, DUE)
READ = ("net", PAID, OPEN, LATE, INTEREST, *TEXTS)
"""Columns of the ledger from which the sheet is calculated."""
SET_OFF = ["Due to the owner", "Due from the owner", "Due to the owner after set-off"]
BALANCE = len(WHOLE)
NOT_DUE, OLDEST = BALANCE + 1, BALANCE + len(AGES)
DUE_AGES = NOT_DUE + 1, OLDEST
"""Columns of the sheet."""


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
    lots, rows = _lots(ledger, first), {name: {} for name in ledger.owed}
    values, _ = lots
    for label, side in SIDES:
        top = table.next_row
        on_side = {*values[CUSTOMER][side(values[OPEN], 0)].tolist()}
        for name in filter(on_side.__contains__, rows):
            rows[name][label] = _enter(table, lots, name, side, aged)
        if table.next_row > top:
            table.total(label, top)
    if aged or any(len(sides) > 1 for sides in rows.values()):
        _accounts(table, ledger, lots, rows, money)
    return table


def _columns(aged, money):
    ages = [*(head for head, *_ in AGES), UNKNOWN] if aged else []
    lots, *amounts = WHOLE
    return [
        Column("Customer", width=30, looks={"text_wrap": True}),
        Column(lots, "#,##0", 8, total=True),
        *(Column(f"{h}, {money}", CENTS, 15, total=True) for h in (*amounts, *ages)),
    ]


def _note(ledger):
    ages = "No lot has an age: no due day is known, because dates are missing."
    if LATE in ledger.columns:
        ages = (
            f"Days past due on {in_words(ledger.day)}. A lot whose due day is unknown, "
            "because a date is missing, has no age."
        )
    return (
        "What the mill owes, and what customers owe it (negative), are not set off "
        f"against each other. A payment counts for the lot in its row. {ages}"
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


def _enter(table, lots, name, side, aged):
    """Enter what is open of a customer's lots on one side; gives place and cells."""
    spans = [span for _, *span in AGES] if aged else []
    row = [_sum(table, lots, name, what, side) for what in (1, "net", PAID, OPEN)]
    row += [_sum(table, lots, name, OPEN, side, span) for span in spans]
    place, cells = table.next_row, [name, *row]
    if aged:
        ages = _part(table, place, cells, NOT_DUE, OLDEST)
        cells.append(_calculated(_rest, _part(table, place, cells, BALANCE), ages))
    table.row(*cells)
    return place, cells


def _part(table, place, cells, first, last=None):
    """Reference to a part of a row, and its value."""
    if last is None:
        return Reference(table.place(first, place)), cells[first].value
    span = f"{table.place(first, place)}:{table.place(last, place)}"
    values = np.array([cell.value for cell in cells[first : last + 1]])
    return Reference(span, spread=True), values


def _calculated(function, *parts):
    """Cell with a function of parts of rows."""
    made = formulas.live(function, *parts)
    return Cell(made.value, made.formula)


def _accounts(table, ledger, lots, rows, money):
    """Enter the whole account of each customer, and what is due, set off."""
    aged = LATE in ledger.columns
    due = f", and what is due on {in_words(ledger.day)}" if aged else ""
    table.blank()
    table.heading(f"Account of each customer{due}")
    heads = [*WHOLE[1:-1], "Balance of the account"]
    heads += SET_OFF * aged + (INTEREST in ledger.columns) * [
        "Late interest to the owner"
    ]
    table.heads("Customer", WHOLE[0], *(f"{head}, {money}" for head in heads))
    for name, sides in rows.items():
        row = [
            _calculated(_added, *(_part(table, *side, at) for side in sides.values()))
            for at in range(1, NOT_DUE)
        ]
        place, cells = table.next_row, [name, *row]
        if aged:
            for label, _ in SIDES:
                ages = label in sides and _part(table, *sides[label], *DUE_AGES)
                cells.append(_calculated(_due, ages) if ages else Cell(0.0))
            two = (_part(table, place, cells, at) for at in (NOT_DUE, NOT_DUE + 1))
            cells.append(_calculated(_added, *two))
        if INTEREST in ledger.columns:
            cells.append(_sum(table, lots, name, INTEREST))
        table.row(*cells)


def _due(ages):
    """What is due, of any age."""
    return rounded(np.sum(ages), 2)


def _added(first, *others):
    """Sum of amounts."""
    return rounded(sum(others, first), 2)


def _rest(balance, ages):
    """What has no age."""
    return rounded(balance - np.sum(ages), 2)


def _sum(table, lots, name, amount, side=None, span=(None, None)):
    """Cell with a sum over the lots of a customer, on one side and of one age."""
    values, cells = lots
    reads = (amount, OPEN, DUE, LATE, CUSTOMER, "customer")
    own = {1: 1.0, "customer": name}
    customer = Reference(table.place(0), "text")
    named = isinstance(cells[CUSTOMER], Reference)
    return live(
        _summed(side, *span, named),
        values | own,
        cells | own | {"customer": customer},
        reads,
    )


@functools.cache
def _summed(side, first, last, named):
    """The function of such a sum; ``first`` and ``last`` are days past due."""

    def total(amount, still_open, due, late, owner, customer):
        conditions = [owner == customer] * named
        if side:
            conditions.append(side(still_open, 0))
        if (first, last) != (None, None):
            conditions.append(due != "")
        if first is not None:
            conditions.append(late >= first)
        if last is not None:
            conditions.append(late <= last)
        return rounded(np.sum(functools.reduce(np.multiply, [*conditions, amount])), 2)

    return total
