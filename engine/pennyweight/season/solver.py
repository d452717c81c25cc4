"""Optimal season plan: bounds by relaxation, plans by beam search."""

import threading
import time
from dataclasses import dataclass

import numpy as np

from ..errors import WorkbookError
from .beam import Beam
from .lagrangian import Dual
from .local_search import improved
from .relaxation import Relaxation
from .schedule import Schedule, per_hour, required_lots, timed

RELAXED, PRICED = 1 / 6, 1 / 4
"""Share of the time for the relaxation; share of the rest for the Lagrangian dual."""
WEIGHTS = (0.2, 0.0)
"""Weights of the bound by hours in the ranking of the beams: own trials."""
SMALLEST, LARGEST, WIDER = 20_000, 1_300_000, 4
"""Smallest and largest size of a beam in partial plans, and its growth factor."""


@dataclass
class Solution:
    """A plan with its bound and the course of the search.

    Attributes
    ----------
    schedule : Schedule
    bound : float
        Upper bound on the contribution of any plan, $.
    columns : int
        Variables of the relaxation.
    seconds : float
    stopped : bool
        Whether the user stopped the search.
    """

    schedule: Schedule
    bound: float
    columns: int
    seconds: float
    stopped: bool = False

    @property
    def gap(self) -> float:
        """Share by which a better plan may exist."""
        if self.bound <= 0:
            return 0.0
        return max(0.0, (self.bound - self.schedule.money) / self.bound)


def solve_season(problem, seconds=60.0, gap=1e-6, start=(), progress=None):
    """Find the plan with the largest contribution.

    The relaxation gives a first bound and an order. If the gap is still too large, the
    Lagrangian dual gives a second bound, and beams of growing width use it.

    Parameters
    ----------
    problem : Problem
    seconds : float
        Time limit.
    gap : float
        Relative gap at which the search may end.
    start : iterable of Schedule
        Plans known already.
    progress : callable, optional
        Called with the seconds elapsed.

    Returns
    -------
    solution : Solution

    Raises
    ------
    WorkbookError
        If lots that must be milled do not fit.
    """
    return _Search(problem, seconds, gap, progress).run(start)


class _Search:
    """State of a search: time, best plan and bounds.

    ``bound`` is for the score. ``money_bound`` is for the money, without the bonus for
    planned days.
    """

    def __init__(self, problem, seconds, gap, progress):
        self.problem, self.seconds, self.gap = problem, seconds, gap
        self.progress = progress
        self.began = time.monotonic()
        self.bonus = problem.bonus * int(np.isfinite(problem.planned).sum())
        self.best, self.columns = None, 0
        self.bound = self.money_bound = np.inf
        self._lower_bounds(_trivial_bound(problem))

    def run(self, start):
        """Search until the gap is small enough, the time is up, or the user stops."""
        stopped = False
        for plan in (*start, required_lots(self.problem)):
            self._update_best(plan)
        try:
            self._relax()
            if not self._proven():
                self._beam_search()
        except KeyboardInterrupt:
            stopped = True
        if self.best is None:
            cash = ", or more cash" if np.isfinite(self.problem.cash) else ""
            raise WorkbookError(
                "The lots that must be milled do not fit into the season with their "
                "due days. Enter later due days, fewer lots that must be milled"
                f"{cash}."
            )
        bound = max(self.money_bound, self.best.money)
        gone = time.monotonic() - self.began
        return Solution(self.best, float(bound), self.columns, gone, stopped)

    def _time_left(self):
        return self.seconds - (time.monotonic() - self.began)

    def _time_is_up(self):
        """Report progress; return whether the time is up."""
        if self.progress:
            self.progress(int(time.monotonic() - self.began))
        return self._time_left() <= 0

    def _ended(self):
        """Whether to stop searching."""
        return self._proven() or self._time_is_up() or self.bound == -np.inf

    def _proven(self):
        """Whether the best plan is within the gap of the bound."""
        best = self.best
        return best and best.score >= self.bound * (1 - self.gap) - 1e-9

    def _lower_bounds(self, money):
        """Lower the bounds to a new bound on the money."""
        self.bound = min(self.bound, money + self.bonus)
        self.money_bound = min(self.money_bound, money)

    def _update_best(self, plan):
        """Improve a plan, and keep it if it is allowed, complete and the best."""
        plan = improved(self.problem, plan, 2) if plan.jobs else plan
        milled = {job.lot for job in plan.jobs}
        complete = (self.problem.must | self.problem.frozen) <= milled
        better = self.best is None or plan.score > self.best.score
        if np.isfinite(plan.score) and complete and better:
            self.best = plan

    def _relax(self):
        relaxation = Relaxation(self.problem)
        self.columns = relaxation.size
        limit = max(1.0, self.seconds * RELAXED)
        (bound, jobs) = self._in_thread(lambda: relaxation.solve(limit, self.gap / 4))
        self._lower_bounds(bound)
        self._update_best(fitted(self.problem, jobs))

    def _beam_search(self):
        """Solve the Lagrangian dual, and search with beams of growing width.

        The first beam uses the first prices: with few lots they are good enough.
        """
        dual, goal = Dual(self.problem), self.best.score if self.best else 0.0
        size = SMALLEST
        while size <= LARGEST and not self._ended():
            limit = 0.0 if size == SMALLEST else self._time_left() * PRICED
            dual.solve(limit, goal, goal / (1 - self.gap), self._time_is_up)
            self._lower_bounds(dual.bound)
            width = max(1, size // len(dual.jobs))
            for weight in WEIGHTS:
                beam = Beam(self.problem, dual, self.gap, self.best)
                try:
                    bound = beam.search(width, weight, self._time_is_up)
                finally:
                    if beam.plan is not self.best:
                        self._update_best(beam.plan)
                        goal = self.best.score
                self.bound = min(self.bound, bound)
                self.money_bound = min(self.money_bound, bound)
                if self._ended():
                    break
            size *= WIDER

    def _in_thread(self, work):
        """Run work in a thread, so that progress is shown and the user can stop it."""
        result = []
        thread = threading.Thread(target=lambda: result.append(work()), daemon=True)
        thread.start()
        while thread.is_alive():
            thread.join(0.2)
            if self.progress:
                self.progress(int(time.monotonic() - self.began))
        return result[0]


def _trivial_bound(problem):
    """Bound without any limit: every lot in its best mode."""
    best = (max(job.contribution for job in modes) for modes in problem.modes)
    return sum(max(value, 0.0) for value in best)


def fitted(problem, jobs):
    """Time jobs in exact hours; drop those worth least per hour until they fit."""
    plan = timed(problem, jobs)
    jobs = list(jobs)
    needed = problem.must | problem.frozen
    while not np.isfinite(plan.score) and jobs:
        rest = [job for job in jobs if job.lot not in needed] or jobs
        jobs.remove(min(rest, key=per_hour))
        plan = timed(problem, jobs)
    return plan
