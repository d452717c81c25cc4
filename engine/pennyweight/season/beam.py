"""Beam search: build plans lot by lot, and keep the best partial plans of each length.

A partial plan is ranked by an upper bound: its value, and the bound on the rest of the
season by `lagrangian.Dual`. Those that cannot beat the best plan are dropped. Of two
with the same lots and last owner, one that is later and worth less is dropped. If no
others were dropped, the best plan is proven optimal (dynamic programming with bounds:
Ibaraki and Nakamura 1994, European Journal of Operational Research 76, 72).
"""

import math
from dataclasses import dataclass, fields, replace

import numpy as np

from .schedule import SLACK, timed

HOUR_PRICES = np.linspace(0, 0.8, 5)
"""Prices of an hour to try, as quantiles of the contribution per hour."""
OVERSAMPLING = 6
"""Partial plans compared for dominance, per partial plan that is kept."""


@dataclass
class _Nodes:
    """Nodes of the search: partial plans with the same number of lots, as arrays.

    ``net`` is the value less the prices paid; ``bound`` is the upper bound on the score
    of a complete plan.
    """

    milled: np.ndarray
    lot_set: np.ndarray
    owner: np.ndarray
    state: np.ndarray
    clock: np.ndarray
    value: np.ndarray
    net: np.ndarray
    bound: np.ndarray
    surplus_left: np.ndarray
    rank: np.ndarray
    parent: np.ndarray
    job: np.ndarray

    def select(self, at):
        """The partial plans at some positions."""
        return _Nodes(*(getattr(self, one.name)[at] for one in fields(self)))

    def __len__(self):
        return len(self.clock)


class Beam:
    """A beam search with the bounds of the Lagrangian dual.

    Parameters
    ----------
    problem : Problem
    dual : Dual
        Solved.
    gap : float
        Relative gap by which dropped plans may be better.
    plan : Schedule or None
        Plan to beat; after a search, the best plan known.
    """

    def __init__(self, problem, dual, gap, plan):
        self.problem, self.dual, self.gap, self.plan = problem, dual, gap, plan
        self.lot, self.hours = dual.lot, dual.hours
        self.money = np.array([job.contribution for job in dual.jobs])
        planned = np.isfinite(problem.planned)
        self.bonus = problem.bonus * planned[self.lot]
        # The bonus of a lot that is not yet milled counts as earned.
        self.usage_price = dual.usage_price() + self.bonus[:, None]
        # Cash may delay a start: until it is timed, a job pays the least later price.
        self.first_price = self.usage_price
        if problem.cash < math.inf:
            later = np.minimum.accumulate(self.usage_price[:, ::-1], axis=1)
            self.first_price = later[:, ::-1]
        self.fixed = dual.fixed + problem.bonus * planned.sum()
        self.frozen = np.isin(self.lot, list(problem.frozen))
        self.owner = problem.owners[self.lot]
        self.hour, self.surplus = self._hour_surplus()
        self.required = sorted(problem.must | problem.frozen)
        rng = np.random.default_rng(1)
        self.lot_hashes = rng.integers(1, 2**62, len(problem.modes))
        limits = problem.storage, problem.room, problem.cash
        self.has_limits = any(map(math.isfinite, limits))

    def search(self, width, weight, is_time_up):
        """Search with a given width.

        Parameters
        ----------
        width : int
        weight : float
            Weight of the bound by hours in the ranking, next to that by prices.
        is_time_up : callable
            Returns whether to end.

        Returns
        -------
        bound : float
            Upper bound on the score; infinite if the search ended early, minus
            infinity if there is no plan.
        """
        nodes, levels, dropped = self._root(), [], -math.inf
        plans = [[]]
        while len(nodes):
            if is_time_up():
                return math.inf
            floor = self._floor()
            expanded = self._expanded(nodes, weight, floor)
            expanded, lost = self._pruned(expanded, width)
            dropped = max(dropped, lost)
            if self.has_limits:
                expanded, plans = self._timed(nodes, expanded, plans, floor)
            milled = nodes.milled[expanded.parent]
            milled[np.arange(len(milled)), self.lot[expanded.job]] = True
            nodes = replace(expanded, milled=milled)
            levels.append((nodes.parent, nodes.job))
            complete = milled[:, self.required].all(axis=1)
            value = np.where(complete, nodes.value, -np.inf)
            if value.max(initial=-np.inf) > self._floor(0.0) + SLACK:
                plan = timed(self.problem, self._jobs(levels, int(value.argmax())))
                if plan.score > self._floor(0.0):
                    self.plan = plan
        return max(self._floor(), dropped)

    def _floor(self, gap=None):
        """Score that a plan must beat by the gap; minus infinity without a plan."""
        if not self.plan:
            return -math.inf
        gap = self.gap if gap is None else gap
        return self.plan.score + gap * abs(self.plan.score)

    def _root(self):
        one, zero = np.zeros(1), np.zeros(1, int)
        milled = np.zeros((1, len(self.problem.modes)), bool)
        surplus_left = self.surplus.sum(axis=0)[None, :]
        return _Nodes(
            milled=milled,
            surplus_left=surplus_left,
            owner=zero - 1,
            **dict.fromkeys(("lot_set", "state", "parent", "job"), zero),
            **dict.fromkeys(("clock", "value", "net", "bound", "rank"), one),
        )

    def _hour_surplus(self):
        """Trial prices of an hour, and the surplus of each lot over its hours at each.

        An owner's lots share the hours and the cost of one clean-up.
        """
        problem, count = self.problem, len(self.problem.modes)
        least = np.array([min(job.hours for job in modes) for modes in problem.modes])
        total = np.bincount(problem.owners, least)[problem.owners]
        part = (least / total)[self.lot]
        hours = self.hours + problem.change * part
        prices = np.append(0.0, np.quantile(self.money / hours, HOUR_PRICES).clip(0.0))
        money = self.money + self.bonus - problem.change_cost * part
        surplus = np.zeros((count, len(prices)))
        np.maximum.at(surplus, self.lot, money[:, None] - hours[:, None] * prices)
        return prices, surplus

    def _extensions(self, nodes):
        """All jobs that can follow each partial plan.

        Returns
        -------
        at, job : ndarray of int
            Partial plan and job.
        begin, end : ndarray
        change : ndarray of bool
            Whether a clean-up precedes the job.
        """
        problem, lot = self.problem, self.lot
        change = (nodes.owner[:, None] != self.owner) & (nodes.owner >= 0)[:, None]
        begin = nodes.clock[:, None] + change * problem.change
        planned = problem.planned[lot]
        first = np.where(self.frozen, planned, 0.0)
        begin = np.maximum(begin, np.maximum(problem.ready[lot], first))
        end = begin + self.hours
        free = ~nodes.milled[:, lot] & (end <= problem.end + SLACK)
        free &= ~(self.frozen & (begin >= planned + problem.day - SLACK))
        return *np.nonzero(free), begin[free], end[free], change[free]

    def _gain(self, job, begin, end, change):
        """Contribution of a job less its cost of delay and of a clean-up before it.

        The bonus for its day is added.
        """
        problem, lot = self.problem, self.lot[job]
        planned = np.floor((problem.planned[lot] + SLACK) / problem.day)
        begins = np.floor(begin / problem.day)
        # Cash may delay a start to its day: `_timed` tells.
        kept = (begins == planned) | ((begins < planned) & (problem.cash < math.inf))
        cost = problem.costs_of_delay(lot, end) + change * problem.change_cost
        return self.money[job] - cost + self.bonus[job] * kept

    def _expanded(self, nodes, weight, floor):
        """Extend partial plans by each job; keep those with a bound above the floor."""
        problem, dual, lot = self.problem, self.dual, self.lot
        at, job, begin, end, change = self._extensions(nodes)
        gain = self._gain(job, begin, end, change)
        net = nodes.net[at] + gain - self._price(self.first_price, job, begin, change)
        same = dual.owner[lot[nodes.job[at]]] == dual.owner[lot[job]]
        same &= nodes.owner[at] >= 0
        state = np.where(same, dual.after[nodes.state[at], job], dual.entry[job])
        bound = self._upper_bound(net, end, state)
        good = np.isfinite(gain) & (bound > floor)
        at, job, end, bound = at[good], job[good], end[good], bound[good]
        value = nodes.value[at] + gain[good]
        surplus_left = nodes.surplus_left[at] - self.surplus[lot[job]]
        # The present owner's other lots need no further clean-up.
        left = problem.end - end + problem.change
        by_hours = value + (left[:, None] * self.hour + surplus_left).min(axis=1)
        by_hours += problem.change_cost
        expanded = _Nodes(
            milled=np.empty(len(at)),
            lot_set=nodes.lot_set[at] ^ self.lot_hashes[lot[job]],
            owner=self.owner[job],
            state=state[good],
            clock=end,
            value=value,
            net=net[good],
            bound=np.minimum(bound, by_hours),
            surplus_left=surplus_left,
            rank=weight * by_hours + bound,
            parent=at,
            job=job,
        )
        return expanded.select(expanded.bound > floor)

    def _price(self, prices, job, begin, change):
        """Price of a further job and of the hours of its clean-up, $.

        The cost of the clean-up is taken from the value already.
        """
        step = np.minimum(self.dual.whole(begin), self.dual.steps - 1)
        hours = self.dual.change_price() - self.problem.change_cost
        return prices[job, step] + change * hours

    def _upper_bound(self, net, end, state):
        dual = self.dual
        rest = dual.table[np.minimum(dual.whole(end), dual.steps), state]
        return net + rest + self.fixed

    def _pruned(self, nodes, width):
        """The best partial plans, and the largest bound among those dropped."""
        lost = -np.inf
        if not self.has_limits:
            nodes = self._undominated(nodes)
        elif len(nodes) > width:  # under limits nothing is dominated: not proven
            lost = float(nodes.bound.max())
        for size in (OVERSAMPLING * width, width):
            if len(nodes) > size:
                order = np.argpartition(-nodes.rank, size)
                lost = max(lost, float(nodes.bound[order[size:]].max()))
                nodes = nodes.select(order[:size])
                nodes = self._undominated(nodes)
        return nodes, lost

    def _undominated(self, nodes):
        """Drop dominated partial plans: same lots and owner, later and worth less."""
        if not len(nodes):
            return nodes
        order = np.lexsort((-nodes.value, nodes.clock, nodes.owner, nodes.lot_set))
        nodes = nodes.select(order)
        new = (np.diff(nodes.lot_set) != 0) | (np.diff(nodes.owner) != 0)
        group = np.append(0, np.cumsum(new))
        values = nodes.value + group * (2 * np.ptp(nodes.value) + 1)
        better = values[1:] > np.maximum.accumulate(values)[:-1] + 1e-9
        return nodes.select(np.append(True, better))

    def _timed(self, parents, nodes, plans, floor):
        """Time partial plans exactly, and drop those that break a limit."""
        kept, timed_plans = [], []
        for at, (parent, job) in enumerate(zip(nodes.parent, nodes.job, strict=True)):
            plan = timed(self.problem, [*plans[parent], self.dual.jobs[job]])
            if np.isfinite(plan.score):
                kept.append(at)
                timed_plans.append(plan)
        nodes = nodes.select(kept)
        if not kept:
            return nodes, []
        parent, job = nodes.parent, nodes.job
        begin = np.array([plan.starts[-1] for plan in timed_plans])
        end = np.array([plan.ends[-1] for plan in timed_plans])
        value = np.array([plan.score for plan in timed_plans])
        change = (parents.owner[parent] != nodes.owner) & (parents.owner[parent] >= 0)
        net = parents.net[parent] + value - parents.value[parent]
        net = net - self._price(self.usage_price, job, begin, change)
        bound = self._upper_bound(net, end, nodes.state)
        nodes = replace(nodes, clock=end, value=value, net=net, bound=bound)
        good = bound > floor
        return nodes.select(good), [
            plan.jobs for plan, one in zip(timed_plans, good, strict=True) if one
        ]

    def _jobs(self, levels, at):
        jobs = []
        for parent, job in reversed(levels):
            jobs.append(self.dual.jobs[job[at]])
            at = parent[at]
        return jobs[::-1]
