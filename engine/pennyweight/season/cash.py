"""Cash flow of a season by lot, and the value of more cash."""

import math
from dataclasses import replace

import numpy as np
import pandas as pd

from .calendar import whole_days
from .schedule import HALF_CENT, SLACK, cash_after, spent_at_starts
from .solver import solve_season

PAID = {"charge_days": "charges", "refiner_days": "metal"}
"""Inputs with the days from a lot's end to a payment, and the payment."""
PATIENCE = 6.0
"""Time limit of each plan with more cash, in seconds."""


def cash_table(season):
    """Cash flow of each lot of the plan.

    Parameters
    ----------
    season : Season

    Returns
    -------
    frame : pandas.DataFrame
        A row for each lot, in order: ``start``; cash ``received`` since the previous
        start and ``spent`` to start it, $; ``charges`` and ``metal``, $, and their due
        dates; ``cash`` in hand after its start, $; and ``waits``, how long it waits and
        for which payment.
    """
    problem, calendar = season.problem, season.calendar
    schedule = season.solution.schedule
    left = list(cash_after(problem, schedule))
    spent = spent_at_starts(problem, schedule.jobs)
    before, rows = problem.cash, []
    for at, job in enumerate(schedule.jobs):
        finish = calendar.last_date(schedule.ends[at])
        row = {
            "lot": season.offers.names[job.lot],
            "start": calendar.date(schedule.starts[at]),
            "received": left[at] + spent[at] - before,
            "spent": spent[at],
        }
        before = left[at]
        for (days, what), amount in zip(PAID.items(), job.receipts, strict=True):
            row[f"{what}_due"] = finish + whole_days(season.inputs[days])
            row[what] = amount
        rows.append({**row, "cash": left[at], "waits": _waits(season, at)})
    return pd.DataFrame(rows)


def _waits(season, at):
    """How long and for which payment a lot waits; empty if it does not wait."""
    problem, plan = season.problem, season.solution.schedule
    job, start = plan.jobs[at], plan.starts[at]
    hour = problem.ready[job.lot]
    if job.lot in problem.frozen:
        hour = max(hour, problem.planned[job.lot])
    if at:
        change = problem.owners[plan.jobs[at - 1].lot] != problem.owners[job.lot]
        hour = max(hour, plan.ends[at - 1] + problem.change * change)
    if start <= hour + SLACK:
        return ""
    days = (season.calendar.date(start) - season.calendar.date(hour)).days
    paid = [
        f"the {what} of {season.offers.names[other.lot]}"
        for other, end in zip(plan.jobs[:at], plan.ends[:at], strict=True)
        for what, (arrives, amount) in zip(
            PAID.values(), problem.payments(other, end), strict=True
        )
        if abs(arrives - start) <= SLACK and amount > HALF_CENT
    ]
    long = f"{days} day{'s' * (days != 1)}" if days else "Less than a day"
    return f"{long}, for {' and '.join(paid)}"


def more_cash(season, progress=None):
    """Contribution that more cash would add, by solving again.

    Parameters
    ----------
    season : Season
    progress : callable, optional

    Returns
    -------
    frame : pandas.DataFrame
        A row for more cash by the median cost of a lot, and one without a limit:
        ``more`` cash, what it ``adds`` to the contribution, and ``per_dollar``, $.
    milled : set of int
        Rows of the lots that are milled without a cash limit.
    """
    costs = [modes[0].spent for modes in season.problem.modes]
    rows, best = [], season.solution.schedule
    for more in (float(np.median(np.maximum(costs, 0.0))), math.inf):
        problem = replace(season.problem, cash=season.problem.cash + more)
        found = solve_season(problem, PATIENCE, season.options.gap, [best], progress)
        best = found.schedule
        adds = max(best.money - season.contribution, 0.0)
        rows.append((more, adds, adds / more if 0 < more < math.inf else math.nan))
        if found.stopped:
            break
    frame = pd.DataFrame(rows, columns=["more", "adds", "per_dollar"])
    return frame, {job.lot for job in best.jobs}
