"""Value of information of more assays or test lots, by preposterior analysis.

The outcome of an assay or a test lot is unknown beforehand. But the probability of each
outcome and the decision after it can be calculated (Raiffa & Schlaifer 1961, Applied
Statistical Decision Theory). The expected value of sample information is the mean gain
of that decision over deciding now.
"""

import math
from dataclasses import dataclass

import numpy as np

from ..errors import BadValue
from .draws import BLOCK, Draws
from .evaluate import Evaluator
from .range_warnings import without_range_warnings

NODES = 33
"""Values of the input at which the expected net present value is calculated."""

REACH = 4.0
"""Range of these values, in standard deviations of the score."""

COUNTS = (1, 2, 4, 8, 16, 32, 64)
"""Numbers of measurements."""

OUTCOMES = 2000
"""Outcomes of the measurements to average over."""


@dataclass(frozen=True)
class ValueOfInformation:
    """Value of measuring one input.

    Attributes
    ----------
    name : str
    expected_value : float
        Expected net present value of going ahead without further measurement, $.
    value_without_information : float
        The same, or zero if the decision is not to go ahead, $.
    perfect_information : float
        Expected value of perfect information, $.
    counts : tuple of int
        Numbers of measurements.
    gains : tuple of float
        Expected gain from each number of measurements, $.
    costs : tuple of float
        $.
    noise : float
        Standard deviation of one measurement, in standard deviations of the input.
    best : int
        Number of measurements with the largest net gain; 0 if none is positive.
    """

    name: str
    expected_value: float
    value_without_information: float
    perfect_information: float
    counts: tuple[int, ...]
    gains: tuple[float, ...]
    costs: tuple[float, ...]
    noise: float
    best: int

    @property
    def net(self) -> tuple[float, ...]:
        """Net gain for every number of measurements, $."""
        pairs = zip(self.gains, self.costs, strict=True)
        return tuple(gain - cost for gain, cost in pairs)

    def mark(self, count: int) -> str:
        """Mark the best number; at the end of the table the best may be larger."""
        if count != self.best:
            return ""
        return "optimum" if count < self.counts[-1] else f"optimum: {count} or more"


@without_range_warnings()
def value_of_information(study, name, variation, cost_each, trials=512, seed=0):
    """Expected gain from measuring an input before committing the capital.

    The decision is to go ahead if the expected net present value is positive. The input
    is taken as normal in its score (a lognormal input: in its logarithm). Each
    measurement is the true value plus an independent normal error.

    Parameters
    ----------
    study : Study
    name : str
        An input that varies: ``ore_grade`` for assays, ``gravity_recovery`` for test
        lots.
    variation : float
        Coefficient of variation of one measurement around the true value.
    cost_each : float, optional
        Cost per measurement, $. Without it, the net gain is NaN and the best number 0.
    trials, seed : int
        Draws of all other inputs, the same at each value of the input.

    Returns
    -------
    value : ValueOfInformation

    Raises
    ------
    BadValue
        For numbers out of range.
    """
    cost_each = np.nan if cost_each is None else cost_each
    if not 0 < variation < np.inf or cost_each < 0:
        raise BadValue(
            f"Coefficient of variation {variation:g} and cost {cost_each:g} $: enter a "
            "coefficient above 0 and finite, and a cost of 0 or more."
        )
    how = study.distributions[name]
    noise = variation * abs(how.middle()) / how.spread()
    scores = np.linspace(-REACH, REACH, NODES)
    values = _expected_values(study, name, scores, trials, seed)
    return gain_by_count(name, scores, values, noise, COUNTS, cost_each)


def _expected_values(study, name, scores, trials, seed):
    """Expected net present value at each score of an input."""
    from scipy.special import ndtr

    results, count = ("net_present_value",), trials * len(scores)
    evaluate = Evaluator(study, results, 0.0, count)
    draws = Draws(study, seed)
    evaluate.verify(next(draws.blocks(0, 64)))
    row = study.names.index(name)
    (uniforms,) = draws.uniforms(0, trials)
    values = []
    for some in np.array_split(scores, math.ceil(count / BLOCK)):
        moved = np.tile(uniforms, len(some))
        moved[row] = np.repeat(ndtr(some), trials)
        worth = evaluate(draws.block(moved))["net_present_value"]
        values += list(np.mean(worth.reshape(len(some), trials), axis=1))
    return np.array(values)


def gain_by_count(name, scores, values, noise, counts, cost_each=0.0):
    """Expected gain from measurements, from the expected value along one score.

    Parameters
    ----------
    name : str
    scores : ndarray
        Standard normal scores of the input, ascending.
    values : ndarray
        Expected net present value at each score, $.
    noise : float
        Standard deviation of one measurement, in scores.
    counts : sequence of int
    cost_each : float
        $.

    Returns
    -------
    value : ValueOfInformation
    """
    from scipy.interpolate import PchipInterpolator
    from scipy.special import ndtri

    value = PchipInterpolator(scores, values, extrapolate=False)
    outcomes = ndtri((np.arange(OUTCOMES) + 0.5) / OUTCOMES)

    def expected(middle, deviation):
        nodes, weights = np.polynomial.hermite_e.hermegauss(41)
        at = middle[:, None] + deviation * nodes
        at_nodes = value(np.clip(at, scores[0], scores[-1]))
        return at_nodes @ weights / weights.sum()

    now = float(expected(np.zeros(1), 1.0)[0])
    value_now = max(now, 0.0)
    gains = []
    for count in counts:
        # One measurement leaves 1 / (1 + 1 / noise²) of the variance of the score.
        variance_left = 1 / (1 + count / noise**2)
        means = expected(np.sqrt(1 - variance_left) * outcomes, np.sqrt(variance_left))
        gains.append(max(float(_mean_above_zero(means)) - value_now, 0.0))
    exact = value(np.clip(outcomes, scores[0], scores[-1]))
    perfect = max(float(_mean_above_zero(exact)) - value_now, 0.0)
    costs = tuple(cost_each * count for count in counts)
    net = [gain - cost for gain, cost in zip(gains, costs, strict=True)]
    best = int(np.argmax(net))
    return ValueOfInformation(
        name=name,
        expected_value=now,
        value_without_information=value_now,
        perfect_information=perfect,
        counts=tuple(int(count) for count in counts),
        gains=tuple(gains),
        costs=costs,
        noise=float(noise),
        best=int(counts[best]) if net[best] > 0 else 0,
    )


def _mean_above_zero(values):
    """Mean, with zero for outcomes after which the decision is not to go ahead."""
    return np.mean(np.maximum(values, 0.0))
