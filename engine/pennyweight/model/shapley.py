"""Effect of each of several changes on the results: alone, and as a Shapley value.

The Shapley value of a change is its mean effect over all orders in which the changes
can be made (Shapley 1953, Contributions to the Theory of Games II, 307-317). The values
add up to the total. A change without effect has the value 0, and two with the same
effect have the same value.
"""

from dataclasses import dataclass
from math import factorial

import numpy as np

from .coupled_changes import coupled_groups
from .run import run

EXACT = 16
"""Most changes for which all combinations are run; with more, orders are sampled."""

ORDERS = 1000
"""Number of sampled orders; half of them are the reverse of the other half."""

BLOCK = 1024
"""Combinations run together: their rows fit the processor's cache."""


@dataclass(frozen=True)
class ShapleyValues:
    """Effects of changes on results.

    Attributes
    ----------
    names : tuple of str
        Changed inputs, one for each change.
    together : dict of str to tuple of str
        Inputs that can only change together with one of the names, and count with it.
    results : tuple of str
    alone, shapley : ndarray
        Effect alone and Shapley value; rows are changes, columns are results. Alone is
        NaN if the result is NaN before, or with that change alone. Shapley values are
        NaN if the result is NaN for any combination.
    total : ndarray
        One for each result.
    errors : ndarray
        Standard errors of the Shapley values; zero if every combination was run.
    missing : ndarray
        For each result, the share of the combinations in which it is NaN.
    exact : bool
        Whether every combination was run.
    """

    names: tuple[str, ...]
    together: dict[str, tuple[str, ...]]
    results: tuple[str, ...]
    alone: np.ndarray
    shapley: np.ndarray
    total: np.ndarray
    errors: np.ndarray
    missing: np.ndarray
    exact: bool


def shapley_values(before, after, results, units="us", seed=1, progress=None):
    """Shapley values of changed inputs, for each result.

    If a mixture of old and new inputs contradicts itself (a finer feed with the coarser
    product of before), the inputs concerned count as one change.

    Parameters
    ----------
    before, after : mapping of str to float or str
        All inputs of both workbooks, in one unit system.
    results : tuple of str
        Lines without an axis. A text counts as 1 if it equals the text after, else 0.
    units : {"us", "metric"}
    seed : int
        For sampled orders, with more than `EXACT` changes.
    progress : callable, optional
        Called with the number of combinations done and of all.

    Returns
    -------
    shares : ShapleyValues

    Raises
    ------
    BadValue
        If the inputs of one side contradict one another.
    """
    changed = tuple(name for name in before if before[name] != after[name])
    players = coupled_groups(before, after, changed, units)
    game = _Game(before, after, players, tuple(results), units, progress)
    count, exact = len(players), len(players) <= EXACT
    if exact:
        alone, shapley, errors = exact_values(count, game)
    else:
        alone, shapley, errors = sampled_values(count, game, seed)
    total = game.all() - game.none()
    return ShapleyValues(
        tuple(player[0] for player in players),
        {player[0]: player[1:] for player in players if player[1:]},
        tuple(results),
        alone,
        shapley,
        total,
        errors,
        game.missing / max(game.done, 1),
        exact,
    )


class _Game:
    """Results for combinations of changes; each row has the changes made."""

    def __init__(self, before, after, players, results, units, progress):
        self.before, self.after, self.players = before, after, players
        self.results, self.units, self.progress = results, units, progress
        self.missing, self.done = np.zeros(len(results)), 0
        self.goal = run(after, units, results)

    def __call__(self, made):
        """Results of combinations, one row each, run in blocks."""
        blocks = range(0, len(made), BLOCK)
        return np.concatenate([self._block(made[s : s + BLOCK]) for s in blocks])

    def _block(self, made):
        changed = {
            name: np.where(made[:, place], self.after[name], self.before[name])
            for place, player in enumerate(self.players)
            for name in player
        }
        made_of = {**self.before, **changed}
        values = run(made_of, self.units, self.results, base=self.goal)
        columns = [self._column(name, values[name], len(made)) for name in self.results]
        found = np.stack(columns, axis=1)
        self.done += len(made)
        self.missing += np.isnan(found).sum(axis=0)
        if self.progress:
            self.progress(self.done)
        return found

    def _column(self, name, values, length):
        if values.dtype.kind in "US":
            values = values == self.goal[name]
        return np.broadcast_to(values, length).astype(float)

    def none(self):
        """Results before any change."""
        return self(np.zeros((1, len(self.players)), bool))[0]

    def all(self):
        """Results after every change."""
        return self(np.ones((1, len(self.players)), bool))[0]


def exact_values(count, game):
    """Effects of ``count`` changes, from all combinations.

    Parameters
    ----------
    count : int
    game : callable
        Gives a row of results for each row of truth values, the changes made.

    Returns
    -------
    alone, shapley, errors : ndarray
        One row per change.

    Examples
    --------
    A left and a right glove have a value only as a pair:

    >>> pair = lambda made: made.all(axis=1, keepdims=True) * 10.0
    >>> exact_values(2, pair)[1].ravel().tolist()
    [5.0, 5.0]
    """
    masks = np.arange(2**count)
    made = (masks[:, None] >> np.arange(count)) & 1 == 1
    values = game(made)
    sizes = made.sum(axis=1)
    weights = [factorial(s) * factorial(count - s - 1) for s in range(count)]
    weights = np.array(weights, float) / float(factorial(count))
    shapley = np.zeros((count, values.shape[1]))
    for place in range(count):
        without = masks[~made[:, place]]
        gains = values[without | (1 << place)] - values[without]
        shapley[place] = weights[sizes[without]] @ gains
    alone = values[1 << np.arange(count)] - values[0]
    return alone, shapley, np.zeros_like(shapley)


def sampled_values(count, game, seed):
    """Effects of ``count`` changes, from random orders and their reverses.

    Parameters
    ----------
    count : int
    game : callable
        As for `exact_values`.
    seed : int

    Returns
    -------
    alone, shapley, errors : ndarray
        The values still add up to the total, as the gains of each order do.
    """
    generator = np.random.default_rng(seed)
    half = [generator.permutation(count) for _ in range(ORDERS // 2)]
    orders = [order for first in half for order in (first, first[::-1])]
    gains = []
    together = max(1, BLOCK // (count + 1))
    for start in range(0, len(orders), together):
        some = orders[start : start + together]
        values = game(np.concatenate([_steps(order) for order in some]))
        for order, found in zip(some, np.split(values, len(some)), strict=True):
            gain = np.empty((count, values.shape[1]))
            gain[order] = np.diff(found, axis=0)
            gains.append(gain)
    pairs = (np.array(gains[::2]) + np.array(gains[1::2])) / 2
    single = game(np.vstack([np.zeros(count, bool), np.eye(count, dtype=bool)]))
    errors = pairs.std(axis=0, ddof=1) / np.sqrt(len(pairs))
    return single[1:] - single[0], pairs.mean(axis=0), errors


def _steps(order):
    """Combinations after each step, when changes are made in an order."""
    made = np.zeros((len(order) + 1, len(order)), bool)
    for step, place in enumerate(order):
        made[step + 1 :, place] = True
    return made
