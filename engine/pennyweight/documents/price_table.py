"""Gold price of a settlement from a table of published prices."""

import datetime
import math

from ..errors import CallError
from ..model.parsing import hint, number

WHAT = "table of prices"
LAST_BEFORE = ", by the last price before: "
"""Between a day without a price, and the day whose price is taken."""
FORM = "2026-07-14, or 2026-07-01:2026-07-31 for the average of a period"


def price_of(rows, period, file="table of prices"):
    """Find the price of a day, or the average of the prices of a period.

    Parameters
    ----------
    rows : list of (int, list of str)
        As given by `csv_file.read_csv`: a head, then a date as year-month-day and a
        price.
    period : str
        A date, or the first and the last one with a colon between.
    file : str
        Its name, for messages.

    Returns
    -------
    price : float
    words : str
        Day or period of the price, for the statement.

    Raises
    ------
    CallError
        For a period or a table that cannot be read, and days without a price.

    Examples
    --------
    >>> rows = [(1, ["date", "price"]), (2, ["2026-07-13", "3450"])]
    >>> price_of([*rows, (3, ["2026-07-14", "3460"])], "2026-07-13:2026-07-14")
    (3455.0, 'average of 2 prices, 2026-07-13 to 2026-07-14')
    """
    first, _, last = period.partition(":")
    first = _date(first, f"Day or period of the price, {period}")
    prices = _prices(rows, file)
    if not last:
        return _of_day(prices, first, file)
    last = _date(last, f"Day or period of the price, {period}")
    found = [price for day, price in prices.items() if first <= day <= last]
    if not found:
        raise CallError(f"{file} has no price from {first} to {last}.")
    average = math.fsum(found) / len(found)
    return average, f"average of {len(found)} prices, {first} to {last}"


def _of_day(prices, day, file):
    """The price of a day; if none was published, the last one before."""
    if day in prices:
        return prices[day], f"{day}"
    before = [one for one in prices if one < day]
    if not before:
        raise CallError(f"{file} has no price of {day}, and none before it.")
    if day > max(prices):
        raise CallError(
            f"{file} has no price of {day}: it ends on {max(prices)}. Add the price of "
            "that day; if none was published, the next one after it."
        )
    last = max(before)
    return prices[last], f"{day}{LAST_BEFORE}{last}"


def _prices(rows, file):
    found = {}
    for line, fields in rows[1:]:
        place = f"{file}, line {line}"
        if len(fields) < 2:
            raise CallError(f"{place}: enter a date and a price.")
        day = _date(fields[0], place)
        price = number(fields[1])
        if price is None or price <= 0:
            fault = f"{fields[1]!r} is not a price above 0.{hint(fields[1])}"
            raise CallError(f"{place}: {fault}")
        if day in found:
            raise CallError(f"{place}: {day} has two prices. Delete one of them.")
        found[day] = price
    return found


def _date(text, place):
    try:
        return datetime.date.fromisoformat(text.strip())
    except ValueError:
        raise CallError(f"{place}: {text!r} is not a date. Enter {FORM}.") from None
