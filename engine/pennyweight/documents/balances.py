"""Balances of a ledger by customer, and how long they have been open."""

import datetime
from dataclasses import dataclass, field

from xlsxwriter.utility import xl_col_to_name

from ..trade.settlement import round_to_cents
from ..workbook.table import Cell, Column, Table
from .lots import CUSTOMER, DATE, PAID
from .page import CENTS

AGES = ((30, "0 to 30 days"), (60, "31 to 60 days"), (90, "61 to 90 days"))
OLDER = "Over 90 days"
SHEET = "Customers"


@dataclass
class _Account:
    """Lots of one customer: how many, net and paid, and the net by date."""

    lots: int = 0
    net: float = 0.0
    paid: float = 0.0
    entries: list = field(default_factory=list)

    @property
    def balance(self):
        """What the mill owes the customer."""
        return float(round_to_cents(self.net - self.paid))


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
    columns = [Column("Customer", width=34), Column("Lots", "#,##0", 10, total=True)]
    heads = ("Net to the owner", "Paid to the owner", "Balance owed", *ages)
    columns += [Column(f"{h}, {money}", CENTS, 17, total=True) for h in heads]
    note = "Negative: the customer owes the mill. Payments settle the oldest lots."
    asof = f" Ages on {max(dates)}, the latest date." if dates else ""
    table = Table("Balances by customer", columns, ledger.units, SHEET, (note + asof,))
    table.heads()
    top = table.next_row
    for name, account in accounts.items():
        sums = [_sum(ledger, first, n, table.next_row) for n in ("net", PAID)]
        row = table.next_row + 1
        table.row(
            name,
            account.lots,
            Cell(float(round_to_cents(account.net)), sums[0]),
            Cell(float(round_to_cents(account.paid)), sums[1]),
            Cell(account.balance, f"=ROUND(C{row}-D{row},2)"),
            *(_by_age(account, max(dates)) if dates else ()),
        )
    table.total("All customers", top)
    return table


def _accounts(ledger):
    found = {}
    columns = ledger.columns
    dates = columns.get(DATE) or [""] * len(columns["net"])
    rows = zip(columns[CUSTOMER], columns["net"], columns[PAID], dates, strict=True)
    for customer, net, paid, date in rows:
        account = found.setdefault(customer, _Account())
        account.lots += 1
        account.net, account.paid = account.net + net, account.paid + paid
        account.entries.append((date, net))
    return found


def _dates(ledger):
    """Dates of the lots; none unless each has one as year-month-day."""
    try:
        return [datetime.date.fromisoformat(d) for d in ledger.columns.get(DATE, ())]
    except ValueError:
        return []


def _sum(ledger, first, name, row):
    """Live sum of a column of the ledger over the lots of one customer."""
    last = first + len(ledger.columns["net"])
    if CUSTOMER not in ledger.names:
        letter = xl_col_to_name(ledger.names.index(name))
        return f"=SUM(Ledger!{letter}{first + 1}:{letter}{last})"
    who, what = (xl_col_to_name(ledger.names.index(n)) for n in (CUSTOMER, name))
    spans = [f"Ledger!${letter}${first + 1}:${letter}${last}" for letter in (who, what)]
    return f"=SUMPRODUCT(({spans[0]}=A{row + 1})*{spans[1]})"


def _by_age(account, today):
    """The balance by age: what is open of each lot, newest first."""
    open_, sign = abs(account.balance), 1 if account.balance >= 0 else -1
    found = dict.fromkeys([*(days for days, _ in AGES), None], 0.0)
    for date, net in sorted(account.entries, reverse=True):
        part = min(open_, max(sign * net, 0.0))
        open_ -= part
        age = (today - datetime.date.fromisoformat(date)).days
        found[next((days for days, _ in AGES if age <= days), None)] += part
    found[None] += open_
    return [float(round_to_cents(sign * part)) for part in found.values()]
