"""Two books side by side: what changed, and what each change did to the money."""

from dataclasses import dataclass

import numpy as np

from ..errors import BadValue
from ..model.inputs import INPUTS
from ..model.line import LINES
from ..model.run import run
from ..model.shares import fair_shares
from ..model.units import convert, shown
from .inspect import inspect_book
from .read import read_book

HEADLINES = (
    "net_present_value",
    "margin_per_ton",
    "net_return_per_ton",
    "cost_per_ton",
    "break_even_grade",
    "break_even_gold_price",
    "peak_funding",
    "life_cash",
)
"""Results to which the effect of each change is told."""


@dataclass(frozen=True)
class Change:
    """An input that differs: both values in the units of the first book."""

    name: str
    label: str
    before: object
    after: object
    unit: str
    place: str
    status: str


@dataclass
class Comparison:
    """How a second book differs from a first.

    Attributes
    ----------
    changes : list of Change
    verdicts : tuple of str
    before, after : dict of str to float
        The headline results, in the units of the first book.
    shares : Shares or None
        None when nothing changed, or when some changes without the others contradict
        one another; ``no_shares`` then says why.
    inspection : Inspection
        Of the second book.
    notes : list of str
        Unit system, version.
    """

    changes: list
    verdicts: tuple
    before: dict
    after: dict
    units: str
    shares: object
    no_shares: str
    inspection: object
    notes: list

    def effect(self, name, result):
        """Effect of one change on one result: alone, and its fair share."""
        if self.shares is None or name not in self.shares.names:
            return None, None
        place = (self.shares.names.index(name), self.shares.results.index(result))
        alone, fair = self.shares.alone[place], self.shares.fair[place]
        return tuple(float(v) if np.isfinite(v) else None for v in (alone, fair))

    def as_json(self):
        """Give the comparison as plain values for programs."""
        return {
            "verdict": {"before": self.verdicts[0], "after": self.verdicts[1]},
            "results": {
                name: {
                    "before": self.before[name],
                    "after": self.after[name],
                    "unit": shown(LINES[name].unit, self.units),
                }
                for name in HEADLINES
            },
            "changes": [
                {
                    **vars(change),
                    "effects": {
                        name: dict(
                            zip(
                                ("alone", "share"),
                                self.effect(change.name, name),
                                strict=True,
                            )
                        )
                        for name in HEADLINES
                    },
                }
                for change in self.changes
            ],
            "shares": "exact" if not self.shares or self.shares.exact else "sampled",
            "no_shares": self.no_shares,
            "inspection": self.inspection.as_json(),
            "notes": self.notes,
        }


def compare_books(mine, theirs):
    """Compare two books.

    Parameters
    ----------
    mine, theirs : str or Path

    Returns
    -------
    comparison : Comparison

    Raises
    ------
    WorkbookError
        When one of them cannot be read.
    """
    first, second = read_book(mine), read_book(theirs)
    after = {
        name: convert(value, INPUTS[name].unit, second.units, first.units)
        if INPUTS[name].numeric
        else value
        for name, value in second.inputs.items()
    }
    if first.units != second.units:  # what only a conversion moved has not changed
        after = {
            name: _kept(first.inputs[name], value) for name, value in after.items()
        }
    results = [run(i, first.units) for i in (first.inputs, after)]
    shares, why_not = _shares(first.inputs, after, first.units)
    return Comparison(
        _changes(first, second, after),
        tuple(str(values["verdict"]) for values in results),
        {name: results[0][name].item() for name in HEADLINES},
        {name: results[1][name].item() for name in HEADLINES},
        first.units,
        shares,
        why_not,
        inspect_book(theirs),
        _notes(first, second),
    )


def _kept(before, after):
    if isinstance(before, float) and abs(after - before) <= 1e-12 * abs(before):
        return before
    return after


def _shares(before, after, units):
    told = {name: value for name, value in after.items() if INPUTS[name].kind != "text"}
    after = {**before, **told}
    if before == after:
        return None, ""
    try:
        return fair_shares(before, after, HEADLINES, units), ""
    except BadValue as error:
        return None, f"Some changes alone contradict the rest: {error}"


def _changes(first, second, after):
    return [
        Change(
            name,
            entry.label,
            first.inputs[name],
            after[name],
            shown(entry.unit, first.units),
            second.places[name],
            second.statuses.get(name, entry.status),
        )
        for name, entry in INPUTS.items()
        if first.inputs[name] != after[name]
    ]


def _notes(first, second):
    notes = []
    if first.units != second.units:
        notes.append(f"Units: the first book is {first.units}, theirs {second.units}.")
    if first.version != second.version:
        notes.append(f"Versions: {first.version} and {second.version}.")
    return notes
