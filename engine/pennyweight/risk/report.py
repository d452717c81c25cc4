"""Everything that the trials say of a claim, gathered for screen, file and program."""

from dataclasses import asdict, dataclass

import numpy as np

from ..model.inputs import INPUTS
from ..model.units import shown
from .analysis import risk
from .contracts import contract_chances
from .measured import assay_variation
from .sensitivity import curve, grid
from .value_of_information import worth_of_knowing
from .variance import variance_shares

SHARE_DRAWS = 512, 1024
"""Fewest and most draws in each set for the shares of the variance."""

CURVES, POINTS = 6, 11
"""Inputs whose curves are drawn, and the points of each."""


@dataclass
class Report:
    """What is known of a claim's chances.

    Attributes
    ----------
    study : Study
    risk : Risk
    shares : list of Share
    knowing : dict of str to Knowing
        ``assays`` and ``test lots``, where they tell of an uncertain input.
    assay_scatter : float
    samples_counted : int
        Samples behind that scatter; 0 where it is a usual one or was given.
    grid : tuple
        Prices, grades and results; see `sensitivity.grid`.
    contracts : dict
        Both sides' margin under each kind of contract; see
        `contracts.contract_chances`.
    curves : dict of str to tuple
        For the inputs of the greatest effect: their values from low to high, and the
        results there.
    """

    study: object
    risk: object
    shares: list
    knowing: dict
    assay_scatter: float
    samples_counted: int
    grid: tuple
    contracts: dict
    curves: dict


def make_report(
    study,
    trials=16384,
    seed=0,
    funds=None,
    rate=False,
    assay_scatter=None,
    lot_scatter=0.1,
    lot_cost=np.nan,
    progress=None,
    way="auto",
):
    """Work out everything.

    Parameters
    ----------
    study : Study
    trials, seed, funds, rate, progress, way
        As for `risk.risk`.
    assay_scatter : float, optional
        Of one assay over the mean; the samples' own when left out.
    lot_scatter, lot_cost : float
        Of one test lot's recovery over the mean, and what one more costs;
        not-a-number where that is not known.

    Returns
    -------
    report : Report
    """
    usual, counted = assay_variation(study.inputs, study.units)
    scatter = usual if assay_scatter is None else assay_scatter
    measures = {
        "assays": ("head_grade", scatter, float(study.inputs["assay_price"])),
        "test lots": ("gravity_recovery", lot_scatter, lot_cost),
    }
    knowing = {
        what: worth_of_knowing(study, name, spread, cost, seed=seed, way=way)
        for what, (name, spread, cost) in measures.items()
        if name in study.spreads
    }
    found = risk(study, trials, seed, funds, way, None, rate, progress)
    shares = []
    if len(study.names) + study.path > 0 and _varies(found):
        shares = variance_shares(found.study, _share_draws(trials), seed, way=found.way)
    return Report(
        study,
        found,
        shares,
        knowing,
        scatter,
        counted if assay_scatter is None else 0,
        grid(study.inputs, study.units),
        contract_chances(found.study, found.trials, seed),
        _curves(study, found.ranked),
    )


def _share_draws(trials):
    """A sixteenth of the trials, within bounds, as a power of two."""
    fewest, most = SHARE_DRAWS
    return max(fewest, min(most, 1 << max(int(trials) // 16, 1).bit_length() - 1))


def _curves(study, ranked):
    """Results along the inputs that move the net present value most."""
    moving = [effect for effect in ranked if effect.size("net_present_value") > 0]
    return {
        effect.name: curve(
            study.inputs,
            study.units,
            effect.name,
            points=POINTS,
            low=effect.low,
            high=effect.high,
        )
        for effect in moving[:CURVES]
    }


def _varies(found):
    worth = found.tallies["net_present_value"]
    return worth.least < worth.most


def as_json(report):
    """Give a report as plain values for programs.

    Parameters
    ----------
    report : Report

    Returns
    -------
    values : dict
    """
    risk, units = report.risk, report.study.units
    prices, grades, cells = report.grid
    values = {
        "trials": risk.trials,
        "seed": risk.seed,
        "funds": risk.funds,
        "enough": risk.enough,
        "wanted_trials": risk.wanted_trials,
        "clipped": risk.clipped,
        "pulled": risk.pulled,
        "worked_out_by": risk.way,
        "planned": {
            name: value.item()
            for name, value in risk.planned.items()
            if value.ndim == 0
        },
        "figures": {
            name: {**asdict(figure), "unit": shown(figure.unit, units)}
            for name, figure in risk.figures.items()
        },
        "effects": [asdict(effect) for effect in risk.ranked],
        "shares": [asdict(share) for share in report.shares],
        "knowing": {
            what: {**asdict(knowing), "net": knowing.net}
            for what, knowing in report.knowing.items()
        },
        "assay_scatter": report.assay_scatter,
        "varied": {
            name: {"kind": type(how).__name__, **asdict(how)}
            for name, how in report.study.spreads.items()
        },
        "grid": {"prices": prices, "grades": grades, **cells},
        "contracts": {
            kind: {side: asdict(how) for side, how in sides.items()}
            for kind, sides in report.contracts.items()
        },
        "curves": {
            name: {"values": values, **results}
            for name, (values, results) in report.curves.items()
        },
        "fan": dict(zip(("p10", "p50", "p90"), risk.fan, strict=True)),
        "units": units,
    }
    return plain(values)


def plain(value):
    """Give Python's own values; not-a-number becomes nothing, as JSON has none."""
    if isinstance(value, dict):
        return {str(name): plain(part) for name, part in value.items()}
    if isinstance(value, np.ndarray | list | tuple):
        return [plain(part) for part in value]
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, float) and not np.isfinite(value):
        return None
    return value


def share_label(share):
    """What a share of the variance comes from, in words."""
    names = [INPUTS[name].label if name in INPUTS else name for name in share.names]
    return " with ".join(names)
