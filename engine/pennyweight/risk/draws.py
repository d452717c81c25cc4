"""Draws of the uncertain inputs: quasi-random, scrambled, the same for the same seed.

Draws come in several independent scrambles of a Sobol sequence, so that the scatter
between them tells the error of any figure; and in blocks that fit the cache.
"""

import warnings
from dataclasses import dataclass

import numpy as np

from ..errors import BadValue
from ..model.inputs import INPUTS
from ..model.rules import RULES, check_rules
from . import price
from .distributions import Triangular, triangular_quantile
from .study import score_matrix

SCRAMBLES = 16
"""Independent repetitions."""

BLOCK = 4096
"""Trials in a block."""

LEAST = SCRAMBLES * 16
MOST = SCRAMBLES * 2**24
CELL = 2.0**-30
"""Distance between the numbers that the sequence can give."""

PULLS = 40
"""Halvings of the way back to the plan; 2^-40 of it is left."""


@dataclass
class Block:
    """Some trials.

    Attributes
    ----------
    values : dict of str to ndarray
        Of each uncertain input.
    count : int
    prices : ndarray or None
        Gold price by month, shape (121, n).
    clipped, pulled : int
        Trials in which an input was set to its bound, and in which inputs that
        contradicted one another were pulled back towards the plan.
    """

    values: dict
    count: int
    prices: object = None
    clipped: int = 0
    pulled: int = 0


def check_trials(trials):
    """Hold the number of trials to what makes sense.

    Parameters
    ----------
    trials : int

    Returns
    -------
    each : int
        Trials in each scramble, a power of two.

    Raises
    ------
    BadValue
    """
    if not LEAST <= trials <= MOST:
        raise BadValue(
            f"{trials} trials: give from {LEAST} to {MOST:,}; fewer say nothing about "
            "chance."
        )
    return 1 << int(np.ceil(np.log2(trials / SCRAMBLES)))


class Draws:
    """The draws of a study.

    Parameters
    ----------
    study : Study
    seed : int
    quasi : bool
        False for plain random numbers, to compare.
    fast : bool
        Whether to draw by compiled code, which needs numba and gives the same.
    """

    def __init__(self, study, seed=0, quasi=True, fast=False):
        if not isinstance(seed, int | np.integer) or seed < 0:
            raise BadValue(f"The seed is {seed!r}; give a whole number from 0 on.")
        self.study, self.quasi = study, quasi
        self.dimensions = len(study.names) + study.walks
        self.seed = int(seed)
        self.correlated, matrix = score_matrix(study)
        self.mix = _root(matrix)
        self.triangles = _Triangles(study, fast)

    def blocks(self, scramble, count):
        """Give the trials of one scramble, block by block.

        Parameters
        ----------
        scramble : int
        count : int
            Trials in all.

        Yields
        ------
        block : Block
        """
        for uniforms in self.uniforms(scramble, count):
            yield self.block(uniforms)

    def uniforms(self, scramble, count):
        """Give the numbers between 0 and 1 behind the trials, block by block."""
        # A sequence of seeds of its own each time: scipy's engine takes from it.
        seeds = np.random.SeedSequence(self.seed, spawn_key=(scramble,))
        generator = np.random.default_rng(seeds)
        if self.quasi and self.dimensions:
            from scipy.stats.qmc import Sobol

            sequence = Sobol(self.dimensions, rng=generator)
        for start in range(0, count, BLOCK):
            size = min(BLOCK, count - start)
            if self.quasi and self.dimensions:
                with warnings.catch_warnings():
                    warnings.simplefilter("ignore", UserWarning)
                    points = np.ascontiguousarray(sequence.random(size).T)
                points += CELL / 2
                yield points
            else:
                points = generator.random((self.dimensions, size))
                yield np.maximum(points, CELL / 2)

    def block(self, uniforms):
        """Turn numbers between 0 and 1 into inputs.

        Parameters
        ----------
        uniforms : ndarray
            Shape (dimensions, n).

        Returns
        -------
        block : Block
        """
        names = self.study.names
        chances = dict(zip(names, uniforms, strict=False))
        self._correlate(chances)
        clipped = np.zeros(uniforms.shape[1], bool)
        values = self.triangles(chances)
        for name, how in self.study.spreads.items():
            if name not in values:
                values[name] = self._within(name, how.quantile(chances[name]), clipped)
        pulled = keep_rules(values, self.study.inputs)
        # What cannot be pulled back is refused, whoever works the model out.
        check_rules({**self.study.inputs, **values}, units=self.study.units)
        prices = self._prices(uniforms[len(names) :], clipped)
        return Block(values, len(clipped), prices, int(clipped.sum()), pulled)

    def _correlate(self, chances):
        if not self.correlated:
            return
        from scipy.special import ndtr, ndtri

        scores = ndtri(np.stack([chances[name] for name in self.correlated]))
        mixed = ndtr(self.mix @ scores)
        mixed = np.clip(mixed, CELL / 2, 1 - CELL / 2)
        chances.update(zip(self.correlated, mixed, strict=True))

    def _within(self, name, values, clipped):
        entry = INPUTS[name]
        if entry.kind == "whole":
            values = np.floor(values + 0.5)
        low, high = entry.within(self.study.units)
        outside = (values < low) | (values > high)
        if outside.any():
            clipped |= outside
            values = np.clip(values, low, high)
        return np.ascontiguousarray(values, float)

    def _prices(self, uniforms, clipped):
        if not self.study.path:
            return None
        from scipy.special import ndtri

        today = self.study.inputs["gold_price"]
        prices = price.path(today, self.study.volatility, ndtri(uniforms))
        low, high = INPUTS["gold_price"].within(self.study.units)
        outside = (prices < low) | (prices > high)
        clipped |= outside.any(axis=0)
        return np.clip(prices, low, high)


class _Triangles:
    """All triangular inputs at once, which is far faster than one by one."""

    def __init__(self, study, fast):
        self.fast = fast
        chosen = {
            name: how
            for name, how in study.spreads.items()
            if isinstance(how, Triangular) and INPUTS[name].kind != "whole"
        }
        self.names = tuple(chosen)
        corners = [(how.low, how.mode, how.high) for how in chosen.values()]
        self.corners = np.array(corners, float).reshape(-1, 3)

    def __call__(self, chances):
        """Values of the triangular inputs; their ends lie within the bounds."""
        if not self.names:
            return {}
        stacked = np.stack([chances[name] for name in self.names])
        if self.fast:
            from .kernel.triangles import compiled_triangles

            compiled_triangles()(stacked, self.corners, stacked)
        else:
            # Row by row: short arrays stay in the cache.
            for row, corners in zip(stacked, self.corners, strict=True):
                row[:] = triangular_quantile(row, *corners)
        return dict(zip(self.names, stacked, strict=True))


def _root(matrix):
    """A square root of a correlation matrix that may be singular."""
    values, vectors = np.linalg.eigh(matrix)
    return vectors * np.sqrt(np.maximum(values, 0)) @ vectors.T


def keep_rules(values, planned):
    """Pull draws that contradict one another back towards the plan, in place.

    Parameters
    ----------
    values : dict of str to ndarray
    planned : mapping
        All inputs; they keep the rules.

    Returns
    -------
    pulled : int
        Trials that were changed.
    """
    touched = np.zeros(len(next(iter(values.values()), ())), bool)
    for names, holds, _ in RULES:
        moving = [name for name in names if name in values]
        if not moving:
            continue
        here = {name: values.get(name, planned[name]) for name in names}
        broken = np.flatnonzero(~np.broadcast_to(holds(*here.values()), touched.shape))
        if broken.size:
            touched[broken] = True
            _pull(values, planned, names, moving, holds, broken)
    return int(touched.sum())


def _pull(values, planned, names, moving, holds, broken):
    """Halve the way from the plan to the draw until the rule is kept."""
    drawn = {name: values[name][broken] for name in moving}
    kept, lost = np.zeros(broken.size), np.ones(broken.size)

    def at(share):
        return {
            name: planned[name] + share * (drawn[name] - planned[name])
            if name in drawn
            else planned[name]
            for name in names
        }

    for _ in range(PULLS):
        half = (kept + lost) / 2
        fine = np.asarray(holds(*at(half).values()))
        kept, lost = np.where(fine, half, kept), np.where(fine, lost, half)
    for name, value in at(kept).items():
        if name in drawn:
            whole = INPUTS[name].kind == "whole"
            values[name][broken] = planned[name] if whole else value
