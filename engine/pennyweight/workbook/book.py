"""Contents of a workbook before it is written: inputs, statuses, results."""

import functools
from collections import Counter
from dataclasses import dataclass, field

from .. import __version__
from ..formulas import Live, Reference
from ..model.currency import in_currency
from ..model.entries import (
    ESTIMATE,
    MISSING,
    UNUSABLE,
    UNUSUAL,
    YOURS,
    answer,
    answer_list,
    changed,
    entry_of,
    needed,
    with_assays,
)
from ..model.indifference import indifference_grades
from ..model.inputs import INPUTS, mass_beside
from ..model.run import run
from ..model.switching_values import switching_values
from ..model.units import Units, shown, worded
from .layout import defined_name

COUNTED = {
    "own": YOURS,
    "estimated": ESTIMATE,
    "missing": MISSING,
    "unusable": UNUSABLE,
    "odd": UNUSUAL,
}
"""States by the prefix of the names of the cells that count them."""
REPORTED = ("missing", "unusable", "odd")


SHORT_SIGN, LONGEST_SIGN = 3, 3
"""Characters of a currency for which columns of units have room; and the most that
they are widened: the letters of a longer one become smaller."""


@dataclass(kw_only=True)
class Figures:
    """The inputs of one operation, and whose figures they are.

    Attributes
    ----------
    inputs : dict
        Every input by name, in the units of the workbook.
    units : {"us", "metric"}
    statuses, bases : dict of str to str
        Status and basis of inputs.
    given : dict
        The user's own figures; what else is in ``inputs`` is an estimate.
    ranges : dict of str to (float, float)
        The user's own low and high; NaN for one that is left out.
    currency : str or None
        Currency whose sign the sheets of its workbook show, if it was written.
    """

    inputs: dict
    units: Units
    statuses: dict = field(default_factory=dict)
    bases: dict = field(default_factory=dict)
    given: dict = field(default_factory=dict)
    ranges: dict = field(default_factory=dict)
    currency: str | None = None


@dataclass(frozen=True)
class Before:
    """What a workbook keeps from before.

    Attributes
    ----------
    inputs : dict
        Those as issued, in the column for them.
    drawn : dict of (int, int) to float, str or None
        Results of the last risk analysis, by place on their sheet.
    missing : float
        Figures missing at the issue.
    """

    inputs: dict
    drawn: dict = field(default_factory=dict)
    missing: float = 0.0


@dataclass(kw_only=True)
class Book(Figures):
    """Contents of a workbook.

    Attributes
    ----------
    values : dict of str to ndarray
        Every line, calculated by the engine.
    worth : float
        Net present value at the issue.
    switching_values : list of SwitchingValue
    indifference : ndarray
        By contract type: the grade at which it equals the agreed one.
    before : Before
    """

    values: dict
    worth: float
    switching_values: list
    indifference: list
    before: Before
    version: str = __version__

    def shown(self, unit):
        """Symbol of a unit of the model, in the words of the workbook."""
        return in_currency(shown(unit, self.units), self.currency)

    @property
    def unit_room(self):
        """Characters by which columns of units are wider: of a long currency."""
        return min(max(0, len(self.shown("$")) - SHORT_SIGN), LONGEST_SIGN)

    def worded(self, text):
        """A label or note of the model, in the words of the workbook."""
        return in_currency(worded(text, self.units), self.currency)

    @functools.cached_property
    def entries(self):
        """Each input with its state: whose figure it is, missing or unusable."""
        return {
            name: entry_of(name, self.given, self.ranges, self.inputs, self.units)
            for name, entry in INPUTS.items()
            if not entry.over
        }

    @functools.cached_property
    def counts(self):
        """How many figures are in each state, by the name of the cell."""
        found = Counter(entry.state for entry in self.entries.values())
        found[MISSING] += self.unassayed
        found[YOURS] += found[UNUSUAL]
        return {f"{kind}_figures": found[state] for kind, state in COUNTED.items()}

    @functools.cached_property
    def changes(self):
        """1 for each input that has changed since the issue, else 0."""
        before = self.before.inputs
        return [int(changed(now, before[name])) for name, now in self.inputs.items()]

    def cell(self, name):
        """The named cell of an input, a line or a count, with its value."""
        known = {**self.counts, "changed_inputs": sum(self.changes)}
        value = known[name] if name in known else self.values[name].item()
        return Live(Reference(defined_name(name)), value)

    @functools.cached_property
    def unassayed(self):
        """How many assays of the tailings are needed and not given."""
        assays = (name for name in INPUTS if mass_beside(name))
        return sum(n not in self.given and needed(n, self.inputs) for n in assays)

    def labels(self, state):
        """Labels of all inputs in a state, as one text."""
        text = "; ".join(e.label for e in self.entries.values() if e.state == state)
        return str(with_assays(text, self.unassayed)) if state == MISSING else text

    @property
    def answer(self):
        """The verdict, or the reason for a missing verdict."""
        counts = (self.counts[f"{kind}_figures"] for kind in REPORTED)
        return str(answer(str(self.values["job_verdict"]), *counts))

    @property
    def answer_list(self):
        """Labels of the missing, unusable and unusual inputs."""
        missing, wrong, unusual = (self.labels(COUNTED[kind]) for kind in REPORTED)
        counts = [self.counts[f"{kind}_figures"] for kind in REPORTED]
        return str(answer_list(counts[0], missing, counts[1], wrong, unusual))


YOUR_BASIS = "Your own figure: say here where it comes from"


def make_book(figures, currency=None, issued=None, before=None):
    """Calculate the contents of a workbook.

    Parameters
    ----------
    figures : Figures or Plan
    currency : str, optional
        Currency whose sign the sheets show; that of the inputs when left out.
    issued : dict, optional
        Inputs at the issue, for which figures were solved then.
    before : Before, optional
        Nothing but the present inputs when left out.

    Returns
    -------
    book : Book
    """
    inputs, units, given = figures.inputs, figures.units, figures.given
    values = run(inputs, units)
    used = {name: values[name].item() for name in INPUTS}
    known = (
        (n, YOUR_BASIS if n in given else e.estimate_basis) for n, e in INPUTS.items()
    )
    then = issued or inputs
    worth = run(then, units, ["net_present_value"])["net_present_value"].item()
    return Book(
        inputs=used,
        units=units,
        statuses={**dict.fromkeys(INPUTS, "assumed"), **figures.statuses},
        bases={**dict(known), **figures.bases},
        given={n: v for n, v in used.items() if (n in given or n == "job") and v != ""},
        ranges=dict(figures.ranges),
        values=values,
        worth=worth,
        switching_values=switching_values(then, units),
        indifference=indifference_grades(then, units),
        before=before or Before(used),
        currency=used["currency"] if currency is None else currency,
    )
