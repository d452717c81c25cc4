"""Sobol' indices: the share of the variance of a result due to each input."""

from dataclasses import dataclass

import numpy as np

from ..errors import BadValue
from ..model.inputs import INPUTS
from .draws import CELL, Draws
from .evaluate import Evaluator
from .range_warnings import without_range_warnings

RESULT = "net_present_value"
RESAMPLED = 64
"""Bootstrap resamples for the standard errors."""


@dataclass(frozen=True)
class SobolIndex:
    """Sobol' indices of one input, or of a group of correlated inputs.

    Attributes
    ----------
    names : tuple of str
        One input, or several that are correlated.
    first_order, total : float
        Share of the variance due to the input alone, and with its interactions.
    first_order_error, total_error : float
        Standard errors.
    """

    names: tuple[str, ...]
    first_order: float
    total: float
    first_order_error: float
    total_error: float

    @property
    def label(self) -> str:
        """Label of the input, or of the correlated inputs."""
        names = (INPUTS[name].label if name in INPUTS else name for name in self.names)
        return " with ".join(names)


PATH = "gold price path"
OTHERS = "All other inputs"


def groups_of(study, separate=None):
    """Groups of correlated inputs.

    Parameters
    ----------
    study : Study
    separate : collection of str, optional
        Inputs with groups of their own; all others form one group, the last.
        Default: all inputs.

    Returns
    -------
    groups : list of (tuple of str, list of int)
        Names, and the indices of their uniform numbers.
    """
    member = {name: {name} for name in study.names}
    for first, second in study.correlations:
        joined = member[first] | member[second]
        for name in joined:
            member[name] = joined
    places = {name: place for place, name in enumerate(study.names)}
    found, others, done = [], [], set()
    for name in study.names:
        if name in done:
            continue
        group = tuple(n for n in study.names if n in member[name])
        done.update(group)
        if separate is None or member[name] & set(separate):
            found.append((group, [places[n] for n in group]))
        else:
            others += [places[n] for n in group]
    if study.path:
        walk = range(len(study.names), len(study.names) + study.walks)
        found.append(((PATH,), list(walk)))
    return [*found, ((OTHERS,), others)] if others else found


@without_range_warnings()
def sobol_indices(study, count=1024, seed=0, separate=None):
    """Sobol' indices of the net present value, by input.

    Two samples are crossed, one input at a time (Saltelli et al. 2010, Computer
    Physics Communications 181, 259-270; total index after Jansen 1999, the same 117,
    35-43); the errors are from resampling.

    Parameters
    ----------
    study : Study
    count : int
        Draws in each sample, a power of two of at least 64. The model is calculated
        ``count`` times the number of groups plus two.
    seed : int
    separate : collection of str, optional
        Inputs with groups of their own; all others form one group. Default: all.

    Returns
    -------
    indices : list of SobolIndex
        Largest total first.

    Raises
    ------
    BadValue
        If the net present value does not vary.
    """
    groups = groups_of(study, separate)
    evaluate = Evaluator(study, (RESULT,), 0.0, count * (len(groups) + 2))
    draws = Draws(study, seed)
    evaluate.verify(next(draws.blocks(0, 64)))

    def calculated(uniforms):
        size = 4096
        parts = [
            evaluate(draws.block(np.ascontiguousarray(uniforms[:, s : s + size])))
            for s in range(0, uniforms.shape[1], size)
        ]
        return np.concatenate([part[RESULT] for part in parts])

    return crossed(calculated, groups, draws.dimensions, count, seed)


def crossed(calculated, groups, dimensions, count, seed):
    """Cross two samples group by group and estimate the indices.

    Parameters
    ----------
    calculated : callable
        Function from numbers between 0 and 1, shape (dimensions, n), to results (n,).
    groups : list of (tuple of str, list of int)
    dimensions, count, seed : int

    Returns
    -------
    indices : list of SobolIndex
    """
    from scipy.stats.qmc import Sobol

    sequence = Sobol(2 * dimensions, rng=np.random.default_rng([int(seed), 1]))
    both = np.ascontiguousarray(sequence.random(count).T) + CELL / 2
    # Neighbouring dimensions form a pair: with few draws, distant ones are correlated
    # (Joe & Kuo 2008 optimise near ones).
    first, second = both[::2], both[1::2]
    at_first, at_second = calculated(first), calculated(second)
    if np.ptp(at_first) == 0:
        raise BadValue("The result does not vary, so there are no Sobol' indices.")
    if len(groups) == 1:
        return [SobolIndex(groups[0][0], 1.0, 1.0, 0.0, 0.0)]
    mixed = np.empty((len(groups), 1, count))
    for place, (_, columns) in enumerate(groups):
        swapped = first.copy()
        swapped[columns] = second[columns]
        mixed[place, 0] = calculated(swapped)
    middle = np.mean(np.concatenate([at_first, at_second]))
    values = (at_first[None] - middle, at_second[None] - middle, mixed - middle)
    first_order, total = _indices(*values)
    again = np.random.default_rng([int(seed), 2]).integers(0, count, (RESAMPLED, count))
    resampled = np.array([_indices(*(v[..., p] for v in values)) for p in again])
    errors = resampled.std(axis=0, ddof=1)
    indices = [
        SobolIndex(names, *(float(v[place]) for v in (first_order, total, *errors)))
        for place, (names, _) in enumerate(groups)
    ]
    return sorted(indices, key=lambda index: -index.total)


def _indices(at_first, at_second, mixed):
    """First-order and total index of every group, by SciPy's estimators."""
    from scipy.stats import sobol_indices

    given = {"f_A": at_first, "f_B": at_second, "f_AB": mixed}
    found = sobol_indices(func=given, n=at_first.shape[-1])
    return np.ravel(found.first_order), np.ravel(found.total_order)
