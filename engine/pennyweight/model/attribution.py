"""What each of several changes did to a result: alone, and as a fair share.

The fair share of a change is its effect averaged over all orders in which the
changes could have been made (Shapley 1953, Contributions to the Theory of Games II,
307-317). Shares add up to the whole, a change without effect has none, and two that
do the same have the same.
"""

from dataclasses import dataclass
from math import factorial

import numpy as np

from .inseparable import tied_together
from .run import run

EXACT = 16
"""Up to so many changes every combination is worked out; beyond, orders are drawn."""

ORDERS = 1000
"""Orders drawn, each also taken backwards among them."""

BLOCK = 1024
"""Combinations worked out together: their rows stay in the processor's cache."""


@dataclass(frozen=True)
class Shares:
    """Effects of changes on results.

    Attributes
    ----------
    names : tuple of str
        Changed inputs, one for each change that was shared out.
    together : dict of str to tuple of str
        Inputs that could only change along with one of the names, and count with it.
    results : tuple of str
    alone, fair : ndarray
        One row a change, one column a result. Alone is not-a-number where the result
        has no answer before, or with that change alone; the shares of a result are
        not-a-number when it lacks an answer for any combination.
    total : ndarray
        One for each result.
    errors : ndarray
        Standard errors of the fair shares; zero where every combination was run.
    lacking : ndarray
        For each result, the part of all combinations run that had no answer.
    exact : bool
        Whether every combination was worked out.
    """

    names: tuple[str, ...]
    together: dict[str, tuple[str, ...]]
    results: tuple[str, ...]
    alone: np.ndarray
    fair: np.ndarray
    total: np.ndarray
    errors: np.ndarray
    lacking: np.ndarray
    exact: bool


def fair_shares(before, after, results, units="us", seed=1, progress=None):
    """Share out the change of results among the inputs that changed.

    Where a mixture of old and new inputs would contradict itself (a finer feed with
    the coarser product of before), the inputs concerned count as one change.

    Parameters
    ----------
    before, after : mapping of str to float or str
        Complete inputs of both books, in one unit system.
    results : tuple of str
        Lines without an axis. A text counts as 1 where it is as it is after.
    units : {"us", "metric"}
    seed : int
        Of the orders drawn when there are more than `EXACT` changes.
    progress : callable, optional
        Called with the number of combinations done and of all.

    Returns
    -------
    shares : Shares

    Raises
    ------
    BadValue
        When the inputs of one side contradict one another.
    """
    changed = tuple(name for name in before if before[name] != after[name])
    players = tied_together(before, after, changed, units)
    worth = _Worth(before, after, players, tuple(results), units, progress)
    count, exact = len(players), len(players) <= EXACT
    if exact:
        alone, fair, errors = shared_exactly(count, worth)
    else:
        alone, fair, errors = shared_by_orders(count, worth, seed)
    total = worth.all() - worth.none()
    return Shares(
        tuple(player[0] for player in players),
        {player[0]: player[1:] for player in players if player[1:]},
        tuple(results),
        alone,
        fair,
        total,
        errors,
        worth.lacking / max(worth.done, 1),
        exact,
    )


class _Worth:
    """Gives results for combinations of changes; a row says which are made."""

    def __init__(self, before, after, players, results, units, progress):
        self.before, self.after, self.players = before, after, players
        self.results, self.units, self.progress = results, units, progress
        self.lacking, self.done = np.zeros(len(results)), 0

    def __call__(self, made):
        """Results, one row a combination; worked out in blocks."""
        blocks = range(0, len(made), BLOCK)
        return np.concatenate([self._block(made[s : s + BLOCK]) for s in blocks])

    def _block(self, made):
        changed = {
            name: np.where(made[:, place], self.after[name], self.before[name])
            for place, player in enumerate(self.players)
            for name in player
        }
        values = run({**self.before, **changed}, self.units, self.results)
        columns = [self._column(name, values[name], len(made)) for name in self.results]
        found = np.stack(columns, axis=1)
        self.done += len(made)
        self.lacking += np.isnan(found).sum(axis=0)
        if self.progress:
            self.progress(self.done)
        return found

    def _column(self, name, values, length):
        if values.dtype.kind in "US":
            values = values == self._text_after(name)
        return np.broadcast_to(values, length).astype(float)

    def _text_after(self, name):
        return str(run(self.after, self.units, (name,))[name])

    def none(self):
        """Results before any change."""
        return self(np.zeros((1, len(self.players)), bool))[0]

    def all(self):
        """Results after every change."""
        return self(np.ones((1, len(self.players)), bool))[0]


def shared_exactly(count, worth):
    """Effects of ``count`` changes from every combination of them.

    Parameters
    ----------
    count : int
    worth : callable
        Gives one row of results for each row of truth values, which say which
        changes are made.

    Returns
    -------
    alone, fair, errors : ndarray
        One row a change.

    Examples
    --------
    A left and a right glove are worth something only as a pair:

    >>> pair = lambda made: made.all(axis=1, keepdims=True) * 10.0
    >>> shared_exactly(2, pair)[1].ravel().tolist()
    [5.0, 5.0]
    """
    masks = np.arange(2**count)
    made = (masks[:, None] >> np.arange(count)) & 1 == 1
    values = worth(made)
    sizes = made.sum(axis=1)
    weights = [factorial(s) * factorial(count - s - 1) for s in range(count)]
    weights = np.array(weights, float) / float(factorial(count))
    fair = np.zeros((count, values.shape[1]))
    for place in range(count):
        without = masks[~made[:, place]]
        gains = values[without | (1 << place)] - values[without]
        fair[place] = weights[sizes[without]] @ gains
    alone = values[1 << np.arange(count)] - values[0]
    return alone, fair, np.zeros_like(fair)


def shared_by_orders(count, worth, seed):
    """Effects of ``count`` changes from orders drawn at random, each also backwards.

    Parameters
    ----------
    count : int
    worth : callable
        As for `shared_exactly`.
    seed : int

    Returns
    -------
    alone, fair, errors : ndarray
        Shares still add up to the whole, since each order's gains do.
    """
    generator = np.random.default_rng(seed)
    half = [generator.permutation(count) for _ in range(ORDERS // 2)]
    orders = [order for first in half for order in (first, first[::-1])]
    gains = []
    together = max(1, BLOCK // (count + 1))
    for start in range(0, len(orders), together):
        some = orders[start : start + together]
        values = worth(np.concatenate([_steps(order) for order in some]))
        for order, found in zip(some, np.split(values, len(some)), strict=True):
            gain = np.empty((count, values.shape[1]))
            gain[order] = np.diff(found, axis=0)
            gains.append(gain)
    pairs = (np.array(gains[::2]) + np.array(gains[1::2])) / 2
    singly = worth(np.vstack([np.zeros(count, bool), np.eye(count, dtype=bool)]))
    errors = pairs.std(axis=0, ddof=1) / np.sqrt(len(pairs))
    return singly[1:] - singly[0], pairs.mean(axis=0), errors


def _steps(order):
    """Combinations on the way when changes are made in an order."""
    made = np.zeros((len(order) + 1, len(order)), bool)
    for step, place in enumerate(order):
        made[step + 1 :, place] = True
    return made
