"""Statistics over the replicates, with standard errors and the trials needed."""

from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from .histogram import Histogram

MONEY = ("net_present_value", "margin_per_ton", "life_cash", "peak_funding")
OPTIONAL = ("internal_rate",)
MONTHLY = ("payback_month", "shortfall_month")
"""Results with a distribution."""
SHARES = (0.1, 0.5, 0.9)
WORST = 0.1
"""The expected shortfall is the mean over the worst trials, this share of all."""

EVEN_ODDS = 0.5
"""A plan that pays with less than this probability is not shown in green."""

TARGET_ERROR = 0.01
TARGET_ERROR_OF_MEDIAN = 0.01
"""Target standard errors: of the probability that the claim pays, and of the median
net present value as a share of the range from P10 to P90."""


@dataclass
class Statistic:
    """A statistic and its standard error.

    Attributes
    ----------
    value, error : float
        NaN if undefined.
    unit : str
        As for a line of the model.
    """

    value: float
    error: float
    unit: str = ""


@dataclass
class Replicate:
    """Results of one replicate."""

    histograms: dict
    probabilities: Counter = field(default_factory=Counter)
    shortfall: float = 0.0
    clipped: int = 0
    adjusted: int = 0


def empty(bins):
    """A replicate without trials yet, with the bins of each result."""
    return Replicate({name: Histogram(where) for name, where in bins.items()})


def merged(parts, bins):
    """Merge all replicates into one."""
    total = empty(bins)
    for part in parts:
        for name, histogram in total.histograms.items():
            histogram.merge(part.histograms[name])
        total.shortfall += part.shortfall / len(parts)
    for name in parts[0].probabilities:
        total.probabilities[name] = float(
            np.mean([part.probabilities[name] for part in parts])
        )
    return total


def statistics_of(total, parts, money):
    """Every statistic over all trials, with its standard error."""
    rows = [_row(part, money) for part in parts]
    return {
        name: statistic_of(value, [row[name][0] for row in rows], unit)
        for name, (value, unit) in _row(total, money).items()
    }


def statistic_of(value, parts, unit="$/ton"):
    """A statistic over all trials, with its standard error from the replicates.

    Parameters
    ----------
    value : float
    parts : list of float
        The statistic of each replicate.
    unit : str

    Returns
    -------
    statistic : Statistic
    """
    return Statistic(value, _error(parts), unit)


def _error(values):
    """Standard error of the mean of independent values; NaN if one of them is."""
    if np.isnan(values).any():
        return np.nan
    if np.ptp(values) == 0:
        return 0.0
    return float(np.std(values, ddof=1) / np.sqrt(len(values)))


def _row(part, money):
    units = {"margin_per_ton": "$/ton", "internal_rate": "1/year"}
    row = {name: (value, "share") for name, value in part.probabilities.items()}
    payback = part.histograms["payback_month"]
    row["no_payback"] = (payback.none / payback.trials, "share")
    for name in money:
        histogram, unit = part.histograms[name], units.get(name, "$")
        row[f"{name}_mean"] = (histogram.mean(), unit)
        for share in SHARES:
            row[f"{name}_p{share * 100:.0f}"] = (histogram.quantile(share), unit)
    for share in SHARES:
        suffix = f"p{share * 100:.0f}"
        row[f"payback_month_{suffix}"] = (payback.quantile(share), "month")
        short = part.histograms["shortfall_month"]
        among = share * short.counted / short.trials
        row[f"shortfall_month_{suffix}"] = (short.quantile(among), "month")
    npv = part.histograms["net_present_value"]
    row["expected_shortfall"] = (npv.shortfall(WORST), "$")
    row["funding_shortfall_mean"] = (part.shortfall, "$")
    return row


def error_targets(figures, trials):
    """Whether the standard errors meet their targets, and how many trials would."""
    spread = (
        figures["net_present_value_p90"].value - figures["net_present_value_p10"].value
    )
    ratios = [figures["pays"].error / TARGET_ERROR]
    if spread > 0:
        ratios.append(
            figures["net_present_value_p50"].error / (spread * TARGET_ERROR_OF_MEDIAN)
        )
    worst = max(ratios)
    wanted = (
        1 << int(np.ceil(np.log2(max(trials * worst**2, 1)))) if worst > 1 else trials
    )
    return bool(worst <= 1), int(wanted)
