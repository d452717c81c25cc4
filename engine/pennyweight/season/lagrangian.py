"""Upper bound on a season's value, by Lagrangian relaxation.

Each lot and each limit has a price (multiplier; Fisher 1981, Management Science 27, 1).
A relaxed plan may mill a lot again in another visit of its owner, if it pays the lot's
price again. Dynamic programming over steps of the mill clock finds the best relaxed
plan. Its value plus the priced limits is the bound. Hours are rounded down to whole
steps, so that every real plan is allowed. One exact limit on all hours makes up for
most of the rounding. Prices follow the subgradient (Polyak 1969, USSR Computational
Mathematics 9, 14).
"""

import time

import numpy as np

from .schedule import per_hour

STEPS = 600
"""Approximate number of steps of the mill clock."""
FINEST = 8
"""Most steps in a working day."""
TRANSITIONS = 20_000
"""Most transitions: jobs in every state of an owner's visit."""
ROWS = 40
"""Most times at which storage or cash has a price."""
FIRST_FACTOR, LAST_FACTOR = 0.3, 0.002
"""Step factor of the subgradient method at the start and at the end: own trials."""
PATIENCE = 15
"""Iterations without progress before the step is shortened."""
SHORTER, KEPT = 0.7, 0.85
"""Factors on the step when shortened and on the last direction: own trials."""


class Dual:
    """Lagrangian dual of a season, with prices for lots and limits.

    Parameters
    ----------
    problem : Problem

    Attributes
    ----------
    jobs : list of Job
    step : float
        Hours.
    lots, rows : ndarray
        Price of each lot, and of each row of `usage`, $.
    table : ndarray
        Value of the rest of the season at these prices, by step and state.
    entry, after : ndarray of int
        State after a job: as the first of an owner's visit, and from each state.
    bound : float
        Upper bound on the value of a plan, $.
    """

    def __init__(self, problem):
        self.problem = problem
        self.jobs = [job for modes in problem.modes for job in modes]
        self.lot = np.array([job.lot for job in self.jobs])
        self.hours = np.array([job.hours for job in self.jobs])
        days = max(1.0, problem.end / problem.day)
        self.step = problem.day / min(max(1, int(STEPS / days)), FINEST)
        self.steps = int(np.ceil(problem.end / self.step - 1e-9))
        self.length = self.whole(self.hours)
        self.clean = int(self.whole(problem.change))
        self.value = self._values()
        self._limits()
        self._states()
        self.lots, self.rows = self._first_prices()
        self.bound = np.inf

    def whole(self, hours):
        """Whole steps in given hours."""
        return (np.asarray(hours) / self.step + 1e-9).astype(int)

    def _values(self):
        """Contribution less the cost of delay by job and step; -inf if impossible."""
        problem, lot = self.problem, self.lot
        starts = np.arange(self.steps) * self.step
        ends = starts + self.hours[:, None]
        value = np.array([[job.contribution] for job in self.jobs])
        value = value - problem.costs_of_delay(lot[:, None], ends)
        early = self.whole(problem.ready[lot])[:, None] > np.arange(self.steps)
        value[early | (ends > problem.end + 1e-6)] = -np.inf
        return value

    def _limits(self):
        """Usage of each limit by job and first step; the hours are the first limit."""
        problem, jobs = self.problem, self.jobs
        starts = np.arange(self.steps) * self.step
        shape = len(jobs), self.steps
        rows, limits = [np.broadcast_to(self.hours[:, None], shape)], [problem.end]
        if np.isfinite(problem.room):
            tons = np.array([[job.tons] for job in jobs])
            rows.append(np.broadcast_to(tons, shape))
            limits.append(problem.room)
        if np.isfinite(problem.storage):
            wet = np.array([[job.wet] for job in jobs])
            ready = problem.ready[self.lot][:, None]
            for hour in np.unique(problem.ready)[:ROWS]:
                rows.append(wet * (ready <= hour + 1e-6) * (starts > hour + 1e-6))
                limits.append(problem.storage)
        if np.isfinite(problem.cash):
            for hour in np.linspace(0, problem.end, ROWS + 1)[1:]:
                edge = np.ceil(hour / problem.day - 1e-9) * problem.day
                rows.append(self._spent(starts, edge))
                limits.append(problem.cash)
        sizes = [np.abs(row[row != 0]) for row in rows]
        scale = np.array([size.mean() if len(size) else 1.0 for size in sizes])
        self.usage = np.array(rows) / scale[:, None, None]
        self.limits, self.scale = np.array(limits) / scale, scale

    def _spent(self, starts, edge):
        """Net cash spent before an hour, by job and first step."""
        problem = self.problem
        spent = np.array([[job.spent] for job in self.jobs]) * (starts < edge - 1e-6)
        ends = starts + self.hours[:, None]
        day = (np.maximum(ends - 1e-6, 0.0) / problem.day).astype(int)
        for place, hours in enumerate(problem.arrivals):
            hours = np.append(hours, np.inf)
            arrives = np.maximum(hours[np.minimum(day, len(hours) - 1)], ends)
            paid = np.array([[job.receipts[place]] for job in self.jobs])
            spent = spent - paid * (arrives < edge - 1e-6)
        return spent

    def _states(self):
        """States of an owner's visit: the set of lots already milled.

        For an owner with many lots, the set covers only those that bring most per hour.
        """
        problem = self.problem
        self.owner = np.unique(problem.owners, return_inverse=True)[1]
        if problem.change == 0:
            self.owner = np.zeros(len(problem.modes), int)
        worth = np.full(len(problem.modes), -np.inf)
        np.maximum.at(worth, self.lot, [per_hour(job) for job in self.jobs])
        groups = [
            sorted(np.flatnonzero(self.owner == one), key=lambda lot: -worth[lot])
            for one in range(self.owner.max() + 1)
        ]
        modes = np.bincount(self.lot, minlength=len(problem.modes))
        remembered = next(
            size
            for size in range(12, -1, -1)
            if size == 0
            or sum(2 ** min(size, len(lots)) * modes[lots].sum() for lots in groups)
            <= TRANSITIONS
        )
        sizes = [2 ** min(remembered, len(lots)) for lots in groups]
        self.empty = np.cumsum([0, *sizes[:-1]])
        self.owner_of = np.repeat(np.arange(len(groups)), sizes)
        bit = np.zeros(len(problem.modes), int)
        for lots in groups:
            bit[lots[:remembered]] = 1 << np.arange(len(lots[:remembered]))
        bits, owners = bit[self.lot], self.owner[self.lot]
        states = np.arange(len(self.owner_of)) - self.empty[self.owner_of]
        self.after = self.empty[owners] + (states[:, None] | bits)
        self.entry = self.empty[owners] + bits
        of_owner = owners == self.owner_of[:, None]
        # Lots shorter than a step are valued separately (`_short_lots`).
        allowed = of_owner & ((states[:, None] & bits) == 0) & (self.length > 0)
        self.source, self.job = np.nonzero(allowed)
        self.goal = self.after[self.source, self.job]
        self.sources, self.first = np.unique(self.source, return_index=True)

    def _first_prices(self):
        """Prices if hours were the only limit, from the lots ranked by $ per hour."""
        best = [max(modes, key=per_hour) for modes in self.problem.modes]
        order = sorted(best, key=per_hour, reverse=True)
        filled, hour = np.cumsum([job.hours for job in order]), 0.0
        if filled[-1] > self.problem.end:
            last = order[int(np.searchsorted(filled, self.problem.end, "right"))]
            hour = max(per_hour(last), 0.0)
        surplus = [job.contribution - hour * job.hours for job in self.jobs]
        lots = np.zeros(len(self.problem.modes))
        np.maximum.at(lots, self.lot, surplus)
        # Half of the price: the steps of the clock account for the other half.
        return lots, np.append(hour / 2 * self.scale[0], np.zeros(len(self.scale) - 1))

    def solve(self, seconds, goal, enough, over):
        """Lower the bound by the subgradient method.

        Parameters
        ----------
        seconds : float
        goal : float
            Contribution of the best plan known, $.
        enough : float
            Bound at which to stop, $.
        over : callable
            Returns whether to stop at once.
        """
        began, factor, stalled = time.monotonic(), FIRST_FACTOR, 0
        free = np.zeros(len(self.lots) + len(self.rows), bool)
        free[list(self.problem.must | self.problem.frozen)] = True
        prices, best = np.concatenate([self.lots, self.rows]), None
        direction = np.zeros(len(prices))
        while factor > LAST_FACTOR and self.bound > enough:
            bound, excess, table = self._evaluate(prices)
            stalled = 0 if bound < self.bound - 2e-5 * abs(bound) else stalled + 1
            if bound < self.bound or best is None:
                self.bound, best, self.table = bound, prices, table
            if over() or time.monotonic() - began > seconds:
                break
            if stalled > PATIENCE:
                factor, stalled = factor * SHORTER, 0
                prices, direction = best, direction * 0
            direction = excess + KEPT * direction
            move = np.where(~free & (prices <= 0) & (direction < 0), 0.0, direction)
            length = float(move @ move)
            if length < 1e-12:
                break
            size = factor * max(bound - goal, 1e-6 * abs(bound)) / length
            prices = prices + size * move
            prices = np.where(free, prices, np.maximum(prices, 0.0))
        self.lots, self.rows = np.split(best, [len(self.lots)])

    @property
    def fixed(self):
        """Value of lots and limits at their prices, with the short lots, $."""
        return self.lots.sum() + self.rows @ self.limits + self._short_lots(self.net())

    def usage_price(self):
        """Price of what each job uses, by first step, $."""
        return self.lots[self.lot][:, None] + np.tensordot(self.rows, self.usage, 1)

    def net(self):
        """Reduced value of each job: its value less the price of what it uses, $."""
        return self.value - self.usage_price()

    def _short_lots(self, net):
        """Value of the lots shorter than a step, each once in its best mode."""
        best = np.zeros(len(self.lots))
        short = self.length == 0
        np.maximum.at(best, self.lot[short], net[short].max(axis=1, initial=0.0))
        return best.sum()

    def _evaluate(self, prices):
        """Bound, subgradient and table of values at given prices."""
        self.lots, self.rows = np.split(prices, [len(self.lots)])
        net = self.net()
        table = self._values_to_go(net)
        start = self.empty[table[0][self.empty].argmax()]
        lots, rows = self._usage_of_best(table, net, start)
        bound = table[0][start] + self.lots.sum() + self.rows @ self.limits
        over = np.concatenate([lots - 1.0, rows - self.limits])
        return bound + self._short_lots(net), over, table

    def change_price(self):
        """Cost of a clean-up, with the price of its hours, $."""
        problem = self.problem
        return self.rows[0] * problem.change / self.scale[0] + problem.change_cost

    def _values_to_go(self, net):
        """Value of the rest of the season from each step and state."""
        count = len(self.owner_of)
        longest = max(self.length.max(initial=0), self.clean) + 1
        table = np.zeros((self.steps + longest + 1, count))
        flat, net = table.ravel(), np.ascontiguousarray(net.T)
        price = self.change_price()
        ahead = self.length[self.job] * count + self.goal
        for step in range(self.steps - 1, -1, -1):
            rest = table[step]
            np.maximum(table[step + 1], 0.0, out=rest)
            if len(self.job):
                value = net[step][self.job] + flat.take(ahead + step * count)
                best = np.maximum.reduceat(value, self.first)
                rest[self.sources] = np.maximum(rest[self.sources], best)
            if len(self.empty) > 1:
                best, other, owner = self._best_owners(table[step + self.clean])
                changed = np.where(self.owner_of == owner, other, best) - price
                np.maximum(rest, changed, out=rest)
        return table

    def _best_owners(self, rest):
        """Value of the best owner, value of the second best, and the best owner."""
        values = rest[self.empty]
        owner = int(values.argmax())
        best, values[owner] = values[owner], -np.inf
        return best, values.max(), owner

    def _usage_of_best(self, table, net, state):
        """How often the best relaxed plan mills each lot, and its use of each limit."""
        lots, rows, step = np.zeros(len(self.lots)), np.zeros(len(self.rows)), 0
        for job in np.flatnonzero(self.length == 0):
            if net[job].max() > 0:
                lots[self.lot[job]] += 1
                rows += self.usage[:, job, net[job].argmax()]
        ends, changed = np.append(self.first[1:], len(self.job)), False
        while step < self.steps and table[step][state] > 1e-9:
            ways = [(table[step + 1][state], step + 1, state, -1)]
            at = np.searchsorted(self.sources, state)
            if at < len(self.sources) and self.sources[at] == state:
                moves = slice(self.first[at], ends[at])
                jobs, goals = self.job[moves], self.goal[moves]
                value = net[jobs, step] + table[step + self.length[jobs], goals]
                best = int(value.argmax())
                after = step + self.length[jobs[best]]
                ways.append((value[best], after, goals[best], jobs[best]))
            if len(self.empty) > 1 and not changed:
                values = table[step + self.clean][self.empty].copy()
                values[self.owner_of[state]] = -np.inf
                owner = int(values.argmax())
                value = values[owner] - self.change_price()
                ways.append((value, step + self.clean, self.empty[owner], -2))
            _, after, state, job = max(ways, key=lambda direction: direction[0])
            if job >= 0:
                lots[self.lot[job]] += 1
                rows += self.usage[:, job, step]
            changed = job == -2
            rows[0] += changed * self.problem.change / self.scale[0]
            step = after
        return lots, rows
