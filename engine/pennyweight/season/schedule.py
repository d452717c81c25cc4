"""Schedules of lots on the mill clock: timing, value, checks and dispatching rules.

Nothing here calls a solver. All plans, from any method, are timed and checked here.
"""

import functools
import heapq
import math
from dataclasses import dataclass, field

import numpy as np

from ..errors import PennyweightError

SLACK = 1e-6
"""Tolerance, in hours and other units."""
HALF_CENT = 0.005


@dataclass(frozen=True)
class Job:
    """A lot in one mode, on the mill clock.

    Attributes
    ----------
    lot : int
    mode : int
        Row of the mode among all offers.
    hours, contribution, tons, wet : float
        Mill hours, $, dry weight milled, and wet weight of the whole lot.
    spent : float
        Cash spent at its start, $.
    receipts : tuple of float
        Payments for it afterwards, $; one for each of `Problem.arrivals`.
    """

    lot: int
    mode: int
    hours: float
    contribution: float
    tons: float
    wet: float
    spent: float = 0.0
    receipts: tuple = ()


@dataclass(frozen=True)
class Problem:
    """The scheduling problem of a season.

    Attributes
    ----------
    modes : list of list of Job
        Of each lot.
    ready, due : ndarray
        Hours on the mill clock; ``due`` is infinite for a lot without a due day.
    late : ndarray
        $ per hour late; infinite if the due day must be kept.
    end : float
        Hours of the season.
    owners : ndarray of int
    planned : ndarray
        Start of each lot in the previous plan, in hours; NaN if it had none.
    change : float
        Hours of clean-up between owners.
    change_cost : float
        Cost of one such clean-up, $; 0 if it takes no hours.
    storage, room : float
        Most wet weight that may wait at the mill, and most dry weight of tailings.
    must : frozenset of int
        Lots that must be milled.
    frozen : frozenset of int
        Lots that must start on their planned day.
    bonus : float
        $ for each lot that keeps its planned day. Part of the score, not of the money.
    day : float
        Hours of a working day.
    cash : float
        In hand at the season's start, $.
    arrivals : tuple of list of float
        For each payment of a lot: the hour at which it arrives, by the working day on
        which the lot ends.
    """

    modes: list
    ready: np.ndarray
    due: np.ndarray
    late: np.ndarray
    end: float
    owners: np.ndarray
    planned: np.ndarray
    change: float = 0.0
    change_cost: float = 0.0
    storage: float = math.inf
    room: float = math.inf
    must: frozenset = frozenset()
    frozen: frozenset = frozenset()
    bonus: float = 0.0
    day: float = 1.0
    cash: float = math.inf
    arrivals: tuple = ()

    @functools.cached_property
    def as_tuples(self):
        """Ready hour, due hour and owner of each lot, as plain numbers for speed."""
        columns = (self.ready, self.due, self.owners)
        return list(zip(*(column.tolist() for column in columns), strict=True))

    def may_lose_money(self, lot):
        """Whether a lot may be milled at a loss: it must be milled, or brings cash."""
        return lot in self.must or lot in self.frozen or self.cash < math.inf

    def cost_of_delay(self, lot, finish):
        """Cost of delay of a lot, $; infinite if the due day must be kept."""
        delay = finish - self.due[lot]
        return 0.0 if delay <= SLACK else float(delay * self.late[lot])

    def costs_of_delay(self, lots, ends):
        """Cost of delay for arrays of lots and of finishing hours."""
        delay = np.maximum(ends - self.due[lots], 0.0)
        with np.errstate(invalid="ignore"):
            return np.where(delay > SLACK, delay * self.late[lots], 0.0)

    def payments(self, job, end):
        """Hour and amount of each payment for a job, given the hour of its end."""
        day = int(max(end - SLACK, 0.0) / self.day)
        for days, amount in zip(self.arrivals, job.receipts, strict=True):
            if day < len(days):
                yield max(days[day], end), amount


@dataclass
class Schedule:
    """Lots in order, with start and finish in hours.

    Attributes
    ----------
    jobs : list of Job
    starts, ends : list of float
    money : float
        Contribution less cost of delay and of clean-up between owners, $; minus
        infinity if a limit is broken.
    score : float
        The objective: money plus the bonus for lots that keep their planned day.
    """

    jobs: list
    starts: list = field(default_factory=list)
    ends: list = field(default_factory=list)
    money: float = 0.0
    score: float = 0.0


def timed(problem, jobs):
    """Time jobs in the given order, each as early as possible.

    Parameters
    ----------
    problem : Problem
    jobs : sequence of Job

    Returns
    -------
    schedule : Schedule
    """
    schedule = Schedule(list(jobs))
    clock, before, money, kept = 0.0, None, 0.0, True
    balance = _CashBalance(problem) if problem.cash < math.inf else None
    for job in schedule.jobs:
        lot = job.lot
        ready, due, owner = problem.as_tuples[lot]
        cost = 0.0
        if owner != before:
            if before is not None:
                clock += problem.change
                cost = problem.change_cost
            before = owner
        start = clock if clock > ready else ready
        if lot in problem.frozen:
            start = max(start, problem.planned[lot])
        if balance:
            start = balance.start(job.spent + cost, start)
        if lot in problem.frozen:
            kept &= start < problem.planned[lot] + problem.day - SLACK
        clock = start + job.hours
        if balance:
            balance.end(job, clock)
        money += job.contribution - cost
        if clock > due:
            money -= problem.cost_of_delay(lot, clock)
        schedule.starts.append(start)
        schedule.ends.append(clock)
    schedule.money = money if kept and _allowed(problem, schedule) else -math.inf
    bonus = _bonus(problem, schedule) if problem.bonus else 0
    schedule.score = schedule.money + bonus
    return schedule


class _CashBalance:
    """Cash in hand and payments outstanding, as jobs are timed."""

    def __init__(self, problem):
        self.problem, self.cash, self.due = problem, problem.cash, []

    def start(self, spent, hour):
        """Pay for a job; return its earliest start with enough cash, or infinity."""
        due = self.due
        while due and (due[0][0] <= hour + SLACK or self.cash < spent - HALF_CENT):
            arrives, amount = heapq.heappop(due)
            hour = max(hour, arrives)
            self.cash += amount
        self.cash -= spent
        return hour if self.cash > -HALF_CENT else math.inf

    def end(self, job, hour):
        """Add the payments for a job that has ended."""
        if hour < math.inf:
            for payment in self.problem.payments(job, hour):
                heapq.heappush(self.due, payment)


def _bonus(problem, schedule):
    """Bonus for lots that start on their planned day, $."""
    count = 0
    for job, start in zip(schedule.jobs, schedule.starts, strict=True):
        planned = problem.planned[job.lot]
        if math.isfinite(planned):
            days = (start // problem.day, (planned + SLACK) // problem.day)
            count += days[0] == days[1]
    return problem.bonus * count


def _allowed(problem, schedule):
    if schedule.ends and schedule.ends[-1] > problem.end + SLACK:
        return False
    if math.isfinite(problem.room) and milled(schedule) > problem.room + SLACK:
        return False
    return math.isinf(problem.storage) or stored(problem, schedule) <= (
        problem.storage + SLACK
    )


def milled(schedule):
    """Dry weight milled."""
    return math.fsum(job.tons for job in schedule.jobs)


def cleaned(problem, jobs):
    """For each job, 1 if a clean-up between owners comes before it, else 0."""
    owners = problem.owners[[job.lot for job in jobs]]
    return np.diff(owners, prepend=owners[:1]).astype(bool).astype(int)


def spent_at_starts(problem, jobs):
    """Cash that each start takes: for the job and a clean-up before it, $."""
    each = zip(jobs, cleaned(problem, jobs).tolist(), strict=True)
    return [job.spent + problem.change_cost * change for job, change in each]


def stored(problem, schedule):
    """Largest wet weight waiting at the mill at one time."""
    most = 0.0
    for hour in {float(problem.ready[job.lot]) for job in schedule.jobs}:
        waits = sum(
            job.wet
            for job, start in zip(schedule.jobs, schedule.starts, strict=True)
            if problem.ready[job.lot] <= hour + SLACK and start > hour + SLACK
        )
        most = max(most, waits)
    return most


def check_schedule(problem, schedule):
    """Check a plan against every limit, independently of the solver.

    Raises
    ------
    PennyweightError
        Naming the limit. Such a plan is a fault of the program.
    """
    faults = list(faults_of(problem, schedule))
    if faults:
        raise PennyweightError(f"The season's plan is wrong: {faults[0]}")


def faults_of(problem, schedule):
    """Constraints that a plan breaks, in sentences."""
    before = None
    seen = set()
    for job, start, end in zip(
        schedule.jobs, schedule.starts, schedule.ends, strict=True
    ):
        lot = job.lot
        if lot in seen:
            yield f"lot {lot} is milled twice."
        seen.add(lot)
        if job not in problem.modes[lot]:
            yield f"lot {lot} is milled in a mode that it does not have."
        if abs(end - start - job.hours) > SLACK:
            yield f"lot {lot} has the wrong length."
        if start < problem.ready[lot] - SLACK:
            yield f"lot {lot} starts before it is there."
        if lot in problem.frozen:
            planned = problem.planned[lot]
            if not planned - SLACK <= start < planned + problem.day:
                yield f"lot {lot} leaves the day that it keeps."
        if math.isinf(problem.late[lot]) and end > problem.due[lot] + SLACK:
            yield f"lot {lot} is late."
        if before:
            other, ended = before
            change = problem.change * (problem.owners[other] != problem.owners[lot])
            if start < ended + change - SLACK:
                yield f"lot {lot} starts before lot {other} and its clean-up end."
        before = (lot, end)
    if before and before[1] > problem.end + SLACK:
        yield "the season is over before the last lot is milled."
    if not problem.must | problem.frozen <= seen:
        yield "a lot that must be milled is left out."
    if stored(problem, schedule) > problem.storage + SLACK:
        yield "more ore waits than the storage takes."
    if milled(schedule) > problem.room + SLACK:
        yield "there are more tailings than room."
    for start, cash in zip(schedule.starts, cash_after(problem, schedule), strict=True):
        if cash < -2 * HALF_CENT:
            yield f"the lot that starts at hour {start:g} costs more than there is."


def cash_after(problem, schedule):
    """Cash in hand after each start: received by then less spent, $."""
    runs = list(zip(schedule.jobs, schedule.starts, schedule.ends, strict=True))
    spent = spent_at_starts(problem, schedule.jobs)
    for place, (_, start, _) in enumerate(runs):
        yield (
            problem.cash
            - math.fsum(spent[: place + 1])
            + math.fsum(
                amount
                for job, _, end in runs[:place]
                for hour, amount in problem.payments(job, end)
                if hour <= start + SLACK
            )
        )


def per_hour(job):
    """Contribution per mill hour."""
    return job.contribution / job.hours


def rules(problem, grades):
    """Plans by three dispatching rules.

    Parameters
    ----------
    problem : Problem
    grades : sequence of float
        Grade of each lot, for the rule "richest first".

    Returns
    -------
    plans : dict of str to Schedule
    """
    best = (max(modes, key=per_hour) for modes in problem.modes)
    jobs = {
        job.lot: job for job in best if job.contribution > 0 or job.lot in problem.must
    }
    orders = {
        "first come, first served": sorted(jobs, key=lambda n: problem.ready[n]),
        "richest first": sorted(jobs, key=lambda n: -grades[n]),
        "largest margin per ton first": sorted(
            jobs, key=lambda n: -jobs[n].contribution / jobs[n].tons
        ),
    }
    return {
        name: list_schedule(problem, [jobs[lot] for lot in order])
        for name, order in orders.items()
    }


def list_schedule(problem, jobs):
    """List scheduling: add each lot in turn if it is allowed and raises the score.

    A lot that has not arrived is passed over while another lot waits. With a cash limit
    a lot that is refused has its turn again when a further lot, which brings cash, is
    added.
    """
    accepted, waiting, refused, clock = [], list(jobs), [], 0.0
    plan = timed(problem, [])
    while waiting:
        ready = [j for j in waiting if problem.ready[j.lot] <= clock + SLACK]
        if not ready:
            clock = min(problem.ready[j.lot] for j in waiting)
            continue
        job = ready[0]
        waiting.remove(job)
        tried = timed(problem, [*accepted, job])
        if tried.score > plan.score:
            accepted, plan = [*accepted, job], tried
            clock = max(clock, plan.ends[-1])
            waiting, refused = sorted([*waiting, *refused], key=jobs.index), []
        elif problem.cash < math.inf:
            refused.append(job)
    return plan


def required_lots(problem):
    """Plan of only the lots that must be milled or keep their day, by date."""
    needed = problem.must | problem.frozen
    days = np.where(np.isnan(problem.planned), problem.due, problem.planned)
    lots = sorted(needed, key=lambda lot: (days[lot], problem.ready[lot]))
    return timed(problem, [max(problem.modes[lot], key=per_hour) for lot in lots])
