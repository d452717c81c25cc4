"""Dates of terms and lots against each other; a paper with wrong ones is a draft."""

from ..model.inputs import INPUTS
from ..model.lines.settlement.weights import WITHIN
from .dates import day_after
from .due_dates import final_assay
from .price_table import LAST_BEFORE

OF_TERMS = ("terms_issued", "terms_signed", "quote_valid_until")
OF_LOT = (
    *("settle_weighed", "settle_milled", "settle_assayed"),
    *("settle_agreed", "settle_date"),
)
AGREEMENT = ("settle_agreed", "settle_agreed_by")
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


def lot_faults(value, provisional=False):
    """What is wrong with the dates of terms and lot, and with its gold balance.

    Parameters
    ----------
    value : callable
        Gives the value of a line or an input.
    provisional : bool
        Whether the final price is not known yet.

    Returns
    -------
    faults : list of str
    """
    faults = date_faults(value) + _missing_agreement(value)
    return faults if provisional else faults + price_day_faults(value)


def _missing_agreement(value):
    """Who agreed on a gold balance outside its tolerance, and when, if not entered."""
    if value("agreed_purchase") == "yes" or value("settle_balance") == WITHIN:
        return []
    missing = [name for name in AGREEMENT if not value(name)]
    return [f"{INPUTS[name].label} is not entered" for name in missing]


def price_day_faults(value):
    """A price of another day than the final assay's, where the terms pay by that day.

    Other words for the price day are for people to compare.

    Parameters
    ----------
    value : callable
        Gives the value of a line or an input.

    Returns
    -------
    faults : list of str
        One, or none.
    """
    text = value("settle_price_day")
    agreed = {day_after(value("settle_assayed")), day_after(final_assay(value))}
    usual = value("price_day") == INPUTS["price_day"].estimate
    if not (text and usual) or None in agreed:
        return []
    if day_after(text.partition(LAST_BEFORE)[0]) in agreed:
        return []
    return [
        f"{INPUTS['settle_price_day'].label} {text} is not the day of the final assay, "
        "as agreed (enter that day; the price may be the last one before)"
    ]
