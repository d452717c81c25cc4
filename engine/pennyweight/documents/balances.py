"""Balances of a ledger by customer, and their ages."""

import datetime

from xlsxwriter.utility import xl_col_to_name

from ..trade.settlement import round_to_cents
from ..workbook.table import Cell, Column, Table
from .lots import CUSTOMER, DATE, PAID
from .page import CENTS

AGES = ((30, "0 to 30 days"), (60, "31 to 60 days"), (90, "61 to 90 days"))
OLDER = "Over 90 days"
SHEET = "Customers"


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
    accounts, dates = _accounts(ledger), _dates(ledger)
    ages = [*(head for _, head in AGES), OLDER] if dates else []
    columns = [
        Column("Customer", width=34, looks={"text_wrap": True}),
        Column("Lots", "#,##0", 10, total=True),
    ]
    heads = ("Net to the owner", "Paid to the owner", "Balance owed", *ages)
    columns += [Column(f"{h}, {money}", CENTS, 17, total=True) for h in heads]
    note = (
        "What the mill owes, and what customers owe it (negative), are not set off "
        "against each other. Payments settle the oldest lots."
    )
    asof = f" Ages on {max(dates)}, the latest date." if dates else ""
    table = Table("Balances by customer", columns, ledger.units, SHEET, (note + asof,))
    table.heads()
    for label, owing in (("The mill owes", False), ("Customers owe the mill", True)):
        top = table.next_row
        for name in accounts:
            if (ledger.owed[name] < 0) == owing:
                _enter(table, ledger, first, name, accounts[name], dates)
        if table.next_row > top:
            table.total(label, top)
    return table


def _enter(table, ledger, first, name, lots, dates):
    """Enter the balance of a customer."""
    sums = [_sum(ledger, first, n, table.next_row) for n in ("net", PAID)]
    row, balance = table.next_row + 1, ledger.owed[name]
    net, paid = (_cents(sum(lot[at] for lot in lots)) for at in (1, 2))
    table.row(
        name,
        len(lots),
        Cell(net, sums[0]),
        Cell(paid, sums[1]),
        Cell(balance, f"=ROUND(C{row}-D{row},2)"),
        *(_by_age(lots, balance, max(dates)) if dates else ()),
    )


def _accounts(ledger):
    """Date, net and paid of each lot, by customer."""
    found, columns = {}, ledger.columns
    dates = columns.get(DATE) or [""] * len(columns["net"])
    lots = zip(dates, columns["net"], columns[PAID], strict=True)
    for customer, lot in zip(columns[CUSTOMER], lots, strict=True):
        found.setdefault(customer, []).append(lot)
    return found


def _cents(amount):
    return float(round_to_cents(amount))


def _dates(ledger):
    """Dates of all lots, those held too; empty unless each is year-month-day."""
    try:
        return [datetime.date.fromisoformat(day) for day in ledger.dates]
    except ValueError:
        return []


def _sum(ledger, first, name, row):
    """Formula of the sum of a column of the ledger over the lots of one customer."""
    last = first + len(ledger.columns["net"])
    if CUSTOMER not in ledger.names:
        letter = xl_col_to_name(ledger.names.index(name))
        return f"=SUM(Ledger!{letter}{first + 1}:{letter}{last})"
    who, what = (xl_col_to_name(ledger.names.index(n)) for n in (CUSTOMER, name))
    spans = [f"Ledger!${letter}${first + 1}:${letter}${last}" for letter in (who, what)]
    return f"=SUMPRODUCT(({spans[0]}=A{row + 1})*{spans[1]})"


def _by_age(lots, balance, today):
    """The balance by age: what is owed or overpaid, the newest last.

    What the customer owes is of lots that cost more than their metal, and of payments.
    """
    open_, sign = abs(balance), 1 if balance >= 0 else -1
    found = dict.fromkeys([*(days for days, _ in AGES), None], 0.0)
    for date, net, paid in sorted(lots, reverse=True):
        entered = max(sign * net, 0.0) + max(-sign * paid, 0.0)
        part = min(open_, entered)
        open_ -= part
        age = (today - datetime.date.fromisoformat(date)).days
        found[next((days for days, _ in AGES if age <= days), None)] += part
    return [_cents(sign * part) for part in found.values()]
