"""Monte Carlo simulation of a season plan and of simple rules, on the same draws."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from scipy import stats

from ..errors import CallError
from ..model.inputs import inputs_in
from ..plain_values import plain_values
from ..risk.ranges import planned_range
from .bayes import SCALES, Z
from .lots import evaluate_lots, lot_inputs
from .schedule import rules

MOST_DRAWS = 5000
DRAWN = {
    # column: input, scale, input with the relative standard deviation
    "wet_tons": ("custom_wet_tons", "lognormal", ""),
    "grade": ("custom_grade", "lognormal", "grade_risk"),
    "recovery": ("gravity_recovery", "logit", "recovery_risk"),
    "pace": ("custom_pace", "lognormal", ""),
}
PLAN = "this plan"


@dataclass
class Chance:
    """Results of a Monte Carlo simulation of a season.

    Attributes
    ----------
    contribution : pandas.DataFrame
        For this plan and each simple rule: ``p10``, ``p50``, ``p90`` and ``mean`` of
        the contribution, $, and ``beaten``: share of the draws in which this plan has a
        larger contribution.
    lots : pandas.DataFrame
        For each lot of the plan: probability that it is ``milled`` before the season
        ends and that it is ``in_time``, and P10, median and P90 of its finish date.
    draws : int
    """

    contribution: pd.DataFrame
    lots: pd.DataFrame
    draws: int

    def to_dict(self) -> dict[str, Any]:
        """Everything in plain values, for programs."""
        return plain_values(
            {
                "chance": self.contribution,
                "chance_of_lots": self.lots,
            }
        )


def under_chance(season, draws=500, seed=0):
    """Simulate a season with random tons, grades, recoveries, throughput and prices.

    A lot's low and high are P10 and P90. Without them, grade and recovery have the
    relative standard deviations of the workbook. One gold price and one running time is
    drawn for all lots: the price with the workbook's relative standard deviation, the
    running time from the low and high of its input.

    Parameters
    ----------
    season : Season
    draws : int
    seed : int

    Returns
    -------
    chance : Chance
    """
    if not 1 <= draws <= MOST_DRAWS:
        raise CallError(f"Draws: {draws:,}. Enter a number from 1 to {MOST_DRAWS:,}.")
    plans = {PLAN: season.solution.schedule}
    plans |= rules(season.problem, season.offers.lots["grade"].to_numpy())
    modes = sorted({job.mode for plan in plans.values() for job in plan.jobs})
    if not modes:
        raise CallError("The plan has no lot. There is nothing to draw.")
    rng = np.random.default_rng(seed)
    hours, money = _draw(season, np.array(modes), draws, rng)
    place = {mode: at for at, mode in enumerate(modes)}
    results = {
        name: _simulate(season.problem, plan, hours, money, place)
        for name, plan in plans.items()
    }
    contributions = {name: result[0] for name, result in results.items()}
    _, ends, done = results[PLAN]
    lots = _lots(season, plans[PLAN].jobs, ends, done)
    return Chance(_table(contributions), lots, draws)


def _draw(season, modes, draws, rng):
    """Hours and contribution of each mode in each draw, shape (modes, draws)."""
    inputs, lots = season.inputs, season.offers.lots
    limits = inputs_in(inputs)
    table = season.offers.table.loc[modes]
    rows = table["lot"].to_numpy()
    given = lot_inputs(
        inputs, lots, rows, table["p80"].to_numpy(), table["part"].to_numpy()
    )
    each = {name: np.repeat(value, draws) for name, value in given.items()}
    scores = {column: rng.standard_normal((len(lots), draws)) for column in DRAWN}
    for column, (name, scale, risk) in DRAWN.items():
        moved = _transform(given[name], lots.loc[rows], column, scale, inputs.get(risk))
        if moved is not None:
            values = moved(scores[column][rows]).ravel()
            each[name] = np.clip(values, *limits[name].within(season.units))
    price = np.exp(inputs["price_risk"] * rng.standard_normal(draws))
    each["gold_price"] = np.clip(
        inputs["gold_price"] * np.tile(price, len(modes)),
        *limits["gold_price"].within(season.units),
    )
    runs = np.repeat(rows, draws)
    results = evaluate_lots(inputs, season.units, each, lots, runs)
    shape = (len(modes), draws)
    hours = results["hours"].reshape(shape) / _running(inputs, season.units, draws, rng)
    return hours, results["contribution"].reshape(shape)


def _transform(value, lots, column, scale, risk):
    """Function from normal scores to values of a column; None if it is certain."""
    transform, inverse = SCALES[scale]
    low, high = (lots[f"{column}_{end}"].to_numpy() for end in ("low", "high"))
    has_range = ~np.isnan(low)
    spread = np.full(len(lots), risk or 0.0)
    if scale == "logit":
        spread = spread / (1 - value)
    spread[has_range] = ((transform(high) - transform(low)) / (2 * Z))[has_range]
    if not spread.any():
        return None
    moves = (spread > 0)[:, None]
    inside = np.minimum(value, 0.999) if scale == "logit" else value
    middle = transform(np.where(moves, inside[:, None], 0.5))
    return lambda scores: np.where(
        moves, inverse(middle + spread[:, None] * scores), value[:, None]
    )


def _running(inputs, units, draws, rng):
    """Ratio of the running time to the planned one, one per season."""
    low, base, high = planned_range("availability", inputs, units)
    if low >= high:
        return np.ones(draws)
    at = stats.norm.cdf(rng.standard_normal(draws))
    share = np.interp(at, [0.0, 0.1, 0.5, 0.9, 1.0], [low, low, base, high, high])
    return share / base


def _simulate(problem, plan, hours, money, place):
    """Mill a plan's lots in order in every draw.

    Returns
    -------
    brought : ndarray
    ends, done : list of ndarray
        Of each lot: its end, and whether it was milled.
    """
    draws = hours.shape[1]
    clock, contributions = np.zeros(draws), np.zeros(draws)
    owner, ends, done = np.full(draws, -1), [], []
    for job in plan.jobs:
        lot, at = job.lot, place[job.mode]
        change = (owner >= 0) & (owner != problem.owners[lot])
        start = np.maximum(clock + problem.change * change, problem.ready[lot])
        end = start + hours[at]
        fits = end <= problem.end + 1e-6
        late = problem.late[lot] if np.isfinite(problem.late[lot]) else 0.0
        delay = np.maximum(end - problem.due[lot], 0.0)
        cost = late * delay + problem.change_cost * change
        contributions += np.where(fits, money[at] - cost, 0.0)
        clock = np.where(fits, end, clock)
        owner = np.where(fits, problem.owners[lot], owner)
        ends.append(end)
        done.append(fits)
    return contributions, ends, done


def _table(contributions):
    rows = []
    for name, money in contributions.items():
        points = np.quantile(money, [0.1, 0.5, 0.9])
        beaten = float(np.mean(contributions[PLAN] > money + 1e-9))
        rows.append((name, *points, money.mean(), beaten))
    columns = ["rule", "p10", "p50", "p90", "mean", "beaten"]
    return pd.DataFrame(rows, columns=columns)


def _lots(season, jobs, ends, done):
    rows = []
    for job, end, fits in zip(jobs, ends, done, strict=True):
        due = season.problem.due[job.lot]
        in_time = fits & (end <= due + 1e-6)
        points = np.quantile(end, [0.1, 0.5, 0.9])
        days = [season.calendar.last_date(hour) for hour in points]
        rows.append(
            (
                season.offers.names[job.lot],
                float(fits.mean()),
                float(in_time.mean()) if np.isfinite(due) else np.nan,
                *days,
            )
        )
    columns = ["lot", "milled", "in_time", "finish_p10", "finish_p50", "finish_p90"]
    return pd.DataFrame(rows, columns=columns)
