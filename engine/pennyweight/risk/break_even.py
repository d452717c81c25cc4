"""Break-even: the value of one input at which a result reaches a target."""

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from ..errors import BadValue, CallError
from ..model.checks import failed_checks
from ..model.figures import input_text
from ..model.inputs import INPUTS, amount, inputs_in
from ..model.jobs import precedents
from ..model.mill_model import MODEL
from ..model.run import run
from ..model.units import Units, worded
from ..plain_values import plain_values
from .mill_notes import changes_with, mill_notes
from .range_warnings import without_range_warnings
from .sensitivity import allowed_at
from .unused_inputs import measured_base

POINTS = 193
"""Values to try in equal steps between the bounds, to bracket the roots."""
PER_DECADE = 48
"""Values to try in equal ratios, per factor of ten."""
DECADES = 9
"""Factors of ten below the largest bound to try; then zero."""


@dataclass(frozen=True, kw_only=True)
class BreakEven:
    """Break-even values of one input.

    Attributes
    ----------
    name, result : str
    target : float
    now, result_now : float
        The input and the result of the base case.
    values : tuple of float
        Break-even values, in ascending order; empty if there are none. If the result is
        at the target over a range, the ends of the range, to one step.
    jumps : tuple of float
        Values at which the result jumps across the target.
    low, high : float
        Bounds of the search.
    lowest, highest : float
        Extremes of the result at the values tried; NaN if it has none.
    used : bool
        Whether the result depends on the input.
    note : str
        Sentences: measurements replaced, checks that fail, mill size; or empty.
    """

    name: str
    result: str
    target: float
    now: float
    result_now: float
    values: tuple[float, ...]
    jumps: tuple[float, ...]
    low: float
    high: float
    lowest: float
    highest: float
    used: bool = True
    note: str = ""

    @property
    def without_effect(self) -> bool:
        """Whether the result is the same at every value tried."""
        return self.lowest == self.highest

    def to_dict(self, units: Units) -> dict[str, Any]:
        """The results as plain values for programs."""
        return plain_values({**asdict(self), "units": units})

    def sentence(self, units: Units) -> str:
        """The answer as a sentence.

        Parameters
        ----------
        units : {"us", "metric"}

        Returns
        -------
        sentence : str
        """
        entry, line = INPUTS[self.name], MODEL.lines[self.result]
        label, target = worded(line.label, units), _text(self.target, line, units)
        ends = [amount(end, entry, units, 4) for end in (self.low, self.high)]
        if self.lowest == self.highest == self.target:
            return (
                f"{label} is {target} at every value tried of "
                f"{entry.label.lower()}, from {ends[0]} to {ends[1]}."
            )
        found = [
            f"{verb} {target} at "
            + " and at ".join(amount(place, entry, units, 6) for place in places)
            for verb, places in (("is", self.values), ("jumps past", self.jumps))
            if places
        ]
        if found:
            return f"{label} {'; it '.join(found)} ({entry.label})."
        return (
            f"No value of {entry.label.lower()} was found from {ends[0]} to {ends[1]} "
            f"that gives {label.lower()} of {target}: at the values tried it is "
            f"{self._extremes(line, units)}."
        )

    def _extremes(self, line, units):
        if np.isnan(self.lowest):
            return "n/a"
        first, last = (_text(end, line, units) for end in (self.lowest, self.highest))
        if first == last:
            return first
        return f"between {first} and {last}"


def _text(value, line, units):
    """A result as text, with at most six digits."""
    if line.dated:
        return f"month {value:.0f}"
    kind = "share" if line.unit in ("share", "1/year") else "number"
    return input_text(value, line.unit, kind, units)


@without_range_warnings()
def break_even(inputs, units, name, result, target):
    """Find the value of one input at which a result reaches a target.

    All other inputs are as in the base case; a ball mill of another diameter keeps its
    share of critical speed. The range of the input is divided into
    equal steps and into equal ratios, so that several roots are found, and each sign
    change is solved by bracketed root finding.

    Parameters
    ----------
    inputs : mapping
        All of them.
    units : {"us", "metric"}
    name : str
        An input that is a number.
    result : str
        A single line of the model.
    target : float

    Returns
    -------
    found : BreakEven

    Raises
    ------
    CallError
        For an input or a target that is not a number.

    Source
    ------
    scipy.optimize.elementwise.find_root (Chandrupatla 1997).
    """
    given, notes = measured_base(inputs, units, [name])
    if not INPUTS[name].numeric:
        raise CallError(
            f"{INPUTS[name].label} is not a number. Choose an input that is a number."
        )
    if not np.isfinite(target):
        raise CallError(f"Target value: {target:g}. Enter a finite number.")
    low, high = inputs_in(given)[name].within(units)

    base = run(given, units, [result])

    def result_at(values):
        shape, values = np.shape(values), np.atleast_1d(values)
        return _result(given, units, name, values, result, base).reshape(shape)

    def error_at(values):
        return result_at(values) - target

    tried = _steps(given, name, low, high)
    results = result_at(tried)
    now = float(given[name])
    whole = INPUTS[name].kind == "whole"
    values, jumps = _roots_and_jumps(error_at, tried, results - target, whole)
    failing = _new_failures(given, units, name, values)
    if failing:
        notes.append(f"Checks that fail there: {'; '.join(failing)}.")
    notes += mill_notes(given, units, name, values)
    return BreakEven(
        name=name,
        result=result,
        target=float(target),
        now=now,
        result_now=float(result_at(now)),
        values=values,
        jumps=jumps,
        low=float(low),
        high=float(high),
        lowest=float(np.fmin.reduce(results)),
        highest=float(np.fmax.reduce(results)),
        used=name in precedents((result,))[1],
        note=" ".join(notes),
    )


def _new_failures(given, units, name, values):
    """Checks that pass now but fail at one of the values found."""
    before, found = failed_checks(given, units), {}
    for value in values:
        changes = changes_with(given, units, name, value)
        after = failed_checks({**given, **changes}, units)
        found |= dict.fromkeys(check for check in after if check not in before)
    return list(found)


def _result(given, units, name, values, result, base):
    """The result at given values; NaN where the model refuses one."""
    try:
        changes = changes_with(given, units, name, values)
        found = run({**given, **changes}, units, [result], base=base)[result]
    except BadValue:
        if len(values) == 1:
            return np.full(1, np.nan)
        halves = np.array_split(values, 2)
        parts = [_result(given, units, name, half, result, base) for half in halves]
        return np.concatenate(parts)
    if found.dtype.kind not in "fi":
        label = MODEL.lines[result].label
        raise CallError(f"{label} is not a number, so it has no break-even value.")
    return np.broadcast_to(found, values.shape)


def _steps(given, name, low, high):
    """Values to try: every whole number, or equal steps and equal ratios."""
    now = float(given[name])
    if INPUTS[name].kind == "whole":
        values = np.arange(np.ceil(low), np.floor(high) + 1)
    else:
        ratios = np.logspace(-DECADES, 0, DECADES * PER_DECADE + 1)
        ratios = ratios * max(abs(low), abs(high))
        near = now * np.geomspace(1 / 2, 2, POINTS)
        values = [*np.linspace(low, high, POINTS), *ratios, *-ratios, *near]
    values = np.unique(np.clip([*values, low, high, now], low, high))
    return values[allowed_at(given, {name: values})]


def _roots_and_jumps(error_at, tried, errors, whole):
    """Roots and jumps, from the steps over which the sign changes."""
    at_target = np.pad(errors == 0, 1)
    within = at_target[:-2] & at_target[2:]
    exact = tried[at_target[1:-1] & ~within].tolist()
    steps = np.flatnonzero(np.sign(errors[:-1]) * np.sign(errors[1:]) < 0)
    if whole or not steps.size:
        return tuple(exact), tuple(float(tried[step + 1]) for step in steps)
    from scipy.optimize.elementwise import find_root

    smallest = np.min(np.abs(tried[tried != 0]))
    # Without it, a jump near zero is searched down to 1e-300.
    least = {"xatol": 1e-12 * smallest}
    found = find_root(error_at, (tried[steps], tried[steps + 1]), tolerances=least)
    roots = np.atleast_1d(found.x)
    width = np.maximum(np.abs(errors[steps]), np.abs(errors[steps + 1]))
    taken = np.abs(np.atleast_1d(found.f_x)) <= 1e-6 * width + 1e-9
    values = sorted([*exact, *roots[taken].tolist()])
    # Zero may mean "no limit": a jump next to it is at zero.
    roots = np.where(np.abs(roots) < smallest, 0, roots)
    return tuple(values), tuple(roots[~taken].tolist())
