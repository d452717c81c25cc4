"""Better plans from a plan: lots inserted, moved, and changed to other modes.

Every plan that is tried is timed and held to its limits by `schedule.timed`.
"""

from .schedule import SLACK, timed


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
