"""Calendar of a season: working days and their mill hours."""

import calendar
import datetime
import functools
import math
from dataclasses import dataclass

import numpy as np

from ..errors import CallError, WorkbookError
from ..model.columns import day_of

MOST_DAYS = 400


@dataclass(frozen=True)
class Calendar:
    """Working days of a season. The mill clock counts mill hours only.

    Attributes
    ----------
    days : tuple of datetime.date
        In order. A day with a second shift may occur twice.
    hours : float
        Mill hours per working day.
    """

    days: tuple
    hours: float

    @functools.cached_property
    def numbers(self):
        """The days as ordinal numbers."""
        return np.array([day.toordinal() for day in self.days])

    @property
    def end(self):
        """Hours of the season."""
        return len(self.days) * self.hours

    def opens(self, day):
        """Hour at which a date begins on the mill clock."""
        return float(np.searchsorted(self.numbers, day.toordinal()) * self.hours)

    def closes(self, day):
        """Hour at which a date ends on the mill clock."""
        return float(
            np.searchsorted(self.numbers, day.toordinal(), "right") * self.hours
        )

    def date(self, hour):
        """Date of an hour of the mill clock."""
        place = int((hour + 1e-9) // self.hours)
        return self.days[min(max(place, 0), len(self.days) - 1)]

    def last_date(self, hour):
        """Date of the last work before an hour of the mill clock."""
        return self.date(max(hour - 1e-6, 0))

    def arrivals(self, days):
        """For each working day: hour at which a payment arrives, some days later."""
        return [self.opens(day + whole_days(days)) for day in self.days]

    @property
    def months(self):
        """Months of the season as (year, month), in order."""
        return list(dict.fromkeys((day.year, day.month) for day in self.days))

    def changed(self, month, days):
        """The calendar with working days added or removed in the middle of a month."""
        places = self._places(month)
        fewer = min(max(-days, 0), len(places))
        if len(self.days) <= fewer:
            raise WorkbookError("The season has no working day left.")
        at = places[(len(places) - fewer) // 2]
        more = [self.days[at]] * max(days, 0)
        return Calendar((*self.days[:at], *more, *self.days[at + fewer :]), self.hours)

    def part_of_month(self, month):
        """First and last hour of a month on the mill clock."""
        places = self._places(month)
        return places[0] * self.hours, (places[-1] + 1) * self.hours

    def _places(self, month):
        """Positions of the working days of a month."""
        return [
            at for at, day in enumerate(self.days) if (day.year, day.month) == month
        ]


def whole_days(days):
    """Days until a payment, rounded up to whole days."""
    return datetime.timedelta(math.ceil(days))


def make_calendar(inputs, dates=(), start=None, closed=(), reserve=0.0):
    """The calendar of a season, from the workbook's working days and hours.

    Parameters
    ----------
    inputs : mapping
        Of the workbook: working days per month, staffed hours, running time, first
        month and length of the season.
    dates : iterable of datetime.date
        Of the lots. The season is in the year of the earliest.
    start : date or str, optional
        First day. Default: first day of the season's first month.
    closed : iterable of date or str
        Days on which the mill does not work.
    reserve : float
        Share of the running hours kept free for breakdowns.

    Returns
    -------
    calendar : Calendar
    """
    if not 0 <= reserve < 1:
        raise CallError(f"Reserve for breakdowns: {reserve:g}. Enter 0 to 0.99.")
    first = _first_day(inputs, list(dates), start)
    closed = {_day(day, "closed") for day in closed}
    months = int(inputs["season_months"])
    last = (first.year * 12 + first.month - 1) + months
    share = min(inputs["days_per_month"], 31)
    days, day = [], first
    while day.year * 12 + day.month - 1 < last and len(days) < MOST_DAYS:
        if _works(day, share) and day not in closed:
            days.append(day)
        day += datetime.timedelta(1)
    if not days:
        raise CallError("The season has no working day. Close fewer days.")
    hours = inputs["hours_per_day"] * inputs["availability"] * (1 - reserve)
    return Calendar(tuple(days), hours)


def _first_day(inputs, dates, start):
    if start is not None:
        return _day(start, "start")
    year = min(dates).year if dates else datetime.date.today().year
    return datetime.date(year, int(inputs["season_start"]), 1)


def _day(value, what):
    try:
        return day_of(value)
    except ValueError:
        raise CallError(
            f"{what} {value!r}: this is not a date. Enter year-month-day, for example "
            "2026-07-04."
        ) from None


def _works(day, per_month):
    """Whether a date is a working day. Working days are spread evenly over a month."""
    _, length = calendar.monthrange(day.year, day.month)
    worked = round(min(per_month, length))
    return day.day * worked // length > (day.day - 1) * worked // length
