"""Sensitivity analysis: one input at a time (ranked effects, curves), and a grid."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from ..model.inputs import INPUTS, inputs_in
from ..model.lines.cash.answers import PAYS
from ..model.rules import RULES
from ..model.run import run
from ..model.units import Units, shown
from .range_warnings import without_range_warnings
from .ranges import planned_range

RESULTS = ("net_present_value", "margin_per_ton")
PRICE_STEPS = tuple(share / 100 for share in range(50, 151, 10))
GRADE_STEPS = tuple(share / 100 for share in range(40, 161, 15))


@dataclass(frozen=True)
class Effect:
    """Results with one input at its low and at its high value.

    Attributes
    ----------
    name : str
    low, base, high : float
        Values of the input.
    at_low, at_high : dict of str to float or str
        Results at its low and high.
    """

    name: str
    low: float
    base: float
    high: float
    at_low: dict[str, Any]
    at_high: dict[str, Any]

    def label(self, units: Units) -> str:
        """The input's label with its unit."""
        entry = INPUTS[self.name]
        unit = shown(entry.unit, units)
        return f"{entry.label}, {unit}" if unit else entry.label

    @property
    def at_ends(self) -> tuple[dict[str, Any], dict[str, Any]]:
        """Results at its low and at its high."""
        return self.at_low, self.at_high

    def size(self, result: str) -> float:
        """Absolute change of the result between low and high."""
        return abs(self.at_high[result] - self.at_low[result])


UNMEASURABLE = (
    "gold_price",
    "silver_price",
    "operating_cost_factor",
    "capital_cost_factor",
)
"""Inputs that no measurement makes more certain: metal prices, factors on estimates."""


def measure_next(ranked, measured=()):
    """Effects of inputs that can be measured, largest first.

    Parameters
    ----------
    ranked : list of Effect
    measured : collection of str
        Inputs that are measured already.
    """
    done = {*UNMEASURABLE, *measured}
    worth = "net_present_value"
    return [e for e in ranked if e.name not in done and e.size(worth) > 0]


def turning(ranked, verdict):
    """Effects of which one end of the range turns the verdict.

    It turns when a claim that pays no longer does, or the other way round.

    Parameters
    ----------
    ranked : list of Effect
        With the verdict among the results.
    verdict : str
        That of the plan.
    """
    now = verdict == PAYS
    return [
        effect
        for effect in ranked
        if any((at["verdict"] == PAYS) != now for at in effect.at_ends)
    ]


def effects(study, results=RESULTS, by="net_present_value"):
    """Change one input at a time from low to high, and rank the inputs (tornado).

    Low and high are the ends of the distribution, or its 5% and 95% points if it is
    unbounded. A gold price path is replaced by one constant price.

    Parameters
    ----------
    study : Study
    results : tuple of str
        Single lines.
    by : str
        The result whose change ranks the inputs.

    Returns
    -------
    effects : list of Effect
        Largest effect first.
    """
    ends = {name: _ends(how) for name, how in study.distributions.items()}
    if study.path:
        ends["gold_price"] = planned_range("gold_price", study.inputs, study.units)[::2]
    asked = tuple(dict.fromkeys((*results, by)))
    found = at_ends(study.inputs, study.units, ends, asked)
    return sorted(found, key=lambda effect: -effect.size(by))


def _ends(how):
    if how.ends is not None:
        return how.ends
    return tuple(how.quantile(np.array([0.05, 0.95])).tolist())


@without_range_warnings()
def at_ends(inputs, units, ends, results):
    """Results with one input at its low and at its high, for each input.

    Parameters
    ----------
    inputs : mapping
        All of them.
    units : {"us", "metric"}
    ends : mapping of str to (float, float)
    results : tuple of str

    Returns
    -------
    effects : list of Effect
    """
    if not ends:
        return []
    names, moved = list(ends), {}
    for place, name in enumerate(names):
        values = np.full((len(names), 2), float(inputs[name]))
        values[place] = [_bounded(inputs, units, name, end) for end in ends[name]]
        moved[name] = values.ravel()
    found = run({**inputs, **moved}, units, wanted=results)
    shape = (2 * len(names),)
    table = {r: np.broadcast_to(found[r], shape).tolist() for r in results}
    return [
        Effect(
            name=name,
            low=float(moved[name][at]),
            base=float(inputs[name]),
            high=float(moved[name][at + 1]),
            at_low={result: row[at] for result, row in table.items()},
            at_high={result: row[at + 1] for result, row in table.items()},
        )
        for at, name in zip(range(0, 2 * len(names), 2), names, strict=True)
    ]


def _bounded(inputs, units, name, value):
    """Adjust a value to its bounds, to whole numbers and to the rules."""
    entry = inputs_in(inputs)[name]
    value = float(np.clip(value, *entry.within(units)))
    if entry.kind == "whole":
        value = float(np.floor(value + 0.5))
    from .draws import keep_rules

    moved = {name: np.array([value])}
    keep_rules(moved, inputs)
    return float(moved[name][0])


@without_range_warnings()
def curve(inputs, units, name, low, high, points):
    """Results as a function of one input, all others as in the base case.

    Parameters
    ----------
    inputs : mapping
        All of them.
    units : {"us", "metric"}
    name : str
    low, high : float
    points : int
        Unless the input is a whole number.

    Returns
    -------
    values : ndarray
    results : dict of str to ndarray
        Those of `RESULTS`.
    """
    values = np.linspace(low, high, points)
    if INPUTS[name].kind == "whole":
        values = np.arange(np.ceil(low), np.floor(high) + 1)
    values = values[allowed_at(inputs, {name: values})]
    found = run({**inputs, name: values}, units, wanted=RESULTS)
    return values, {r: np.broadcast_to(found[r], values.shape) for r in RESULTS}


def allowed_at(inputs, moved):
    """Whether changed inputs comply with the rules between inputs, elementwise."""
    given = {**inputs, **moved}
    allowed = np.ones(len(next(iter(moved.values()))), bool)
    for names, holds, _ in RULES:
        if any(name in moved for name in names):
            allowed &= np.asarray(holds(*(given[name] for name in names)))
    return allowed


@without_range_warnings()
def grid(inputs, units):
    """Net present value, margin per ton and verdict by gold price and grade.

    Parameters
    ----------
    inputs : mapping
        All of them.
    units : {"us", "metric"}

    Returns
    -------
    prices, grades : ndarray
        Multiples of the base case.
    results : dict of str to ndarray
        Shape (grades, prices).
    """
    prices = _steps(inputs, units, "gold_price", PRICE_STEPS)
    grades = _steps(inputs, units, "ore_grade", GRADE_STEPS)
    down, across = np.meshgrid(grades, prices, indexing="ij")
    moved = {"gold_price": across.ravel(), "ore_grade": down.ravel()}
    results = (*RESULTS, "verdict")
    found = run({**inputs, **moved}, units, wanted=results)
    return prices, grades, {r: found[r].reshape(down.shape) for r in results}


def _steps(inputs, units, name, shares):
    values = float(inputs[name]) * np.asarray(shares)
    return np.unique(np.clip(values, *inputs_in(inputs)[name].within(units)))
