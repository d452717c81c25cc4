"""The season's plan by mixed-integer programming, with SciPy's HiGHS.

Time-indexed program: a variable is 1 where a lot starts in a step of the mill clock, in
one mode. See Keha, Khowala and Fowler 2009, Computers & Industrial Engineering 56, 357;
for several owners, a state by owner and step with a clean-up at each change.
"""

import threading
import time
from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.optimize import Bounds, LinearConstraint, milp

from ..errors import WorkbookError
from .relaxation import Relaxation
from .schedule import Schedule, needed_first, timed
from .search import annealed, improved, rebuilt

LARGEST = 40_000
"""Variables of the program on steps; larger ones are not tried."""
LARGEST_CLEANED = 5_000
"""The same with clean-up between owners: HiGHS finds no plan for more."""
FINEST = 8
"""Steps in a working day, at most."""
STEPS = 8
"""Steps that a lot of middling length takes, at least."""
CHOSEN = 0.5


@dataclass
class Solution:
    """A plan, and what is known of it.

    Attributes
    ----------
    schedule : Schedule
    bound : float
        No plan brings more, $.
    columns : int
        Variables of the largest program solved.
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
    def gap(self):
        """Share by which a better plan may exist."""
        if self.bound <= 0:
            return 0.0
        return max(0.0, (self.bound - self.schedule.money) / self.bound)


class Program:
    """The program of a season on steps of equal length.

    Parameters
    ----------
    problem : Problem
    step : float
        Hours.
    """

    def __init__(self, problem, step):
        self.problem, self.step = problem, step
        self.steps = max(1, int(problem.end / step + 1e-9))
        self._columns()
        self.blocks, self.low, self.high = [], [], []
        self.whole, self.most = [np.ones(self.count)], [np.ones(self.count)]
        self._lots()
        self.cleaned = problem.change > 0 and len(set(problem.owners)) > 1
        if self.cleaned:
            self._owners()
        else:
            self._add(self._running(), -np.inf, 1.0)
        self._limits()
        if np.isfinite(problem.cash):
            self._cash()

    def _columns(self):
        problem, step = self.problem, self.step
        jobs, starts, lengths, values = [], [], [], []
        for lot, modes in enumerate(problem.modes):
            for job in modes:
                length = max(1, round(job.hours / step))
                at = self._starts(lot, length)
                ends = (at + length) * step
                delay = np.maximum(ends - problem.due[lot], 0)
                with np.errstate(invalid="ignore"):
                    cost = np.where(delay > 1e-6, delay * problem.late[lot], 0.0)
                value = job.contribution - cost
                if problem.bonus and np.isfinite(problem.planned[lot]):
                    day = np.floor(at * step / problem.day + 1e-9)
                    kept = day == np.floor(problem.planned[lot] / problem.day + 1e-9)
                    value = value + problem.bonus * kept
                keep = np.isfinite(value) & ((value > 0) | problem.may_serve(lot))
                count = int(keep.sum())
                jobs += [job] * count
                starts.append(at[keep])
                lengths.append(np.full(count, length))
                values.append(value[keep])
        self.jobs = jobs
        self.starts = np.concatenate([*starts, []]).astype(int)
        self.lengths = np.concatenate([*lengths, []]).astype(int)
        self.values = np.concatenate([*values, []])
        self.lot_of = np.array([job.lot for job in jobs], int)

    def _starts(self, lot, length):
        problem = self.problem
        if lot in problem.frozen:
            return np.array([round(problem.planned[lot] / self.step)])
        first = int(np.ceil(problem.ready[lot] / self.step - 1e-9))
        return np.arange(first, self.steps - length + 1)

    @property
    def count(self):
        """Number of starts that may be chosen."""
        return len(self.jobs)

    def _add(self, matrix, low, high):
        rows = matrix.shape[0]
        self.blocks.append(sparse.csr_matrix(matrix))
        self.low.append(np.broadcast_to(np.asarray(low, float), rows))
        self.high.append(np.broadcast_to(np.asarray(high, float), rows))

    def _lots(self):
        """Each lot at most once; once if it must be milled."""
        problem, lots = self.problem, len(self.problem.modes)
        matrix = sparse.csr_matrix(
            (np.ones(self.count), (self.lot_of, np.arange(self.count))),
            shape=(lots, self.count),
        )
        needed = problem.must | problem.frozen
        low = [1.0 if lot in needed else 0.0 for lot in range(lots)]
        self._add(matrix, low, 1.0)

    def _occupied(self):
        """Column and step of each step that each start takes."""
        columns = np.repeat(np.arange(self.count), self.lengths)
        first = np.repeat(np.cumsum(self.lengths) - self.lengths, self.lengths)
        offsets = np.arange(len(columns)) - first
        return columns, np.repeat(self.starts, self.lengths) + offsets

    def _running(self):
        columns, at = self._occupied()
        keep = at < self.steps
        shape = (self.steps, self.count)
        ones = np.ones(int(keep.sum()))
        return sparse.csr_matrix((ones, (at[keep], columns[keep])), shape=shape)

    def _owners(self):
        """One owner at a time; a change takes a clean-up before the first lot."""
        problem, steps = self.problem, self.steps
        names, owner_of = np.unique(problem.owners, return_inverse=True)
        many = len(names)
        clean = max(1, round(problem.change / self.step))
        columns, at = self._occupied()
        keep = at < steps
        owner = owner_of[self.lot_of[columns[keep]]]
        running = sparse.csr_matrix(
            (np.ones(int(keep.sum())), (owner * steps + at[keep], columns[keep])),
            shape=(many * steps, self.count),
        )
        eye = sparse.identity(many * steps, format="csr")
        window = sparse.diags(
            [np.ones(steps - back) for back in range(min(clean, steps))],
            [-back for back in range(min(clean, steps))],
            format="csr",
        )
        cleaning = sparse.kron(sparse.identity(many), window, format="csr")
        before = sparse.diags([np.ones(steps - 1)], [-1], shape=(steps, steps))
        shift = sparse.kron(sparse.identity(many), before, format="csr")
        none = sparse.csr_matrix((many * steps, self.count))
        self._more(many * steps, whole=1, most=1)
        self._more(many * steps, whole=0, most=1)
        self._add(sparse.hstack([running, -eye, cleaning]), -np.inf, 0.0)
        # A change: the state is on, and was not on in the step before.
        first = np.zeros(many * steps)
        first[::steps] = 1.0
        self._add(sparse.hstack([none, eye - shift, -eye]), -np.inf, first)
        one = sparse.hstack([sparse.identity(steps)] * many)
        self._add(
            sparse.hstack([sparse.csr_matrix((steps, self.count)), one, one * 0]),
            -np.inf,
            1.0,
        )
        self._used_owners(owner_of, many, steps)

    def _used_owners(self, owner_of, many, steps):
        """An owner whose lot is milled had a change, or came first. Tightens."""
        uses = sparse.csr_matrix(
            (np.ones(self.count), (self.lot_of, np.arange(self.count))),
            shape=(len(owner_of), self.count),
        )
        entered = sparse.csr_matrix(
            (
                np.ones(len(owner_of) * steps),
                (
                    np.repeat(np.arange(len(owner_of)), steps),
                    (owner_of[:, None] * steps + np.arange(steps)).ravel(),
                ),
            ),
            shape=(len(owner_of), many * steps),
        )
        first = sparse.csr_matrix(
            (
                np.ones(len(owner_of)),
                (np.arange(len(owner_of)), owner_of * steps),
            ),
            shape=(len(owner_of), many * steps),
        )
        self._add(sparse.hstack([uses, -first, -entered]), -np.inf, 0.0)

    def _limits(self):
        """Room for tailings, and storage whenever a lot arrives."""
        problem, rows, high = self.problem, [], []
        if np.isfinite(problem.room):
            rows.append(np.array([job.tons for job in self.jobs]))
            high.append(problem.room)
        if np.isfinite(problem.storage):
            wet = np.array([job.wet for job in self.jobs])
            ready = problem.ready[self.lot_of]
            for hour in np.unique(problem.ready):
                waits = (ready <= hour + 1e-6) & (self.starts * self.step > hour + 1e-6)
                rows.append(wet * waits)
                high.append(problem.storage)
        if rows:
            self._add(sparse.csr_matrix(np.array(rows)), -np.inf, high)

    def _cash(self):
        """Cash in hand after each step's starts: never below zero."""
        problem, step, steps = self.problem, self.step, self.steps
        spent = [job.spent for job in self.jobs]
        entries = [(self.starts, np.arange(self.count), spent)]
        for column, job in enumerate(self.jobs):
            end = (self.starts[column] + self.lengths[column]) * step
            for hour, amount in problem.payments(job, end):
                at = int(np.ceil(hour / step - 1e-9))
                entries.append(([at], [column], [-amount]))
        rows, columns, values = (
            np.concatenate(part) for part in zip(*entries, strict=True)
        )
        there = rows < steps
        entries = values[there], (rows[there], columns[there])
        flows = sparse.csr_matrix(entries, shape=(steps, self.size))
        before = sparse.diags([np.ones(steps), -np.ones(steps - 1)], [0, -1])
        self._more(steps, whole=0, most=np.inf)
        opening = np.zeros(steps)
        opening[0] = problem.cash
        self._add(sparse.hstack([flows, before]), opening, opening)

    def _more(self, count, whole, most):
        """Add variables besides the starts."""
        self.whole.append(np.full(count, whole))
        self.most.append(np.full(count, float(most)))

    @property
    def size(self):
        """Number of variables."""
        return sum(map(len, self.whole))

    def constraints(self):
        """Matrix, lower and upper bounds of all rows."""
        for block in self.blocks:
            block.resize(block.shape[0], self.size)
        matrix = sparse.vstack(self.blocks, format="csr")
        return matrix, np.concatenate(self.low), np.concatenate(self.high)

    @property
    def objective(self):
        """To be made smallest."""
        return np.concatenate([-self.values, np.zeros(self.size - self.count)])

    def solve(self, seconds, gap):
        """Solve; give HiGHS's answer."""
        matrix, low, high = self.constraints()
        return milp(
            self.objective,
            constraints=LinearConstraint(matrix, low, high),
            integrality=np.concatenate(self.whole),
            bounds=Bounds(0, np.concatenate(self.most)),
            options={"time_limit": seconds, "mip_rel_gap": gap},
        )

    def jobs_of(self, answer):
        """Jobs of an answer in the order of their starts."""
        chosen = np.flatnonzero(answer.x[: self.count] > CHOSEN)
        return [self.jobs[at] for at in chosen[np.argsort(self.starts[chosen])]]


def step_of(problem):
    """Hours of a step: fine for the lots, and no finer than the program can be."""
    modes = sum(len(modes) for modes in problem.modes)
    days = max(1, round(problem.end / problem.day))
    owners = len(set(problem.owners)) if problem.change > 0 else 0
    each = max(1, days * (modes + 6 * owners))
    hours = np.median([modes[0].hours for modes in problem.modes])
    wanted = int(np.ceil(problem.day * STEPS / hours))
    return problem.day / max(1, min(LARGEST // each, wanted, FINEST))


def solve_season(problem, seconds=60.0, gap=1e-6, start=(), progress=None, step=None):
    """Find the plan with the largest contribution.

    First the relaxed season gives a bound and an order, then neighbours of the best
    plan are tried; if that does not prove enough, the program on steps is solved. Where
    it is too large, neighbours are tried at random until the time is over.

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
    step : float, optional
        Hours of a step of the mill clock.

    Returns
    -------
    solution : Solution

    Raises
    ------
    WorkbookError
        When lots that must be milled do not fit.
    """
    return _Search(problem, seconds, gap, progress, step or step_of(problem)).run(start)


class _Search:
    """One search: what is left of the time, the best plan, and the bound."""

    def __init__(self, problem, seconds, gap, progress, step):
        self.problem, self.seconds, self.gap = problem, seconds, gap
        self.progress, self.step = progress, step
        self.began = time.monotonic()
        self.most_bonus = problem.bonus * int(np.isfinite(problem.planned).sum())
        self.best, self.columns = None, 0
        self.bound = _loose(problem) + self.most_bonus

    def run(self, start):
        """Search until enough is proven, the time is over, or the user stops."""
        stopped = False
        for plan in (*start, needed_first(self.problem)):
            self._keep(plan)
        try:
            self._relax()
            if not self._proven():
                self._keep(rebuilt(self.problem, self._base(), self._enough))
            if not self._proven():
                self._on_steps()
        except KeyboardInterrupt:
            stopped = True
        if self.best is None:
            raise WorkbookError(
                "The lots that must be milled do not fit into the season with their "
                "due days. Enter later due days, or fewer lots that must be milled."
            )
        bound = max(self.bound - self.most_bonus, self.best.money)
        gone = time.monotonic() - self.began
        return Solution(self.best, float(bound), self.columns, gone, stopped)

    def _left(self):
        return self.seconds - (time.monotonic() - self.began)

    def _enough(self, plan):
        """Whether a plan is proven to be good enough, or the time is half over."""
        return self._good(plan) or self._left() < self.seconds / 2

    def _good(self, plan):
        """Whether a plan is proven to be good enough."""
        if self.progress:
            self.progress(int(time.monotonic() - self.began))
        self._take(plan)
        return plan.score >= self.bound * (1 - self.gap) - 1e-9

    def _proven(self):
        return self.best is not None and self._good(self.best)

    def _base(self):
        return self.best or needed_first(self.problem)

    def _keep(self, plan):
        """Improve a plan, and keep it if it is the best."""
        self._take(improved(self.problem, plan, 2) if plan.jobs else plan)

    def _take(self, plan):
        """Keep a plan if it is allowed, whole, and the best."""
        milled = {job.lot for job in plan.jobs}
        whole = (self.problem.must | self.problem.frozen) <= milled
        better = self.best is None or plan.score > self.best.score
        if np.isfinite(plan.score) and whole and better:
            self.best = plan

    def _relax(self):
        relaxation = Relaxation(self.problem)
        self.columns = relaxation.size
        limit = max(1.0, self.seconds / 3)
        (bound, jobs) = self._waited(lambda: relaxation.solve(limit, self.gap / 4))
        self.bound = min(self.bound, bound + self.most_bonus)
        self._keep(_fitted(self.problem, jobs))

    def _on_steps(self):
        program = Program(self.problem, self.step)
        size = program.size
        if size > (LARGEST_CLEANED if program.cleaned else LARGEST):
            left = max(1.0, self._left() - self.seconds / 30)
            self._keep(annealed(self.problem, self._base(), left, self._good))
            return
        if not program.count:
            return
        self.columns = max(self.columns, size)
        limit = max(1.0, self._left())
        answer = self._waited(lambda: program.solve(limit, self.gap))
        if answer.x is not None:
            self._keep(_fitted(self.problem, program.jobs_of(answer)))
        found = getattr(answer, "mip_dual_bound", None)
        if found is not None and self._whole_steps() and not self.problem.bonus:
            self.bound = min(self.bound, -float(found))

    def _whole_steps(self):
        """Whether all hours are whole steps: the bound on steps then holds."""
        jobs = [job.hours for modes in self.problem.modes for job in modes]
        hours = np.array([*jobs, self.problem.change, *self.problem.ready])
        return np.allclose(hours / self.step, np.round(hours / self.step), atol=1e-9)

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


def _fitted(problem, jobs):
    """Time jobs in exact hours; leave the poorest out while they do not fit."""
    plan = timed(problem, jobs)
    jobs = list(jobs)
    needed = problem.must | problem.frozen
    while not np.isfinite(plan.score) and jobs:
        rest = [job for job in jobs if job.lot not in needed] or jobs
        jobs.remove(min(rest, key=lambda job: job.contribution / job.hours))
        plan = timed(problem, jobs)
    return plan
