"""Plans built lot by lot, the best kept at each length: a beam search.

Each beginning of a plan is rated by what it brings and the most that the rest of the
season can bring, by `dual.Dual`. What cannot beat the best plan is dropped; where lots
and owner are the same, the later and poorer beginning is, too. If nothing else was
dropped, the best plan is proven (dynamic programming with bounds: Ibaraki and Nakamura
1994, European Journal of Operational Research 76, 72).
"""

import math
from dataclasses import dataclass, fields, replace

import numpy as np

from .schedule import SLACK, timed

PRICES = np.linspace(0, 0.8, 5)
"""Prices of an hour that are tried, as quantiles of what lots bring per hour."""
ROOM = 6
"""Beginnings for each that is kept, among which those of the same lots are compared."""


@dataclass
class _Starts:
    """Beginnings of plans with equally many lots, as arrays.

    ``net`` is the value less prices, ``most`` the largest score of a whole plan.
    """

    there: np.ndarray
    key: np.ndarray
    owner: np.ndarray
    state: np.ndarray
    clock: np.ndarray
    value: np.ndarray
    net: np.ndarray
    most: np.ndarray
    rest: np.ndarray
    rank: np.ndarray
    before: np.ndarray
    job: np.ndarray

    def taken(self, at):
        """Some of them."""
        return _Starts(*(getattr(self, one.name)[at] for one in fields(self)))

    def __len__(self):
        return len(self.clock)


class Beam:
    """A beam search with the bounds of a dual.

    Parameters
    ----------
    problem : Problem
    dual : Dual
        Solved.
    gap : float
        Share by which plans that are dropped may be better.
    plan : Schedule or None
        To be beaten; afterwards the best one known.
    """

    def __init__(self, problem, dual, gap, plan):
        self.problem, self.dual, self.gap, self.plan = problem, dual, gap, plan
        self.lot, self.hours = dual.lot, dual.hours
        self.money = np.array([job.contribution for job in dual.jobs])
        planned = np.isfinite(problem.planned)
        self.bonus = problem.bonus * planned[self.lot]
        # Until a lot is milled, its bonus counts as kept.
        self.paid = dual.paid() + self.bonus[:, None]
        self.fixed = dual.fixed + problem.bonus * planned.sum()
        self.frozen = np.isin(self.lot, list(problem.frozen))
        self.owner = problem.owners[self.lot]
        self.hour, self.surplus = self._by_the_hour()
        self.needed = sorted(problem.must | problem.frozen)
        rng = np.random.default_rng(1)
        self.keys = rng.integers(1, 2**62, len(problem.modes))
        limits = problem.storage, problem.room, problem.cash
        self.limited = any(map(math.isfinite, limits))

    def search(self, width, weight, enough):
        """Search with a width.

        Parameters
        ----------
        width : int
        weight : float
            Of the bound by hours alone, beside that by prices, in the choice.
        enough : callable
            Whether to end.

        Returns
        -------
        bound : float
            No plan has a larger score; infinite if the search ended early, and minus
            infinity if there is no plan.
        """
        starts, levels, dropped = self._nothing(), [], -math.inf
        plans = [[]]
        while len(starts):
            if enough():
                return math.inf
            floor = self._floor()
            longer, lost = self._best(self._longer(starts, weight, floor), width)
            dropped = max(dropped, lost)
            if self.limited:
                longer, plans = self._timed(starts, longer, plans, floor)
            there = starts.there[longer.before]
            there[np.arange(len(there)), self.lot[longer.job]] = True
            starts = replace(longer, there=there)
            levels.append((starts.before, starts.job))
            whole = there[:, self.needed].all(axis=1)
            value = np.where(whole, starts.value, -np.inf)
            if value.max(initial=-np.inf) > self._floor(0.0) + SLACK:
                found = timed(self.problem, self._jobs(levels, int(value.argmax())))
                if found.score > self._floor(0.0):
                    self.plan = found
        return max(self._floor(), dropped)

    def _floor(self, gap=None):
        """Score that a plan must beat by the gap; minus infinity without a plan."""
        if not self.plan:
            return -math.inf
        gap = self.gap if gap is None else gap
        return self.plan.score + gap * abs(self.plan.score)

    def _nothing(self):
        one, zero = np.zeros(1), np.zeros(1, int)
        there = np.zeros((1, len(self.problem.modes)), bool)
        rest = self.surplus.sum(axis=0)[None, :]
        return _Starts(
            there=there,
            rest=rest,
            owner=zero - 1,
            **dict.fromkeys(("key", "state", "before", "job"), zero),
            **dict.fromkeys(("clock", "value", "net", "most", "rank"), one),
        )

    def _by_the_hour(self):
        """Some prices of an hour, and what each lot brings above its hours at each.

        An owner's lots share the hours of one clean-up.
        """
        problem, count = self.problem, len(self.problem.modes)
        least = np.array([min(job.hours for job in modes) for modes in problem.modes])
        whole = np.bincount(problem.owners, least)[problem.owners]
        hours = self.hours + (problem.change * least / whole)[self.lot]
        prices = np.append(0.0, np.quantile(self.money / hours, PRICES).clip(0.0))
        money = self.money + self.bonus
        surplus = np.zeros((count, len(prices)))
        np.maximum.at(surplus, self.lot, money[:, None] - hours[:, None] * prices)
        return prices, surplus

    def _further(self, starts):
        """Every further lot that fits after a beginning.

        Returns
        -------
        at, job : ndarray of int
            The beginning and the job.
        begin, end : ndarray
        change : ndarray of bool
            Whether a clean-up comes before it.
        """
        problem, lot = self.problem, self.lot
        change = (starts.owner[:, None] != self.owner) & (starts.owner >= 0)[:, None]
        begin = starts.clock[:, None] + change * problem.change
        planned = problem.planned[lot]
        first = np.where(self.frozen, planned, 0.0)
        begin = np.maximum(begin, np.maximum(problem.ready[lot], first))
        end = begin + self.hours
        free = ~starts.there[:, lot] & (end <= problem.end + SLACK)
        free &= ~(self.frozen & (begin >= planned + problem.day - SLACK))
        return *np.nonzero(free), begin[free], end[free], change[free]

    def _gain(self, job, begin, end):
        """What a job brings, less the cost of delay, with the bonus for its day."""
        problem, lot = self.problem, self.lot[job]
        planned = np.floor((problem.planned[lot] + SLACK) / problem.day)
        kept = np.floor(begin / problem.day) == planned
        cost = problem.costs_of_delay(lot, end)
        return self.money[job] - cost + self.bonus[job] * kept

    def _longer(self, starts, weight, floor):
        """Every beginning with every further lot that may beat a score."""
        problem, dual, lot = self.problem, self.dual, self.lot
        at, job, begin, end, change = self._further(starts)
        gain = self._gain(job, begin, end)
        net = self._net(starts.net[at] + gain, job, begin, change)
        same = dual.owner[lot[starts.job[at]]] == dual.owner[lot[job]]
        same &= starts.owner[at] >= 0
        state = np.where(same, dual.after[starts.state[at], job], dual.entry[job])
        most = self._most(net, end, state)
        good = np.isfinite(gain) & (most > floor)
        at, job, end, most = at[good], job[good], end[good], most[good]
        value = starts.value[at] + gain[good]
        rest = starts.rest[at] - self.surplus[lot[job]]
        left = problem.end - end + problem.change
        plain = value + (left[:, None] * self.hour + rest).min(axis=1)
        longer = _Starts(
            there=np.empty(len(at)),
            key=starts.key[at] ^ self.keys[lot[job]],
            owner=self.owner[job],
            state=state[good],
            clock=end,
            value=value,
            net=net[good],
            most=np.minimum(most, plain),
            rest=rest,
            rank=weight * plain + most,
            before=at,
            job=job,
        )
        return longer.taken(longer.most > floor)

    def _net(self, value, job, begin, change):
        """A value less what a further job and its clean-up pay."""
        step = np.minimum(self.dual.whole(begin), self.dual.steps - 1)
        return value - self.paid[job, step] - change * self.dual.change_price()

    def _most(self, net, end, state):
        dual = self.dual
        rest = dual.table[np.minimum(dual.whole(end), dual.steps), state]
        return net + rest + self.fixed

    def _best(self, starts, width):
        """The best beginnings, and the largest score that is lost with the others."""
        lost = -np.inf
        if not self.limited:
            starts = self._unbeaten(starts)
        elif len(starts) > width:  # what comes after may then differ: not proven
            lost = float(starts.most.max())
        for size in (ROOM * width, width):
            if len(starts) > size:
                order = np.argpartition(-starts.rank, size)
                lost = max(lost, float(starts.most[order[size:]].max()))
                starts = starts.taken(order[:size])
                starts = self._unbeaten(starts)
        return starts, lost

    def _unbeaten(self, starts):
        """Without beginnings of the same lots and owner that are later and poorer."""
        if not len(starts):
            return starts
        order = np.lexsort((-starts.value, starts.clock, starts.owner, starts.key))
        starts = starts.taken(order)
        new = (np.diff(starts.key) != 0) | (np.diff(starts.owner) != 0)
        group = np.append(0, np.cumsum(new))
        values = starts.value + group * (2 * np.ptp(starts.value) + 1)
        better = values[1:] > np.maximum.accumulate(values)[:-1] + 1e-9
        return starts.taken(np.append(True, better))

    def _timed(self, parents, starts, plans, floor):
        """Hold beginnings to all limits, each lot as early as they allow."""
        kept, found = [], []
        for at, (before, job) in enumerate(zip(starts.before, starts.job, strict=True)):
            plan = timed(self.problem, [*plans[before], self.dual.jobs[job]])
            if np.isfinite(plan.score):
                kept.append(at)
                found.append(plan)
        starts = starts.taken(kept)
        if not kept:
            return starts, []
        before, job = starts.before, starts.job
        begin = np.array([plan.starts[-1] for plan in found])
        end = np.array([plan.ends[-1] for plan in found])
        value = np.array([plan.score for plan in found])
        change = (parents.owner[before] != starts.owner) & (parents.owner[before] >= 0)
        net = parents.net[before] + value - parents.value[before]
        net = self._net(net, job, begin, change)
        most = self._most(net, end, starts.state)
        starts = replace(starts, clock=end, value=value, net=net, most=most)
        good = most > floor
        return starts.taken(good), [
            plan.jobs for plan, one in zip(found, good, strict=True) if one
        ]

    def _jobs(self, levels, at):
        jobs = []
        for before, job in reversed(levels):
            jobs.append(self.dual.jobs[job[at]])
            at = before[at]
        return jobs[::-1]
