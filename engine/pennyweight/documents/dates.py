"""Dates of papers: when a balance is due, and dates held against each other.

A balance is due some days after milling and the final assay; missing gold that the mill
makes good, after the agreement on it. A paper with wrong dates is a draft.
"""

import datetime

from ..model.columns import day_in
from ..model.inputs import INPUTS
from ..model.lines.settlement.weights import MILL_ALONE

EVENT = "the agreement on the gold balance"
OF_TERMS = ("terms_issued", "terms_signed", "quote_valid_until")
OF_LOT = (
    *("settle_weighed", "settle_milled", "settle_assayed"),
    *("settle_agreed", "settle_date"),
)
TEXTS_OF_LOT = (*OF_LOT, "settle_agreed_by", "settle_price_day")
ORDER = (
    # a date, and one that is not before it
    ("terms_issued", "terms_signed"),
    ("terms_issued", "quote_valid_until"),
    ("terms_signed", "quote_valid_until"),
    ("terms_signed", "settle_weighed"),
    ("settle_weighed", "settle_milled"),
    ("settle_weighed", "settle_assayed"),
    ("settle_weighed", "settle_agreed"),
    ("settle_milled", "settle_date"),
    ("settle_assayed", "settle_date"),
    ("settle_agreed", "settle_date"),
)


def day_after(text, days=0):
    """The day some days after a date; None if the date is ambiguous.

    Examples
    --------
    >>> day_after("9 July 2026", 21), day_after("7/9/2026", 21)
    (datetime.date(2026, 7, 30), None)
    """
    start = day_in(str(text).strip())
    try:
        return start and start + datetime.timedelta(days=float(days))
    except (ValueError, OverflowError):
        return None


def in_words(day):
    """A day as written on papers; empty without a day."""
    return f"{day.day} {day:%B %Y}" if day else ""


def assay_due(weighed, days):
    """The last day for the owner's assay, in words; empty if no last day is agreed."""
    return in_words(day_after(weighed, days)) if days > 0 else ""


def due(value, to_owner):
    """When a balance is paid, in words.

    Parameters
    ----------
    value : callable
        Gives the value of a line or an input.
    to_owner : bool
        Whether the mill owes the owner.
    """
    days, events = _starts(value, to_owner)
    *others, last = events
    after = f"{', '.join(others)} and {last}, whichever is last" if others else last
    return f"{days:g} days after {after}"


def due_day(value, to_owner, made_good=False):
    """The day on which a balance is due, or which date is missing, in words.

    Parameters
    ----------
    value : callable
        Gives the value of a line or an input.
    to_owner : bool
        Whether the mill owes the owner.
    made_good : bool
        Whether it is the payment for missing gold alone.
    """
    days, events = _counted(value, to_owner, made_good)
    found = {event: day_after(text) for event, text in events.items()}
    for event, day in found.items():
        if day is None:
            missing = "cannot be read" if events[event] else "is not entered"
            return f"{due(value, to_owner)}; the day of {event} {missing}"
    last = max(found, key=found.get)
    return f"{in_words(day_after(found[last], days))}, {days:g} days after {last}"


def due_date(value, to_owner, made_good=False):
    """The day on which a balance is due; None if a date for it is missing."""
    days, events = _counted(value, to_owner, made_good)
    found = [day_after(text) for text in events.values()]
    return None if None in found else day_after(max(found), days)


def days_late(value, to_owner, made_good=False):
    """Days from the due day of a balance to the date of its statement; at least 0."""
    due = due_date(value, to_owner, made_good)
    dated = day_after(value("settle_date"))
    return max((dated - due).days, 0) if due and dated else 0


def final_assay(value):
    """The day of the final assay, for price and payment, as text; empty if unknown.

    Without an owner's assay it is the last day of the owner's time; without such a
    term, the day of the mill's assay.
    """
    days = value("assay_days")
    if value("settle_how") == MILL_ALONE and days > 0:
        return assay_due(value("settle_weighed"), days)
    return value("settle_assayed")


def _starts(value, to_owner):
    """Days to a payment, and the dates by event of which the last one counts."""
    if not to_owner:
        return value("charge_days"), {"the statement": value("settle_date")}
    assay = {"the final assay": final_assay(value)}
    if value("agreed_purchase") == "yes":
        return value("purchase_days"), assay
    return value("refiner_days"), {"milling": value("settle_milled"), **assay}


def _counted(value, to_owner, made_good):
    """As `_starts`; for missing gold, or where nothing else is owed, the agreement."""
    alone = 0 < value("settle_net") <= value("settle_made_good_paid")
    if to_owner and (made_good or alone):
        return value("refiner_days"), {EVENT: value("settle_agreed")}
    return _starts(value, to_owner)


def date_faults(value, names=(*OF_TERMS, *OF_LOT)):
    """Dates that cannot be read or contradict each other, in words.

    Parameters
    ----------
    value : callable
        Gives the text of an input.
    names : sequence of str
        Inputs to look at.

    Returns
    -------
    faults : list of str
    """
    texts = {name: value(name) for name in names if value(name)}
    days = {name: day_after(text) for name, text in texts.items()}
    told = {name: f"{INPUTS[name].label} {text}" for name, text in texts.items()}
    unread = [
        f"{told[name]} cannot be read (write 2026-07-09 or 9 July 2026)"
        for name, day in days.items()
        if day is None
    ]
    return unread + [
        f"{told[later]} is before {told[earlier]}"
        for earlier, later in ORDER
        if days.get(earlier) and days.get(later) and days[later] < days[earlier]
    ]
