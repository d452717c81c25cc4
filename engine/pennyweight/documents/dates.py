"""Dates on papers: read if they are unambiguous, and written in words."""

import datetime

FORMS = ("%Y-%m-%d", "%d %B %Y", "%B %d, %Y", "%d %b %Y")
"""Formats of unambiguous dates."""


def day_after(text, days=0):
    """The day some days after a date; None if the date is ambiguous.

    Examples
    --------
    >>> day_after("9 July 2026", 21), day_after("7/9/2026", 21)
    (datetime.date(2026, 7, 30), None)
    """
    for form in FORMS:
        try:
            start = datetime.datetime.strptime(str(text).strip(), form)
            return (start + datetime.timedelta(days=float(days))).date()
        except (ValueError, OverflowError):
            continue
    return None


def in_words(day):
    """A day as written on papers; empty without a day."""
    return f"{day.day} {day:%B %Y}" if day else ""


def assay_due(weighed, days):
    """The last day for the owner's assay, in words; empty if no last day is agreed."""
    return in_words(day_after(weighed, days)) if days > 0 else ""
