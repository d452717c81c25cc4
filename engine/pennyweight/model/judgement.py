"""The verdict on a claim, with its reasons, results and checks."""

import warnings
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from ..errors import CallError, OutsideRange
from ..plain_values import plain_values
from .checks import checks
from .currency import foreign, in_currency
from .entries import (
    MISSING,
    STATES,
    UNUSABLE,
    UNUSUAL,
    Entry,
    answer,
    doubted,
    entry_of,
    is_reported,
    unlikely_beyond,
)
from .figures import input_text
from .inputs import INPUTS, amount, inputs_in
from .jobs import (
    CLAIM,
    EVERYTHING,
    HEADLINES,
    TEST,
    TOLD_BY_VERDICT,
    subject,
)
from .lines.cash.answers import NO_TAILS
from .mill_model import MODEL
from .reasons import reasons
from .run import run
from .slips import slip
from .switching_values import SwitchingValue, switching_values
from .units import Units, shown, worded

RESULTS = (
    "net_return_per_ton",
    "cost_per_ton",
    "margin_per_ton",
    "cost_per_ounce",
    "break_even_grade",
    "running_break_even_grade",
    "break_even_gold_price",
    "net_present_value",
    "net_present_value_before_tax",
    "internal_rate",
    "internal_rate_before_tax",
    "payback_month",
    "discounted_payback_month",
    "peak_funding",
    "peak_funding_month",
    "owner_payback_month",
    "owner_net_present_value",
    "owner_internal_rate",
    "mean_gold_price",
    "site_cost_per_ounce",
    "sustaining_cost_per_ounce",
    "all_in_cost_per_ounce",
    "lowest_cover",
    "life_cash",
    "capital",
    "feed_rate",
    "tons_per_year",
    "bottleneck",
    "mill_motor_load",
    "tons_milled",
    "ounces_sold",
    "life_months",
    "life_cost_per_ton",
)
"""The results of a judgement, in the order shown."""

CLOSE = 0.05
"""Largest relative change of a switching value reported as close: gold moves as much in
a month."""

OF_TAILINGS = ("lot_head", "lot_recovery", "lot_call_factor", "lot_gold")
"""Results of a test lot that rest on the assay of its tailings."""

REASONS_OF = {
    "internal_rate": "internal_rate_reason",
    "internal_rate_before_tax": "internal_rate_before_tax_reason",
    "owner_internal_rate": "owner_internal_rate_reason",
}
"""Lines with the reason why a result has no value."""


@dataclass(repr=False)
class Judgement:
    """The engine's verdict on a claim.

    Attributes
    ----------
    verdict : str
    reasons : list of str
    results : dict of str to dict
        ``value`` (None for n/a, with a ``reason``) and ``unit``.
    entries : dict of str to Entry
        Each input: its value, state and range.
    checks : dict
        Numbers of checks ``passed`` and ``failed``, and the names of the ``failures``.
    switching_values : list of SwitchingValue
    warnings : list of str
        Equations used outside their range of validity.
    units : {"us", "metric"}
    """

    verdict: str
    reasons: list[str]
    results: dict[str, dict[str, Any]]
    entries: dict[str, Entry]
    checks: dict[str, Any]
    switching_values: list[SwitchingValue]
    units: Units
    warnings: list[str] = field(default_factory=list)

    def __repr__(self) -> str:
        return f"{self.subject}: {self.verdict}"

    @property
    def job(self) -> str:
        """What the plan is for."""
        return self.entries["job"].value

    @property
    def subject(self) -> str:
        """Name of the subject of the verdict."""
        return subject({name: entry.value for name, entry in self.entries.items()})

    @property
    def of_claim(self) -> bool:
        """Whether the verdict is on a claim, not on a contract or a lot."""
        return self.job in (EVERYTHING, CLAIM)

    @property
    def look_again(self) -> list[str]:
        """Sentences on figures that are far from their usual range, farthest first."""
        told = (self._table, self.units)
        found = sorted(self.in_state(UNUSUAL), key=lambda e: -_beyond(e, *told))
        return [_unusual(entry, *told) for entry in found]

    @property
    def answer(self) -> str:
        """The verdict as a workbook shows it, with what makes it doubtful."""
        if self.in_state(MISSING, UNUSABLE):
            return self.verdict
        unusual = [self._with_slip(entry) for entry in self.in_state(UNUSUAL)]
        failed = 0 if self.job in TOLD_BY_VERDICT else self.checks["failed"]
        return str(doubted(self.verdict, len(unusual), "; ".join(unusual), failed))

    def _with_slip(self, entry: Entry) -> str:
        asked = slip(self._table[entry.name], entry.value, self.units)
        return f"{entry.label} ({asked})" if asked else entry.label

    @property
    def _table(self) -> dict[str, Any]:
        """The table of inputs in the currency of the plan."""
        return inputs_in({name: entry.value for name, entry in self.entries.items()})

    @property
    def currency_note(self) -> str:
        """Which currency the figures are in, if not US dollars; else empty."""
        currency, rate = (self.entries[n] for n in ("currency", "exchange_rate"))
        if not foreign(currency.value):
            return ""
        told = f"All money is {currency.value}: enter it so, the gold price, too."
        if rate.state == MISSING:
            return (
                f"{told} Enter {rate.label} on the sheet Inputs; until then estimates "
                "of money are amounts in US dollars."
            )
        per_dollar = f"{rate.value:,.6g} to the US dollar"
        return f"{told} Estimates of money are converted at {per_dollar}."

    @property
    def headlines(self) -> tuple[str, ...]:
        """The results that answer the job, in the order of the sheet Start."""
        return HEADLINES[self.job]

    def in_state(self, *states: str) -> list[Entry]:
        """Entries in one of the given states, without those of most tables."""
        for state in states:
            if state not in STATES:
                raise CallError(
                    f"There is no state {state!r}. Use some of {', '.join(STATES)}."
                )
        return [e for e in _single(self.entries) if e.state in states]

    def rows(self) -> list[list[Any]]:
        """The judgement as rows for a sheet, in the order of the sheet Answer.

        If required inputs are missing, there are no results.

        Returns
        -------
        rows : list of list
        """
        found = [["Verdict", self.verdict]]
        for entry in self.in_state(MISSING, UNUSABLE, UNUSUAL):
            found.append([entry.label, entry.state, entry.unit])
        if self.in_state(MISSING, UNUSABLE):
            return found
        found += [[reason] for reason in self.reasons]
        found += [[], ["Result", "Value", "Unit"]]
        for name in self.results:
            result = self.results[name]
            told = result["reason"] if result["value"] is None else result["value"]
            label = worded(MODEL.lines[name].label, self.units)
            found.append([label, told, result["unit"]])
        if self.switching_values:
            found += self._switching_rows()
        return [*found, [], *([warning] for warning in self.warnings)]

    def _switching_rows(self) -> list[list[Any]]:
        """The switching values as rows."""
        rows = [[], ["Switching value", "Now", "Turns at", "Unit", "Basis"]]
        for value in self.switching_values:
            entry = INPUTS[value.name]
            unit = shown(entry.unit, self.units)
            rows.append([entry.label, value.now, value.turns_at, unit, value.basis])
        return rows

    def to_dict(self) -> dict[str, Any]:
        """Give the judgement as plain values for programs."""
        return plain_values(
            {
                "verdict": self.verdict,
                "reasons": self.reasons,
                "results": self.results,
                "inputs": {
                    name: {
                        "value": entry.value,
                        "unit": entry.unit,
                        "whose": entry.state,
                        "low": entry.low,
                        "high": entry.high,
                    }
                    for name, entry in self.entries.items()
                },
                "missing": [entry.label for entry in self.in_state(MISSING)],
                "unusual": [entry.label for entry in self.in_state(UNUSUAL)],
                "checks": self.checks,
                "switching_values": {
                    value.name: {
                        "now": value.now,
                        "needed": value.needed,
                        "unit": shown(INPUTS[value.name].unit, self.units),
                        "basis": value.basis,
                    }
                    for value in self.switching_values
                },
                "warnings": self.warnings,
                "currency_note": self.currency_note,
                "units": self.units,
            }
        )


def judge(inputs=None, units="us", given=None, ranges=None):
    """Judge whether a claim pays.

    Parameters
    ----------
    inputs : mapping, optional
        As for `run`, single values. Default: the example's.
    units : {"us", "metric"}
    given : mapping, optional
        The user's own figures. Default: all inputs.
    ranges : mapping, optional
        The user's own low and high of some inputs.

    Returns
    -------
    judgement : Judgement

    Raises
    ------
    BadValue
        For inputs outside their bounds, or that contradict one another.

    Examples
    --------
    >>> judge({"gold_price": 500.0}).verdict
    'does not pay'
    """
    values, caught = _told_run(inputs, units)
    if caught:  # mills compared have verdicts of their own
        _, caught = _told_run(inputs, units, OF_THE_PLAN)
    used = {name: values[name].item() for name in INPUTS}
    of_claim, switching = used["job"] in (EVERYTHING, CLAIM), []
    if of_claim:
        with warnings.catch_warnings(action="ignore", category=OutsideRange):
            switching = switching_values(inputs or {}, units)
    wanted = dict.fromkeys((*HEADLINES[used["job"]], *RESULTS * of_claim))
    results = {name: result(name, values, units) for name in wanted}
    if used["job"] == TEST and str(values["test_verdict"]) == NO_TAILS:
        for name in OF_TAILINGS:
            results[name] |= {"value": None, "reason": "none: no assay of the tailings"}
    for found in results.values():
        found["unit"] = in_currency(found["unit"], used["currency"])
    own = used if given is None else given
    entries = entries_of(used, units, own, ranges or {})
    kind = used["mill_kind"]
    beyond = (w for w in caught if issubclass(w.category, OutsideRange))
    outside_range = filter(None, (_outside(w, units, kind) for w in beyond))
    told = (
        *close_call(switching, units),
        *reasons(values, units, given or {}),
    )
    return Judgement(
        verdict_on(values, entries),
        [in_currency(reason, used["currency"]) for reason in told],
        results,
        entries,
        checks(values),
        switching,
        units,
        list(dict.fromkeys(outside_range)),
    )


OF_THE_PLAN = [line.name for line in MODEL.lines.values() if line.sheet != "Mills"]


def _told_run(*asked):
    """Values, and the warnings of equations outside their range."""
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always", OutsideRange)
        return run(*asked), caught


def _outside(warning, units, mill_kind):
    """Warning of an equation beyond its range, with the label of its line.

    The line is found by the place in the code that warned. Warnings of ball mill lines
    are omitted if the plan has another mill.
    """
    told = str(warning.message)
    for line in MODEL.lines.values():
        code = line.function.__code__
        places = {number for *_, number in code.co_lines()}
        if code.co_filename == warning.filename and warning.lineno in places:
            if line.section.startswith("Ball mill") and mill_kind != "ball mill":
                return ""
            outside_range = told.partition(": ")[2].replace("_", " ")
            return f"{worded(line.label, units)} (sheet {line.sheet}): {outside_range}"
    return told


def close_call(switching, units):
    """Sentence on a close verdict: a small change of one figure would turn it.

    Parameters
    ----------
    switching : list of SwitchingValue
    units : {"us", "metric"}

    Returns
    -------
    sentences : list of str
        One on the nearest switching value; empty if none is near.
    """
    near = [turn for turn in switching if abs(turn.change) < CLOSE]
    if not near:
        return []
    turn = min(near, key=lambda turn: abs(turn.change))
    entry = INPUTS[turn.name]
    needed = input_text(turn.needed, entry.unit, entry.kind, units, 4)
    return [
        f"It is close: {entry.label} of {needed} ({turn.change:+.1%}) alone turns the "
        "verdict."
    ]


def _single(entries):
    """Entries that the workbook counts; of tables, only missing assays."""
    return [
        entry
        for name, entry in entries.items()
        if not INPUTS[name].over or (entry.state == MISSING and is_reported(name))
    ]


def entries_of(inputs, units, given, ranges):
    """Entry of each input, by name."""
    return {
        name: entry_of(row, given, ranges, inputs, units)
        for name, row in inputs_in(inputs).items()
    }


def _beyond(entry, table, units):
    """Ratio of a figure to the limit that it exceeds, or of the limit to the figure."""
    low, high = unlikely_beyond(table[entry.name], units)
    if entry.value == 0:
        return np.inf
    return entry.value / high if entry.value > high else low / entry.value


def _unusual(entry, table, units):
    return unusual(table[entry.name], entry.value, units, entry.label)


def unusual(row, value, units, label):
    """Sentence on an unusual figure, with the unit in which it would be usual.

    Parameters
    ----------
    row : Input
        The input, in the currency of the plan.
    value : float
    units : {"us", "metric"}
    label : str
    """
    low = value < unlikely_beyond(row, units)[0]
    told = f"{label}: look again at {amount(value, row, units)}, unusually "
    asked = slip(row, value, units)
    return told + ("low" if low else "high") + (f": is it {asked}" if asked else ".")


def verdict_on(values, entries):
    """The verdict, or "not yet" if figures are missing."""
    count = Counter(entry.state for entry in _single(entries))
    told = answer(str(values["job_verdict"]), count[MISSING], count[UNUSABLE])
    return str(told)


def result(name, values, units):
    """A result with its unit, or the reason why it has no value.

    Parameters
    ----------
    name : str
    values : mapping
        From `run`, for one set of inputs.
    units : {"us", "metric"}

    Returns
    -------
    result : dict
    """
    line = MODEL.lines[name]
    value, unit = values[name].item(), shown(line.unit, units)
    if isinstance(value, float) and np.isnan(value):
        source = REASONS_OF.get(name)
        without = "not within the plan" if line.dated else "does not apply here"
        reason = str(values[source]) if source else f"none: {without}"
        return {"value": None, "unit": unit, "reason": reason}
    return {"value": value, "unit": unit}
