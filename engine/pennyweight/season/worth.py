"""What an hour of the mill is worth, and why a lot is left out."""

import datetime
from dataclasses import replace

import numpy as np
import pandas as pd

from ..errors import WorkbookError
from ..model.lines.contract.charges import CHARGES
from ..model.run import run
from ..model.units import shown
from .lots import OWN_ORE, lot_inputs, make_offers, needed_charges, read_lots
from .relaxation import Relaxation
from .schedule import per_hour
from .solver import fitted, solve_season

PATIENCE = 12.0
"""Seconds that may go on planning again for the worth of an hour; and as many for the
lots that were left out."""
NEAR = 0.05
"""Difference per hour that is told as nearly nothing."""
WEEK = 5
"""Working days."""
WHICH = (
    "For a lot or a charge use the average. For a working week added or lost use its "
    "own figure."
)
"""Which worth of an hour to use."""


def by_month(season, progress=None):
    """What an hour more, and an hour less, is worth in each month.

    Solved again with a working week more, and one less, in the middle of the month,
    since no lot fits into an hour; ``relaxation`` is the mean dual value if lots might
    be milled in part.

    Parameters
    ----------
    season : Season
    progress : callable, optional

    Returns
    -------
    frame : pandas.DataFrame
    """
    calendar, problem, found = season.calendar, season.problem, season.solution
    duals = Relaxation(problem).hour_worth()
    long = 2 * len(calendar.months) * found.seconds
    again = long <= PATIENCE and not found.stopped
    rows = []
    for month in calendar.months:
        first, last = calendar.part_of_month(month)
        at = slice(round(first / calendar.hours), round(last / calendar.hours))
        dual = float(np.mean(duals[at]))
        pair = [np.nan, np.nan]
        for place, days in enumerate((WEEK, -WEEK)) if again else ():
            try:
                changed = calendar.changed(month, days)
                solved = _solved_again(season, changed, progress)
            except WorkbookError:  # without that week a lot no longer fits
                continue
            again = again and not solved.stopped
            difference = solved.schedule.money - season.contribution
            hours = abs(len(changed.days) - len(calendar.days)) * calendar.hours
            pair[place] = max(0.0, np.sign(days) * difference) / hours
        named = f"{datetime.date(*month, 1):%B %Y}"
        rows.append((named, *pair, dual))
    return pd.DataFrame(rows, columns=["month", "hour_more", "hour_less", "relaxation"])


def _solved_again(season, calendar, progress):
    """The season planned again with another calendar."""
    from .season import make_problem

    problem = make_problem(season.offers, calendar, season.options, season.inputs)
    limit = max(1.0, 2 * season.solution.seconds)
    start = [fitted(problem, season.solution.schedule.jobs)]
    return solve_season(problem, limit, season.options.gap, start, progress)


def mean_worth(season):
    """What an hour of the season is worth on average, $."""
    frame = season.hour_worth
    if frame.empty:
        return np.nan
    return float(frame["relaxation"].mean())


def price_words(season, lots):
    """At which charge lots would be worth their hours, in words.

    Parameters
    ----------
    season : Season
    lots : sequence of int
        Rows of the table of lots.

    Returns
    -------
    words : dict of int to str
        A sentence, or nothing where no charge does.
    """
    if not lots or np.isnan(mean_worth(season)):
        return dict.fromkeys(lots, "")
    table = season.offers.lots
    charges = least_charges(season).set_index("lot")
    kinds = table["contract"].fillna(season.inputs["contract_kind"])
    by_kind = {kind: (name, unit) for name, _, kind, unit, _, _ in CHARGES}
    found = {}
    for lot in lots:
        row = charges.loc[table.loc[lot, "lot"]]
        name, unit = by_kind.get(kinds[lot], ("", ""))
        if row["needed"] <= row["income"]:
            found[lot] = ""
        elif not name:
            income = f"an income of ${row['needed']:,.0f}"
            found[lot] = f" It would be worth its hours at {income}."
        elif np.isnan(row[name]):
            found[lot] = " No charge of its contract type makes it worth its hours."
        else:
            charge = _charge(row[name], name, unit, season)
            found[lot] = f" It would be worth its hours at {charge}."
    return found


def _charge(value, name, unit, season):
    if unit == "share":
        what = "a markup" if name == "markup_charge" else "a mill's share"
        return f"{what} of {value:.0%}"
    return f"${value:,.2f} {shown(unit, season.units).replace('$/', 'per ')}"


def reasons(season, with_cash=frozenset()):
    """Why each lot that is left out is left out, in words.

    Parameters
    ----------
    season : Season
    with_cash : set of int
        Rows of the lots that are milled if cash is no limit.

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
    left = [lot for lot in range(len(problem.modes)) if lot not in milled]
    long = season.solution.seconds * len(left)
    force = long <= PATIENCE and season.options.explain
    force = force and not season.solution.stopped
    prices = price_words(season, left)
    rows = []
    for lot in left:
        job = max(problem.modes[lot], key=lambda job: _surplus(job, hour))
        short = max(hour * job.hours - job.contribution, 0.0)
        rows.append(
            (
                *(season.offers.names[lot], season.offers.lots.loc[lot, "owner"] or ""),
                *(job.tons, job.hours, job.contribution, per_hour(job), short),
                _reason(season, lot, job, hour, lot in with_cash)
                + _forced(season, lot, force)
                + prices[lot],
            )
        )
    columns = ["lot", "owner", "tons", "hours", "contribution", "per_hour", "short"]
    return pd.DataFrame(rows, columns=[*columns, "reason"])


def _surplus(job, hour):
    """What a lot brings above what its hours bring elsewhere, $."""
    return job.contribution - np.nan_to_num(hour) * job.hours


def _forced(season, lot, wanted):
    """What it would cost to mill a lot all the same, as a further sentence."""
    if not wanted:
        return ""
    problem = replace(season.problem, must=season.problem.must | {lot})
    try:
        found = solve_season(
            problem, PATIENCE, season.options.gap, [season.solution.schedule]
        ).schedule
    except WorkbookError:
        return " It does not fit."
    if lot not in {job.lot for job in found.jobs}:
        return ""
    kept = {job.lot for job in found.jobs}
    before = [job.lot for job in season.solution.schedule.jobs]
    moved = [season.offers.names[other] for other in before if other not in kept]
    cost = max(season.contribution - found.money, 0.0)
    are = "are" if len(moved) > 1 else "is"
    instead = f"{', '.join(moved)} {are} left out and " if moved else ""
    return (
        f" If it must be milled, {instead}the best plan found brings ${cost:,.0f} less."
    )


def _reason(season, lot, job, hour, with_cash):
    problem = season.problem
    if job.contribution <= 0:
        return "Its income does not cover its avoidable cost."
    window = min(problem.due[lot], problem.end) - problem.ready[lot]
    if np.isinf(problem.late[lot]) and window < job.hours:
        return "It needs more hours than there are between its earliest and due day."
    if with_cash:
        return (
            f"Its start takes ${job.spent:,.0f} of cash, which other lots use better."
        )
    if np.isnan(hour):
        return "Other lots bring more."
    if per_hour(job) < (1 - NEAR) * hour:
        return (
            f"It brings ${per_hour(job):,.0f} per mill hour; an hour is worth "
            f"${hour:,.0f} to other lots."
        )
    free = _longest_free(problem, season.solution.schedule, lot)
    if free < job.hours:
        return (
            f"It needs {job.hours:,.0f} mill hours at a stretch; from its earliest day "
            f"on, the other lots leave at most {free:,.0f}."
        )
    return (
        "Clean-up between owners, cash, storage or tailings room leaves it no place "
        "beside the other lots."
    )


def _longest_free(problem, schedule, lot):
    """The longest stretch of free hours in which a lot might be milled."""
    last = problem.due[lot] if np.isinf(problem.late[lot]) else problem.end
    last = min(last, problem.end)
    begins = np.maximum([0.0, *schedule.ends], problem.ready[lot])
    ends = np.minimum([*schedule.starts, problem.end], last)
    return max(float(np.max(ends - begins)), 0.0)


def least_charges(season, table=None):
    """What a lot must at least be charged, so that it is worth its hours.

    The income needed is the avoidable cost and what its hours bring elsewhere. The
    charges that give it are the model's own lines.

    Parameters
    ----------
    season : Season
    table : pandas.DataFrame, optional
        Other lots, columns as in `lots.FIELDS`; the season's own when left out.

    Returns
    -------
    frame : pandas.DataFrame
        A row for each lot, at the grind at which it brings most above its hours'
        worth: ``hours``, ``income`` under its contract type, ``cost``,
        ``needed``, ``p80``, and a column for each charge.
    """
    inputs, units = season.inputs, season.units
    lots = season.offers.lots if table is None else read_lots(table, units)
    offers = make_offers(
        inputs, units, lots, season.options.grinds, season.options.crew_committed
    )
    whole = offers.table[offers.table["part"] == 1.0]
    rows, hour = whole["lot"].to_numpy(), mean_worth(season)
    found = lot_inputs(inputs, lots, rows, whole["p80"], whole["part"])
    found["custom_recovery"] = whole["recovery"].to_numpy()
    for name in ("gravity_recovery", "_recovery_p80"):
        found.pop(name)
    wanted = {"rated_income", *(part for row in CHARGES for part in row[4:])}
    values = run({**inputs, **found}, units, wanted=wanted)
    needed = (whole["cost"] + hour * whole["hours"]).to_numpy()
    frame = whole[["hours", "income", "cost"]].assign(needed=needed, p80=whole["p80"])
    own = (lots["contract"] == OWN_ORE).to_numpy()[rows]
    frame.insert(0, "lot", [offers.names[row] for row in rows])
    for name, charge in needed_charges(needed, values).items():
        frame[name] = np.where(own, np.nan, charge)
    over = whole["contribution"] - np.nan_to_num(hour) * whole["hours"]
    return frame.loc[over.groupby(rows).idxmax()].reset_index(drop=True)
