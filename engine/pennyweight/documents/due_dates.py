"""When a balance is due: days after milling, the final assay, and agreement."""

import datetime

from ..model.lines.settlement.weights import MILL_ALONE, WITHIN
from .dates import assay_due, day_after, in_words

AGREEMENT = "the agreement on the gold balance"
FIRST = datetime.date.min


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
    # Few lots need an agreement.
    return f"{days:g} days after {after.replace('the agreement', 'any agreement')}"


def due_day(value, to_owner):
    """The day on which a balance is due, or which date is missing, in words.

    Parameters
    ----------
    value : callable
        Gives the value of a line or an input.
    to_owner : bool
        Whether the mill owes the owner.
    """
    days, events = _needed(value, to_owner)
    found = {event: day_after(text) for event, text in events.items()}
    for event, day in found.items():
        if day is None:
            missing = "cannot be read" if events[event] else "is not entered"
            return f"{due(value, to_owner)}; the day of {event} {missing}"
    last = max(found, key=found.get)
    return f"{in_words(day_after(found[last], days))}, {days:g} days after {last}"


def due_date(value, to_owner):
    """The day on which a balance is due; None if a date for it is missing."""
    days, events = _needed(value, to_owner)
    found = [day_after(text) for text in events.values()]
    return None if None in found else day_after(max(found), days)


def final_assay(value):
    """The day on which the settlement assay is final, as text; empty if unknown.

    Without an owner's assay the mill's is final once the owner's time is over; without
    such a term, on the date of the statement.
    """
    assayed = value("settle_assayed")
    if value("settle_how") != MILL_ALONE:
        return assayed
    if value("assay_days") == 0:
        return value("settle_date")
    over = assay_due(value("settle_weighed"), value("assay_days"))
    return max(over, assayed, key=_day) if over else ""


def _day(text):
    return day_after(text) or FIRST


def _starts(value, to_owner):
    """Days to a payment, and the dates by event of which the last one counts."""
    if not to_owner:
        return value("charge_days"), {"the statement": value("settle_date")}
    assay = {"the final assay": final_assay(value)}
    if value("agreed_purchase") == "yes":
        return value("purchase_days"), assay
    events = {"milling": value("settle_milled"), **assay}
    return value("refiner_days"), events | {AGREEMENT: value("settle_agreed")}


def _needed(value, to_owner):
    """As `_starts`, without an agreement that the lot does not need."""
    days, events = _starts(value, to_owner)
    if value("settle_balance") == WITHIN:
        events.pop(AGREEMENT, None)
    return days, events
