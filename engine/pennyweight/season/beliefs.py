"""What is believed of a figure, and what measurements make of it.

Conjugate updates of a normal mean with unknown scatter (Gelman and others, Bayesian
Data Analysis, 3rd edition, section 3.3; Hoff 2009, A First Course in Bayesian
Statistical Methods, chapter 5). Lognormal figures are normal in their logarithm, shares
in their logit.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy import stats

Z = 1.2815515655446004
"""Normal score of 90%: a low and a high are P10 and P90."""
WIDER = 1.286
"""Standard deviation over the one that an expert's low and high state: 80% ranges held
68.1% (Speirs-Bridge and others 2010, Risk Analysis 30, 512)."""
SCALES = {
    # scale: to it, and back
    "normal": (lambda x: x, lambda x: x),
    "lognormal": (np.log, np.exp),
    "logit": (lambda x: np.log(x / (1 - x)), lambda x: 1 / (1 + np.exp(-x))),
}


@dataclass(frozen=True)
class Belief:
    """A normal figure with unknown mean and scatter (normal-inverse-chi-squared).

    Attributes
    ----------
    mean : float
    worth : float
        What is believed of the mean, in measurements (kappa).
    degrees : float
        What is believed of the scatter, in degrees of freedom (nu).
    variance : float
        Scatter squared, as believed.
    scale : {"normal", "lognormal", "logit"}
        Of the figure itself.
    count : int
        Measurements so far.
    """

    mean: float
    worth: float
    degrees: float
    variance: float
    scale: str = "normal"
    count: int = 0

    def learn(self, values):
        """The belief after some measurements.

        Parameters
        ----------
        values : array_like
            The figures themselves, not on the scale.
        """
        found = SCALES[self.scale][0](np.asarray(values, float))
        count = len(found)
        if not count:
            return self
        average = float(np.mean(found))
        worth, degrees = self.worth + count, self.degrees + count
        spread = self.degrees * self.variance + float(np.sum((found - average) ** 2))
        spread += self.worth * count / worth * (average - self.mean) ** 2
        return replace(
            self,
            mean=(self.worth * self.mean + count * average) / worth,
            worth=worth,
            degrees=degrees,
            variance=spread / degrees,
            count=self.count + count,
        )

    def quantile(self, share):
        """Of the mean: the figure below which it is with some probability."""
        spread = math.sqrt(self.variance / self.worth)
        return self._at(share, spread)

    def next_quantile(self, share):
        """Of the next measurement."""
        spread = math.sqrt(self.variance * (1 + 1 / self.worth))
        return self._at(share, spread)

    def _at(self, share, spread):
        score = self.mean + spread * stats.t.ppf(share, self.degrees)
        return float(SCALES[self.scale][1](score))

    @property
    def median(self):
        """Of the figure."""
        return float(SCALES[self.scale][1](self.mean))

    def score(self, value):
        """How far a measurement is from what was expected, in its own scatter."""
        found = float(SCALES[self.scale][0](value))
        return (found - self.mean) / math.sqrt(self.variance * (1 + 1 / self.worth))


def belief_of(value, low, high, scale, scatter, degrees=3.0):
    """What a plan's figure with its low and high says.

    Parameters
    ----------
    value, low, high : float
    scale : {"normal", "lognormal", "logit"}
    scatter : float
        Standard deviation of one lot about the mean, on the scale.
    degrees : float
        What that scatter is worth, in lots.

    Returns
    -------
    belief : Belief
    """
    to = SCALES[scale][0]
    spread = WIDER * float(to(high) - to(low)) / (2 * Z)
    worth = (scatter / spread) ** 2 if spread > 0 else 1e6
    return Belief(float(to(value)), worth, degrees, scatter**2, scale)


def cusum(scores, slack=0.5):
    """Tabular cumulative sums, two-sided.

    Parameters
    ----------
    scores : sequence of float
        Standardised differences.
    slack : float
        Half of the shift to be found, in standard deviations.

    Returns
    -------
    up, down : list of float

    Examples
    --------
    >>> values = (102.0, 94.8, 98.3, 98.4, 102.0, 98.5)
    >>> up, down = cusum([value - 99 for value in values], 1)
    >>> [round(x, 1) for x in up], [round(x, 1) for x in down]
    ([2.0, 0.0, 0.0, 0.0, 2.0, 0.5], [0.0, 3.2, 2.9, 2.5, 0.0, 0.0])
    """
    up, down, above, below = [], [], 0.0, 0.0
    for score in scores:
        above = max(0.0, above + score - slack)
        below = max(0.0, below - score - slack)
        up.append(above)
        down.append(below)
    return up, down
