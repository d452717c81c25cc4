"""Bayesian update of an input: prior, measurements, posterior.

Conjugate update of a normal mean with unknown variance (Gelman and others, Bayesian
Data Analysis, 3rd edition, section 3.3; Hoff 2009, A First Course in Bayesian
Statistical Methods, chapter 5). A lognormal quantity is normal in its logarithm, a
share in its logit.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy import stats

Z = 1.2815515655446004
"""Standard normal quantile at 90%: a low and a high are P10 and P90."""
WIDER = 1.286
"""Factor on the standard deviation that an expert's low and high imply: 80% ranges
contained 68.1% (Speirs-Bridge and others 2010, Risk Analysis 30, 512)."""
SCALES = {
    # scale: transform, inverse
    "normal": (lambda x: x, lambda x: x),
    "lognormal": (np.log, np.exp),
    "logit": (lambda x: np.log(x / (1 - x)), lambda x: 1 / (1 + np.exp(-x))),
}


@dataclass(frozen=True)
class NormalInverseChiSquared:
    """Distribution of the mean and variance of a normal quantity.

    Attributes
    ----------
    mean : float
    weight : float
        Weight of the mean, in measurements (kappa).
    degrees : float
        Weight of the variance, in degrees of freedom (nu).
    variance : float
        Of one measurement.
    scale : {"normal", "lognormal", "logit"}
        On which the quantity is normal.
    count : int
        Measurements so far.
    """

    mean: float
    weight: float
    degrees: float
    variance: float
    scale: str = "normal"
    count: int = 0

    def update(self, values):
        """The posterior after some measurements.

        Parameters
        ----------
        values : array_like
            Untransformed.
        """
        found = SCALES[self.scale][0](np.asarray(values, float))
        count = len(found)
        if not count:
            return self
        average = float(np.mean(found))
        weight, degrees = self.weight + count, self.degrees + count
        spread = self.degrees * self.variance + float(np.sum((found - average) ** 2))
        spread += self.weight * count / weight * (average - self.mean) ** 2
        return replace(
            self,
            mean=(self.weight * self.mean + count * average) / weight,
            weight=weight,
            degrees=degrees,
            variance=spread / degrees,
            count=self.count + count,
        )

    def quantile(self, share):
        """Quantile of the mean."""
        spread = math.sqrt(self.variance / self.weight)
        return self._from_scale(share, spread)

    def predictive_quantile(self, share):
        """Quantile of the next measurement."""
        spread = math.sqrt(self.variance * (1 + 1 / self.weight))
        return self._from_scale(share, spread)

    def _from_scale(self, share, spread):
        score = self.mean + spread * stats.t.ppf(share, self.degrees)
        return float(SCALES[self.scale][1](score))

    @property
    def median(self):
        """Median of the quantity."""
        return float(SCALES[self.scale][1](self.mean))

    def score(self, value):
        """Standardized prediction error of a measurement."""
        found = float(SCALES[self.scale][0](value))
        return (found - self.mean) / math.sqrt(self.variance * (1 + 1 / self.weight))


def prior_of(value, low, high, scale, scatter, degrees=3.0):
    """Prior of an input from its value, low and high.

    Parameters
    ----------
    value, low, high : float
    scale : {"normal", "lognormal", "logit"}
    scatter : float
        Standard deviation of one lot about the mean, on the scale.
    degrees : float
        Weight of that scatter, in lots.

    Returns
    -------
    prior : NormalInverseChiSquared
    """
    to = SCALES[scale][0]
    spread = WIDER * float(to(high) - to(low)) / (2 * Z)
    weight = (scatter / spread) ** 2 if spread > 0 else 1e6
    return NormalInverseChiSquared(float(to(value)), weight, degrees, scatter**2, scale)


def cusum(scores, slack=0.5):
    """Two-sided tabular CUSUM.

    Parameters
    ----------
    scores : sequence of float
        Standardized differences.
    slack : float
        Half of the shift to detect, in standard deviations.

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
