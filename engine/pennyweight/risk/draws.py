"""Draws of the uncertain inputs, by randomized quasi-Monte Carlo.

The draws are independent scrambled replicates of a Sobol sequence. The variance between
replicates gives the standard error of any statistic. The seed fixes all draws.
"""

import warnings
from dataclasses import dataclass

import numpy as np

from ..errors import BadValue
from ..model.inputs import INPUTS, inputs_in
from ..model.rules import RULES, check_rules
from . import gold_price
from .study import score_matrix

REPLICATES = 16
"""Independent randomized replicates."""

BLOCK = 4096
"""Trials in a block, which fits the processor's cache."""

LEAST = REPLICATES * 16
MOST = REPLICATES * 2**24
CELL = 2.0**-30
"""Resolution of the Sobol sequence."""

HALVINGS = 40
"""Bisection steps between the base case and a draw that breaks a rule."""


@dataclass
class Trials:
    """Inputs of some trials.

    Attributes
    ----------
    values : dict of str to ndarray
        Of each uncertain input.
    count : int
    prices : ndarray or None
        Gold price by month, $/oz, shape (120, n).
    clipped, adjusted : int
        Trials in which an input was set to its bound, or inputs that contradict one
        another were adjusted toward the base case.
    """

    values: dict
    count: int
    prices: object = None
    clipped: int = 0
    adjusted: int = 0


def check_trials(trials):
    """Check the number of trials.

    Parameters
    ----------
    trials : int

    Returns
    -------
    each : int
        Trials in each replicate, a power of two.

    Raises
    ------
    BadValue
    """
    if not LEAST <= trials <= MOST:
        raise BadValue(
            f"Trials: {trials:,} is out of range. Enter a number from {LEAST} to "
            f"{MOST:,}."
        )
    return 1 << int(np.ceil(np.log2(trials / REPLICATES)))


class Draws:
    """The draws of a study.

    Parameters
    ----------
    study : Study
    seed : int
    """

    def __init__(self, study, seed=0):
        self.study = study
        self.dimensions = len(study.names) + study.walks
        self.seed = seed
        self.correlated, matrix = score_matrix(study)
        self.mix = _root(matrix)
        table = inputs_in(study.inputs)
        self.bounds = {
            name: (table[name].kind == "whole", *table[name].within(study.units))
            for name in (*study.names, "gold_price")
        }

    def blocks(self, replicate, count):
        """Trials of one replicate, block by block.

        Parameters
        ----------
        replicate : int
        count : int
            Number of trials.

        Yields
        ------
        block : Trials
        """
        for uniforms in self.uniforms(replicate, count):
            yield self.block(uniforms)

    def uniforms(self, replicate, count):
        """Uniform numbers between 0 and 1 for the trials, block by block."""
        # A new seed sequence each time, since scipy's engine spawns from it.
        seeds = np.random.SeedSequence(self.seed, spawn_key=(replicate,))
        generator = np.random.default_rng(seeds)
        from scipy.stats.qmc import Sobol

        # At least one dimension, even if nothing varies.
        sequence = Sobol(max(self.dimensions, 1), rng=generator)
        for start in range(0, count, BLOCK):
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", UserWarning)
                points = sequence.random(min(BLOCK, count - start)).T
            yield np.ascontiguousarray(points[: self.dimensions]) + CELL / 2

    def block(self, uniforms):
        """Inputs from uniform numbers.

        Parameters
        ----------
        uniforms : ndarray
            Shape (dimensions, n).

        Returns
        -------
        block : Trials
        """
        names = self.study.names
        chances = dict(zip(names, uniforms, strict=False))
        self._correlate(chances)
        clipped = np.zeros(uniforms.shape[1], bool)
        values = {
            name: self._within(name, how.quantile(chances[name]), clipped)
            for name, how in self.study.distributions.items()
        }
        adjusted = keep_rules(values, self.study.inputs)
        # What cannot be adjusted is refused here, for the kernel and NumPy alike.
        check_rules({**self.study.inputs, **values}, units=self.study.units)
        prices = self._prices(uniforms[len(names) :], clipped)
        return Trials(values, len(clipped), prices, int(clipped.sum()), adjusted)

    def _correlate(self, chances):
        if not self.correlated:
            return
        from scipy.special import ndtr, ndtri

        scores = ndtri(np.stack([chances[name] for name in self.correlated]))
        mixed = ndtr(self.mix @ scores)
        mixed = np.clip(mixed, CELL / 2, 1 - CELL / 2)
        chances.update(zip(self.correlated, mixed, strict=True))

    def _within(self, name, values, clipped):
        """Clip values to the bounds of their input, and mark the trials clipped."""
        whole, low, high = self.bounds[name]
        if whole:
            values = np.floor(values + 0.5)
        outside = (values < low) | (values > high)
        clipped |= np.atleast_2d(outside).any(axis=0)
        return np.clip(values, low, high)

    def _prices(self, uniforms, clipped):
        if not self.study.path:
            return None
        from scipy.special import ndtri

        today = self.study.inputs["gold_price"]
        prices = gold_price.path(today, self.study.volatility, ndtri(uniforms))[:-1]
        return self._within("gold_price", prices, clipped)


def _root(matrix):
    """A square root of a correlation matrix that may be singular."""
    values, vectors = np.linalg.eigh(matrix)
    return vectors * np.sqrt(np.maximum(values, 0)) @ vectors.T


def keep_rules(values, base):
    """Adjust draws that contradict one another toward the base case, in place.

    Parameters
    ----------
    values : dict of str to ndarray
    base : mapping
        All inputs of the base case, which comply with the rules.

    Returns
    -------
    adjusted : int
        Number of trials changed.
    """
    adjusted = np.zeros(len(next(iter(values.values()), ())), bool)
    for names, holds, _ in RULES:
        moving = [name for name in names if name in values]
        if not moving:
            continue
        tested = {name: values.get(name, base[name]) for name in names}
        valid = np.broadcast_to(holds(*tested.values()), adjusted.shape)
        broken = np.flatnonzero(~valid)
        if broken.size:
            adjusted[broken] = True
            _adjust(values, base, names, moving, holds, broken)
    return int(adjusted.sum())


def _adjust(values, base, names, moving, holds, broken):
    """Bisect between the base case and the draw to the point where the rule holds."""
    drawn = {name: values[name][broken] for name in moving}
    kept, lost = np.zeros(broken.size), np.ones(broken.size)

    def at(share):
        return {
            name: base[name] + share * (drawn[name] - base[name])
            if name in drawn
            else base[name]
            for name in names
        }

    for _ in range(HALVINGS):
        half = (kept + lost) / 2
        valid = np.asarray(holds(*at(half).values()))
        kept, lost = np.where(valid, half, kept), np.where(valid, lost, half)
    for name, value in at(kept).items():
        if name in drawn:
            whole = INPUTS[name].kind == "whole"
            values[name][broken] = base[name] if whole else value
