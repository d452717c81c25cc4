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

    @property
    def size(self):
        """Variables."""
        return len(self.value) + len(self.jobs)

    def _pieces(self):
        """Pieces that are possible: job, bucket, and value if all of it is there."""
        problem = self.problem
        jobs, buckets, values = [], [], []
        for at, job in enumerate(self.jobs):
            lot = job.lot
            opens, closes = self.edges[:-1], self.edges[1:]
            delay = np.maximum(opens - problem.due[lot], 0)
            with np.errstate(invalid="ignore"):
                cost = np.where(delay > 0, delay * problem.late[lot], 0.0)
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
        pieces, jobs = len(self.value), len(self.jobs)
        whole = np.zeros(count)
        whole[pieces : pieces + jobs] = 1
        answer = milp(
            np.concatenate([-self.value, np.zeros(count - pieces)]),
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
        problem, pieces, jobs = self.problem, len(self.value), len(self.jobs)
        lots, owners = self._owners()
        cleaned = len(owners) * (len(self.edges) - 1) if owners else 0
        balances = len(self.edges) - 1 if self._limited else 0
        count = pieces + jobs + len(owners) + cleaned + balances
        rows = _Rows(count)
        at = np.arange(pieces)
        lot_of = np.array([job.lot for job in self.jobs])
        hours = np.array([job.hours for job in self.jobs])
        # All pieces of a job, or none.
        rows.add(
            jobs,
            [(self.job, at, 1.0), (np.arange(jobs), pieces + np.arange(jobs), -1.0)],
            *(0.0, 0.0),
        )
        needed = np.array(
            [lot in problem.must | problem.frozen for lot in range(len(problem.modes))]
        )
        rows.add(
            len(needed),
            [(lot_of, pieces + np.arange(jobs), 1.0)],
            *(needed.astype(float), 1.0),
        )
        room = np.diff(self.edges)
        filled = [(self.bucket, at, hours[self.job])]
        if owners:
            first = pieces + jobs + len(owners)
            bucket = np.tile(np.arange(len(room)), len(owners))
            filled.append((bucket, first + np.arange(cleaned), problem.change))
            owner = np.repeat(np.arange(len(owners)), len(room))
            # A clean-up for each owner who is milled; the first one's counts back.
            rows.add(
                len(owners),
                [
                    (owner, first + np.arange(cleaned), 1.0),
                    (
                        np.arange(len(owners)),
                        pieces + jobs + np.arange(len(owners)),
                        -1,
                    ),
                ],
                *(0.0, np.inf),
            )
            used = np.array([owners.index(problem.owners[lot]) for lot in lots])
            rows.add(
                len(lots),
                [
                    (
                        np.searchsorted(lots, lot_of),
                        pieces + np.arange(jobs),
                        1.0,
                    ),
                    (np.arange(len(lots)), pieces + jobs + used, -1.0),
                ],
                *(-np.inf, 0.0),
            )
            room = room + np.eye(1, len(room))[0] * problem.change
        before = sum(len(part) for part in rows.high)
        self.capacity = slice(before, before + len(room))
        rows.add(len(room), filled, -np.inf, room)
        if np.isfinite(problem.room):
            tons = np.array([job.tons for job in self.jobs])
            rows.add(
                1,
                [(np.zeros(jobs, int), pieces + np.arange(jobs), tons)],
                *(-np.inf, problem.room),
            )
        if self._limited:
            self._cash(rows, count)
        return *rows.matrix(), count

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
        at, first = np.arange(len(self.value)), count - buckets
        spent = np.array([job.spent for job in self.jobs])
        entries = [
            (np.arange(buckets), first + np.arange(buckets), 1.0),
            (np.arange(1, buckets), first + np.arange(buckets - 1), -1.0),
            (self.bucket, at, np.maximum(spent, 0.0)[self.job]),
            (0, len(at) + np.arange(len(self.jobs)), np.minimum(spent, 0.0)),
        ]
        opens = self.edges[:-1]
        for place, hours in enumerate(problem.arrivals):
            days = (opens / problem.day).round().astype(int)
            hour = np.maximum(np.array(hours)[days], opens)
            bucket = np.searchsorted(self.edges[1:], hour, "right")[self.bucket]
            paid = np.array([job.receipts[place] for job in self.jobs])[self.job]
            there = bucket < buckets
            entries.append((bucket[there], at[there], -paid[there]))
        opening = np.eye(1, buckets)[0] * problem.cash
        rows.add(buckets, entries, opening, opening)

    def _owners(self):
        lots = sorted({job.lot for job in self.jobs})
        owners = sorted({self.problem.owners[lot] for lot in lots})
        return lots, owners if self.problem.change > 0 and len(owners) > 1 else []

    def _order(self, x):
        """Jobs by the middle of their pieces."""
        pieces, jobs = len(self.value), len(self.jobs)
        chosen = np.flatnonzero(x[pieces : pieces + jobs] > 0.5)
        share = x[:pieces]
        middle = np.bincount(self.job, share * self.edges[self.bucket], jobs)
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
