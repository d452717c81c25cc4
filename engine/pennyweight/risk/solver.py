"""Break-even: the value of one input at which a result takes a given value."""

from dataclasses import dataclass

import numpy as np

from ..errors import BadValue, CallError
from ..model.inputs import INPUTS, amount, complete
from ..model.lookup import unknown
from ..model.mill import MODEL
from ..model.run import run
from ..model.units import shown
from .quiet import quietly
from .sensitivity import allowed_at, check_results

POINTS = 193
"""Values tried between the bounds before each bracket is closed."""


@dataclass(frozen=True)
class BreakEven:
    """What was found.

    Attributes
    ----------
    name, result : str
    target : float
    now, result_now : float
        The input as planned, and the result there.
    values : tuple of float
        Every value of the input that was found, rising; empty when there is none. Of
        a stretch over which the result stays at the target only the ends, to a step.
    jumps : tuple of float
        Where the result leaps over the target without taking it.
    low, high : float
        Between which it was sought.
    lowest, highest : float
        Ends of what the result takes on the way; not-a-number where it has no answer
        anywhere.
    """

    name: str
    result: str
    target: float
    now: float
    result_now: float
    values: tuple
    jumps: tuple
    low: float
    high: float
    lowest: float
    highest: float

    def words(self, units):
        """Say it in a sentence.

        Parameters
        ----------
        units : {"us", "metric"}

        Returns
        -------
        sentence : str
        """
        entry, line = INPUTS[self.name], MODEL.lines[self.result]
        unit = shown(line.unit, units)
        target = f"{self.target:,.6g} {unit}".strip()
        ends = [amount(end, entry, units, 4) for end in (self.low, self.high)]
        if self.lowest == self.highest == self.target:
            return (
                f"{line.label} stays at {target}, whatever {entry.label.lower()} from "
                f"{ends[0]} to {ends[1]}."
            )
        found = [
            f"{verb} {target} at "
            + " and at ".join(amount(place, entry, units, 6) for place in places)
            for verb, places in (("is", self.values), ("leaps over", self.jumps))
            if places
        ]
        if found:
            return f"{line.label} {'; it '.join(found)} ({entry.label})."
        return (
            f"No {entry.label.lower()} from {ends[0]} to {ends[1]} brings "
            f"{line.label.lower()} to {target}: {self._stays(unit)}."
        )

    def _stays(self, unit):
        if np.isnan(self.lowest):
            return "there it has no answer"
        first, last = (f"{end:,.6g}" for end in (self.lowest, self.highest))
        kept = f"at {first}" if first == last else f"between {first} and {last}"
        return f"it stays {kept} {unit}".rstrip()


@quietly
def break_even(
    inputs=None,
    units="us",
    name="gold_price",
    result="net_present_value",
    target=0.0,
    low=None,
    high=None,
):
    """Find where a result takes a value, one input moved and all others as planned.

    The range is walked in steps, fine enough to find several places, and each step
    over which the sign changes is closed by bracketed root finding.

    Parameters
    ----------
    inputs : mapping, optional
        As for `pennyweight.model.run.run`, single values.
    units : {"us", "metric"}
    name : str
        A number among the inputs.
    result : str
        A single line of the model.
    target : float
    low, high : float, optional
        Bounds of the input when left out.

    Returns
    -------
    found : BreakEven

    Raises
    ------
    CallError
        For an unknown input or result, a target that is no number, or bounds that
        fall.

    Source
    ------
    scipy.optimize.elementwise.find_root (Chandrupatla 1997).
    """
    given = complete(inputs or {}, units)
    if name not in INPUTS:
        raise unknown(name, INPUTS, "input")
    if not INPUTS[name].numeric:
        raise CallError(
            f"{INPUTS[name].label} is no number; only numbers can be moved."
        )
    check_results((result,))
    if not np.isfinite(target):
        raise CallError(f"The result cannot be {target:g}: give a number to reach.")
    bounds = INPUTS[name].within(units)
    low, high = bounds[0] if low is None else low, bounds[1] if high is None else high
    if not bounds[0] <= low < high <= bounds[1]:
        raise CallError(
            f"{name}: look from {low:g} to {high:g} is not within {bounds[0]:g} to "
            f"{bounds[1]:g}, rising."
        )

    def reached(values):
        shape, values = np.shape(values), np.atleast_1d(values)
        return _result(given, units, name, values, result).reshape(shape)

    def off(values):
        return reached(values) - target

    tried = _steps(given, name, low, high)
    results = reached(tried)
    now = float(given[name])
    whole = INPUTS[name].kind == "whole"
    values, jumps = _close(off, tried, results - target, whole)
    return BreakEven(
        name,
        result,
        float(target),
        now,
        float(reached(now)),
        values,
        jumps,
        float(low),
        float(high),
        float(np.fmin.reduce(results)),
        float(np.fmax.reduce(results)),
    )


def _result(given, units, name, values, result):
    """The result at some values; not-a-number where the model cannot take one."""
    try:
        found = run({**given, name: values}, units, wanted=[result])[result]
    except BadValue:
        if len(values) == 1:
            return np.full(1, np.nan)
        halves = np.array_split(values, 2)
        parts = [_result(given, units, name, half, result) for half in halves]
        return np.concatenate(parts)
    if found.dtype.kind not in "fi":
        raise CallError(f"{result} is no number, so it has no break-even.")
    return np.broadcast_to(found, values.shape)


def _steps(given, name, low, high):
    """Values to try: even in the logarithm where the range spans decades."""
    if INPUTS[name].kind == "whole":
        values = np.arange(np.ceil(low), np.floor(high) + 1)
    elif low > 0 and high / low > 20:
        values = np.geomspace(low, high, POINTS)
    else:
        values = np.linspace(low, high, POINTS)
    values = np.clip(
        np.unique([*values, low, high, _inside(given[name], low, high)]), low, high
    )
    return values[allowed_at(given, {name: values})]


def _inside(value, low, high):
    return min(max(float(value), low), high)


def _close(off, tried, errors, whole):
    """Values in every step over which the sign changes, and leaps over it."""
    hits = np.pad(errors == 0, 1)
    within = hits[:-2] & hits[2:]
    exact = tried[hits[1:-1] & ~within].tolist()
    steps = np.flatnonzero(np.sign(errors[:-1]) * np.sign(errors[1:]) < 0)
    if whole or not steps.size:
        return tuple(exact), tuple(float(tried[step + 1]) for step in steps)
    from scipy.optimize.elementwise import find_root

    found = find_root(off, (tried[steps], tried[steps + 1]))
    roots = np.atleast_1d(found.x)
    width = np.maximum(np.abs(errors[steps]), np.abs(errors[steps + 1]))
    taken = np.abs(np.atleast_1d(found.f_x)) <= 1e-6 * width + 1e-9
    values = sorted([*exact, *roots[taken].tolist()])
    return tuple(values), tuple(roots[~taken].tolist())
