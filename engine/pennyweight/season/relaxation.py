"""What no plan can exceed: the season with lots cut into pieces.

Lots are chosen whole, but may be milled in pieces on several days, each owner needs one
clean-up, and each piece pays the cost of delay as from the start of its day. Every real
plan fits this program in exact hours, so that its largest contribution is a bound. The
order in which it mills the lots is a good start for a real plan.
"""

import numpy as np
from scipy import sparse
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

PIECES = 12_000
"""Variables; days are taken together above it."""


class Relaxation:
    """The relaxed season.

    Parameters
    ----------
    problem : Problem
    """

    def __init__(self, problem):
        self.problem = problem
        self.jobs = [
            job
            for lot, modes in enumerate(problem.modes)
            for job in modes
            if job.contribution > 0 or problem.may_serve(lot)
        ]
        days = max(1, round(problem.end / problem.day))
        together = -(-days * max(1, len(self.jobs)) // PIECES)
        self.edges = np.append(np.arange(0, days, together), days) * problem.day
        self.capacity = slice(0)
        self._pieces()
        self.piece = np.arange(len(self.value))
        self.chosen = len(self.value) + np.arange(len(self.jobs))

    @property
    def size(self):
        """Variables."""
        return len(self.value) + len(self.jobs)

    def _of_jobs(self, what):
        return np.array([getattr(job, what) for job in self.jobs])

    def _pieces(self):
        """Pieces that are possible: job, bucket, and value if all of it is there."""
        problem = self.problem
        jobs, buckets, values = [], [], []
        for at, job in enumerate(self.jobs):
            lot = job.lot
            opens, closes = self.edges[:-1], self.edges[1:]
            cost = problem.costs_of_delay(lot, opens)
            # A lot that must keep its due day may still use the days up to it.
            strict = np.isinf(problem.late[lot]) & (opens >= problem.due[lot] - 1e-9)
            keep = (closes > problem.ready[lot] + 1e-9) & np.isfinite(cost) & ~strict
            places = np.flatnonzero(keep)
            jobs.append(np.full(len(places), at))
            buckets.append(places)
            values.append(job.contribution - cost[places])
        self.job = np.concatenate([*jobs, []]).astype(int)
        self.bucket = np.concatenate([*buckets, []]).astype(int)
        self.value = np.concatenate([*values, []])

    def solve(self, seconds, gap=1e-4):
        """Bound, and the jobs in the order in which they are milled.

        Returns
        -------
        bound : float
        jobs : list of Job
        """
        if not self.jobs:
            return 0.0, []
        matrix, low, high, count = self._rows()
        whole = np.zeros(count)
        whole[self.chosen] = 1
        answer = milp(
            np.concatenate([-self.value, np.zeros(count - len(self.value))]),
            constraints=LinearConstraint(matrix, low, high),
            integrality=whole,
            bounds=Bounds(0, self._most(count)),
            options={"time_limit": seconds, "mip_rel_gap": gap},
        )
        bound = getattr(answer, "mip_dual_bound", None)
        bound = np.inf if bound is None else -float(bound)
        return bound, [] if answer.x is None else self._order(answer.x)

    def hour_worth(self):
        """What an hour more is worth in each working day, $, lots in parts allowed."""
        worth = np.zeros(max(1, round(self.problem.end / self.problem.day)))
        if not self.jobs:
            return worth
        matrix, low, high, count = self._rows()
        equal = low == high
        upper, lower = ~equal & np.isfinite(high), ~equal & np.isfinite(low)
        found = linprog(
            np.concatenate([-self.value, np.zeros(count - len(self.value))]),
            A_ub=sparse.vstack([matrix[upper], -matrix[lower]], format="csr"),
            b_ub=np.concatenate([high[upper], -low[lower]]),
            A_eq=matrix[equal],
            b_eq=high[equal],
            bounds=np.column_stack([np.zeros(count), self._most(count)]),
            method="highs",
        )
        if found.status:
            return np.full(len(worth), np.nan)
        marginals = np.zeros(len(equal))
        marginals[upper] = -found.ineqlin.marginals[: upper.sum()]
        each = np.repeat(
            marginals[self.capacity],
            np.diff(self.edges / self.problem.day).round().astype(int),
        )
        return np.maximum(each, 0.0)

    def _rows(self):
        """Matrix, lower and upper bounds of the program, and how many columns it has.

        Columns: the pieces, the jobs chosen, the owners milled, the clean-ups of each
        owner in each bucket, and the cash at the end of each bucket.
        """
        problem, room = self.problem, np.diff(self.edges)
        lots, owners = self._owners()
        cleaned = len(owners) * len(room)
        balances = len(room) if self._limited else 0
        count = self.size + len(owners) + cleaned + balances
        rows = _Rows(count)
        self._choices(rows)
        filled = [(self.bucket, self.piece, self._of_jobs("hours")[self.job])]
        if owners:
            filled.append(self._clean_ups(rows, lots, owners))
            room = room + np.eye(1, len(room))[0] * problem.change
        before = sum(len(part) for part in rows.high)
        self.capacity = slice(before, before + len(room))
        rows.add(len(room), filled, -np.inf, room)
        if np.isfinite(problem.room):
            tons = (np.zeros(len(self.jobs), int), self.chosen, self._of_jobs("tons"))
            rows.add(1, [tons], -np.inf, problem.room)
        if self._limited:
            self._cash(rows, count)
        return *rows.matrix(), count

    def _choices(self, rows):
        """All pieces of a job or none, and of a lot one job at most."""
        jobs, lots = np.arange(len(self.jobs)), range(len(self.problem.modes))
        whole = [(self.job, self.piece, 1.0), (jobs, self.chosen, -1.0)]
        rows.add(len(jobs), whole, 0.0, 0.0)
        needed = self.problem.must | self.problem.frozen
        least = np.array([float(lot in needed) for lot in lots])
        rows.add(len(lots), [(self._of_jobs("lot"), self.chosen, 1.0)], least, 1.0)

    def _clean_ups(self, rows, lots, owners):
        """A clean-up for each owner who is milled; gives the hours that they take.

        The first owner's counts back in the room of the first bucket.
        """
        buckets, each = np.arange(len(self.edges) - 1), np.arange(len(owners))
        milled = self.size + each
        cleaned = self.size + len(owners) + np.arange(len(owners) * len(buckets))
        owner = np.repeat(each, len(buckets))
        cleaned_once = [(owner, cleaned, 1.0), (each, milled, -1.0)]
        rows.add(len(owners), cleaned_once, 0.0, np.inf)
        of_lots = np.array([owners.index(self.problem.owners[lot]) for lot in lots])
        chosen = (np.searchsorted(lots, self._of_jobs("lot")), self.chosen, 1.0)
        each_lot = (np.arange(len(lots)), milled[of_lots], -1.0)
        rows.add(len(lots), [chosen, each_lot], -np.inf, 0.0)
        return np.tile(buckets, len(owners)), cleaned, self.problem.change

    @property
    def _limited(self):
        return np.isfinite(self.problem.cash)

    def _most(self, count):
        """Upper bounds: cash, the last variables, has none."""
        most = np.ones(count)
        if self._limited:
            most[count - len(self.edges) + 1 :] = np.inf
        return most

    def _cash(self, rows, count):
        """Cash at the end of each bucket: each piece costs its part, and brings it.

        A real plan has spent all of a lot by then, and has no payment earlier.
        """
        problem, buckets = self.problem, len(self.edges) - 1
        first, spent = count - buckets, self._of_jobs("spent")
        entries = [
            (np.arange(buckets), first + np.arange(buckets), 1.0),
            (np.arange(1, buckets), first + np.arange(buckets - 1), -1.0),
            (self.bucket, self.piece, np.maximum(spent, 0.0)[self.job]),
            (0, self.chosen, np.minimum(spent, 0.0)),
        ]
        opens = self.edges[:-1]
        for place, hours in enumerate(problem.arrivals):
            days = (opens / problem.day).round().astype(int)
            hour = np.maximum(np.array(hours)[days], opens)
            bucket = np.searchsorted(self.edges[1:], hour, "right")[self.bucket]
            paid = np.array([job.receipts[place] for job in self.jobs])[self.job]
            there = bucket < buckets
            entries.append((bucket[there], self.piece[there], -paid[there]))
        opening = np.eye(1, buckets)[0] * problem.cash
        rows.add(buckets, entries, opening, opening)

    def _owners(self):
        lots = sorted({job.lot for job in self.jobs})
        owners = sorted({self.problem.owners[lot] for lot in lots})
        return lots, owners if self.problem.change > 0 and len(owners) > 1 else []

    def _order(self, x):
        """Jobs by the middle of their pieces."""
        chosen = np.flatnonzero(x[self.chosen] > 0.5)
        starts = x[self.piece] * self.edges[self.bucket]
        middle = np.bincount(self.job, starts, len(self.jobs))
        return [self.jobs[at] for at in sorted(chosen, key=lambda at: middle[at])]


class _Rows:
    """Rows of a program, gathered block by block."""

    def __init__(self, count):
        self.count, self.blocks, self.low, self.high = count, [], [], []

    def add(self, rows, entries, low, high):
        """Add rows: for each entry row numbers, columns, and coefficients."""
        places = [np.broadcast_arrays(*entry) for entry in entries]
        row, column, value = (
            np.concatenate(part) for part in zip(*places, strict=True)
        )
        shape = (rows, self.count)
        self.blocks.append(sparse.csr_matrix((value, (row, column)), shape=shape))
        self.low.append(np.broadcast_to(np.asarray(low, float), rows))
        self.high.append(np.broadcast_to(np.asarray(high, float), rows))

    def matrix(self):
        """Matrix, lower and upper bounds."""
        whole = sparse.vstack(self.blocks, format="csr")
        return whole, np.concatenate(self.low), np.concatenate(self.high)
