"""Figures from the scrambles: values, their errors, and whether they are enough."""

from dataclasses import dataclass

import numpy as np

from .histogram import Tally

SHARES = (0.1, 0.5, 0.9)
WORST = 0.1
"""Share of the trials over which the expected shortfall is the mean."""

ENOUGH_CHANCE = 0.01
ENOUGH_RANGE = 0.01
"""Standard errors that are small enough: of a chance, and of the median of the net
present value as a share of the distance from P10 to P90."""


@dataclass
class Figure:
    """One figure and its standard error.

    Attributes
    ----------
    value, error : float
        Not-a-number where there is none.
    unit : str
        In the words of the model.
    """

    value: float
    error: float
    unit: str = ""


@dataclass
class Scramble:
    """What one scramble gave."""

    tallies: dict
    chances: dict
    missing: float = 0.0
    clipped: int = 0
    pulled: int = 0


def merged(parts, bins):
    """All scrambles as if they were one."""
    whole = Scramble({name: Tally(where) for name, where in bins.items()}, {})
    for part in parts:
        for name, tally in whole.tallies.items():
            tally.merge(part.tallies[name])
        whole.missing += part.missing / len(parts)
    for name in parts[0].chances:
        whole.chances[name] = float(np.mean([part.chances[name] for part in parts]))
    return whole


def figures_of(whole, parts, money):
    """Every figure from all trials, with its error from the scatter of the parts."""
    value, rows = _row(whole, money), [_row(part, money) for part in parts]
    return {
        name: figure_of(value[name][0], [row[name][0] for row in rows], value[name][1])
        for name in value
    }


def figure_of(value, parts, unit="$/ton"):
    """A figure from all trials, its error from the scatter of the scrambles.

    Parameters
    ----------
    value : float
    parts : list of float
        The same from each scramble alone.
    unit : str

    Returns
    -------
    figure : Figure
    """
    return Figure(value, _error(parts), unit)


def _error(values):
    """Standard error of a mean of independent values; none where one is missing."""
    if np.isnan(values).any():
        return np.nan
    if np.ptp(values) == 0:
        return 0.0
    return float(np.std(values, ddof=1) / np.sqrt(len(values)))


def _row(part, money):
    units = {"margin_per_ton": "$/ton", "internal_rate": "1/year"}
    row = {name: (chance, "share") for name, chance in part.chances.items()}
    payback = part.tallies["payback_month"]
    row["never_back"] = (payback.none / payback.trials, "share")
    for name in money:
        tally, unit = part.tallies[name], units.get(name, "$")
        row[f"{name}_mean"] = (tally.mean(), unit)
        for share in SHARES:
            row[f"{name}_p{share * 100:.0f}"] = (tally.quantile(share), unit)
    for share in SHARES:
        ending = f"p{share * 100:.0f}"
        row[f"payback_month_{ending}"] = (payback.quantile(share), "month")
        short = part.tallies["shortage_month"]
        among = share * short.counted / short.trials
        row[f"shortage_month_{ending}"] = (short.quantile(among), "month")
    worth = part.tallies["net_present_value"]
    row["expected_shortfall"] = (worth.shortfall(WORST), "$")
    row["missing_mean"] = (part.missing, "$")
    return row


def enough_of(figures, trials):
    """Whether the errors are small enough, and how many trials would make them so."""
    spread = (
        figures["net_present_value_p90"].value - figures["net_present_value_p10"].value
    )
    ratios = [figures["pays"].error / ENOUGH_CHANCE]
    if spread > 0:
        ratios.append(figures["net_present_value_p50"].error / (spread * ENOUGH_RANGE))
    worst = max(ratios)
    wanted = (
        1 << int(np.ceil(np.log2(max(trials * worst**2, 1)))) if worst > 1 else trials
    )
    return bool(worst <= 1), int(wanted)
