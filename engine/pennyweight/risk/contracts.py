"""Risk of each milling contract type to the mill and to the owner of the ore.

The lines are those of the sheet Contract; the trials are those of all other results.
"""

from dataclasses import dataclass

import numpy as np

from ..model.mill_model import MODEL
from ..model.run import run
from .draws import REPLICATES, Draws
from .figures import SHARES, Statistic, empty, merged, statistic_of
from .histogram import Bins
from .study import YEAR

SIDES = {"mill": "mill_margin_per_ton", "owner": "owner_margin_per_ton"}
MOST_PER_REPLICATE = 4096
"""Most trials used of each replicate."""


@dataclass
class Side:
    """One party's margin per ton under one contract type.

    Attributes
    ----------
    base_case : float
    mean, p10, p50, p90 : Statistic
        $ per ton.
    loss : Statistic
        Probability that the margin is negative.
    """

    base_case: float
    mean: Statistic
    p10: Statistic
    p50: Statistic
    p90: Statistic
    loss: Statistic


def contract_risk(study, trials, seed=0):
    """Distribution of both parties' margin per ton under every contract type.

    Parameters
    ----------
    study : Study
    trials : int
        As for all other results; at most 4,096 of each replicate are used.
    seed : int

    Returns
    -------
    contracts : dict of str to dict of str to Side
        By contract type, then by ``mill`` or ``owner``.
    """
    count = min(trials // REPLICATES, MOST_PER_REPLICATE)
    draws = Draws(study, seed)
    base = _margins(study, {}, 1)
    first = _margins(study, _drawn(next(draws.blocks(0, count))), count)
    bins = {key: Bins.around(values) for key, values in first.items()}
    parts = [
        _replicate(draws, bins, replicate, count) for replicate in range(REPLICATES)
    ]
    total = merged(parts, bins)
    return {
        kind: {
            side: _side((side, kind), base[side, kind][0], total, parts)
            for side in SIDES
        }
        for kind in MODEL.axes["contract"].values
    }


def _drawn(block):
    """Inputs of the trials; a gold price path is replaced by its first year's mean."""
    if block.prices is None:
        return block.values
    return {**block.values, "gold_price": block.prices[1 : YEAR + 1].mean(axis=0)}


def _margins(study, values, count):
    """Margin per ton by (party, contract type), one value per trial."""
    lines = tuple(SIDES.values())
    found = run({**study.inputs, **values}, study.units, wanted=lines)
    return {
        (side, kind): np.broadcast_to(found[line][place], (count,))
        for side, line in SIDES.items()
        for place, kind in enumerate(MODEL.axes["contract"].values)
    }


def _replicate(draws, bins, replicate, count):
    """Margins and probabilities of a loss of every party and contract type."""
    part = empty(bins)
    for block in draws.blocks(replicate, count):
        margins = _margins(draws.study, _drawn(block), block.count)
        for key, values in margins.items():
            part.histograms[key].add(values)
            part.probabilities[key] += int(np.count_nonzero(values < 0)) / count
    return part


def _side(key, base, total, parts):
    def figure(measure, unit="$/ton"):
        return statistic_of(measure(total), [measure(part) for part in parts], unit)

    return Side(
        float(base),
        figure(lambda part: part.histograms[key].mean()),
        *(
            figure(lambda part, share=share: part.histograms[key].quantile(share))
            for share in SHARES
        ),
        figure(lambda part: part.probabilities[key], "share"),
    )
