"""The plan of a season: bounds by relaxing and by prices, plans by beam search."""

import threading
import time
from dataclasses import dataclass

import numpy as np

from ..errors import WorkbookError
from .beam import Beam
from .dual import Dual
from .relaxation import Relaxation
from .schedule import Schedule, needed_first, per_hour, timed
from .search import improved

RELAXED, PRICED = 1 / 6, 1 / 4
"""Shares of the time for the relaxed season, and of what is left for the prices."""
WEIGHTS = (0.2, 0.0)
"""Of the bound by hours in the choice of the beams: own trials."""
SMALLEST, LARGEST, WIDER = 20_000, 1_300_000, 4
"""Beginnings of plans that a beam compares at a time, and its growth."""


@dataclass
class Solution:
    """A plan, and what is known of it.

    Attributes
    ----------
    schedule : Schedule
    bound : float
        No plan brings more, $.
    columns : int
        Variables of the relaxed season.
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

    First the relaxed season gives a bound and an order. If that does not prove enough,
    prices give a second bound, and beams that grow wider build plans with it.

    Parameters
    ----------
    problem : Problem
    seconds : float
        Time limit.
    gap : float
        Share at which the search may end.
    start : iterable of Schedule
        Plans known already.
    progress : callable, optional
        Called with the seconds that have gone.

    Returns
    -------
    solution : Solution

    Raises
    ------
    WorkbookError
        When lots that must be milled do not fit.
    """
    return _Search(problem, seconds, gap, progress).run(start)


class _Search:
    """One search: what is left of the time, the best plan, and the bounds.

    ``bound`` is that of the score, ``most`` that of the money of a plan that may leave
    the days planned before.
    """

    def __init__(self, problem, seconds, gap, progress):
        self.problem, self.seconds, self.gap = problem, seconds, gap
        self.progress = progress
        self.began = time.monotonic()
        self.bonus = problem.bonus * int(np.isfinite(problem.planned).sum())
        self.best, self.columns = None, 0
        self.bound = self.most = np.inf
        self._no_more(_loose(problem))

    def run(self, start):
        """Search until enough is proven, the time is over, or the user stops."""
        stopped = False
        for plan in (*start, needed_first(self.problem)):
            self._keep(plan)
        try:
            self._relax()
            if not self._proven():
                self._by_prices()
        except KeyboardInterrupt:
            stopped = True
        if self.best is None:
            cash = ", or more cash" if np.isfinite(self.problem.cash) else ""
            raise WorkbookError(
                "The lots that must be milled do not fit into the season with their "
                "due days. Enter later due days, fewer lots that must be milled"
                f"{cash}."
            )
        bound = max(self.most, self.best.money)
        gone = time.monotonic() - self.began
        return Solution(self.best, float(bound), self.columns, gone, stopped)

    def _left(self):
        return self.seconds - (time.monotonic() - self.began)

    def _over(self):
        """Whether the time is over."""
        if self.progress:
            self.progress(int(time.monotonic() - self.began))
        return self._left() <= 0

    def _ended(self):
        """Whether more search is of no use."""
        return self._proven() or self._over() or self.bound == -np.inf

    def _proven(self):
        """Whether the best plan is proven to be good enough."""
        best = self.best
        return best and best.score >= self.bound * (1 - self.gap) - 1e-9

    def _no_more(self, money):
        """Note that no plan brings more money."""
        self.bound = min(self.bound, money + self.bonus)
        self.most = min(self.most, money)

    def _keep(self, plan):
        """Improve a plan, and keep it if it is allowed, whole, and the best."""
        plan = improved(self.problem, plan, 2) if plan.jobs else plan
        milled = {job.lot for job in plan.jobs}
        whole = (self.problem.must | self.problem.frozen) <= milled
        better = self.best is None or plan.score > self.best.score
        if np.isfinite(plan.score) and whole and better:
            self.best = plan

    def _relax(self):
        relaxation = Relaxation(self.problem)
        self.columns = relaxation.size
        limit = max(1.0, self.seconds * RELAXED)
        (bound, jobs) = self._waited(lambda: relaxation.solve(limit, self.gap / 4))
        self._no_more(bound)
        self._keep(fitted(self.problem, jobs))

    def _by_prices(self):
        """Bound by prices, and plans by beams of growing width.

        The first beam has no more than the first prices: few lots need no better ones.
        """
        dual, goal = Dual(self.problem), self.best.score if self.best else 0.0
        size = SMALLEST
        while size <= LARGEST and not self._ended():
            limit = 0.0 if size == SMALLEST else self._left() * PRICED
            dual.solve(limit, goal, goal / (1 - self.gap), self._over)
            self._no_more(dual.bound)
            width = max(1, size // len(dual.jobs))
            for weight in WEIGHTS:
                beam = Beam(self.problem, dual, self.gap, self.best)
                try:
                    bound = beam.search(width, weight, self._over)
                finally:
                    if beam.plan is not self.best:
                        self._keep(beam.plan)
                        goal = self.best.score
                self.bound, self.most = min(self.bound, bound), min(self.most, bound)
                if self._ended():
                    break
            size *= WIDER

    def _waited(self, work):
        """Do some work in a thread, so that the wait can be told and stopped."""
        found = []
        thread = threading.Thread(target=lambda: found.append(work()), daemon=True)
        thread.start()
        while thread.is_alive():
            thread.join(0.2)
            if self.progress:
                self.progress(int(time.monotonic() - self.began))
        return found[0]


def _loose(problem):
    """Every lot in its best mode: more is never possible."""
    best = (max(job.contribution for job in modes) for modes in problem.modes)
    return sum(max(value, 0.0) for value in best)


def fitted(problem, jobs):
    """Time jobs in exact hours; leave the poorest out while they do not fit."""
    plan = timed(problem, jobs)
    jobs = list(jobs)
    needed = problem.must | problem.frozen
    while not np.isfinite(plan.score) and jobs:
        rest = [job for job in jobs if job.lot not in needed] or jobs
        jobs.remove(min(rest, key=per_hour))
        plan = timed(problem, jobs)
    return plan
