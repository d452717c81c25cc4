"""Local search: improve a plan by inserting, moving and changing lots.

`schedule.timed` times every trial plan and checks its limits.
"""

from .schedule import SLACK, timed


def improved(problem, plan, rounds=3):
    """Insert lots, move lots and change modes while the score rises.

    Parameters
    ----------
    problem : Problem
    plan : Schedule
    rounds : int
        Most passes over all lots.
    """
    for _ in range(rounds):
        before = plan.score
        for lot in range(len(problem.modes)):
            if lot not in problem.frozen:
                plan = _best_position(problem, plan, lot)
        if plan.score <= before + SLACK:
            break
    return plan


def _best_position(problem, plan, lot):
    """The plan with one lot at its best position; unchanged if none is better."""
    rest = [job for job in plan.jobs if job.lot != lot]
    for job in problem.modes[lot]:
        for place in range(len(rest) + 1):
            tried = timed(problem, [*rest[:place], job, *rest[place:]])
            if tried.score > plan.score + SLACK:
                plan = tried
    return plan
