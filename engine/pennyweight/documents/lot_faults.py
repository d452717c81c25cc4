"""What is wrong with the figures of a lot: a paper with a fault is a draft."""

from ..model.entries import BEYOND_ESTIMATE
from ..model.inputs import INPUTS
from ..model.lines.settlement.weights import WITHIN
from ..workbook.layout import entry_place
from .dates import date_faults, day_after, final_assay, in_words
from .lots import bills_hours
from .price_table import LAST_BEFORE

AGREEMENT = ("settle_agreed", "settle_agreed_by")


def lot_faults(value, provisional=False):
    """What is wrong with dates, gold balance, price and hours of a lot.

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
    faults += _far_price(value) + _no_hours(value)
    return faults if provisional else faults + price_day_faults(value)


def _missing_agreement(value):
    """Who agreed on a gold balance outside its tolerance, and when, if not entered."""
    if value("agreed_purchase") == "yes" or value("settle_balance") == WITHIN:
        return []
    missing = [name for name in AGREEMENT if not value(name)]
    return [f"{INPUTS[name].label} is not entered" for name in missing]


def _far_price(value):
    """A settlement price as far from the workbook's gold price as a wrong decimal."""
    price, usual = value("settle_price"), value("gold_price")
    if usual / BEYOND_ESTIMATE <= price <= usual * BEYOND_ESTIMATE:
        return []
    return [
        f"{INPUTS['settle_price'].label} {price:,.2f} is far from the workbook's gold "
        f"price, {usual:,.2f}"
    ]


def _no_hours(value):
    """A lot without mill hours whose terms bill them."""
    if value("settle_hours") > 0 or not bills_hours(value):
        return []
    return [f"{INPUTS['settle_hours'].label}: 0, though the terms bill hours"]


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
    text, final = value("settle_price_day"), day_after(final_assay(value))
    if not (text and final and by_final_assay(value)):
        return []
    if day_after(text.partition(LAST_BEFORE)[0]) == final:
        return []
    return [
        f"{INPUTS['settle_price_day'].label} {text} is not the day of the final assay, "
        f"{in_words(final)}, as agreed (enter that day; the price may be the last one "
        "before)"
    ]


def by_final_assay(value):
    """Whether the terms take the price of the day of the final assay."""
    return value("price_day") == INPUTS["price_day"].estimate


def missing_dates(value):
    """Dates that a final statement needs and that are not entered, with their cells.

    A table of lots may have no such columns, so its lots are not held to this.

    Parameters
    ----------
    value : callable
        Gives the value of a line or an input.

    Returns
    -------
    faults : list of str
    """
    needed = {
        "settle_weighed": value("assay_days") > 0,
        "settle_milled": value("agreed_purchase") != "yes",
        "settle_assayed": True,
        "settle_price_day": by_final_assay(value),
        "settle_date": True,
    }
    return [
        f"{INPUTS[name].label} ({entry_place(name)}) is not entered"
        for name, applies in needed.items()
        if applies and not value(name)
    ]
