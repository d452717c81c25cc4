"""How long lots of a ledger are past due, and the late interest on each."""

import numpy as np

from ..errors import CallError
from ..model.lines.settlement.money import settle_late_interest
from ..model.units import constants
from ..trade.settlement import round_to_cents
from .dates import OF_LOT, day_after, in_words
from .lots import DATE, PAID, PAID_ON
from .page import listed

YEAR = constants("us")["interest_days"]
DUE, OPEN, INTEREST = "due", "open", "late_interest"
LATE, BEFORE, RATE = "days_late", "days_until_paid", "late_rate"
"""Columns of a ledger."""
PRICE_DAY, MILLED, ASSAYED = "settle_price_day", "settle_milled", "settle_assayed"
RESTS_ON = (
    # what is not checked or not known without some dates
    ({PRICE_DAY, ASSAYED}, "the day of the price is not checked"),
    ({*OF_LOT}, "the order of the dates is not checked"),
    ({MILLED, ASSAYED, DATE}, "due days, ages and late interest are not known"),
    ({PAID_ON}, "late interest on what was paid late is not known"),
)


def standing_day(lots, on=""):
    """The day on which a ledger stands: the latest date of its table, or a later one.

    Parameters
    ----------
    lots : Lots
    on : str
        The day asked for; empty for the latest date of the table.

    Returns
    -------
    day : datetime.date or None
        None if the table has no dates.
    """
    found = [
        (day, lots.place(at, name))
        for name in (*OF_LOT, PAID_ON)
        for at, text in enumerate(lots.columns.get(name, ()))
        if (day := day_after(text))
    ]
    last, place = max(found, default=(None, ""))
    if not on:
        return last
    day = day_after(on)
    if day is None:
        raise CallError(f"Day of the ledger: {on!r} is not a date. Enter 2026-09-10.")
    if last and day < last:
        raise CallError(
            f"Day of the ledger: {in_words(day)} is before {in_words(last)} "
            f"({place}). Give that day or a later one, or leave later lots out."
        )
    return day


def lateness(lots, due, day):
    """Days past due of each lot, and the days until it was paid.

    Parameters
    ----------
    lots : Lots
    due : list of (datetime.date or None)
        The day on which the net of each lot is due.
    day : datetime.date or None
        The day of the ledger.

    Returns
    -------
    columns : dict of str to list
        Days past due are negative for a lot that is not due yet, and None if its due
        day is unknown. Days until it was paid are counted from the due day; None if
        the day of a payment is missing.
    """
    late = [(day - one).days if day and one else None for one in due]
    until = []
    for at, one in enumerate(due):
        paid_on = lots.columns.get(PAID_ON, [None] * len(due))[at]
        if paid_on and one:
            until.append(max((paid_on - one).days, 0))
        else:
            known = not lots.columns[PAID][at] or (late[at] or 0) <= 0
            until.append(0 if known else None)
    return {LATE: late, BEFORE: until}


def late_interest(net, still_open, late_rate, days_late, days_until_paid):
    """Late interest so far to the owner, in whole cents; negative if the owner owes it.

    On the net until it was paid, then on the part that is still open.
    """
    side, days = np.where(net < 0, -1, 1), np.maximum(days_late, 0)
    rest = np.minimum(np.maximum(side * still_open, 0), np.abs(net))
    until_paid = np.minimum(days_until_paid, days)
    amount_days = np.abs(net) * until_paid + rest * (days - until_paid)
    owed = settle_late_interest(amount_days, late_rate, YEAR)
    return side * round_to_cents(owed)


def missing_dates(lots, buys):
    """Sentence on dates that the table of lots lacks; empty if it has all.

    Parameters
    ----------
    lots : Lots
    buys : bool
        Whether the mill buys the ore of every lot, so that milling is no date for it.
    """
    wanted = dict.fromkeys(("settle_weighed", MILLED, ASSAYED, DATE), lots.names)
    wanted |= {PRICE_DAY: lots.names, PAID_ON: lots.columns[PAID]}
    if buys:
        del wanted[MILLED]
    missing = {}
    for name, rows in wanted.items():
        column = lots.columns.get(name, [None] * len(rows))
        empty = [at for at, needs in enumerate(rows) if needs and not column[at]]
        if empty:
            missing[name] = empty if name in lots.columns else ()
    if not missing:
        return ""
    heads = {name: name.removeprefix("settle_") for name in missing}
    told = [heads[name] for name, empty in missing.items() if not empty]
    told = [f"no column for {listed(told)}"] if told else []
    told += [
        f"nothing in column {heads[name]}, line "
        + listed([str(lots.lines[at]) for at in empty])
        for name, empty in missing.items()
        if empty
    ]
    lost = [words for names, words in RESTS_ON if names & missing.keys()]
    return f"{lots.file} has {'; '.join(told)}. Without these dates {'; '.join(lost)}."
