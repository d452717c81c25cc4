"""What an hour of the mill is worth, and why a lot is left out."""

import numpy as np
import pandas as pd

from .schedule import per_hour
from .solver import Program, solve_season

FAST = 4.0
"""Seconds in which a season must be solved, to be solved again for each month."""
MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July", "August"),
    *("September", "October", "November", "December"),
)


def by_month(season, progress=None):
    """What an hour more, and an hour less, is worth in each month.

    Solved again with one working day more, and one less, in the middle of the month;
    ``relaxation`` is the mean dual value of the linear relaxation.

    Parameters
    ----------
    season : Season
    progress : callable, optional

    Returns
    -------
    frame : pandas.DataFrame
    """
    from .season import make_problem

    calendar, problem, found = season.calendar, season.problem, season.solution
    duals = Program(problem, found.step).hour_worth()
    again = found.seconds <= FAST and found.ended == "proven"
    rows = []
    for month in calendar.months:
        first, last = calendar.part_of_month(month)
        at = slice(int(first / found.step + 1e-9), int(last / found.step + 1e-9))
        dual = float(np.mean(duals[at])) if len(duals[at]) else 0.0
        pair = [np.nan, np.nan]
        for place, days in enumerate((1, -1)) if again else ():
            other = make_problem(
                season.offers, calendar.changed(month, days), season.options
            )
            solved = solve_season(
                other,
                max(2 * FAST, 4 * found.seconds),
                season.options.gap,
                [_same(season, other)],
                progress,
                found.step,
            )
            difference = solved.schedule.money - season.contribution
            pair[place] = max(days * difference, 0.0) / calendar.hours
        rows.append((f"{MONTHS[month[1] - 1]} {month[0]}", *pair, dual))
    return pd.DataFrame(rows, columns=["month", "hour_more", "hour_less", "relaxation"])


def _same(season, problem):
    """The plan as it is, under another calendar."""
    from .schedule import timed

    jobs = list(season.solution.schedule.jobs)
    plan = timed(problem, jobs)
    while jobs and not np.isfinite(plan.money):
        jobs.remove(min(jobs, key=per_hour))
        plan = timed(problem, jobs)
    return plan


def mean_worth(season):
    """What an hour of the season is worth on average, $."""
    frame = season.hour_worth
    if frame.empty:
        return np.nan
    return float(frame["relaxation"].mean())


def reasons(season):
    """Why each lot that is left out is left out, in words.

    Parameters
    ----------
    season : Season

    Returns
    -------
    frame : pandas.DataFrame
        ``lot``, ``owner``, hours and contribution of its best mode, ``per_hour``,
        ``short`` (how much more it would have to bring to be worth its hours, $), and
        ``reason``.
    """
    problem = season.problem
    milled = {job.lot for job in season.solution.schedule.jobs}
    hour = mean_worth(season)
    rows = []
    for lot, modes in enumerate(problem.modes):
        if lot in milled:
            continue
        job = max(modes, key=per_hour)
        short = max(hour * job.hours - job.contribution, 0.0)
        rows.append(
            (
                *(season.offers.names[lot], season.offers.lots.loc[lot, "owner"] or ""),
                *(job.tons, job.hours, job.contribution, per_hour(job), short),
                _reason(problem, lot, job, hour),
            )
        )
    columns = ["lot", "owner", "tons", "hours", "contribution", "per_hour", "short"]
    return pd.DataFrame(rows, columns=[*columns, "reason"])


def _reason(problem, lot, job, hour):
    if job.contribution <= 0:
        return "Its income does not cover its avoidable cost."
    window = min(problem.due[lot], problem.end) - problem.ready[lot]
    if np.isinf(problem.late[lot]) and window < job.hours:
        return "It needs more hours than there are between its earliest and due day."
    if np.isnan(hour):
        return "Other lots bring more."
    if per_hour(job) < hour:
        return (
            f"It brings ${per_hour(job):,.0f} per mill hour; an hour is worth "
            f"${hour:,.0f} to other lots."
        )
    return "Its place in time, storage or tailings room is worth more to other lots."


def least_charges(season, lot):
    """The least charge at which another lot should be taken.

    Parameters
    ----------
    season : Season
    lot : pandas.Series
        A row of the offers: ``tons``, ``hours``, ``cost``, ``income``.

    Returns
    -------
    charges : dict of str to float
        ``income`` needed, $; the same per dry ton and per mill hour.
    """
    needed = float(lot["cost"] + mean_worth(season) * lot["hours"])
    return {
        "income": needed,
        "per_ton": needed / float(lot["tons"]),
        "per_hour": needed / float(lot["hours"]),
    }
