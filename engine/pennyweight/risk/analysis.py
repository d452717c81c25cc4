"""How likely it is that the claim pays, and how sure that figure is."""

import functools
from dataclasses import dataclass, field

import numpy as np

from ..errors import BadValue
from ..model.axes import MONTHS
from ..model.lines.cash.answers import PAYS
from ..model.run import run
from .draws import SCRAMBLES, Draws, check_trials
from .evaluate import STOP, Evaluator, over_cores
from .figures import SHARES, Scramble, enough_of, figures_of, merged
from .histogram import Bins, Tally
from .quiet import quietly
from .sensitivity import effects

MONEY = ("net_present_value", "margin_per_ton", "life_cash", "peak_funding")
OPTIONAL = ("internal_rate",)
MONTHLY = ("payback_month", "shortage_month")


@dataclass
class Risk:
    """What the trials say.

    Attributes
    ----------
    study : Study
    trials, seed : int
    figures : dict of str to Figure
        ``pays``, ``worth_it``, ``margin_positive``, ``runs_short``, ``never_back``
        (chances); ``<result>_mean``, ``_p10``, ``_p50``, ``_p90``; and
        ``expected_shortfall``, ``missing_mean``.
    planned : dict
        The results as planned, one set of inputs.
    enough : bool
    wanted_trials : int
        How many trials would be enough.
    tallies : dict of str to Tally
    fan : ndarray
        Owner's cumulative cash by month at P10, P50, P90, shape (3, 121).
    funds : float
        Money at hand.
    clipped, pulled : int
        Trials in which a draw was set to its bound, or pulled back by a rule.
    way, reason : str
        What worked the model out, and why not the kernel.
    """

    study: object
    trials: int
    seed: int
    figures: dict
    planned: dict
    enough: bool
    wanted_trials: int
    tallies: dict
    fan: object
    funds: float
    clipped: int = 0
    pulled: int = 0
    way: str = ""
    reason: str = ""
    ranked: list = field(default_factory=list)


@quietly
def risk(
    study,
    trials=16384,
    seed=0,
    funds=None,
    way="auto",
    workers=None,
    rate=False,
    progress=None,
    quasi=True,
):
    """Draw the uncertain inputs many times and work the model out for each.

    Parameters
    ----------
    study : Study
    trials : int
        Rounded up to a power of two in each of the 16 scrambles.
    seed : int
        The same seed gives the same figures, on any number of cores.
    funds : float, optional
        The owner's money at hand; what the plan needs when left out.
    way : {"auto", "numpy", "kernel"}
    workers : int, optional
        Cores to use; all when left out.
    rate : bool
        Whether the rate of return is worked out too, which takes far longer.
    progress : callable, optional
        Called with the number of trials done since the last call.
    quasi : bool
        False for plain random numbers.

    Returns
    -------
    risk : Risk

    Raises
    ------
    BadValue
        For too few or too many trials, a bad seed or bad funds.
    """
    each = check_trials(trials)
    planned, ranked = _planned(study), effects(study)
    study = _by_effect(study, ranked)
    funds = float(planned["peak_funding"]) if funds is None else funds
    if not np.isfinite(funds) or funds < 0:
        raise BadValue(f"Money at hand is {funds!r}; it must be 0 or more.")
    money = MONEY + (OPTIONAL if rate else ())
    results = (*money, *MONTHLY, "verdict", "money_missing")
    evaluate = Evaluator(study, results, funds, way, each * SCRAMBLES)
    draws = Draws(study, seed, quasi, fast=evaluate.kernel is not None)
    evaluate.verify(next(draws.blocks(0, 256)))
    bins = _bins(draws, evaluate, money)

    parts = _all_scrambles(draws, evaluate, bins, each, workers, progress)
    whole = merged(parts, bins)
    figures = figures_of(whole, parts, money)
    enough, wanted = enough_of(figures, each * SCRAMBLES)
    return Risk(
        study,
        each * SCRAMBLES,
        int(seed),
        figures,
        planned,
        enough,
        wanted,
        whole.tallies,
        _fan(draws, study, min(each, 2048)),
        funds,
        sum(part.clipped for part in parts),
        sum(part.pulled for part in parts),
        evaluate.way,
        evaluate.reason,
        ranked,
    )


def _planned(study):
    wanted = (*MONEY, *OPTIONAL, "payback_month", "verdict", "closing_owner")
    values = run(study.inputs, study.units, wanted=wanted)
    return {name: values[name] for name in wanted}


def _by_effect(study, ranked):
    """Draw what matters most first: the first draws are spread best."""
    order = [effect.name for effect in ranked if effect.name in study.spreads]
    order += [name for name in study.spreads if name not in order]
    spreads = {name: study.spreads[name] for name in order}
    return type(study)(**{**vars(study), "spreads": spreads})


def _bins(draws, evaluate, money):
    """Bins laid around the first trials of the first scramble."""
    first = evaluate(next(draws.blocks(0, 1024)))
    bins = {name: Bins.around(first[name]) for name in money}
    bins["payback_month"] = Bins.of_whole(0, MONTHS)
    bins["shortage_month"] = Bins.of_whole(0, MONTHS)
    return bins


def _all_scrambles(draws, evaluate, bins, each, workers, progress):
    """Work out every scramble, over the cores."""
    processes = evaluate.kernel is None
    inside = None if processes else progress
    task = functools.partial(_one, draws, evaluate, bins, each, inside)
    parts = []
    for part in over_cores(task, range(SCRAMBLES), workers, processes):
        parts.append(part)
        if processes and progress:
            progress(each)
    return parts


def _one(draws, evaluate, bins, count, progress, scramble):
    """All trials of one scramble."""
    part = Scramble({name: Tally(where) for name, where in bins.items()}, {})
    hits = dict.fromkeys(("pays", "worth_it", "margin_positive", "runs_short"), 0)
    for block in draws.blocks(scramble, count):
        if STOP.is_set():
            break
        found = evaluate(block)
        short = found["shortage_month"] <= MONTHS
        found["shortage_month"] = np.where(short, found["shortage_month"], np.nan)
        for name, tally in part.tallies.items():
            tally.add(found[name])
        for name, holds in (
            ("pays", found["verdict"] == PAYS),
            ("worth_it", found["net_present_value"] >= 0),
            ("margin_positive", found["margin_per_ton"] > 0),
            ("runs_short", short),
        ):
            hits[name] += int(np.count_nonzero(holds))
        part.missing += float(np.sum(found["money_missing"])) / count
        part.clipped += block.clipped
        part.pulled += block.pulled
        if progress:
            progress(len(short))
    part.chances = {name: hit / count for name, hit in hits.items()}
    return part


def _fan(draws, study, count):
    """The owner's cumulative cash by month, from the first trials."""
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
