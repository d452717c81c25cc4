"""Shadow price of a mill hour, and the reasons why lots are left out."""

import datetime
from dataclasses import replace

import numpy as np
import pandas as pd

from ..errors import WorkbookError
from ..model.lines.contract.charges import CHARGES, present
from ..model.run import run
from ..model.units import shown
from .lots import OWN_ORE, lot_inputs, make_offers, needed_charges, read_lots
from .relaxation import Relaxation
from .schedule import per_hour
from .solver import fitted, solve_season

TIME_LIMIT = 12.0
"""Time limit in seconds for solving again: once for the value of an hour, once for the
lots left out."""
NEAR = 0.05
"""Relative difference per hour below which lots count as equal."""
WEEK = 5
"""Working days."""
HOUR_NOTE = (
    "For a lot or a charge use the average. For a working week added or lost use its "
    "own figure."
)
"""Which value of an hour to use."""


def hour_value_by_month(season, progress=None):
    """Value of one mill hour more, and of one less, in each month.

    The season is solved again with a working week added, and with one removed, in the
    middle of the month, since no lot fits into one hour. ``relaxation`` is the mean
    shadow price of the linear relaxation, in which lots may be split.

    Parameters
    ----------
    season : Season
    progress : callable, optional

    Returns
    -------
    frame : pandas.DataFrame
    """
    calendar, problem, solution = season.calendar, season.problem, season.solution
    duals = Relaxation(problem).hour_worth()
    long = 2 * len(calendar.months) * solution.seconds
    solve_again = long <= TIME_LIMIT and not solution.stopped
    rows = []
    for month in calendar.months:
        first, last = calendar.part_of_month(month)
        at = slice(round(first / calendar.hours), round(last / calendar.hours))
        dual = float(np.mean(duals[at]))
        pair = [np.nan, np.nan]
        for place, days in enumerate((WEEK, -WEEK)) if solve_again else ():
            try:
                changed = calendar.changed(month, days)
                solved = _solve_again(season, changed, progress)
            except WorkbookError:  # without that week, required lots do not fit
                continue
            solve_again = solve_again and not solved.stopped
            difference = solved.schedule.money - season.contribution
            hours = abs(len(changed.days) - len(calendar.days)) * calendar.hours
            pair[place] = max(0.0, np.sign(days) * difference) / hours
        named = f"{datetime.date(*month, 1):%B %Y}"
        rows.append((named, *pair, dual))
    return pd.DataFrame(rows, columns=["month", "hour_more", "hour_less", "relaxation"])


def _solve_again(season, calendar, progress):
    """Solve the season again with another calendar."""
    from .season import make_problem

    problem = make_problem(season.offers, calendar, season.options, season.inputs)
    limit = max(1.0, 2 * season.solution.seconds)
    start = [fitted(problem, season.solution.schedule.jobs)]
    return solve_season(problem, limit, season.options.gap, start, progress)


def mean_hour_value(season):
    """Mean shadow price of a mill hour over the season, $."""
    frame = season.hour_worth
    if frame.empty:
        return np.nan
    return float(frame["relaxation"].mean())


def charge_sentences(season, lots):
    """The charge at which each lot would be worth its hours, as a sentence.

    Parameters
    ----------
    season : Season
    lots : sequence of int
        Rows of the table of lots.

    Returns
    -------
    words : dict of int to str
        A sentence; empty if the lot is worth its hours already.
    """
    if not lots or np.isnan(mean_hour_value(season)):
        return dict.fromkeys(lots, "")
    table = season.offers.lots
    charges = least_charges(season).set_index("lot")
    kinds = table["contract"].fillna(season.inputs["contract_kind"])
    by_kind = {kind: (name, unit) for name, _, kind, unit, _, _ in CHARGES}
    sentences = {}
    for lot in lots:
        row = charges.loc[table.loc[lot, "lot"]]
        name, unit = by_kind.get(kinds[lot], ("", ""))
        if row["needed"] <= row["income"]:
            sentences[lot] = ""
        elif not name:
            income = f"an income of ${row['needed']:,.0f}"
            sentences[lot] = f" It would be worth its hours at {income}."
        elif np.isnan(row[name]):
            sentences[lot] = " No charge of its contract type makes it worth its hours."
        else:
            charge = _charge(row[name], name, unit, season)
            sentences[lot] = f" It would be worth its hours at {charge}."
    return sentences


def _charge(value, name, unit, season):
    if unit == "share":
        what = "a markup" if name == "markup_charge" else "a mill's share"
        return f"{what} of {value:.0%}"
    return f"${value:,.2f} {shown(unit, season.units).replace('$/', 'per ')}"


def reasons(season, with_cash=frozenset()):
    """Reason why each lot that is not milled is left out.

    Parameters
    ----------
    season : Season
    with_cash : set of int
        Rows of the lots that are milled if cash is not limited.

    Returns
    -------
    frame : pandas.DataFrame
        ``lot``, ``owner``, hours and contribution of its best mode, ``per_hour``,
        ``short`` (how much more it would have to bring to be worth its hours, $), and
        ``reason`` in sentences.
    """
    problem = season.problem
    milled = {job.lot for job in season.solution.schedule.jobs}
    hour = mean_hour_value(season)
    left = [lot for lot in range(len(problem.modes)) if lot not in milled]
    long = season.solution.seconds * len(left)
    explain_forcing = long <= TIME_LIMIT and season.options.explain
    explain_forcing = explain_forcing and not season.solution.stopped
    prices = charge_sentences(season, left)
    rows = []
    for lot in left:
        worth = np.nan_to_num(hour)
        job = max(problem.modes[lot], key=lambda j: j.contribution - worth * j.hours)
        short = max(hour * job.hours - job.contribution, 0.0)
        rows.append(
            (
                *(season.offers.names[lot], season.offers.lots.loc[lot, "owner"] or ""),
                *(job.tons, job.hours, job.contribution, per_hour(job), short),
                _reason(season, lot, job, hour, lot in with_cash)
                + _cost_of_forcing(season, lot, explain_forcing)
                + prices[lot],
            )
        )
    columns = ["lot", "owner", "tons", "hours", "contribution", "per_hour", "short"]
    return pd.DataFrame(rows, columns=[*columns, "reason"])


def _cost_of_forcing(season, lot, wanted):
    """Cost of milling a lot that is left out, as a sentence."""
    if not wanted:
        return ""
    problem = replace(season.problem, must=season.problem.must | {lot})
    try:
        plan = solve_season(
            problem, TIME_LIMIT, season.options.gap, [season.solution.schedule]
        ).schedule
    except WorkbookError:
        return " It does not fit."
    kept = {job.lot for job in plan.jobs}
    before = [job.lot for job in season.solution.schedule.jobs]
    moved = [season.offers.names[other] for other in before if other not in kept]
    cost = max(season.contribution - plan.money, 0.0)
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
    free = _longest_gap(problem, season.solution.schedule, lot)
    if free < job.hours:
        return (
            f"It needs {job.hours:,.0f} mill hours at a stretch; from its earliest day "
            f"on, the other lots leave at most {free:,.0f}."
        )
    return _limited_by(problem, lot, job, season.solution.schedule)


def _limited_by(problem, lot, job, schedule):
    """The reason why a lot that pays and has its hours is left out: cost or limits."""
    owner, milled = problem.owners[lot], {problem.owners[n.lot] for n in schedule.jobs}
    alone = milled and owner not in milled
    if alone and job.contribution <= problem.change_cost:
        return (
            f"It brings ${job.contribution:,.0f}; the crew of a clean-up between "
            f"owners costs ${problem.change_cost:,.0f}."
        )
    limits = {
        "clean-up between owners": problem.change > 0 and milled - {owner},
        "cash": problem.cash < np.inf,
        "storage": problem.storage < np.inf,
        "tailings room": problem.room < np.inf,
    }
    given = " or ".join(name for name, applies in limits.items() if applies)
    if not given:
        return "Other lots bring more."
    return f"{given.capitalize()} leaves it no place beside the other lots."


def _longest_gap(problem, schedule, lot):
    """Longest gap in a schedule in which a lot could be milled, in hours."""
    last = problem.due[lot] if np.isinf(problem.late[lot]) else problem.end
    last = min(last, problem.end)
    begins = np.maximum([0.0, *schedule.ends], problem.ready[lot])
    ends = np.minimum([*schedule.starts, problem.end], last)
    return max(float(np.max(ends - begins)), 0.0)


def _clean_up(season, lots, hour):
    """Crew and hours of a clean-up, $, for lots whose owner has no other lot milled."""
    problem, jobs = season.problem, season.solution.schedule.jobs
    milled = {problem.owners[job.lot] for job in jobs}
    alone = [bool(milled) and problem.owners[lot] not in milled for lot in lots]
    return np.array(alone) * (problem.change_cost + hour * problem.change)


def least_charges(season, table=None):
    """Lowest charge at which a lot is worth its hours.

    The income needed is the avoidable cost plus the opportunity cost of the hours, with
    those and the crew of a clean-up where no other lot of the owner is milled. The
    charges that give it are the model's own lines.

    Parameters
    ----------
    season : Season
    table : pandas.DataFrame, optional
        Other lots, columns as in `lots.FIELDS`, without a clean-up. Default: the
        season's own.

    Returns
    -------
    frame : pandas.DataFrame
        A row for each lot, at the grind with the largest surplus over the opportunity
        cost of its hours: ``hours``, ``income`` under its contract type, ``cost``,
        ``needed``, ``p80``, and a column for each charge.
    """
    inputs, units = season.inputs, season.units
    lots = season.offers.lots if table is None else read_lots(table, units, inputs)
    offers = make_offers(inputs, units, lots, season.options.grinds)
    full = offers.table[offers.table["part"] == 1.0]
    rows, hour = full["lot"].to_numpy(), mean_hour_value(season)
    lot_values = lot_inputs(inputs, lots, rows, full["p80"], full["part"])
    lot_values["custom_recovery"] = full["recovery"].to_numpy()
    for name in ("gravity_recovery", "_recovery_p80"):
        lot_values.pop(name)
    wanted = {part for row in CHARGES for part in (*present(row[2]), *row[4:])}
    values = run({**inputs, **lot_values}, units, wanted=wanted)
    needed = (full["cost"] + hour * full["hours"]).to_numpy()
    if table is None:
        needed = needed + _clean_up(season, rows, hour)
    frame = full[["hours", "income", "cost"]].assign(needed=needed, p80=full["p80"])
    own_ore = (lots["contract"] == OWN_ORE).to_numpy()[rows]
    frame.insert(0, "lot", [offers.names[row] for row in rows])
    for name, charge in needed_charges(needed, values).items():
        frame[name] = np.where(own_ore, np.nan, charge)
    surplus = full["contribution"] - np.nan_to_num(hour) * full["hours"]
    return frame.loc[surplus.groupby(rows).idxmax()].reset_index(drop=True)
