"""Risk analysis of a claim, for the screen, the workbook and programs."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from ..model.units import shown
from ..plain_values import plain_values
from .analysis import Risk, risk
from .contracts import Side, contract_risk
from .measured_grade import assay_variation
from .sensitivity import curve, grid
from .sentences import (
    SOBOL_INDEX,
    STANDARD_ERROR,
    caution,
    funding,
    main_results,
    method,
    probability_of_paying,
)
from .study import Study
from .tables import as_rows, tables
from .value_of_information import ValueOfInformation, value_of_information
from .variance import SobolIndex, sobol_indices

SOBOL_DRAWS = 512, 1024
"""Fewest and most draws in each sample for the Sobol' indices."""

SMALL_EFFECT = 0.02
"""Share of the largest effect on the net present value. Inputs with a smaller effect
form one group for the Sobol' indices: variance grows with the square of the effect."""

CURVES, POINTS = 6, 11
"""Number of inputs with a curve, and points of each curve."""


@dataclass(kw_only=True)
class Report:
    """Results of a risk analysis.

    Attributes
    ----------
    study : Study
    risk : Risk
    sobol_indices : list of SobolIndex
    value_of_information : dict of str to ValueOfInformation
        ``assays`` and ``test lots``, if they measure an input that varies.
    assay_variation : float
        Coefficient of variation of one assay.
    grid : tuple
        Prices, grades and results; see `sensitivity.grid`.
    contracts : dict
        Both parties' margin under each contract type; see
        `contracts.contract_risk`.
    curves : dict of str to tuple
        For the inputs with the largest effects: values from low to high, and the
        results.
    measured : frozenset of str
        Inputs that the user has measured.
    stand_ins : str
        Sentence on missing inputs for which estimates are used; empty if none.
    """

    study: Study
    risk: Risk
    sobol_indices: list[SobolIndex]
    value_of_information: dict[str, ValueOfInformation]
    assay_variation: float
    grid: tuple[np.ndarray, np.ndarray, dict[str, np.ndarray]]
    contracts: dict[str, dict[str, Side]]
    curves: dict[str, tuple[np.ndarray, dict[str, np.ndarray]]]
    measured: frozenset[str] = frozenset()
    stand_ins: str = ""

    def __repr__(self) -> str:
        return f"<Report of {self.risk!r}>"

    def to_dict(self) -> dict[str, Any]:
        """The report as plain values for programs."""
        risk, units = self.risk, self.study.units
        prices, grades, cells = self.grid
        values = {
            "trials": risk.trials,
            "seed": risk.seed,
            "funds": risk.funds,
            "enough": risk.enough,
            "trials_needed": risk.trials_needed,
            "clipped": risk.clipped,
            "adjusted": risk.adjusted,
            "method": risk.method,
            "base_case": {
                name: value.item()
                for name, value in risk.base_case.items()
                if value.ndim == 0
            },
            "figures": {
                name: {**asdict(figure), "unit": shown(figure.unit, units)}
                for name, figure in risk.figures.items()
            },
            "effects": risk.ranked,
            "sobol_indices": self.sobol_indices,
            "value_of_information": {
                what: {**asdict(value), "net": value.net}
                for what, value in self.value_of_information.items()
            },
            "assay_variation": self.assay_variation,
            "distributions": distributions(self.study),
            "grid": {"prices": prices, "grades": grades, **cells},
            "contracts": self.contracts,
            "curves": {
                name: {"values": values, **results}
                for name, (values, results) in self.curves.items()
            },
            "cumulative_cash": dict(zip(("p10", "p50", "p90"), risk.fan, strict=True)),
            "units": units,
        }
        return plain_values(values)

    def summary(self) -> tuple[str, ...]:
        """The main results in sentences, the probability that it pays first.

        If inputs are missing, the first sentence lists the estimates used.
        """
        sentences = (probability_of_paying(self), *main_results(self), funding(self))
        return (self.stand_ins, *sentences) if self.stand_ins else sentences

    def method(self) -> tuple[str, ...]:
        """Method of the simulation in sentences, with a caution as the last one."""
        terms = (STANDARD_ERROR, *[SOBOL_INDEX] * bool(self.sobol_indices))
        return (*terms, *method(self), caution())

    def tables(self, plan: Any) -> list[tuple[tuple[str, ...], list[list[str]]]]:
        """Heads and rows of each table, in text; the plan knows labels and units."""
        return tables(self, plan)

    rows = as_rows


def make_report(
    study,
    trials=16384,
    seed=0,
    *,
    assay_cv=None,
    assay_cost=None,
    lot_cv=None,
    lot_cost=None,
    **options,
):
    """Run every part of the risk analysis.

    Parameters
    ----------
    study : Study
    trials, seed, **options
        As for `risk.risk`.
    assay_cv : float, optional
        Coefficient of variation of one assay; default: that of the samples.
    assay_cost : float, optional
        Cost of one more sample, with cutting it, $; default: that of its assay.
    lot_cv : float, optional
        Coefficient of variation of the recovery of one test lot; default: 0.1.
    lot_cost : float, optional
        Cost of one more test lot, $.

    Returns
    -------
    report : Report
    """
    if assay_cv is None:
        assay_cv = assay_variation(study.inputs, study.units)
    if assay_cost is None:
        assay_cost = float(study.inputs["assay_price"])
    measures = {
        "assays": ("ore_grade", assay_cv, assay_cost),
        "test lots": ("gravity_recovery", 0.1 if lot_cv is None else lot_cv, lot_cost),
    }
    information = {
        what: value_of_information(study, name, cv, cost, seed=seed)
        for what, (name, cv, cost) in measures.items()
        if name in study.distributions
    }
    found = risk(study, trials, seed, **options)
    return Report(
        study=study,
        risk=found,
        sobol_indices=_sobol_indices(found, trials),
        value_of_information=information,
        assay_variation=assay_cv,
        grid=grid(study.inputs, study.units),
        contracts=contract_risk(found.study, found.trials, seed),
        curves=_curves(study, found.ranked),
    )


def _sobol_indices(found, trials):
    """Sobol' indices of the net present value; none if it does not vary."""
    npv = found.histograms["net_present_value"]
    if not npv.least < npv.most:
        return []
    count, separate = _sobol_draws(trials), _large_effects(found.ranked)
    return sobol_indices(found.study, count, found.seed, separate)


def _large_effects(ranked):
    """Inputs with a large effect on the net present value; None if there are none."""
    sizes = {effect.name: effect.size("net_present_value") for effect in ranked}
    least = SMALL_EFFECT * max(sizes.values(), default=0)
    return [name for name, size in sizes.items() if size > least] or None


def _sobol_draws(trials):
    """Draws for the Sobol' indices: a sixteenth of the trials, as a power of two."""
    fewest, most = SOBOL_DRAWS
    return max(fewest, min(most, 1 << max(int(trials) // 16, 1).bit_length() - 1))


def _curves(study, ranked):
    """Results along the inputs with the largest effects on the net present value."""
    moving = [effect for effect in ranked if effect.size("net_present_value") > 0]
    return {
        e.name: curve(study.inputs, study.units, e.name, e.low, e.high, POINTS)
        for e in moving[:CURVES]
    }


def distributions(study):
    """Kind and numbers of the distribution of each input that varies."""
    return {
        name: {"kind": type(how).__name__, **asdict(how)}
        for name, how in study.distributions.items()
    }
