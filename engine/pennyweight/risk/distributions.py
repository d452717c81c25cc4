"""What an input may be: distributions, given by their quantiles.

A distribution is drawn from by its quantile function (the inverse of its
cumulative probability): `quantile` takes probabilities between 0 and 1.
"""

from dataclasses import dataclass

import numpy as np

from ..errors import BadValue
from ..trade import lognormal, samples


class Distribution:
    """Base of all: a quantile function, and ends where it has some."""

    ends = None
    """Lowest and highest value; None where there is no end."""

    def quantile(self, probability):
        """Give the value below which a draw falls with a probability.

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
        """Give the median."""
        return float(self.quantile(np.float64(0.5)))

    def spread(self):
        """Half the distance between the quantiles at one standard deviation."""
        low, high = self.quantile(np.array([0.15865525393145707, 0.8413447460685429]))
        return float(high - low) / 2


def _finite(kind, **values):
    for name, value in values.items():
        if not np.isfinite(value):
            raise BadValue(f"{kind}: {name} is {value!r}; it must be a finite number.")


def _ordered(kind, low, mode, high):
    _finite(kind, low=low, mode=mode, high=high)
    if not low <= mode <= high:
        raise BadValue(
            f"{kind}: low {low:g}, most likely {mode:g}, high {high:g}; they must not "
            "fall: give them as low, most likely, high."
        )


@dataclass(frozen=True)
class Fixed(Distribution):
    """Always the same value."""

    value: float

    def __post_init__(self):
        _finite("fixed", value=self.value)

    @property
    def ends(self):
        return self.value, self.value

    def quantile(self, probability):
        return np.full(np.shape(probability), self.value)


@dataclass(frozen=True)
class Uniform(Distribution):
    """Every value between two ends alike."""

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
class Triangular(Distribution):
    """Low, most likely and high, with straight sides."""

    low: float
    mode: float
    high: float

    def __post_init__(self):
        _ordered("triangular", self.low, self.mode, self.high)

    @property
    def ends(self):
        return self.low, self.high

    def quantile(self, probability):
        if self.low == self.high:
            return np.full(np.shape(probability), self.mode)
        probability = np.asarray(probability, float)
        return triangular_quantile(probability, self.low, self.mode, self.high)


def triangular_quantile(probability, low, mode, high):
    """Quantile of triangular distributions, elementwise; low below high."""
    width, left, right = high - low, mode - low, high - mode
    falls = probability * width >= left
    # The distance from the nearer foot grows with the root of the chance beyond it.
    beyond = np.where(falls, 1 - probability, probability)
    beyond = np.sqrt(beyond * (np.where(falls, right, left) * width))
    return np.where(falls, high - beyond, low + beyond)


@dataclass(frozen=True)
class Pert(Distribution):
    """Low, most likely and high, with a beta distribution between them.

    Mean (low + 4 mode + high) / 6; Malcolm, Roseboom, Clark & Fazar 1959, Operations
    Research 7, 646-669.
    """

    low: float
    mode: float
    high: float

    def __post_init__(self):
        _ordered("pert", self.low, self.mode, self.high)

    @property
    def ends(self):
        return self.low, self.high

    def quantile(self, probability):
        from scipy.special import betaincinv

        width = self.high - self.low
        if width == 0:
            return np.full(np.shape(probability), self.mode)
        first = 1 + 4 * (self.mode - self.low) / width
        return self.low + width * betaincinv(first, 6 - first, probability)


@dataclass(frozen=True)
class Normal(Distribution):
    """Mean and standard deviation."""

    mean: float
    deviation: float

    def __post_init__(self):
        _finite("normal", mean=self.mean, deviation=self.deviation)
        if self.deviation < 0:
            raise BadValue(
                f"normal: the standard deviation is {self.deviation:g}; it must not be "
                "below zero."
            )

    def quantile(self, probability):
        from scipy.special import ndtri

        if self.deviation == 0:
            return np.full(np.shape(probability), self.mean)
        return self.mean + self.deviation * ndtri(probability)


@dataclass(frozen=True)
class Lognormal(Distribution):
    """Median, and standard deviation of the natural logarithm."""

    median: float
    deviation: float

    def __post_init__(self):
        _finite("lognormal", median=self.median, deviation=self.deviation)
        if self.median <= 0 or self.deviation < 0:
            raise BadValue(
                f"lognormal: median {self.median:g}, deviation of the logarithm "
                f"{self.deviation:g}; the median must be above zero and the deviation "
                "not below it."
            )

    def quantile(self, probability):
        from scipy.special import ndtri

        if self.deviation == 0:
            return np.full(np.shape(probability), self.median)
        return self.median * np.exp(self.deviation * ndtri(probability))


@dataclass(frozen=True)
class MeanOf(Distribution):
    """What the mean behind repeated measures may be, as far as they tell.

    Each quantile is an end of the interval for the mean at the confidence that puts
    it there: of lognormal assays by the modified Cox method, of lots that scatter
    evenly by Student's t.

    Parameters
    ----------
    measures : tuple of float
        At least two.
    lognormal : bool
    middle_value : float, optional
        Median in place of the measures' own: all quantiles are scaled with it.
    constant : float
        Added to lognormal measures, as in `trade.lognormal.lognormal_mean`.
    """

    measures: tuple
    lognormal: bool = False
    middle_value: float | None = None
    constant: float = 0.0

    def __post_init__(self):
        self.quantile(np.array([0.5]))

    def quantile(self, probability):
        probability = np.asarray(probability, float)
        confidence = np.clip(np.abs(2 * probability - 1), 1e-15, 1 - 1e-15)
        low, high = self._interval(confidence)
        found = np.where(probability < 0.5, low, high)
        if self.middle_value is None:
            return found
        ends = self._interval(np.float64(1e-15))
        return found * (self.middle_value / np.mean(ends))

    def _interval(self, confidence):
        measures = np.asarray(self.measures, float)
        if self.lognormal:
            return lognormal.lognormal_interval(measures, confidence, self.constant)
        return samples.arithmetic_interval(measures, confidence)
