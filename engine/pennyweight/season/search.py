"""Better plans from a plan: lots inserted, parts taken out, neighbours at random.

Every plan that is tried is timed and held to its limits by `schedule.timed`.
"""

import random
import time

import numpy as np

from .schedule import SLACK, timed

ROUNDS = 60
"""Times that a part of a plan is taken out and put in again."""
TAKEN = 0.3
"""Largest part that is taken out."""
WARM, COLD = 0.003, 0.001
"""Losses that are taken now and then, at first and at last, as a share of the plan's
contribution: own trials."""
KNOCKS = 64
"""Moves between two looks at the clock."""


def improved(problem, plan, rounds=3):
    """Insert lots that are left out, move others, and change modes, if it brings more.

    Parameters
    ----------
    problem : Problem
    plan : Schedule
    rounds : int
        Times that every lot is tried.
    """
    for _ in range(rounds):
        before = plan.score
        for lot in range(len(problem.modes)):
            if lot not in problem.frozen:
                plan = _placed(problem, plan, lot)
        if plan.score <= before + SLACK:
            break
    return plan


def _placed(problem, plan, lot):
    """The plan with one lot where it brings most; as it was if nothing is better."""
    rest = [job for job in plan.jobs if job.lot != lot]
    for job in problem.modes[lot]:
        for place in range(len(rest) + 1):
            tried = timed(problem, [*rest[:place], job, *rest[place:]])
            if tried.score > plan.score + SLACK:
                plan = tried
    return plan


def rebuilt(problem, plan, enough, rounds=ROUNDS):
    """Take parts of a plan out and put them in again; keep what brings more.

    A part is a run of neighbours, all lots of an owner, or some lots at random (ruin
    and recreate: Schrimpf and others 2000, Journal of Computational Physics 159, 139).

    Parameters
    ----------
    problem : Problem
    plan : Schedule
    enough : callable
        Of a plan: whether to end.
    rounds : int
    """
    rng = np.random.default_rng(1)
    for turn in range(rounds):
        if not plan.jobs or enough(plan):
            break
        out = _taken_out(problem, plan, rng, turn % 3)
        rest = [job for job in plan.jobs if job.lot not in out]
        tried = timed(problem, rest)
        lots = [n for n in range(len(problem.modes)) if n not in problem.frozen]
        there = {job.lot for job in rest}
        waiting = [lot for lot in lots if lot not in there]
        for lot in rng.permutation(waiting):
            tried = _placed(problem, tried, int(lot))
        if tried.score > plan.score - SLACK:
            plan = tried
    return improved(problem, plan)


def _taken_out(problem, plan, rng, way):
    jobs = [job.lot for job in plan.jobs if job.lot not in problem.frozen]
    count = max(1, round(rng.uniform(0, TAKEN) * len(jobs)))
    if way == 0:
        first = int(rng.integers(len(jobs))) if jobs else 0
        return set(jobs[first : first + count])
    if way == 1 and len(set(problem.owners)) > 1:
        owner = rng.choice(problem.owners)
        return {lot for lot in jobs if problem.owners[lot] == owner}
    return set(rng.permutation(jobs)[:count].tolist())


def annealed(problem, plan, seconds, enough):
    """Move, swap, change and replace lots at random; losses are taken more rarely.

    Simulated annealing (Kirkpatrick, Gelatt and Vecchi 1983, Science 220, 671). A run
    of neighbours moves at once, so that an owner's lots stay together.

    Parameters
    ----------
    problem : Problem
    plan : Schedule
    seconds : float
    enough : callable
        Of a plan: whether to end.

    Returns
    -------
    plan : Schedule
        The best one met.
    """
    rng, best, gone = random.Random(1), plan, 0.0
    began, turn = time.monotonic(), 0
    while plan.jobs and gone < 1:
        if turn % KNOCKS == 0:
            gone = (time.monotonic() - began) / seconds
            loss = best.score * WARM * (COLD / WARM) ** gone
            if enough(best):
                break
        turn += 1
        tried = timed(problem, _moved(problem, list(plan.jobs), rng))
        if tried.score > plan.score - loss * rng.expovariate(1):
            whole = problem.must | problem.frozen <= {job.lot for job in tried.jobs}
            plan = tried if whole else plan
            best = max(best, plan, key=lambda one: one.score)
    return improved(problem, best)


def _moved(problem, jobs, rng):
    """Jobs with one change: a run moved, two swapped, one replaced, a mode, one out."""
    way, count = rng.random(), len(jobs)
    first, second = sorted(rng.choices(range(count), k=2))
    if way < 0.3:
        run = 1 + int(rng.expovariate(0.7))
        taken, rest = jobs[first : first + run], jobs[:first] + jobs[first + run :]
        place = rng.randint(0, len(rest))
        return rest[:place] + taken + rest[place:]
    if way < 0.5:
        there = {job.lot for job in jobs}
        waiting = [lot for lot in range(len(problem.modes)) if lot not in there]
        if waiting:
            job = rng.choice(problem.modes[rng.choice(waiting)])
            jobs[first : first + rng.choice((0, 1, 1, 1, 2))] = []
            jobs.insert(rng.choice((first, rng.randint(0, len(jobs)))), job)
    elif way < 0.7:
        jobs[first] = rng.choice(problem.modes[jobs[first].lot])
    elif way < 0.9:
        jobs[first], jobs[second] = jobs[second], jobs[first]
    elif way < 0.95:
        del jobs[first]
    else:
        jobs[first : second + 1] = jobs[first : second + 1][::-1]
    return jobs
