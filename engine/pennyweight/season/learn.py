"""Bayesian update of the plan's inputs from actuals, with drift."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Context
from typing import Any

import numpy as np
import pandas as pd

from ..arguments import typechecked
from ..errors import CallError
from ..model.allowed import check
from ..model.currency import symbol
from ..model.inputs import INPUTS, input_called, inputs_in
from ..model.sources import as_entered, measured
from ..model.units import Units, shown
from ..plain_values import plain_values
from ..risk.ranges import own_range, planned_range
from .actuals import (
    MEASURED,
    all_months,
    in_order,
    metal,
    plan_figures,
    read_actuals,
    refuse_found_gold,
    variances,
)
from .bayes import cusum, prior_of
from .columns import look_again
from .forecast import MONTH_IS, forecast, planned_is, rest_of_season

LIMIT = 4.0
"""CUSUM above which a drift is reported: one false alarm in 168 lots (Montgomery
and Runger, Applied Statistics and Probability for Engineers, table 16-9)."""


@dataclass(frozen=True)
class LearnedFigure:
    """A quantity that is updated from actuals.

    Attributes
    ----------
    name, label, unit : str
    scale : str
    scatter : float
        Standard deviation of one lot, on the scale; own choice, common practice.
    line : str
        Line of the model with the planned value; empty if there is none.
    range_of : str
        Input whose relative low and high apply to the planned value.
    enters : str
        Input for the learned value; empty if there is none.
    moved_by : str
        Line or input that changes in proportion to that input.
    """

    name: str
    label: str
    unit: str
    scale: str
    scatter: float
    line: str = ""
    range_of: str = ""
    enters: str = ""
    moved_by: str = ""


FIGURES = (
    LearnedFigure(
        *("recovery", "Gravity recovery", "share", "logit", 0.25),
        *("planned_recovery", "gravity_recovery", "gravity_recovery"),
        "planned_recovery",
    ),
    LearnedFigure(
        *("pace", "Throughput", "ton/hour", "lognormal", 0.12),
        *("feed_rate", "measured_pace", "measured_pace", "measured_at_grind"),
    ),
    LearnedFigure(
        *("grade", "Head grade (mill feed)", "grade", "lognormal", 0.25),
        *("feed_grade", "ore_grade", "ore_grade", "feed_grade"),
    ),
    LearnedFigure(
        *("energy", "Energy per ton", "kWh/ton", "lognormal", 0.12),
        *("energy_per_ton", "work_index", "energy_bill"),
    ),
    LearnedFigure(
        *("balls", "Ball consumption", "mass/ton", "lognormal", 0.25),
        *("ball_make_up", "abrasion_index"),
    ),
    LearnedFigure("call_factor", "Mill call factor", "share", "lognormal", 0.1),
)
CUSTOMERS = (
    "These lots are of customers: the mill earns its charges, not their gold. The "
    "money here values the gold as if the ore were the plan's own, and the grade of "
    "their ore is not entered in the plan."
)
CALL_FACTOR = (1.0, 0.9, 1.1)
"""Value, low and high before any measurement: own choice."""
SWITCHES = {
    "gravity_recovery": {"recovery_source": "entered"},
    "measured_pace": {"pace_source": "measured"},
    "ore_grade": {"grade_source": "entered"},
    "energy_bill": {"energy_source": "bill"},
}
"""Choices that make the plan use a learned value."""


@dataclass
class Learned:
    """Inputs learned from actuals, with variances and forecast.

    Attributes
    ----------
    actuals : pandas.DataFrame
        As read.
    variances : pandas.DataFrame
        Planned and actual contribution, and the difference by cause, $.
    figures : pandas.DataFrame
        A row for each figure: ``planned`` with ``low`` and ``high``; ``learned`` with
        ``learned_low`` and ``learned_high`` (P10 and P90 of the mean); ``next_low`` and
        ``next_high`` for the next lot; ``count`` of lots; ``drift`` as a sentence;
        ``enters``, the input for the learned value.
    forecast : pandas.DataFrame
        ``planned`` and ``forecast`` of a full month, and of the months that remain.
    notes : tuple of str
        What a planned month, a working month and the rest of the season are.
    entries : dict of str to tuple
        For each input with a learned value: value, low, high, and basis.
    units : {"us", "metric"}
    currency : str
        As in the plan.
    look_again : tuple of str
        Sentences on figures of the table that are far from their usual range.
    """

    actuals: pd.DataFrame
    variances: pd.DataFrame
    figures: pd.DataFrame
    forecast: pd.DataFrame
    entries: dict[str, tuple[float, float, float, str]]
    units: Units
    currency: str = ""
    notes: tuple[str, ...] = ()
    look_again: tuple[str, ...] = ()

    def __repr__(self) -> str:
        return f"<Learned: {len(self.entries)} inputs from {len(self.actuals)} rows>"

    @typechecked
    def inputs(self, names: Iterable[str] | None = None) -> dict[str, Any]:
        """Inputs that make a plan use the learned values.

        Parameters
        ----------
        names : iterable of str, optional
            Inputs by name or label. Default: all.

        Returns
        -------
        inputs : dict
        """
        found = {}
        for name in self.chosen(names):
            found[name] = self.entries[name][0]
            found |= SWITCHES.get(name, {})
        return found

    @typechecked
    def chosen(self, names: Iterable[str] | None = None) -> list[str]:
        """The named inputs, if they were learned. Default: all learned inputs."""
        if names is None:
            return list(self.entries)
        wanted = [input_called(name) for name in names]
        for name in wanted:
            if name not in self.entries:
                known = ", ".join(INPUTS[n].label for n in self.entries) or "none"
                raise CallError(
                    f"{INPUTS[name].label} was not learned from these actuals. "
                    f"Learned: {known}."
                )
        return wanted

    def to_dict(self) -> dict[str, Any]:
        """Everything in plain values, for programs."""
        return plain_values(
            {
                "look_again": self.look_again,
                "variances": self.variances,
                "figures": self.figures,
                "forecast": self.forecast,
                "notes": self.notes,
                "entries": {
                    name: dict(
                        zip(("value", "low", "high", "basis"), entry, strict=True)
                    )
                    for name, entry in self.entries.items()
                },
            }
        )


def learn(inputs, units, table, ranges=None):
    """Compare actuals with the plan, and update the plan's inputs from them.

    Parameters
    ----------
    inputs : mapping
        Of the workbook.
    units : {"us", "metric"}
    table : pandas.DataFrame
        Columns as in `actuals.FIELDS`.
    ranges : mapping of str to (float, float), optional
        The user's own low and high.

    Returns
    -------
    learned : Learned
    """
    # If the plan uses a measured value, the range of the entered one does not apply.
    ranges = {n: e for n, e in (ranges or {}).items() if n not in measured(inputs)}
    inputs = as_entered(inputs, units)
    actuals = read_actuals(table, units)
    plan = plan_figures(inputs, units)
    refuse_found_gold(actuals, plan, units)
    actuals = in_order(actuals)
    observed = measurements(actuals, plan)
    rows, entries, noted = [], {}, planned_is(actuals)
    left_out = None
    if actuals.attrs.get("customers"):
        left_out, noted = "ore_grade", f"{noted} {CUSTOMERS}"
    for figure in FIGURES:
        if figure.line and np.isnan(plan[figure.line]):
            continue  # balls, in a hammer mill
        planned = _planned(figure, plan, inputs, units, ranges)
        row, posterior = _update(figure, planned, observed[figure.name], units)
        rows.append(row)
        if posterior.count and figure.enters and figure.enters != left_out:
            found = _entry(figure, posterior, plan, inputs, units, actuals)
            entries |= {figure.enters: found} if found else {}
    learned = Learned(
        actuals=actuals,
        variances=variances(actuals, plan),
        figures=pd.DataFrame(rows),
        forecast=pd.DataFrame(),
        entries=entries,
        units=units,
        currency=inputs["currency"],
        look_again=look_again(actuals, actuals["period"], MEASURED, inputs, units),
    )
    sign = symbol(inputs["currency"])
    sums = learned.variances.columns.drop("period")
    learned.variances.attrs["units"] = dict.fromkeys(sums, sign)
    months, rest = rest_of_season(inputs, plan, actuals)
    learned.notes = (noted, MONTH_IS, rest)
    learned.forecast = forecast(inputs, learned.inputs(), units, months)
    return learned


def measurements(actuals, plan):
    """Each figure as measured, row by row.

    Parameters
    ----------
    actuals : pandas.DataFrame
    plan : dict

    Returns
    -------
    observed : dict of str to pandas.Series
        Rows without a measurement are left out; the index has the row numbers.
    """
    found = metal(actuals, plan)
    known = found["measured"]  # a recovery needs an assay of head or tailings
    tons = actuals["tons"]
    observed = {
        "recovery": found["recovery"].where(known),
        "pace": tons / actuals["hours"],
        "grade": (found["head"] * plan["grade_per_ounce"]).where(known),
        "energy": actuals["kwh"] / tons,
        "balls": actuals["balls"] / tons,
        "call_factor": found["called"],
    }
    return {
        name: values[(values > 0) & (tons > 0)].dropna()
        for name, values in observed.items()
    }


def _planned(figure, plan, inputs, units, ranges):
    """Planned value, low and high; the relative range is that of an input."""
    if not figure.line:
        return CALL_FACTOR
    name, value = figure.range_of, plan[figure.line]
    if name in ranges:
        low, base, high = own_range(name, ranges[name], inputs, units)
    else:
        low, base, high = planned_range(name, inputs, units)
    if figure.scale == "logit":
        odds = [share / (1 - share) for share in (low, base, high, value)]
        moved = [odds[3] * odd / odds[1] for odd in odds[:3:2]]
        return value, *(odd / (1 + odd) for odd in moved)
    return value, value * low / base, value * high / base


def _update(figure, planned, observed, units):
    prior = prior_of(*planned, figure.scale, figure.scatter)
    posterior = prior.update(observed)
    unit = shown(figure.unit, units) if figure.unit != "share" else ""
    ends = posterior.median, posterior.quantile(0.1), posterior.quantile(0.9)
    next_lot = [posterior.predictive_quantile(share) for share in (0.1, 0.9)]
    learned, low, high = rounded_outward(*ends)
    next_range = rounded_outward(ends[0], *next_lot)[1:]
    row = {
        "figure": figure.label,
        "unit": unit,
        **dict(zip(("planned", "low", "high"), planned, strict=True)),
        **{"learned": learned, "learned_low": low, "learned_high": high},
        **dict(zip(("next_low", "next_high"), next_range, strict=True)),
        "count": posterior.count,
        "drift": drift_of(prior, observed),
        "enters": figure.enters if posterior.count else "",
    }
    return row, posterior


def drift_of(prior, observed):
    """Drift of a quantity by CUSUM, as a sentence; empty if there is none.

    Each lot is compared with the prediction from the lots before it.

    Parameters
    ----------
    prior : NormalInverseChiSquared
        Before the first lot.
    observed : sequence of float
    """
    scores = []
    for value in observed:
        scores.append(prior.score(value))
        prior = prior.update([value])
    up, down = cusum(scores)
    for sums, word in ((up, "rises"), (down, "falls")):
        if sums and sums[-1] > LIMIT:
            began = max((n for n, total in enumerate(sums) if total == 0), default=-1)
            lots = len(sums) - began - 1
            alike = f"the last {lots} lots differ alike from those before"
            if lots == 1:
                alike = "the last lot differs from those before"
            return (
                f"It {word}: {alike} (cumulative sum {sums[-1]:.1f}, limit {LIMIT:g})."
            )
    return ""


def _entry(figure, posterior, plan, inputs, units, actuals):
    """Value, low, high and basis of an input from a learned quantity."""
    name = figure.enters
    if figure.moved_by:
        factor = inputs[name] / plan[figure.moved_by]
    else:  # the bill is of a month
        priced = plan["cost_of_energy"] / plan["energy_per_ton"]
        factor = priced * plan["tons_per_month"]
    entry = inputs_in(inputs)[name]
    least, most = entry.within(units)
    ends = (posterior.median, posterior.quantile(0.1), posterior.quantile(0.9))
    value, low, high = rounded_outward(
        *(min(max(factor * end, least), most) for end in ends)
    )
    if not low < value < high:
        return None
    check(entry, value, units)
    periods = list(actuals["period"])
    what = "months" if all_months(actuals) else "lots"
    basis = (
        f"Learned from {posterior.count} {what} milled, {periods[0]} to {periods[-1]}"
    )
    return value, low, high, basis


DIGITS = 3
"""Significant digits of a learned value: its scatter supports no more."""


def rounded_outward(value, low, high):
    """Round a value, low and high to three significant digits; low and high outward.

    Examples
    --------
    >>> rounded_outward(0.72349, 0.70189, 0.74411)
    (0.723, 0.701, 0.745)
    """
    ways = (ROUND_HALF_EVEN, ROUND_FLOOR, ROUND_CEILING)
    return tuple(
        float(Context(prec=DIGITS, rounding=way).create_decimal(repr(float(end))))
        for end, way in zip((value, low, high), ways, strict=True)
    )
