"""Histograms of results, in constant memory for any number of trials."""

import numpy as np

BINS = 16384
"""Bins of a result. The error of a quantile is less than one bin."""

WIDER = 0.75
"""How far the bins extend beyond the first trials, as a multiple of their range."""

ROUND = (1, 1.25, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10)
"""Round widths of the columns of a chart, times a power of ten."""


class Bins:
    """The bins of one result.

    Parameters
    ----------
    low, high : float
    count : int
    whole : bool
        Whether each bin is one whole number.
    """

    def __init__(self, low, high, count=BINS, whole=False):
        self.low, self.high, self.count, self.whole = low, high, count, whole
        self.width = (high - low) / count

    @classmethod
    def around(cls, values):
        """Bins that cover the range of the first results and a margin."""
        finite = values[np.isfinite(values)]
        if not finite.size:
            return cls(0.0, 1.0)
        low, high = float(finite.min()), float(finite.max())
        margin = WIDER * (high - low) or max(abs(low), 1.0)
        return cls(low - margin, high + margin)

    @classmethod
    def of_whole(cls, least, most):
        """One bin for every whole number."""
        return cls(least - 0.5, most + 0.5, most - least + 1, True)

    def place(self, values):
        """Index of the bin of each value; values beyond are in the end bins."""
        place = np.floor((values - self.low) / self.width)
        return np.clip(place, 0, self.count - 1).astype(np.int64)


class Histogram:
    """Counts, sums and extremes of a result, by bin.

    Parameters
    ----------
    bins : Bins

    Attributes
    ----------
    trials, none : int
        Trials, and trials without a value.
    """

    def __init__(self, bins):
        self.bins = bins
        self.counts = np.zeros(bins.count, np.int64)
        self.sums = np.zeros(bins.count)
        self.least, self.most = np.inf, -np.inf
        self.trials = self.none = 0

    def add(self, values):
        """Add values; NaN counts as a trial without a value."""
        self.trials += len(values)
        finite = values[~np.isnan(values)]
        self.none += len(values) - len(finite)
        if not finite.size:
            return
        place = self.bins.place(finite)
        self.counts += np.bincount(place, minlength=self.bins.count)
        self.sums += np.bincount(place, finite, self.bins.count)
        self.least = min(self.least, float(finite.min()))
        self.most = max(self.most, float(finite.max()))

    def merge(self, other):
        """Add another histogram with the same bins."""
        self.counts += other.counts
        self.sums += other.sums
        self.least = min(self.least, other.least)
        self.most = max(self.most, other.most)
        self.trials += other.trials
        self.none += other.none

    @property
    def counted(self):
        """Trials with a value."""
        return self.trials - self.none

    def mean(self):
        """Mean; NaN if no trial has a value."""
        if not self.counted:
            return np.nan
        if self.least == self.most:
            return self.least
        return float(self.sums.sum()) / self.counted

    def quantile(self, share):
        """Quantile: the value that a share of the trials is below.

        Trials without a value count as above all others (no payback). The quantile is
        NaN if it is among them.
        """
        rank = share * self.trials
        if not self.counted or rank > self.counted:
            return np.nan
        if self.least == self.most:
            return self.least
        place, before = self._bin_at(rank)
        if self.bins.whole:
            return float(self.sums[place] / max(self.counts[place], 1))
        inside = (rank - before) / max(self.counts[place], 1)
        value = self.bins.low + (place + inside) * self.bins.width
        return float(min(max(value, self.least), self.most))

    def shortfall(self, share):
        """Expected shortfall: mean of the worst share of the trials."""
        if not self.counted:
            return np.nan
        if self.least == self.most:
            return self.least
        rank = share * self.counted
        place, before = self._bin_at(rank)
        total = self.sums[:place].sum() + (rank - before) * (
            self.sums[place] / max(self.counts[place], 1)
        )
        return float(total / rank)

    def _bin_at(self, rank):
        """Bin of a rank, and the number of trials below that bin."""
        cumulative = np.cumsum(self.counts)
        place = min(int(np.searchsorted(cumulative, rank)), self.bins.count - 1)
        return place, cumulative[place] - self.counts[place]

    def columns(self, count=48):
        """Columns of equal width over the middle 99% of the trials, for a chart.

        Parameters
        ----------
        count : int
            Number of columns; their width is a round number.

        Returns
        -------
        edges, shares : ndarray
            The end columns include the trials beyond them.
        """
        ends = np.array((self.quantile(0.005), self.quantile(0.995)))
        if not np.isfinite(ends).all():
            ends = np.zeros(2)
        width = (ends[1] - ends[0]) / (count - 2)
        step = _round_step(width) if width > 0 else 1.0
        first = np.floor(ends[0] / step)
        spare = count - (np.floor(ends[1] / step) + 1 - first)
        edges = step * (first - spare // 2 + np.arange(count + 1))
        middles = self.bins.low + (np.arange(self.bins.count) + 0.5) * self.bins.width
        place = np.clip(np.searchsorted(edges, middles) - 1, 0, count - 1)
        shares = np.bincount(place, self.counts, count) / self.trials
        return edges, shares


def _round_step(width):
    """Round a width up to the next round number."""
    power = 10.0 ** np.floor(np.log10(width))
    return next(step * power for step in ROUND if step * power >= width)
