"""Monte Carlo simulation of a claim: probabilities, quantiles, standard errors."""

import functools
import threading
from dataclasses import dataclass, field, replace

import numpy as np

from ..errors import BadValue
from ..model.axes import MONTHS
from ..model.lines.cash.answers import PAYS
from ..model.run import run
from .draws import REPLICATES, Draws, check_trials
from .evaluate import Evaluator, over_cores
from .figures import (
    MONEY,
    MONTHLY,
    OPTIONAL,
    SHARES,
    Statistic,
    empty,
    error_targets,
    merged,
    statistics_of,
)
from .histogram import Bins, Histogram
from .range_warnings import without_range_warnings
from .sensitivity import RESULTS, Effect, effects
from .study import Study


@dataclass(kw_only=True)
class Risk:
    """Results of the simulation.

    Attributes
    ----------
    study : Study
    trials, seed : int
    figures : dict of str to Statistic
        Probabilities ``pays``, ``npv_not_negative``, ``margin_positive``,
        ``funds_run_out``, ``no_payback``; ``<result>_mean``, ``_p10``, ``_p50``,
        ``_p90``; ``expected_shortfall``, ``funding_shortfall_mean``.
    base_case : dict
        The results of the base case.
    enough : bool
        Whether the standard errors meet their targets.
    trials_needed : int
        Trials that would meet them.
    histograms : dict of str to Histogram
    fan : ndarray
        Owner's cumulative cash by month, $: P10, median, P90; shape (3, 120).
    funds : float
        Cash available, $.
    clipped, adjusted : int
        Trials in which an input was set to its bound, or inputs that contradict one
        another were adjusted toward the base case.
    method, reason : str
        How the model was calculated (kernel or numpy), and why not by the kernel.
    ranked : list of Effect
        One input at a time, largest effect first.
    """

    study: Study
    trials: int
    seed: int
    figures: dict[str, Statistic]
    base_case: dict[str, np.ndarray]
    enough: bool
    trials_needed: int
    histograms: dict[str, Histogram]
    fan: np.ndarray
    funds: float
    clipped: int = 0
    adjusted: int = 0
    method: str = ""
    reason: str = ""
    ranked: list[Effect] = field(default_factory=list)

    def __repr__(self) -> str:
        return f"<Risk: {self.trials:,} trials, seed {self.seed}>"


@without_range_warnings()
def risk(
    study,
    trials=16384,
    seed=0,
    *,
    funds=None,
    workers=None,
    rate=False,
    progress=None,
):
    """Run a Monte Carlo simulation of the model.

    Parameters
    ----------
    study : Study
    trials : int
        Rounded up to a power of two in each of the 16 randomized replicates.
    seed : int
        The same seed gives the same results on any number of cores.
    funds : float, optional
        The owner's cash available, $; default: peak funding of the base case.
    workers : int, optional
        As for `evaluate.over_cores`.
    rate : bool
        Whether to include the internal rate of return, which takes much longer.
    progress : callable, optional
        Called with the number of trials done since the last call.

    Returns
    -------
    risk : Risk

    Raises
    ------
    BadValue
        For too few or too many trials, a seed or cash out of range.
    """
    each = check_trials(trials)
    base_case, ranked = _base_case(study), effects(study, (*RESULTS, "verdict"))
    study = _by_effect(study, ranked)
    funds = float(base_case["peak_funding"]) if funds is None else funds
    if not np.isfinite(funds) or funds < 0:
        raise BadValue(f"Cash available: {funds!r} $. Enter an amount of 0 or more.")
    money = MONEY + (OPTIONAL if rate else ())
    results = (*money, *MONTHLY, "verdict", "funding_shortfall")
    evaluate = Evaluator(study, results, funds, each * REPLICATES)
    draws = Draws(study, seed)
    evaluate.verify(next(draws.blocks(0, 256)))
    bins = _bins(draws, evaluate, money)

    parts = _replicates(draws, evaluate, bins, each, workers, progress)
    total = merged(parts, bins)
    figures = statistics_of(total, parts, money)
    enough, needed = error_targets(figures, each * REPLICATES)
    return Risk(
        study=study,
        trials=each * REPLICATES,
        seed=int(seed),
        figures=figures,
        base_case=base_case,
        enough=enough,
        trials_needed=needed,
        histograms=total.histograms,
        fan=_fan(draws, study, min(each, 2048)),
        funds=funds,
        clipped=sum(part.clipped for part in parts),
        adjusted=sum(part.adjusted for part in parts),
        method=evaluate.method,
        reason=evaluate.reason,
        ranked=ranked,
    )


def _base_case(study):
    wanted = (*MONEY, *OPTIONAL, "payback_month", "verdict", "closing_owner")
    values = run(study.inputs, study.units, wanted=wanted)
    return {name: values[name] for name in wanted}


def _by_effect(study, ranked):
    """Put the largest effects first: a Sobol sequence is best in low dimensions."""
    order = [effect.name for effect in ranked if effect.name in study.distributions]
    order += [name for name in study.distributions if name not in order]
    distributions = {name: study.distributions[name] for name in order}
    return replace(study, distributions=distributions)


def _bins(draws, evaluate, money):
    """Bins from the first trials of the first replicate."""
    first = evaluate(next(draws.blocks(0, 1024)))
    bins = {name: Bins.around(first[name]) for name in money}
    bins["payback_month"] = Bins.of_whole(1, MONTHS)
    bins["shortfall_month"] = Bins.of_whole(1, MONTHS)
    return bins


def _replicates(draws, evaluate, bins, each, workers, progress):
    """Simulate all replicates on all cores."""
    processes = evaluate.kernel is None
    inside, stop = (None, None) if processes else (progress, threading.Event())
    task = functools.partial(_replicate, draws, evaluate, bins, each, inside, stop)
    parts = []
    for part in over_cores(task, range(REPLICATES), workers, processes, stop):
        parts.append(part)
        if processes and progress:
            progress(each)
    return parts


def _replicate(draws, evaluate, bins, count, progress, stop, replicate):
    """Simulate one replicate."""
    part = empty(bins)
    for block in draws.blocks(replicate, count):
        if stop and stop.is_set():
            break
        found = evaluate(block)
        short = found["shortfall_month"] <= MONTHS
        found["shortfall_month"] = np.where(short, found["shortfall_month"], np.nan)
        for name, histogram in part.histograms.items():
            histogram.add(found[name])
        for name, true in (
            ("pays", found["verdict"] == PAYS),
            ("npv_not_negative", found["net_present_value"] >= 0),
            ("margin_positive", found["margin_per_ton"] > 0),
            ("funds_run_out", short),
        ):
            part.probabilities[name] += int(np.count_nonzero(true)) / count
        part.shortfall += float(np.sum(found["funding_shortfall"])) / count
        part.clipped += block.clipped
        part.adjusted += block.adjusted
        if progress:
            progress(len(short))
    return part


def _fan(draws, study, count):
    """Quantiles of the owner's cumulative cash by month, from the first trials."""
    block = next(draws.blocks(0, count))
    rows = {} if block.prices is None else {"gold_price": block.prices}
    values = run(
        {**study.inputs, **block.values},
        study.units,
        wanted=["closing_owner"],
        monthly=rows,
    )["closing_owner"]
    values = values.reshape(len(values), -1)
    return np.quantile(values, SHARES, axis=1)
