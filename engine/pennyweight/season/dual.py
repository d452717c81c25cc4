"""What no plan can exceed, by prices: each lot, and each limit, has a price.

A plan that pays the price of a lot may mill it again in another visit of its owner. The
best such plan follows from dynamic programming on steps of the mill clock, owner by
owner; with the prices that the lots bring back, it is a bound (Lagrangian relaxation;
Fisher 1981, Management Science 27, 1). Hours are rounded down to whole steps, which no
real plan contradicts, and an exact row for all hours makes up for most of it. Prices
follow the subgradient (Polyak 1969, USSR Computational Mathematics 9, 14).
"""

import time

import numpy as np

from .schedule import per_hour

STEPS = 600
"""Steps of the mill clock, about."""
FINEST = 8
"""Steps in a working day, at most."""
MOVES = 20_000
"""Lots milled in every state of an owner's visit, in all modes, at most."""
ROWS = 40
"""Times at which storage or cash has a price, at most."""
FIRST, LEAST = 0.3, 0.002
"""Part of the step to the best contribution, at first and at last: own trials."""
PATIENCE = 15
"""Bounds without progress before the step is shortened."""
SHORTER, KEPT = 0.7, 0.85
"""What is left of the step, and of the last direction; own trials."""


class Dual:
    """The season with prices for lots and limits.

    Parameters
    ----------
    problem : Problem

    Attributes
    ----------
    jobs : list of Job
    step : float
        Hours.
    lots, rows : ndarray
        Prices, $: of each lot, and of each row of `usage`.
    table : ndarray
        What the rest of the season brings, by step and state, at these prices.
    entry, after : ndarray of int
        State of an owner's visit that begins with a job; and, by state, that follows.
    bound : float
        No plan brings more, $.
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
        """Whole steps in some hours."""
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
        """What each job uses of each limit, by its first step; hours come first."""
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
        """Cash spent on jobs before an hour, less their payments, by first step."""
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
        """States of an owner's visit: which of its lots it has milled.

        Owners with many lots remember those alone that bring most per hour.
        """
        problem = self.problem
        same = problem.change == 0
        self.owner = (
            np.zeros(len(problem.modes), int)
            if same
            else (np.unique(problem.owners, return_inverse=True)[1])
        )
        worth = np.full(len(problem.modes), -np.inf)
        np.maximum.at(worth, self.lot, [per_hour(job) for job in self.jobs])
        groups = [
            sorted(np.flatnonzero(self.owner == one), key=lambda lot: -worth[lot])
            for one in range(self.owner.max() + 1)
        ]
        modes = np.bincount(self.lot, minlength=len(problem.modes))
        memory = next(
            size
            for size in range(12, -1, -1)
            if size == 0
            or sum(2 ** min(size, len(lots)) * modes[lots].sum() for lots in groups)
            <= MOVES
        )
        sizes = [2 ** min(memory, len(lots)) for lots in groups]
        self.empty = np.cumsum([0, *sizes[:-1]])
        self.owner_of = np.repeat(np.arange(len(groups)), sizes)
        bit = np.zeros(len(problem.modes), int)
        for lots in groups:
            bit[lots[:memory]] = 1 << np.arange(len(lots[:memory]))
        bits, owners = bit[self.lot], self.owner[self.lot]
        states = np.arange(len(self.owner_of)) - self.empty[self.owner_of]
        self.after = self.empty[owners] + (states[:, None] | bits)
        self.entry = self.empty[owners] + bits
        there = owners == self.owner_of[:, None]
        # A lot shorter than a step is paid for apart from the clock.
        open_ = there & ((states[:, None] & bits) == 0) & (self.length > 0)
        self.source, self.job = np.nonzero(open_)
        self.goal = self.after[self.source, self.job]
        self.sources, self.first = np.unique(self.source, return_index=True)

    def _first_prices(self):
        """Prices if hours were all that is scarce: the lots by $ per hour."""
        best = [max(modes, key=per_hour) for modes in self.problem.modes]
        order = sorted(best, key=per_hour, reverse=True)
        filled, hour = np.cumsum([job.hours for job in order]), 0.0
        if filled[-1] > self.problem.end:
            last = order[int(np.searchsorted(filled, self.problem.end, "right"))]
            hour = max(per_hour(last), 0.0)
        surplus = [job.contribution - hour * job.hours for job in self.jobs]
        lots = np.zeros(len(self.problem.modes))
        np.maximum.at(lots, self.lot, surplus)
        # Half of the price: the clock itself has the other half.
        return lots, np.append(hour / 2 * self.scale[0], np.zeros(len(self.scale) - 1))

    def solve(self, seconds, goal, enough, over):
        """Lower the bound for some seconds.

        Parameters
        ----------
        seconds : float
        goal : float
            Contribution of the best plan known, $.
        enough : float
            Bound at which to stop, $.
        over : callable
            Whether to stop at once.
        """
        began, part, still = time.monotonic(), FIRST, 0
        free = np.zeros(len(self.lots) + len(self.rows), bool)
        free[list(self.problem.must | self.problem.frozen)] = True
        prices, best = np.concatenate([self.lots, self.rows]), None
        way = np.zeros(len(prices))
        while part > LEAST and self.bound > enough:
            bound, excess, table = self._priced(prices)
            still = 0 if bound < self.bound - 2e-5 * abs(bound) else still + 1
            if bound < self.bound or best is None:
                self.bound, best, self.table = bound, prices, table
            if over() or time.monotonic() - began > seconds:
                break
            if still > PATIENCE:
                part, still, prices, way = part * SHORTER, 0, best, way * 0
            way = excess + KEPT * way
            move = np.where(~free & (prices <= 0) & (way < 0), 0.0, way)
            length = float(move @ move)
            if length < 1e-12:
                break
            prices = (
                prices + part * max(bound - goal, 1e-6 * abs(bound)) / length * move
            )
            prices = np.where(free, prices, np.maximum(prices, 0.0))
        self.lots, self.rows = np.split(best, [len(self.lots)])

    @property
    def fixed(self):
        """What lots and limits bring at their prices, $."""
        return self.lots.sum() + self.rows @ self.limits + self._apart(self.net())

    def paid(self):
        """What each job pays at the prices, by its first step, $."""
        return self.lots[self.lot][:, None] + np.tensordot(self.rows, self.usage, 1)

    def net(self):
        """Contribution of each job less what it pays, $."""
        return self.value - self.paid()

    def _apart(self, net):
        """Lots shorter than a step, once each in their best mode."""
        best = np.zeros(len(self.lots))
        short = self.length == 0
        np.maximum.at(best, self.lot[short], net[short].max(axis=1, initial=0.0))
        return best.sum()

    def _priced(self, prices):
        """Bound at some prices, how far lots and limits are overrun, and the table."""
        self.lots, self.rows = np.split(prices, [len(self.lots)])
        net = self.net()
        table = self._rest(net)
        start = self.empty[table[0][self.empty].argmax()]
        lots, rows = self._walked(table, net, start)
        bound = table[0][start] + self.lots.sum() + self.rows @ self.limits
        over = np.concatenate([lots - 1.0, rows - self.limits])
        return bound + self._apart(net), over, table

    def change_price(self):
        """Of the hours of a clean-up, $."""
        return self.rows[0] * self.problem.change / self.scale[0]

    def _rest(self, net):
        """What the rest of the season brings from each step and state."""
        count = len(self.owner_of)
        longest = max(self.length.max(initial=0), self.clean) + 1
        table = np.zeros((self.steps + longest + 1, count))
        flat, net, price = (
            table.ravel(),
            np.ascontiguousarray(net.T),
            self.change_price(),
        )
        ahead = self.length[self.job] * count + self.goal
        for step in range(self.steps - 1, -1, -1):
            rest = table[step]
            np.maximum(table[step + 1], 0.0, out=rest)
            if len(self.job):
                value = net[step][self.job] + flat.take(ahead + step * count)
                best = np.maximum.reduceat(value, self.first)
                rest[self.sources] = np.maximum(rest[self.sources], best)
            if len(self.empty) > 1:
                best, other, owner = self._others(table[step + self.clean])
                changed = np.where(self.owner_of == owner, other, best) - price
                np.maximum(rest, changed, out=rest)
        return table

    def _others(self, rest):
        """The best owner to change to, and the best other one."""
        values = rest[self.empty]
        owner = int(values.argmax())
        best, values[owner] = values[owner], -np.inf
        return best, values.max(), owner

    def _walked(self, table, net, state):
        """How often the best plan mills each lot, and what it uses of each limit."""
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
            _, after, state, job = max(ways, key=lambda way: way[0])
            if job >= 0:
                lots[self.lot[job]] += 1
                rows += self.usage[:, job, step]
            changed = job == -2
            rows[0] += changed * self.problem.change / self.scale[0]
            step = after
        return lots, rows
