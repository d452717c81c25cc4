"""Milling contracts under chance: what each kind leaves to the mill and to the owner.

The same lines as on the sheet Contract, for the same draws as all else.
"""

from dataclasses import dataclass

import numpy as np

from ..model.mill import MODEL
from ..model.run import run
from .draws import SCRAMBLES, Draws
from .figures import SHARES, figure_of
from .histogram import Bins, Tally

SIDES = {"mill": "mill_margin_per_ton", "owner": "owner_margin_per_ton"}
EACH = 4096
"""Trials of each scramble that are worked out, at most."""

YEAR = 12


@dataclass
class Side:
    """One side's margin of a ton under one kind of contract.

    Attributes
    ----------
    planned : float
    mean, p10, p50, p90 : Figure
        In money a ton.
    loses : Figure
        Chance that the margin is below zero.
    """

    planned: float
    mean: object
    p10: object
    p50: object
    p90: object
    loses: object


def contract_chances(study, trials, seed=0):
    """Work out both sides' margin of a ton under every kind of contract.

    Parameters
    ----------
    study : Study
    trials : int
        As drawn for all else; of each scramble the first 4096 at most are taken.
    seed : int

    Returns
    -------
    chances : dict of str to dict of str to Side
        Under the kind of contract, then ``mill`` or ``owner``.
    """
    count = min(trials // SCRAMBLES, EACH)
    draws = Draws(study, seed)
    planned = _margins(study, {}, 1)
    first = _margins(study, _drawn(next(draws.blocks(0, count))), count)
    bins = {key: Bins.around(values) for key, values in first.items()}
    parts = [_scramble(draws, bins, scramble, count) for scramble in range(SCRAMBLES)]
    return {
        kind: {
            side: _side(planned[side, kind][0], [part[side, kind] for part in parts])
            for side in SIDES
        }
        for kind in MODEL.axes["contract"].values
    }


def _drawn(block):
    """Inputs of the trials; on a path, the mean price of its first year."""
    if block.prices is None:
        return block.values
    return {**block.values, "gold_price": block.prices[1 : YEAR + 1].mean(axis=0)}


def _margins(study, values, count):
    """Margin of a ton under (side, kind), one figure a trial."""
    lines = tuple(SIDES.values())
    found = run({**study.inputs, **values}, study.units, wanted=lines)
    return {
        (side, kind): np.broadcast_to(found[line][place], (count,))
        for side, line in SIDES.items()
        for place, kind in enumerate(MODEL.axes["contract"].values)
    }


def _scramble(draws, bins, scramble, count):
    """Tally and number of losing trials of every side and kind."""
    tallies = {key: Tally(where) for key, where in bins.items()}
    losing = dict.fromkeys(bins, 0)
    for block in draws.blocks(scramble, count):
        margins = _margins(draws.study, _drawn(block), block.count)
        for key, values in margins.items():
            tallies[key].add(values)
            losing[key] += int(np.count_nonzero(values < 0))
    return {key: (tally, losing[key] / count) for key, tally in tallies.items()}


def _side(planned, parts):
    whole = Tally(parts[0][0].bins)
    for tally, _ in parts:
        whole.merge(tally)

    def figure(measure):
        return figure_of(measure(whole), [measure(tally) for tally, _ in parts])

    loses = [share for _, share in parts]
    return Side(
        float(planned),
        figure(Tally.mean),
        *(figure(lambda tally, share=share: tally.quantile(share)) for share in SHARES),
        figure_of(float(np.mean(loses)), loses, "share"),
    )
