"""What each of several changes did to a result: alone, and as a fair share.

The fair share of a change is its effect averaged over all orders in which the
changes could have been made (Shapley 1953, Contributions to the Theory of Games II,
307-317). Shares add up to the whole, a change without effect has none, and two that
do the same have the same.
"""

from dataclasses import dataclass
from math import factorial

import numpy as np

from .run import run

EXACT = 16
"""Up to so many changes every combination is worked out; beyond, orders are drawn."""

ORDERS = 400
BLOCK = 2048


@dataclass(frozen=True)
class Shares:
    """Effects of changes on results.

    Attributes
    ----------
    names, results : tuple of str
    alone, fair : ndarray
        One row a change, one column a result; not-a-number for a result that has no
        answer somewhere on the way.
    total : ndarray
        One for each result.
    errors : ndarray
        Standard errors of the fair shares; zero where every combination was run.
    """

    names: tuple
    results: tuple
    alone: np.ndarray
    fair: np.ndarray
    total: np.ndarray
    errors: np.ndarray

    @property
    def exact(self):
        """Whether every combination was worked out."""
        return len(self.names) <= EXACT


def fair_shares(before, after, results, units="us", seed=1):
    """Share out the change of results among the inputs that changed.

    Parameters
    ----------
    before, after : mapping of str to float or str
        Complete inputs of both books, in one unit system.
    results : tuple of str
        Lines without an axis.
    units : {"us", "metric"}
    seed : int
        Of the orders drawn when there are more than `EXACT` changes.

    Returns
    -------
    shares : Shares

    Raises
    ------
    BadValue
        When some of the changes without the others contradict one another.
    """
    names = tuple(name for name in before if before[name] != after[name])
    worth = _worker(before, after, names, tuple(results), units)
    if len(names) <= EXACT:
        return _exact(names, tuple(results), worth)
    return _drawn(names, tuple(results), worth, np.random.default_rng(seed))


def _worker(before, after, names, results, units):
    """Work out results for many combinations; rows say which changes are made."""

    def worth(made):
        parts = []
        for start in range(0, len(made), BLOCK):
            block = made[start : start + BLOCK]
            changed = {
                name: np.where(block[:, place], after[name], before[name])
                for place, name in enumerate(names)
            }
            values = run({**before, **changed}, units, results)
            parts.append(
                np.stack(
                    [np.broadcast_to(values[r], len(block)) for r in results], axis=1
                ).astype(float)
            )
        return np.concatenate(parts)

    return worth


def _exact(names, results, worth):
    count = len(names)
    masks = np.arange(2**count)
    made = (masks[:, None] >> np.arange(count)) & 1 == 1
    values = worth(made)
    sizes = made.sum(axis=1)
    weights = np.array(
        [
            factorial(s) * factorial(count - s - 1) / factorial(count)
            for s in range(count)
        ]
    )
    fair = np.empty((count, len(results)))
    for place in range(count):
        without = masks[~made[:, place]]
        gains = values[without | (1 << place)] - values[without]
        fair[place] = weights[sizes[without]] @ gains
    alone = values[1 << np.arange(count)] - values[0]
    return Shares(
        names, results, alone, fair, values[-1] - values[0], np.zeros_like(fair)
    )


def _drawn(names, results, worth, generator):
    """Average over drawn orders, each also taken backwards."""
    count = len(names)
    half = [generator.permutation(count) for _ in range(ORDERS // 2)]
    gains = np.zeros((ORDERS, count, len(results)))
    for row, order in enumerate([*half, *(order[::-1] for order in half)]):
        made = np.zeros((count + 1, count), bool)
        for step, place in enumerate(order):
            made[step + 1 :, place] = True
        values = worth(made)
        gains[row, order] = np.diff(values, axis=0)
    pairs = (gains[: ORDERS // 2] + gains[ORDERS // 2 :]) / 2
    singly = worth(np.vstack([np.zeros(count, bool), np.eye(count, dtype=bool)]))
    return Shares(
        names,
        results,
        singly[1:] - singly[0],
        pairs.mean(axis=0),
        pairs.mean(axis=0).sum(axis=0),
        pairs.std(axis=0, ddof=1) / np.sqrt(len(pairs)),
    )
