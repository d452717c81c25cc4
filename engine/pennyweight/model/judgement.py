"""The verdict on a claim, with its reasons, results and checks."""

import warnings
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from ..errors import CallError, OutsideRange
from ..formulas.functions import EPOCH
from .entries import (
    MISSING,
    STATES,
    UNUSABLE,
    UNUSUAL,
    Entry,
    answer,
    charge_words,
    entry_of,
    unlikely_beyond,
    usual_unit,
)
from .figures import input_text, money
from .inputs import INPUTS, amount, rows_of
from .jobs import CLAIM, CONTRACT, EVERYTHING, HEADLINES, LOT, SPOKEN, SUBJECT
from .lines.settlement.weights import NO_UMPIRE
from .mill import MODEL
from .run import run
from .switching_values import SwitchingValue, switching_values
from .units import TON, WORDS, Units, shown, worded

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
"""A switching value as near as this is told; gold moves as much in a month."""

CHECKS = ("balance", "limit", "measurement")
"""Tables of checks."""

REASONS_OF = {
    "internal_rate": "internal_rate_reason",
    "internal_rate_before_tax": "internal_rate_before_tax_reason",
    "owner_internal_rate": "owner_internal_rate_reason",
}
"""Lines that say why a result has no value."""


@dataclass(repr=False)
class Judgement:
    """The engine's verdict on a claim.

    Attributes
    ----------
    verdict : str
    reasons : list of str
    results : dict of str to dict
        ``value`` (None where there is none, with a ``reason``) and ``unit``.
    entries : dict of str to Entry
        Each input: its value, whose figure it is, and its range.
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
        """The name of what is judged."""
        return self.entries[SUBJECT[self.job]].value or f"The {SPOKEN[self.job]}"

    @property
    def of_claim(self) -> bool:
        """Whether the verdict is that of a claim, not of a contract or a lot."""
        return self.job in (EVERYTHING, CLAIM)

    @property
    def look_again(self) -> list[str]:
        """Sentences on figures that are far from their usual range."""
        return [_unusual(entry, self.units) for entry in self.in_state(UNUSUAL)]

    @property
    def headlines(self) -> tuple[str, ...]:
        """The results that answer the job, in the order of the sheet Start."""
        return HEADLINES[self.job]

    def in_state(self, *states: str) -> list[Entry]:
        """The entries in one of some states, those of tables left out."""
        for state in states:
            if state not in STATES:
                raise CallError(
                    f"There is no state {state!r}. Use some of {', '.join(STATES)}."
                )
        return [e for e in _single(self.entries) if e.state in states]

    def rows(self) -> list[list[Any]]:
        """The judgement as rows for a sheet, in the order of the sheet Answer.

        While must-haves are missing, it has no results.

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
            found += self._turns()
        return [*found, [], *([warning] for warning in self.warnings)]

    def _turns(self) -> list[list[Any]]:
        """The switching values as rows."""
        rows = [[], ["Switching value", "Now", "Turns at", "Unit", "Basis"]]
        for value in self.switching_values:
            entry = INPUTS[value.name]
            needed = "no value" if np.isnan(value.needed) else value.needed
            unit = shown(entry.unit, self.units)
            rows.append([entry.label, value.now, needed, unit, value.basis])
        return rows

    def to_dict(self) -> dict[str, Any]:
        """Give the judgement as plain values for programs."""
        return {
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
                    "needed": None if np.isnan(value.needed) else value.needed,
                    "unit": shown(INPUTS[value.name].unit, self.units),
                    "basis": value.basis,
                }
                for value in self.switching_values
            },
            "warnings": self.warnings,
            "units": self.units,
        }


def judge(inputs=None, units="us", given=None, ranges=None):
    """Judge whether a claim pays.

    Parameters
    ----------
    inputs : mapping, optional
        As for `run`, single values; what is left out is the example's.
    units : {"us", "metric"}
    given : mapping, optional
        The user's own figures among them; all when left out.
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
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always", OutsideRange)
        values = run(inputs, units)
    used = {name: values[name].item() for name in INPUTS}
    of_claim, turns = used["job"] in (EVERYTHING, CLAIM), []
    if of_claim:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OutsideRange)
            turns = switching_values(inputs or {}, units)
    wanted = dict.fromkeys((*HEADLINES[used["job"]], *RESULTS * of_claim))
    results = {name: result(name, values, units) for name in wanted}
    own = used if given is None else given
    entries = entries_of(used, units, own, ranges or {})
    said = [_outside(w, units) for w in caught if issubclass(w.category, OutsideRange)]
    told = reasons(values, results, units, given or {})
    return Judgement(
        verdict_on(values, entries),
        [*close_call(turns, units), *told],
        results,
        entries,
        checks(values),
        turns,
        units,
        list(dict.fromkeys(said)),
    )


def _outside(warning, units):
    """What an equation says beyond its range, under the label of the line that uses it.

    The warning comes with the place in the code of the line's function.
    """
    told = str(warning.message)
    for line in MODEL.lines.values():
        code = line.function.__code__
        places = {number for *_, number in code.co_lines()}
        if code.co_filename == warning.filename and warning.lineno in places:
            said = told.partition(": ")[2].replace("_", " ")
            return f"{worded(line.label, units)} (sheet {line.sheet}): {said}"
    return told


def close_call(turns, units):
    """Say that it is close, where a small change of one figure turns the verdict.

    Parameters
    ----------
    turns : list of SwitchingValue
    units : {"us", "metric"}

    Returns
    -------
    sentences : list of str
        One that names the nearest switching value; empty when none is near.
    """
    near = [turn for turn in turns if abs(turn.change) < CLOSE]
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
    """The entries that are not one of a table, as the workbook counts them."""
    return [entry for name, entry in entries.items() if not INPUTS[name].over]


def entries_of(inputs, units, given, ranges):
    """Whose figure each input is, by name."""
    return {name: entry_of(name, given, ranges, inputs, units) for name in INPUTS}


def _unusual(entry, units):
    """Which way a figure is unusual, and the unit in which it would be usual."""
    row = INPUTS[entry.name]
    low = entry.value < unlikely_beyond(row, units)[0]
    told = f"{entry.label}: look again at {amount(entry.value, row, units)}, unusually "
    unit = usual_unit(row, entry.value, units)
    return told + ("low" if low else "high") + (f": is it in {unit}?" if unit else ".")


def verdict_on(values, entries):
    """The answer on the figures used; not yet while some are missing."""
    count = Counter(entry.state for entry in _single(entries))
    told = answer(str(values["job_verdict"]), count[MISSING], count[UNUSABLE], 0)
    return str(told)


def result(name, values, units):
    """One result: its value and unit, or why it has no value.

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


def checks(values):
    """Count the checks, and name the failures.

    Parameters
    ----------
    values : mapping
        From `run`, for one set of inputs.

    Returns
    -------
    checks : dict
        ``passed``, ``failed`` and ``failures``.
    """
    failures = [
        check
        for table in CHECKS
        for check, holds in zip(
            MODEL.axes[table].values, values[f"{table}_holds"], strict=True
        )
        if not holds
    ]
    total = sum(len(MODEL.axes[table]) for table in CHECKS)
    return {
        "passed": total - len(failures),
        "failed": len(failures),
        "failures": failures,
    }


def reasons(values, results, units, own=()):
    """Explain the verdict of the job in sentences.

    Parameters
    ----------
    values : mapping
        From `run`, for one set of inputs.
    results : dict
        Those of the judgement.
    units : {"us", "metric"}
    own : mapping, optional
        The user's own figures, where others are estimates.
    """
    tell = {CONTRACT: _contract_reasons, LOT: _lot_reasons}
    told = tell.get(str(values["job"]), _claim_reasons)(values, results, units)
    if str(values["job"]) in (CONTRACT, LOT) and own:
        plain = {name: values[name].item() for name in INPUTS}
        told += filter(None, [charge_words(plain.get, units).strip()])
    if str(values["job"]) != LOT:
        told += _timed_run(values, units, own)
    if str(values["job"]) == CONTRACT:
        told += _hardness(values, units, own)
    failures = checks(values)["failures"]
    return told + [
        f"Failed check: {worded(name, units)}.{_estimated_limit(name, own)}"
        for name in failures
    ]


def _estimated_limit(check, own):
    """What to do where a check fails against an estimate of the program."""
    row = next(row for row in rows_of("checks.csv") if row["check"] == check)
    entry = INPUTS.get(row["expected"])
    if entry is None or entry.name in own or not own:
        return ""
    return f" The limit is an estimate: raise or measure {entry.label} on Inputs."


def _contract_reasons(values, results, units):
    kind, ton = values["contract_kind"].item(), TON[units]
    return [
        f"Contract type {kind}: the mill's income is "
        f"{_money(values, 'agreed_income')} per lot and its margin is "
        f"{_money(values, 'agreed_margin')}; the owner's net is "
        f"{_money(values, 'agreed_owner_net')}.",
        f"Milling the lot costs the mill {_money(values, 'milling_cost_per_ton')} per "
        f"{ton} and {_money(values, 'milling_cost_per_hour')} per mill hour.",
        f"The lot takes {values['custom_hours'].item():,.1f} mill hours. The booked "
        f"lots take {values['season_load'].item():.1%} of the season's mill hours.",
    ]


MOVED = 0.01
"""Share by which a timed throughput may move at the plan's grind without a word."""
HARDER = 0.05
"""Share by which a customer's work index may differ without a word."""


def _timed_run(values, units, own):
    """What the measured throughput becomes at the plan's grind and work index."""
    timed, used = (values[n].item() for n in ("measured_pace", "measured_at_grind"))
    if values["pace_source"].item() != "measured" or abs(used / timed - 1) <= MOVED:
        return []
    run_of = ("measured_p80", "hammer_work_index")
    per_hour, size, index = (
        shown(unit, units) for unit in ("ton/hour", "um", "kWh/ton")
    )
    guessed = own and [INPUTS[name].label for name in run_of if name not in own]
    more = f" Estimates, on Inputs: {'; '.join(guessed)}." if guessed else ""
    return [
        f"The measured throughput of {timed:.3g} {per_hour}, timed at a P80 of "
        f"{values['measured_p80'].item():.4g} {size} and a work index of "
        f"{values['hammer_work_index'].item():.3g} {index}, becomes {used:.3g} "
        f"{per_hour} at the planned P80 of {values['product_p80'].item():.4g} {size} "
        f"and work index of {values['work_index'].item():.3g} {index}.{more}"
    ]


def _hardness(values, units, own):
    """That nobody entered how fast a harder or softer customer ore is milled."""
    theirs, plan = (values[n].item() for n in ("custom_work_index", "work_index"))
    if not own or "custom_pace" in own or abs(theirs / plan - 1) <= HARDER:
        return []
    return [
        f"The customer's ore has a work index of {theirs:.3g} "
        f"{shown('kWh/ton', units)}, the plan {plan:.3g}: the hours of the lot do not "
        f"follow from it. Enter {INPUTS['custom_pace'].label} on Inputs; "
        f"{plan / theirs:.2f} goes with these work indices."
    ]


def _lot_reasons(values, results, units):
    found, fed = (values[f"settle_{name}"].item() for name in ("found", "gold_fed"))
    balance = (
        f"Gold found is {found:,.2f} oz and gold fed is {fed:,.2f} oz; a difference of "
        f"{values['gap_band'].item():.1%} is tolerated."
    )
    told = [
        f"The owner's metal or the ore price is {_money(values, 'settle_metal')}, the "
        f"milling charge {_money(values, 'settle_charge')} and penalties are "
        f"{_money(values, 'settle_penalties')}. With all other items the balance due "
        f"to the owner is {_money(values, 'settle_net')}.",
    ]
    if values["agreed_purchase"].item() != "yes":
        told.insert(0, balance)
    if values["settle_how"].item() == NO_UMPIRE:
        told.insert(
            0, "An umpire must assay. Until then the figures use the mill's assay."
        )
    return told


def _claim_reasons(values, results, units):
    ton = TON[units]
    rate = values["discount_rate"].item() * 100
    month = values["peak_funding_month"].item()
    return [
        f"Revenue after royalty is {_money(values, 'net_return_per_ton')} per {ton} "
        f"and operating cost is {_money(values, 'cost_per_ton')} per {ton}: the "
        f"operating margin is {_money(values, 'margin_per_ton')} per {ton} in a full "
        f"year of work, and {_money(values, 'life_margin', 0)} over the whole plan.",
        f"Net present value after tax is {_money(values, 'net_present_value', 0)} at "
        f"a real discount rate of {rate:.4g}% per year. "
        f"The gold price is {values['gold_price_basis'].item()}; money is "
        f"{values['money_basis'].item()}.",
        f"Peak funding is {_money(values, 'peak_funding', 0)}, in "
        f"{_month(values, month)}. {_payback(values, results)}",
        _pace(values, units),
        *_left_out(values),
    ]


def _pace(values, units):
    """The feed rate, and what limits it."""
    rate = f"{values['feed_rate'].item():.3g} {WORDS[units]['ton']}/h"
    if values["pace_factor"].item() < 1:
        return (
            f"The measured throughput limits the plant, at {rate}; the stage with the "
            f"lowest capacity is the {values['bottleneck'].item()}."
        )
    return f"The bottleneck is the {values['bottleneck'].item()}, at {rate}."


def _left_out(values):
    """How many assays the grade does not use, where it is taken from the samples."""
    count = values["samples_without_weight"].item()
    if not count or values["grade_source"].item() != "samples":
        return []
    return [f"The grade leaves out assays without a weight: {count:.0f}."]


def _money(values, name, digits=2):
    return money(values[name].item(), digits)


def _month(values, month):
    """A month by its number, and its date where the plan has dates."""
    date = values["month_date"][int(month) - 1].item()
    day = (EPOCH + np.timedelta64(int(date), "D")).item()
    return f"month {month:.0f}" + (f" ({day:%B %Y})" if date else "")


def _payback(values, results):
    month = results["owner_payback_month"]["value"]
    if month is None:
        return "The owner's money does not come back within the plan."
    return f"The owner's money is back in {_month(values, month)}."
