"""Contents of a workbook before it is written: inputs, statuses, results."""

import functools
from dataclasses import dataclass, field

from .. import __version__
from ..formulas import Live, Reference
from ..model.currency import in_currency
from ..model.entries import (
    changed,
    needed,
)
from ..model.indifference import indifference_grades
from ..model.inputs import INPUTS, mass_beside
from ..model.run import run
from ..model.switching_values import switching_values
from ..model.units import Units, shown, worded
from .entry_cells import EntryRow
from .figure_counts import count_cells
from .layout import defined_name, listed

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
    def rows(self):
        """The row of each input on the sheet Inputs, from the top down."""
        found, above = {}, None
        for name, _ in listed():
            found[name] = above = EntryRow(self, name, above)
        return found

    @functools.cached_property
    def counted(self):
        """Label, cell and note of each count of figures, and of the answer."""
        return count_cells(self)

    @property
    def counts(self):
        """Value of each count of figures, and of the answer."""
        return {name: cell.value for name, (_, cell, _) in self.counted.items()}

    @functools.cached_property
    def changes(self):
        """1 for each input that has changed since the issue, else 0."""
        before = self.before.inputs
        return [int(changed(now, before[name])) for name, now in self.inputs.items()]

    def result(self, name):
        """The named cell of an input or a line, with its value."""
        return Live(Reference(defined_name(name)), self.values[name].item())

    def cell(self, name):
        """The named cell of an input, a line or a count, with its value."""
        if name not in self.counted:
            return self.result(name)
        return Live(Reference(defined_name(name)), self.counted[name][1].value)

    @functools.cached_property
    def unassayed(self):
        """How many assays of the tailings are needed and not given."""
        assays = (name for name in INPUTS if mass_beside(name))
        return sum(n not in self.given and needed(n, self.inputs) for n in assays)

    @property
    def answer(self):
        """The verdict, or the reason for a missing verdict."""
        return self.counts["answer"]


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
