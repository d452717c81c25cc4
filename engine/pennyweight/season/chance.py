"""The season's plan under chance, beside simple rules on the same draws."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from scipy import stats

from ..errors import CallError
from ..model.inputs import INPUTS
from ..plain_values import plain_values
from ..risk.ranges import planned_range
from .beliefs import SCALES, Z
from .lots import lot_inputs, work_out
from .schedule import rules

MOST = 5000
"""Draws."""
DRAWN = {
    # column: input, scale, and the input with its relative standard deviation
    "wet_tons": ("custom_wet_tons", "lognormal", ""),
    "grade": ("custom_grade", "lognormal", "grade_risk"),
    "recovery": ("gravity_recovery", "logit", "recovery_risk"),
    "pace": ("custom_pace", "lognormal", ""),
}
PLAN = "this plan"


@dataclass
class Chance:
    """A season under chance.

    Attributes
    ----------
    contribution : pandas.DataFrame
        For this plan and each simple rule: ``p10``, ``p50``, ``p90`` and ``mean`` of
        the contribution, $, and ``beaten``: share of the draws in which this plan
        brings more.
    lots : pandas.DataFrame
        For each lot of the plan: chance that it is ``milled`` before the season ends
        and that it is ``in_time``, and the days on which it is finished in 1 of 10, in
        half and in 9 of 10 draws.
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
    """Draw tons, grades, recoveries, throughput, running time and the gold price.

    A lot's low and high are P10 and P90. Where it has none, grade and recovery have the
    relative standard deviations of the workbook. The gold price has the workbook's,
    alike for all lots; the running time has the low and high of its input.

    Parameters
    ----------
    season : Season
    draws : int
    seed : int

    Returns
    -------
    chance : Chance
    """
    if not 1 <= draws <= MOST:
        raise CallError(f"Draws: {draws:,}. Enter a number from 1 to {MOST:,}.")
    plans = {PLAN: season.solution.schedule}
    plans |= rules(season.problem, season.offers.lots["grade"].to_numpy())
    modes = sorted({job.mode for plan in plans.values() for job in plan.jobs})
    if not modes:
        raise CallError("The plan has no lot. There is nothing to draw.")
    rng = np.random.default_rng(seed)
    hours, money = _drawn(season, np.array(modes), draws, rng)
    place = {mode: at for at, mode in enumerate(modes)}
    found = {
        name: _milled(season.problem, plan, hours, money, place)
        for name, plan in plans.items()
    }
    brought = {name: result[0] for name, result in found.items()}
    _, ends, done = found[PLAN]
    return Chance(_table(brought), _lots(season, plans[PLAN].jobs, ends, done), draws)


def _drawn(season, modes, draws, rng):
    """Hours and contribution of each mode in each draw, shape (modes, draws)."""
    inputs, lots = season.inputs, season.offers.lots
    table = season.offers.table.loc[modes]
    rows = table["lot"].to_numpy()
    given = lot_inputs(
        inputs, lots, rows, table["p80"].to_numpy(), table["part"].to_numpy()
    )
    each = {name: np.repeat(value, draws) for name, value in given.items()}
    scores = {column: rng.standard_normal((len(lots), draws)) for column in DRAWN}
    for column, (name, scale, risk) in DRAWN.items():
        moved = _moved(given[name], lots.loc[rows], column, scale, inputs.get(risk))
        if moved is not None:
            values = moved(scores[column][rows]).ravel()
            each[name] = np.clip(values, *INPUTS[name].within(season.units))
    price = np.exp(inputs["price_risk"] * rng.standard_normal(draws))
    each["gold_price"] = np.clip(
        inputs["gold_price"] * np.tile(price, len(modes)),
        *INPUTS["gold_price"].within(season.units),
    )
    runs = np.repeat(rows, draws)
    committed = season.options.crew_committed
    found = work_out(inputs, season.units, each, lots, runs, committed)
    shape = (len(modes), draws)
    hours = found["hours"].reshape(shape) / _running(inputs, season.units, draws, rng)
    return hours, found["contribution"].reshape(shape)


def _moved(value, lots, column, scale, risk):
    """How a figure moves with a normal score; None if it is certain."""
    to, back = SCALES[scale]
    low, high = (lots[f"{column}_{end}"].to_numpy() for end in ("low", "high"))
    own = ~np.isnan(low)
    spread = np.full(len(lots), risk or 0.0)
    if scale == "logit":
        spread = spread / (1 - value)
    spread[own] = ((to(high) - to(low)) / (2 * Z))[own]
    if not spread.any():
        return None
    moves = (spread > 0)[:, None]
    likely = np.minimum(value, 0.999) if scale == "logit" else value
    middle = to(np.where(moves, likely[:, None], 0.5))
    return lambda scores: np.where(
        moves, back(middle + spread[:, None] * scores), value[:, None]
    )


def _running(inputs, units, draws, rng):
    """Running time over the planned one, alike for a whole season."""
    low, base, high = planned_range("availability", inputs, units)
    if low >= high:
        return np.ones(draws)
    at = stats.norm.cdf(rng.standard_normal(draws))
    share = np.interp(at, [0.0, 0.1, 0.5, 0.9, 1.0], [low, low, base, high, high])
    return share / base


def _milled(problem, plan, hours, money, place):
    """Mill a plan's lots in their order in every draw.

    Returns
    -------
    brought : ndarray
    ends, done : list of ndarray
        For each lot: its end, and whether it was milled.
    """
    draws = hours.shape[1]
    clock, brought = np.zeros(draws), np.zeros(draws)
    before, ends, done = None, [], []
    for job in plan.jobs:
        lot, at = job.lot, place[job.mode]
        change = before is not None and problem.owners[before] != problem.owners[lot]
        start = np.maximum(clock + problem.change * change, problem.ready[lot])
        end = start + hours[at]
        fits = end <= problem.end + 1e-6
        late = problem.late[lot] if np.isfinite(problem.late[lot]) else 0.0
        delay = np.maximum(end - problem.due[lot], 0.0)
        brought += np.where(fits, money[at] - late * delay, 0.0)
        clock = np.where(fits, end, clock)
        before = lot
        ends.append(end)
        done.append(fits)
    return brought, ends, done


def _table(brought):
    rows = []
    for name, money in brought.items():
        points = np.quantile(money, [0.1, 0.5, 0.9])
        beaten = float(np.mean(brought[PLAN] > money + 1e-9))
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
