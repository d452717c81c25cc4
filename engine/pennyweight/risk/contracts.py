"""Risk of each milling contract type to the mill and to the owner of the ore.

The same lines as on the sheet Contract, for the same trials as all other results.
"""

from dataclasses import dataclass

import numpy as np

from ..model.mill import MODEL
from ..model.run import run
from .draws import REPLICATES, Draws
from .figures import SHARES, Figure, figure_of
from .histogram import Bins, Histogram
from .study import YEAR

SIDES = {"mill": "mill_margin_per_ton", "owner": "owner_margin_per_ton"}
MOST_PER_REPLICATE = 4096
"""Largest number of trials of each replicate that is used."""


@dataclass
class Side:
    """One party's margin per ton under one contract type.

    Attributes
    ----------
    base_case : float
    mean, p10, p50, p90 : Figure
        $ per ton.
    loss : Figure
        Probability that the margin is negative.
    """

    base_case: float
    mean: Figure
    p10: Figure
    p50: Figure
    p90: Figure
    loss: Figure


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
        Under the contract type, then ``mill`` or ``owner``.
    """
    count = min(trials // REPLICATES, MOST_PER_REPLICATE)
    draws = Draws(study, seed)
    base = _margins(study, {}, 1)
    first = _margins(study, _drawn(next(draws.blocks(0, count))), count)
    bins = {key: Bins.around(values) for key, values in first.items()}
    parts = [
        _replicate(draws, bins, replicate, count) for replicate in range(REPLICATES)
    ]
    return {
        kind: {
            side: _side(base[side, kind][0], [part[side, kind] for part in parts])
            for side in SIDES
        }
        for kind in MODEL.axes["contract"].values
    }


def _drawn(block):
    """Inputs of the trials; with a price path, its mean over the first year."""
    if block.prices is None:
        return block.values
    return {**block.values, "gold_price": block.prices[1 : YEAR + 1].mean(axis=0)}


def _margins(study, values, count):
    """Margin per ton under (party, contract type), one value per trial."""
    lines = tuple(SIDES.values())
    found = run({**study.inputs, **values}, study.units, wanted=lines)
    return {
        (side, kind): np.broadcast_to(found[line][place], (count,))
        for side, line in SIDES.items()
        for place, kind in enumerate(MODEL.axes["contract"].values)
    }


def _replicate(draws, bins, replicate, count):
    """Histogram and share of losses of every party and contract type."""
    histograms = {key: Histogram(where) for key, where in bins.items()}
    losing = dict.fromkeys(bins, 0)
    for block in draws.blocks(replicate, count):
        margins = _margins(draws.study, _drawn(block), block.count)
        for key, values in margins.items():
            histograms[key].add(values)
            losing[key] += int(np.count_nonzero(values < 0))
    return {
        key: (histogram, losing[key] / count) for key, histogram in histograms.items()
    }


def _side(base, parts):
    whole = Histogram(parts[0][0].bins)
    for histogram, _ in parts:
        whole.merge(histogram)

    def figure(measure):
        return figure_of(measure(whole), [measure(histogram) for histogram, _ in parts])

    losses = [share for _, share in parts]
    return Side(
        float(base),
        figure(Histogram.mean),
        *(
            figure(lambda histogram, share=share: histogram.quantile(share))
            for share in SHARES
        ),
        figure_of(float(np.mean(losses)), losses, "share"),
    )
