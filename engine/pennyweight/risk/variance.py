"""How much of the uncertainty each input brings: Sobol' indices."""

from dataclasses import dataclass

import numpy as np

from ..errors import BadValue
from .draws import CELL, Draws
from .evaluate import Evaluator
from .quiet import quietly

RESULT = "net_present_value"
RESAMPLED = 64
"""Times that the draws are resampled for the errors."""


@dataclass(frozen=True)
class Share:
    """One input's part in the variance of a result.

    Attributes
    ----------
    names : tuple of str
        Inputs that are drawn together because they are correlated; one otherwise.
    alone, total : float
        What it brings alone (first-order index), and with all that it does together
        with others (total index).
    alone_error, total_error : float
        Standard errors.
    """

    names: tuple
    alone: float
    total: float
    alone_error: float
    total_error: float


PATH = "the walk of the gold price"


def groups_of(study):
    """Inputs that are drawn together.

    Returns
    -------
    groups : list of (tuple of str, list of int)
        Names, and the places of their numbers among those drawn.
    """
    member = {name: {name} for name in study.names}
    for first, second in study.correlations:
        joined = member[first] | member[second]
        for name in joined:
            member[name] = joined
    places = {name: place for place, name in enumerate(study.names)}
    found, seen = [], set()
    for name in study.names:
        if name not in seen:
            group = tuple(n for n in study.names if n in member[name])
            seen.update(group)
            found.append((group, [places[n] for n in group]))
    if study.path:
        walk = range(len(study.names), len(study.names) + study.walks)
        found.append(((PATH,), list(walk)))
    return found


@quietly
def variance_shares(study, count=1024, seed=0, result=RESULT, way="auto"):
    """Share of the variance of a result by input.

    Two sets of draws are crossed, one input at a time (Saltelli et al. 2010, Computer
    Physics Communications 181, 259-270; total index after Jansen 1999, the same 117,
    35-43); the errors are from resampling.

    Parameters
    ----------
    study : Study
    count : int
        Draws in each set, a power of two; the model is worked out ``count`` times
        the number of inputs and two.
    seed : int
    result : str
        A single line of the model, a number.
    way : {"auto", "numpy", "kernel"}

    Returns
    -------
    shares : list of Share
        Largest total first.

    Raises
    ------
    BadValue
        When nothing varies, or the count is no power of two of at least 64.
    """
    if count < 64 or count & (count - 1):
        raise BadValue(f"{count} draws in a set: give a power of two from 64 on.")
    groups = groups_of(study)
    if not groups:
        raise BadValue("Nothing varies, so there is no variance to share.")
    evaluate = Evaluator(study, (result,), 0.0, way, count * (len(groups) + 2))
    draws = Draws(study, seed)
    evaluate.verify(next(draws.blocks(0, 64)))

    def worked_out(uniforms):
        size = 4096
        parts = [
            evaluate(draws.block(np.ascontiguousarray(uniforms[:, s : s + size])))
            for s in range(0, uniforms.shape[1], size)
        ]
        return np.concatenate([part[result] for part in parts])

    return crossed(worked_out, groups, draws.dimensions, count, seed)


def crossed(worked_out, groups, dimensions, count, seed):
    """Cross two sets of draws group by group and share out the variance.

    Parameters
    ----------
    worked_out : callable
        Gives results, shape (n,), for numbers between 0 and 1, shape (dimensions, n).
    groups : list of (tuple of str, list of int)
    dimensions, count, seed : int

    Returns
    -------
    shares : list of Share
    """
    from scipy.stats.qmc import Sobol

    sequence = Sobol(2 * dimensions, rng=np.random.default_rng([int(seed), 1]))
    both = np.ascontiguousarray(sequence.random(count).T) + CELL / 2
    # Neighbours make a pair: its numbers for dimensions far apart are not independent
    # while there are few of them (Joe & Kuo 2008 look after near ones).
    first, second = both[::2], both[1::2]
    at_first, at_second = worked_out(first), worked_out(second)
    if np.ptp(at_first) == 0:
        raise BadValue("The result does not vary, so there is no variance to share.")
    if len(groups) == 1:
        return [Share(groups[0][0], 1.0, 1.0, 0.0, 0.0)]
    mixed = np.empty((len(groups), 1, count))
    for place, (_, columns) in enumerate(groups):
        swapped = first.copy()
        swapped[columns] = second[columns]
        mixed[place, 0] = worked_out(swapped)
    middle = np.mean(np.concatenate([at_first, at_second]))
    values = (at_first[None] - middle, at_second[None] - middle, mixed - middle)
    alone, total = _indices(*values)
    again = np.random.default_rng([int(seed), 2]).integers(0, count, (RESAMPLED, count))
    resampled = np.array([_indices(*(v[..., p] for v in values)) for p in again])
    errors = resampled.std(axis=0, ddof=1)
    shares = [
        Share(names, *(float(v[place]) for v in (alone, total, *errors)))
        for place, (names, _) in enumerate(groups)
    ]
    return sorted(shares, key=lambda share: -share.total)


def _indices(at_first, at_second, mixed):
    """First-order and total index of every group, by scipy's estimators."""
    from scipy.stats import sobol_indices

    given = {"f_A": at_first, "f_B": at_second, "f_AB": mixed}
    found = sobol_indices(func=given, n=at_first.shape[-1])
    return np.ravel(found.first_order), np.ravel(found.total_order)
