"""Probability distributions of inputs, given by their quantile functions.

Draws are quantiles of uniform random numbers (inverse transform sampling).
"""

from dataclasses import dataclass

import numpy as np

from ..errors import BadValue
from ..trade import lognormal, samples


class Distribution:
    """Base class: a quantile function, and the ends of the range if it is bounded."""

    ends = None
    """Lowest and highest value; None if unbounded."""

    def quantile(self, probability):
        """Value that a draw is below with a probability.

        Parameters
        ----------
        probability : array_like
            Between 0 and 1, both excluded.

        Returns
        -------
        value : ndarray
        """
        raise NotImplementedError

    def middle(self):
        """Median."""
        return float(self.quantile(np.float64(0.5)))

    def spread(self):
        """Half the range from the 15.9% to the 84.1% point: one standard deviation."""
        low, high = self.quantile(np.array([0.15865525393145707, 0.8413447460685429]))
        return float(high - low) / 2


def _finite(kind, **values):
    for name, value in values.items():
        if not np.isfinite(value):
            raise BadValue(f"{kind}: {name} is {value!r}. It must be a finite number.")


def _ordered(kind, low, mode, high):
    _finite(kind, low=low, mode=mode, high=high)
    if not low <= mode <= high:
        raise BadValue(
            f"{kind}: low {low:g}, most likely {mode:g}, high {high:g} are not in "
            "order. Give low, most likely, high."
        )


@dataclass(frozen=True)
class Uniform(Distribution):
    """Uniform between two ends."""

    low: float
    high: float

    def __post_init__(self):
        _ordered("uniform", self.low, (self.low + self.high) / 2, self.high)

    @property
    def ends(self):
        return self.low, self.high

    def quantile(self, probability):
        return self.low + (self.high - self.low) * np.asarray(probability)


@dataclass(frozen=True)
class _Estimated(Distribution):
    """Between low and high, with its mode at the most likely value."""

    low: float
    mode: float
    high: float

    def __post_init__(self):
        _ordered(type(self).__name__.lower(), self.low, self.mode, self.high)

    @property
    def ends(self):
        return self.low, self.high

    def quantile(self, probability):
        if self.low == self.high:
            return np.full(np.shape(probability), self.mode)
        return self._within(np.asarray(probability, float))


class Triangular(_Estimated):
    """Triangular between low and high, with its mode at the most likely value."""

    def _within(self, probability):
        width, left, right = (
            self.high - self.low,
            self.mode - self.low,
            self.high - self.mode,
        )
        falls = probability * width >= left
        # The distance from the nearer end grows with the root of the chance beyond.
        beyond = np.where(falls, 1 - probability, probability)
        beyond = np.sqrt(beyond * (np.where(falls, right, left) * width))
        return np.where(falls, self.high - beyond, self.low + beyond)


class Median(_Estimated):
    """Between low and high, as likely below the middle value as above it.

    Each side is half of a triangle with its peak at the middle value: of the logarithm
    if low is above zero, so that half as much is as far away as twice as much. Common
    practice; a triangle over a range with a long end has its mean far from its mode.
    """

    def _within(self, probability):
        below = probability < 0.5
        tail = np.where(below, probability, 1 - probability)
        away = 1 - np.sqrt(2 * tail)
        end = np.where(below, self.low, self.high)
        if self.low > 0:
            return self.mode * (end / self.mode) ** away
        return self.mode + (end - self.mode) * away


class Pert(_Estimated):
    """PERT: a beta distribution from low, most likely and high.

    Mean (low + 4 mode + high) / 6; Malcolm, Roseboom, Clark & Fazar 1959, Operations
    Research 7, 646-669.
    """

    def _within(self, probability):
        from scipy.special import betaincinv

        width = self.high - self.low
        first = 1 + 4 * (self.mode - self.low) / width
        return self.low + width * betaincinv(first, 6 - first, probability)


@dataclass(frozen=True)
class Normal(Distribution):
    """Normal, by mean and standard deviation."""

    mean: float
    deviation: float

    def __post_init__(self):
        _finite("normal", mean=self.mean, deviation=self.deviation)
        if self.deviation < 0:
            raise BadValue(
                f"normal: standard deviation {self.deviation:g}. It must be 0 or more."
            )

    def quantile(self, probability):
        from scipy.special import ndtri

        return self.mean + self.deviation * ndtri(probability)


@dataclass(frozen=True)
class Lognormal(Distribution):
    """Lognormal, by median and standard deviation of the natural logarithm."""

    median: float
    deviation: float

    def __post_init__(self):
        _finite("lognormal", median=self.median, deviation=self.deviation)
        if self.median <= 0 or self.deviation < 0:
            raise BadValue(
                f"lognormal: median {self.median:g}, standard deviation of the "
                f"logarithm {self.deviation:g}. The median must be above 0, the "
                "deviation 0 or more."
            )

    def quantile(self, probability):
        from scipy.special import ndtri

        return self.median * np.exp(self.deviation * ndtri(probability))


@dataclass(frozen=True)
class MeanOf(Distribution):
    """Distribution of the mean of repeated measurements (confidence distribution).

    Each quantile is an end of a confidence interval of the mean: of lognormal assays
    by the modified Cox method, of test lots by Student's t.

    Parameters
    ----------
    measures : tuple of float
        At least two.
    lognormal : bool
    middle_value : float, optional
        Median to which all quantiles are scaled; default: that of the measurements.
    constant : float
        Added to lognormal measurements, as in `trade.lognormal.lognormal_mean`.
    widening : float
        Factor on the distance from the median: the measurements are of unequal weight.
    """

    measures: tuple
    lognormal: bool = False
    middle_value: float | None = None
    constant: float = 0.0
    widening: float = 1.0

    def __post_init__(self):
        self.quantile(np.array([0.5]))

    def quantile(self, probability):
        probability = np.asarray(probability, float)
        confidence = np.clip(np.abs(2 * probability - 1), 1e-15, 1 - 1e-15)
        low, high = self._interval(confidence)
        found = np.where(probability < 0.5, low, high)
        if self.middle_value is None:
            return found
        centre = np.mean(self._interval(np.float64(1e-15)))
        widened = centre + (found - centre) * self.widening
        return widened * (self.middle_value / centre)

    def _interval(self, confidence):
        measures = np.asarray(self.measures, float)
        if self.lognormal:
            return lognormal.lognormal_interval(measures, confidence, self.constant)
        return samples.arithmetic_interval(measures, confidence)
