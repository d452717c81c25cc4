"""What it is worth to know more before the capital is committed.

Before an assay or a test lot its outcome is unknown; but how the decision would go
for each outcome, and how likely each is, can be worked out (preposterior analysis:
Raiffa & Schlaifer 1961, Applied Statistical Decision Theory). What the better
decision gains on average, over deciding today, is the worth of the measure.
"""

from dataclasses import dataclass

import numpy as np

from ..errors import BadValue
from .draws import Draws
from .evaluate import Evaluator
from .quiet import quietly

NODES = 33
"""Values of the input at which the worth of the plan is worked out."""

REACH = 4.0
"""How far they reach, in standard deviations of the score."""

OUTCOMES = 2000
"""Outcomes of the measures over which the decision is averaged."""


@dataclass(frozen=True)
class Knowing:
    """What measures of one input are worth.

    Attributes
    ----------
    name : str
    worth_now : float
        Expected net present value of going ahead without knowing more.
    decided_now : float
        The same, or zero where one would leave it.
    perfect : float
        Worth of knowing the input exactly (expected value of perfect information).
    counts : tuple of int
    gains : tuple of float
        Expected gain from that many measures.
    costs : tuple of float
    noise : float
        Scatter of one measure over the present uncertainty of the input.
    best : int
        The count with the largest gain less cost; 0 when none pays.
    """

    name: str
    worth_now: float
    decided_now: float
    perfect: float
    counts: tuple
    gains: tuple
    costs: tuple
    noise: float
    best: int

    @property
    def net(self):
        """Gain less cost, for every count."""
        pairs = zip(self.gains, self.costs, strict=True)
        return tuple(gain - cost for gain, cost in pairs)


@quietly
def worth_of_knowing(
    study,
    name,
    scatter,
    cost_each,
    counts=(1, 2, 4, 8, 16, 32, 64),
    fixed_cost=0.0,
    trials=512,
    seed=0,
    way="auto",
):
    """Expected gain from measuring an input before committing the capital.

    One goes ahead when the expected net present value is above zero, and leaves it
    else. The input's uncertainty is taken as normal in its score (for a lognormal
    input: in its logarithm), and each measure as the truth plus an independent
    normal error.

    Parameters
    ----------
    study : Study
    name : str
        An uncertain input, such as ``head_grade`` for assays or
        ``gravity_recovery`` for test lots.
    scatter : float
        Standard deviation of one measure around the truth, relative to the truth:
        coefficient of variation of the assays, or of the lots.
    cost_each, fixed_cost : float
        Of one measure, and of measuring at all; not-a-number where it is not known,
        and then there is no net and no best count.
    counts : sequence of int
    trials, seed : int
        Draws of everything else, the same at each value of the input.
    way : {"auto", "numpy", "kernel"}

    Returns
    -------
    knowing : Knowing

    Raises
    ------
    BadValue
        For an input that is not uncertain, or figures below zero.
    """
    if name not in study.spreads:
        raise BadValue(
            f"{name} is not uncertain here, so there is nothing to learn of it."
        )
    if not 0 < scatter < np.inf or cost_each < 0 or fixed_cost < 0 or not counts:
        raise BadValue(
            f"Scatter {scatter:g}, cost {cost_each:g} and {fixed_cost:g}: the scatter "
            "of a measure must be above zero and finite, costs not below zero."
        )
    if any(count < 1 or count != int(count) for count in counts):
        raise BadValue("Counts of measures are whole numbers from 1 on.")
    how = study.spreads[name]
    noise = scatter * abs(how.middle()) / how.spread()
    scores = np.linspace(-REACH, REACH, NODES)
    worths = _worths(study, name, scores, trials, seed, way)
    return gain_by_count(name, scores, worths, noise, counts, cost_each, fixed_cost)


def _worths(study, name, scores, trials, seed, way):
    """Expected net present value at each score of an input."""
    from scipy.special import ndtr

    evaluate = Evaluator(study, ("net_present_value",), 0.0, way, trials * len(scores))
    draws = Draws(study, seed)
    evaluate.verify(next(draws.blocks(0, 64)))
    row = study.names.index(name)
    (uniforms,) = draws.uniforms(0, trials)
    worths = []
    for score in scores:
        moved = uniforms.copy()
        moved[row] = ndtr(score)
        block = draws.block(moved)
        worths.append(float(np.mean(evaluate(block)["net_present_value"])))
    return np.array(worths)


def gain_by_count(name, scores, worths, noise, counts, cost_each=0.0, fixed_cost=0.0):
    """Expected gain from measures, from the worth of the plan along one score.

    Parameters
    ----------
    name : str
    scores : ndarray
        Standard normal scores of the input, rising.
    worths : ndarray
        Expected worth of going ahead at each.
    noise : float
        Standard deviation of one measure, in scores.
    counts : sequence of int
    cost_each, fixed_cost : float

    Returns
    -------
    knowing : Knowing
    """
    from scipy.interpolate import PchipInterpolator
    from scipy.special import ndtri

    worth = PchipInterpolator(scores, worths, extrapolate=False)
    chances = (np.arange(OUTCOMES) + 0.5) / OUTCOMES
    outcomes = ndtri(chances)

    def expected(middle, deviation):
        nodes, weights = np.polynomial.hermite_e.hermegauss(41)
        at = middle[:, None] + deviation * nodes
        held = worth(np.clip(at, scores[0], scores[-1]))
        return held @ weights / weights.sum()

    now = float(expected(np.zeros(1), 1.0)[0])
    decided = max(now, 0.0)
    gains = []
    for count in counts:
        # One measure leaves 1 / (1 + 1 / noise²) of the variance of the score.
        left = 1 / (1 + count / noise**2)
        means = expected(np.sqrt(1 - left) * outcomes, np.sqrt(left))
        gains.append(max(float(_mean_above(means)) - decided, 0.0))
    exact = worth(np.clip(outcomes, scores[0], scores[-1]))
    perfect = max(float(_mean_above(exact)) - decided, 0.0)
    costs = tuple(fixed_cost + cost_each * count for count in counts)
    net = [gain - cost for gain, cost in zip(gains, costs, strict=True)]
    best = int(np.argmax(net))
    return Knowing(
        name,
        now,
        decided,
        perfect,
        tuple(int(count) for count in counts),
        tuple(gains),
        costs,
        float(noise),
        int(counts[best]) if net[best] > 0 else 0,
    )


def _mean_above(worths):
    """Mean of what is above zero, nothing where it is left."""
    return np.mean(np.maximum(worths, 0.0))
