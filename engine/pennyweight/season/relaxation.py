"""Upper bound on a season's value: a mixed-integer relaxation with split lots.

Lots are chosen whole, but may be milled in pieces on several days. Each owner but the
first needs one clean-up only. Each piece pays the cost of delay from the start of its
day. Every real plan is a solution of this program, so that its optimum is an upper
bound. The order in which it mills the lots is a good start for a real plan.
"""

import numpy as np
from scipy import sparse
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

PIECES = 12_000
"""Most variables for pieces; above it, several days share a bucket."""


class Relaxation:
    """The relaxation of a season.

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
            if job.contribution > 0 or problem.may_lose_money(lot)
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
        """Number of variables."""
        return len(self.value) + len(self.jobs)

    def _attribute(self, what):
        return np.array([getattr(job, what) for job in self.jobs])

    def _pieces(self):
        """Possible pieces: job, bucket of days, and value of the whole job in it."""
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
        """Solve for the bound, and for the jobs in their order of milling.

        Returns
        -------
        bound : float
        jobs : list of Job
        """
        if not self.jobs:
            return 0.0, []
        matrix, low, high, count = self._rows()
        integer = np.zeros(count)
        integer[self.chosen] = 1
        cost, back = self._objective(count)
        answer = milp(
            cost,
            constraints=LinearConstraint(matrix, low, high),
            integrality=integer,
            bounds=Bounds(0, self._upper_bounds(count)),
            options={"time_limit": seconds, "mip_rel_gap": gap},
        )
        bound = getattr(answer, "mip_dual_bound", None)
        bound = np.inf if bound is None else back - float(bound)
        return bound, [] if answer.x is None else self._order(answer.x)

    def hour_worth(self):
        """Shadow price of a mill hour in each working day, by linear relaxation, $."""
        worth = np.zeros(max(1, round(self.problem.end / self.problem.day)))
        if not self.jobs:
            return worth
        matrix, low, high, count = self._rows()
        equal = low == high
        upper, lower = ~equal & np.isfinite(high), ~equal & np.isfinite(low)
        found = linprog(
            self._objective(count)[0],
            A_ub=sparse.vstack([matrix[upper], -matrix[lower]], format="csr"),
            b_ub=np.concatenate([high[upper], -low[lower]]),
            A_eq=matrix[equal],
            b_eq=high[equal],
            bounds=np.column_stack([np.zeros(count), self._upper_bounds(count)]),
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

    def _objective(self, count):
        """Cost of each column, $, and what the first owner's clean-up counts too much.

        Pieces bring their value.
        """
        cost, (_, owners) = np.zeros(count), self._lots_and_owners()
        cost[self.piece] = -self.value
        change = self.problem.change_cost if owners else 0.0
        cost[self._cleaned(owners)] = change
        return cost, change

    def _cleaned(self, owners):
        """Columns of the clean-ups of each owner in each bucket."""
        first = self.size + len(owners)
        return first + np.arange(len(owners) * (len(self.edges) - 1))

    def _rows(self):
        """Matrix, row bounds and number of columns of the program.

        Columns: pieces, chosen jobs, milled owners, clean-ups of each owner in each
        bucket, and cash at the end of each bucket.
        """
        problem, room = self.problem, np.diff(self.edges)
        lots, owners = self._lots_and_owners()
        cleaned = len(owners) * len(room)
        balances = len(room) if self._limited else 0
        count = self.size + len(owners) + cleaned + balances
        rows = _Rows(count)
        self._choices(rows)
        filled = [(self.bucket, self.piece, self._attribute("hours")[self.job])]
        if owners:
            filled.append(self._clean_ups(rows, lots, owners))
            room = room + np.eye(1, len(room))[0] * problem.change
        before = sum(len(part) for part in rows.high)
        self.capacity = slice(before, before + len(room))
        rows.add(len(room), filled, -np.inf, room)
        if np.isfinite(problem.room):
            tons = (np.zeros(len(self.jobs), int), self.chosen, self._attribute("tons"))
            rows.add(1, [tons], -np.inf, problem.room)
        if self._limited:
            self._cash(rows, count)
        return *rows.matrix(), count

    def _choices(self, rows):
        """A job is milled completely or not at all, and a lot in at most one mode."""
        jobs, lots = np.arange(len(self.jobs)), range(len(self.problem.modes))
        complete = [(self.job, self.piece, 1.0), (jobs, self.chosen, -1.0)]
        rows.add(len(jobs), complete, 0.0, 0.0)
        needed = self.problem.must | self.problem.frozen
        least = np.array([float(lot in needed) for lot in lots])
        rows.add(len(lots), [(self._attribute("lot"), self.chosen, 1.0)], least, 1.0)

    def _clean_ups(self, rows, lots, owners):
        """Add a clean-up for each milled owner; return the entries for its hours.

        The first owner needs none: the first bucket has that many more hours.
        """
        buckets, each = np.arange(len(self.edges) - 1), np.arange(len(owners))
        milled = self.size + each
        cleaned = self._cleaned(owners)
        owner = np.repeat(each, len(buckets))
        cleaned_once = [(owner, cleaned, 1.0), (each, milled, -1.0)]
        rows.add(len(owners), cleaned_once, 0.0, np.inf)
        of_lots = np.array([owners.index(self.problem.owners[lot]) for lot in lots])
        chosen = (np.searchsorted(lots, self._attribute("lot")), self.chosen, 1.0)
        each_lot = (np.arange(len(lots)), milled[of_lots], -1.0)
        rows.add(len(lots), [chosen, each_lot], -np.inf, 0.0)
        return np.tile(buckets, len(owners)), cleaned, self.problem.change

    @property
    def _limited(self):
        return np.isfinite(self.problem.cash)

    def _upper_bounds(self, count):
        """Upper bounds of the variables: 1, and none for cash, the last ones."""
        bounds = np.ones(count)
        if self._limited:
            bounds[count - len(self.edges) + 1 :] = np.inf
        return bounds

    def _cash(self, rows, count):
        """Cash balance of each bucket: pieces spend and receive in proportion.

        A real plan spends no later and receives no earlier, so that it is a solution.
        """
        problem, buckets = self.problem, len(self.edges) - 1
        first, spent = count - buckets, self._attribute("spent")
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
            in_season = bucket < buckets
            entries.append((bucket[in_season], self.piece[in_season], -paid[in_season]))
        opening = np.eye(1, buckets)[0] * problem.cash
        rows.add(buckets, entries, opening, opening)

    def _lots_and_owners(self):
        lots = sorted({job.lot for job in self.jobs})
        owners = sorted({self.problem.owners[lot] for lot in lots})
        return lots, owners if self.problem.change > 0 and len(owners) > 1 else []

    def _order(self, x):
        """Chosen jobs, ordered by the mean start of their pieces."""
        chosen = np.flatnonzero(x[self.chosen] > 0.5)
        starts = x[self.piece] * self.edges[self.bucket]
        middle = np.bincount(self.job, starts, len(self.jobs))
        return [self.jobs[at] for at in sorted(chosen, key=lambda at: middle[at])]


class _Rows:
    """Constraint rows of a program, collected block by block."""

    def __init__(self, count):
        self.count, self.blocks, self.low, self.high = count, [], [], []

    def add(self, rows, entries, low, high):
        """Add rows; each entry has row numbers, columns and coefficients."""
        places = [np.broadcast_arrays(*entry) for entry in entries]
        row, column, value = (
            np.concatenate(part) for part in zip(*places, strict=True)
        )
        shape = (rows, self.count)
        self.blocks.append(sparse.csr_matrix((value, (row, column)), shape=shape))
        self.low.append(np.broadcast_to(np.asarray(low, float), rows))
        self.high.append(np.broadcast_to(np.asarray(high, float), rows))

    def matrix(self):
        """Matrix, lower and upper bounds of the rows."""
        matrix = sparse.vstack(self.blocks, format="csr")
        return matrix, np.concatenate(self.low), np.concatenate(self.high)
