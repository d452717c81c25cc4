"""The verdict on a claim: in words, with its reasons, results and checks."""

import warnings
from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from ..errors import OutsideRange
from .entries import MISSING, UNUSABLE, UNUSUAL, answer, entry_of
from .inputs import INPUTS, amount
from .mill import MODEL
from .run import run
from .switching_values import turning_points
from .units import TON, shown

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
"""The figures that a judgement gives, in the order of telling."""

REASONS_OF = {
    "internal_rate": "internal_rate_reason",
    "internal_rate_before_tax": "internal_rate_before_tax_reason",
}
"""Lines that say why a result has no figure."""


@dataclass
class Judgement:
    """What the engine says of a claim.

    Attributes
    ----------
    verdict : str
    reasons : list of str
    results : dict of str to dict
        ``value`` (None where there is none, with a ``reason``) and ``unit``.
    entries : dict of str to Entry
        Each input: its value, whose figure it is, and its range.
    checks : dict
        How many ``passed`` and ``failed``, and the ``failures`` by name.
    turnings : list of Turning
    warnings : list of str
        Equations used beyond where they were shown to hold.
    units : {"us", "metric"}
    """

    verdict: str
    reasons: list
    results: dict
    entries: dict
    checks: dict
    turnings: list
    units: str
    warnings: list = field(default_factory=list)

    def in_state(self, state):
        """The entries in a state."""
        return [entry for entry in self.entries.values() if entry.state == state]

    def as_json(self):
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
            "turning": {
                turning.name: {
                    "now": turning.now,
                    "needed": None if np.isnan(turning.needed) else turning.needed,
                    "unit": shown(INPUTS[turning.name].unit, self.units),
                }
                for turning in self.turnings
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
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutsideRange)
        turnings = turning_points(inputs or {}, units)
    results = {name: result(name, values, units) for name in RESULTS}
    used = {name: values[name].item() for name in INPUTS}
    own = used if given is None else given
    entries = {name: entry_of(name, own, ranges or {}, used, units) for name in INPUTS}
    said = [str(w.message) for w in caught if issubclass(w.category, OutsideRange)]
    return Judgement(
        _verdict(values, entries),
        reasons(values, results, units),
        results,
        entries,
        checks(values),
        turnings,
        units,
        list(dict.fromkeys(said)),
    )


def _verdict(values, entries):
    """The answer on the figures used; not yet while some are missing."""
    count = Counter(entry.state for entry in entries.values())
    told = answer(str(values["verdict"]), count[MISSING], count[UNUSABLE], 0)
    return str(told)


def result(name, values, units):
    """One result: its value and unit, or the reason why there is none.

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
    value, unit = values[name].item(), shown(MODEL.lines[name].unit, units)
    if isinstance(value, float) and np.isnan(value):
        source = REASONS_OF.get(name)
        reason = str(values[source]) if source else "none: not within the plan"
        return {"value": None, "unit": unit, "reason": reason}
    return {"value": value, "unit": unit}


def checks(values):
    """Count the checks, and name those that fail.

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
        for table in ("balance", "limit")
        for check, holds in zip(
            MODEL.axes[table].values, values[f"{table}_holds"], strict=True
        )
        if not holds
    ]
    total = len(MODEL.axes["balance"]) + len(MODEL.axes["limit"])
    return {
        "passed": total - len(failures),
        "failed": len(failures),
        "failures": failures,
    }


def reasons(values, results, units):
    """Say in sentences what the verdict rests on."""
    ton = TON[units]
    money = {name: f"{values[name].item():,.2f}" for name in ("margin_per_ton",)}
    rate = values["discount_rate"].item()
    found = [
        f"A {ton} brings {_money(values, 'net_return_per_ton')} after refiner and "
        f"royalty and costs {_money(values, 'cost_per_ton')}: a margin of "
        f"{money['margin_per_ton']} $/{ton}.",
        f"The whole plan is worth {_money(values, 'net_present_value', 0)} today, "
        f"after tax, at {rate:.4g} a year."
        if rate < 0.0001
        else f"The whole plan is worth {_money(values, 'net_present_value', 0)} today, "
        f"after tax, at {rate * 100:.4g} % a year.",
        f"It takes {_money(values, 'peak_funding', 0)} of the owner's money by month "
        f"{values['peak_funding_month'].item():.0f}; {_back(results)}.",
        f"The {values['bottleneck'].item()} holds the plant back, at "
        f"{values['feed_rate'].item():.3g} {ton}/hour.",
    ]
    return found + [f"Not as it should be: {name}." for name in _failed(values)]


def _money(values, name, digits=2):
    return f"{values[name].item():,.{digits}f} {MODEL.lines[name].unit.split('/')[0]}"


def _back(results):
    month = results["payback_month"]["value"]
    if month is None:
        return "it does not come back within the plan"
    return f"it is back in month {month:.0f}"


def _failed(values):
    return checks(values)["failures"]


def turning_words(turning, units):
    """Say in words what one change would do.

    Parameters
    ----------
    turning : Turning
    units : {"us", "metric"}

    Returns
    -------
    sentence : str
    """
    entry = INPUTS[turning.name]
    if np.isnan(turning.needed):
        return "nothing within its bounds turns the verdict"
    verb = "would pay at" if turning.pays_beyond else "stops paying at"
    return f"{verb} {amount(turning.needed, entry, units, 4)}"
