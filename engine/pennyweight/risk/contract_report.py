"""Risk analysis of a milling contract, for the screen, a sheet and programs."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from ..model.entries import estimated_charges
from ..model.figures import money
from ..model.jobs import CONTRACT, rests_on
from ..model.units import TON
from ..plain_values import plain_values
from .contracts import MOST_PER_REPLICATE, SIDES, Side, contract_risk
from .draws import REPLICATES, check_trials
from .report import distributions
from .sensitivity import Effect, effects
from .sentences import caution, correlated, gold_price, percent, trials_drawn
from .study import Study
from .tables import as_rows, contracts_table, effects_table

MARGIN = "agreed_margin_per_ton"


@dataclass(kw_only=True)
class ContractReport:
    """Results of the risk analysis of a contract.

    Attributes
    ----------
    study : Study
        Only inputs that the contract depends on vary.
    trials, seed : int
    contracts : dict
        Both parties' margin under each contract type; see `contracts.contract_risk`.
    ranked : list of Effect
        On the mill's margin per ton under the agreed contract type, one input at a
        time, largest effect first.
    stand_ins : str
        Sentence on missing inputs for which estimates are used; empty if none.
    """

    study: Study
    trials: int
    seed: int
    contracts: dict[str, dict[str, Side]]
    ranked: list[Effect]
    stand_ins: str = ""

    def __repr__(self) -> str:
        return f"<ContractReport: {self.trials:,} trials, seed {self.seed}>"

    def to_dict(self) -> dict[str, Any]:
        """The report as plain values for programs."""
        return plain_values(
            {
                "trials": self.trials,
                "seed": self.seed,
                "agreed": self.study.inputs["contract_kind"],
                "contracts": self.contracts,
                "effects": self.ranked,
                "distributions": distributions(self.study),
                "units": self.study.units,
            }
        )

    def summary(self) -> tuple[str, ...]:
        """The main results in sentences, the probability of a loss first.

        If inputs are missing, the first sentence lists the estimates used.
        """
        kind = self.study.inputs["contract_kind"]
        agreed = self.contracts[kind]
        sentences = [
            f"Probability that the mill makes a loss (contract type: {kind}): "
            f"{percent(agreed['mill'].loss.value, agreed['mill'].loss.error)}"
        ]
        sentences += [self._margin(side, agreed[side]) for side in SIDES]
        return (self.stand_ins, *sentences) if self.stand_ins else tuple(sentences)

    def _margin(self, side: str, results: Side) -> str:
        ton = TON[self.study.units]
        note = ""
        if results.base_case > results.p90.value:
            note = " More than nine in ten trials are below the base case."
        elif results.base_case < results.p10.value:
            note = " More than nine in ten trials are above the base case."
        return (
            f"Margin of the {side} per {ton}: base case {money(results.base_case, 2)}, "
            f"mean {money(results.mean.value, 2)}; below zero in "
            f"{percent(results.loss.value)} of the trials.{note}"
        )

    def method(self) -> tuple[str, ...]:
        """Method of the simulation in sentences, with a caution as the last one."""
        drawn = trials_drawn(self.trials, self.seed, self.study)
        price = gold_price(self.study, "a year")
        charges = self._estimated_charges()
        return (drawn, *price, *correlated(self.study), *charges, caution())

    def _estimated_charges(self) -> list[str]:
        inputs, units = self.study.inputs, self.study.units
        kinds = [
            kind
            for kind in self.contracts
            if estimated_charges({**inputs, "contract_kind": kind}, units)
        ]
        note = f"Charges that are estimates, on the sheet Contract: {'; '.join(kinds)}."
        return [note] if kinds else []

    def tables(self, plan: Any) -> list[tuple[tuple[str, ...], list[list[str]]]]:
        """Heads and rows of each table, in text; the plan knows labels and units."""
        return [
            contracts_table(self, plan),
            effects_table(self.ranked, plan, MARGIN, "Margin"),
        ]

    rows = as_rows


def make_contract_report(study, trials=16384, seed=0):
    """Run the risk analysis of a contract.

    Parameters
    ----------
    study : Study
    trials, seed : int
        As for `risk.risk`; at most 65,536 trials.

    Returns
    -------
    report : ContractReport
    """
    study = _of_contract(study)
    trials = REPLICATES * min(check_trials(trials), MOST_PER_REPLICATE)
    return ContractReport(
        study=study,
        trials=trials,
        seed=seed,
        contracts=contract_risk(study, trials, seed),
        ranked=effects(study, (MARGIN,), MARGIN),
    )


def _of_contract(study):
    """The study without inputs of the claim, which do not affect a contract."""
    _, inputs = rests_on(CONTRACT)
    return replace(
        study,
        distributions={n: h for n, h in study.distributions.items() if n in inputs},
        correlations={
            pair: share
            for pair, share in study.correlations.items()
            if inputs.issuperset(pair)
        },
    )
