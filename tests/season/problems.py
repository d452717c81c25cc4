"""Small scheduling problems, random and published, and their brute-force optimum."""

import itertools
import math
from dataclasses import replace

import numpy as np

from pennyweight.season.schedule import Job, Problem


def problem_of(hours, values, end, **more):
    """A season of lots with one mode each, all ready at the start."""
    count = len(hours)
    modes = [
        [Job(lot, lot, float(hours[lot]), float(values[lot]), 1.0, 1.0)]
        for lot in range(count)
    ]
    plain = {
        "ready": np.zeros(count),
        "due": np.full(count, math.inf),
        "late": np.full(count, math.inf),
        "owners": np.zeros(count, int),
        "planned": np.full(count, math.nan),
    }
    return Problem(modes=modes, end=float(end), **{**plain, **more})


def random_problem(seed):
    """Two to five lots, one to three grinds, whole hours; limits now and then."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 6))
    modes, mode = [], 0
    for lot in range(count):
        modes.append([])
        wet = float(rng.integers(5, 30))
        for _ in range(int(rng.integers(1, 4 if count < 5 else 3))):
            hours, value = float(rng.integers(1, 7)), float(rng.integers(-20, 200))
            modes[lot].append(Job(lot, mode, hours, value, 0.9 * wet, wet))
            mode += 1
    end = float(rng.integers(6, 16))
    ready = np.where(rng.random(count) < 0.5, rng.integers(0, 6, count), 0.0)
    due = ready + rng.integers(3, 12, count)
    due = np.where(rng.random(count) < 0.5, due, math.inf)
    late = np.where(rng.random(count) < 0.7, rng.integers(1, 40, count), math.inf)
    owners, change = rng.integers(0, 3, count), float(rng.integers(0, 3))
    return Problem(
        modes=modes,
        ready=ready,
        due=due,
        late=late,
        end=end,
        owners=owners,
        change=change,
        storage=float(rng.integers(20, 90)) if rng.random() < 0.3 else math.inf,
        room=float(rng.integers(20, 90)) if rng.random() < 0.3 else math.inf,
        change_cost=change * float(rng.integers(0, 40)),
        planned=np.full(count, math.nan),
    )


def with_cash(problem, seed):
    """The same season with a cash limit, start costs and later payments.

    A lot may bring cash at its start: a deposit above its cost.
    """
    rng = np.random.default_rng(seed)
    modes = []
    for lot in problem.modes:
        paid = [tuple(map(float, rng.integers(0, 60, 2))) for _ in lot]
        spent = rng.integers(-10, 60, len(lot)).astype(float).tolist()
        both = zip(lot, spent, paid, strict=True)
        modes.append([replace(job, spent=s, receipts=r) for job, s, r in both])
    opens = np.arange(problem.end)
    arrivals = tuple(list(opens + wait) for wait in rng.integers(0, 6, 2))
    cash = float(rng.integers(0, 80))
    return replace(problem, modes=modes, cash=cash, arrivals=arrivals)


def brute_force(problem):
    """The largest contribution over every selection, order and grind.

    Written independently of the engine, on purpose.
    """
    best = 0.0
    lots = range(len(problem.modes))
    for size in range(1, len(problem.modes) + 1):
        for order in itertools.permutations(lots, size):
            for jobs in itertools.product(*(problem.modes[lot] for lot in order)):
                best = max(best, _worth(problem, jobs))
    return best


def _worth(problem, jobs):
    if sum(job.tons for job in jobs) > problem.room:
        return -math.inf
    clock, money, before, starts = 0.0, 0.0, None, {}
    cash, due = problem.cash, []
    for job in jobs:
        owner = problem.owners[job.lot]
        cost = 0.0
        if before is not None and before != owner:
            clock += problem.change
            cost = problem.change_cost
        clock = max(clock, problem.ready[job.lot])
        # Whole hours: wait one by one until the money for the start is there.
        while clock < problem.end and job.spent + cost > cash + sum(
            amount for hour, amount in due if hour <= clock
        ):
            clock += 1
        if clock >= problem.end:
            return -math.inf
        cash -= job.spent + cost
        starts[job.lot] = clock
        clock += job.hours
        for days, amount in zip(problem.arrivals, job.receipts, strict=False):
            if clock <= problem.end:
                due.append((max(days[int(clock) - 1], clock), amount))
        before = owner
        if clock > problem.due[job.lot]:
            money -= (clock - problem.due[job.lot]) * problem.late[job.lot]
        money += job.contribution - cost
    if clock > problem.end:
        return -math.inf
    for hour in {problem.ready[job.lot] for job in jobs}:
        waiting = [
            job.wet for job in jobs if problem.ready[job.lot] <= hour < starts[job.lot]
        ]
        if sum(waiting) > problem.storage:
            return -math.inf
    return money


def large_problem(count, seed, days=132, owners=1, change=0.0, day=7.5):
    """A season with 1.5 times more ore than hours, and three grinds for each lot."""
    rng = np.random.default_rng(seed)
    hours = rng.uniform(0.5, 1.5, count)
    hours *= 1.5 * days * day / hours.sum()
    modes, mode = [], 0
    for lot in range(count):
        value = hours[lot] * rng.uniform(60, 400)
        modes.append([])
        for longer, more in ((1, 1), (1.15, 1.06), (0.87, 0.95)):
            wet = 1.6 * hours[lot]
            job = Job(lot, mode, hours[lot] * longer, value * more, 0.9 * wet, wet)
            modes[lot].append(job)
            mode += 1
    later = rng.random(count) < 0.5
    ready = np.floor(rng.uniform(0, days / 2, count)) * day * later
    due = np.minimum(ready + np.floor(rng.uniform(20, days, count)) * day, days * day)
    due[rng.random(count) < 0.4] = math.inf
    return Problem(
        modes=modes,
        ready=ready,
        due=due,
        late=rng.uniform(20, 200, count) / day,
        end=days * day,
        owners=rng.integers(0, owners, count),
        change=change,
        day=day,
        planned=np.full(count, math.nan),
    )
