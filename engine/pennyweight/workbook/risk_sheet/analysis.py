"""Cells that follow from the last risk analysis, with their values."""

import functools
import math

import numpy as np
from xlsxwriter.utility import quote_sheetname, xl_rowcol_to_cell

from ...formulas import Live, Reference, alike, appended, chosen, live
from ...model.entries import has_range
from ...model.inputs import INPUTS
from ..entry_cells import OWN_HIGH, OWN_LOW, own_ends
from ..layout import layout
from .layout import FLAG, OWN_ENDS, TRIALS, VALUE, named, placed, recorded

NOT_DRAWN = "not drawn"


class Analysis:
    """The last risk analysis of a workbook, as its cells have it.

    Attributes
    ----------
    flags : dict of int to Live
        Whether an input has changed since the analysis, by the row of its record.
    changes : Live
        How many have changed.
    """

    def __init__(self, book):
        self.book, self.drawn = book, book.before.drawn
        top = placed(book.units)[1] + 1
        self.flags = {
            row: self._flag(row, name) for row, name in enumerate(recorded(), top)
        }
        ends = (xl_rowcol_to_cell(row, FLAG) for row in (top, max(self.flags)))
        flags = [flag.value for flag in self.flags.values()]
        self.changes = live(np.sum, (Reference(":".join(ends), spread=True), flags))
        self._changed = Live(Reference("Risk_inputs_changed"), self.changes.value)

    def at(self, row, column):
        """A cell of the sheet Risk for a result."""
        cell = Reference(xl_rowcol_to_cell(row, column))
        return Live(cell, self.drawn.get((row, column)))

    @property
    def trials(self):
        """The number of trials."""
        return _number(self.at(TRIALS, VALUE))

    def _flag(self, row, name):
        """Whether an input, its own low or its own high differs from the record."""
        place, here = layout().places[name], self.at(row, VALUE)
        there = f"{quote_sheetname(place.sheet)}!{place.cell()}"
        pairs = [here, (Reference(there), self.book.inputs[name])]
        if has_range(INPUTS[name]) and not INPUTS[name].over:
            ends = own_ends(name, self.book.ranges)
            for end, column, own in zip(
                ends, OWN_ENDS, (OWN_LOW, OWN_HIGH), strict=True
            ):
                there = f"Inputs!{xl_rowcol_to_cell(place.row, own)}"
                pairs += [self.at(row, column), (Reference(there), end)]
        return live(_differ, self.trials, *pairs)

    def named(self, name):
        """A named cell with a result."""
        cell = Live(Reference(name), self.drawn.get(named(self.book.units)[name]))
        return _number(cell) if name == "Risk_trials" else cell

    @property
    def verdict(self):
        """Trials, changes since, verdict, and probability that it pays."""
        paying = _number(self.named("Probability_that_it_pays"))
        verdict = self.book.cell("verdict")
        return self.named("Risk_trials"), self._changed, verdict, paying

    def current(self, found, none=NOT_DRAWN, old="out of date"):
        """A result while it is up to date; else other words."""
        trials = self.named("Risk_trials")
        return live(_current, trials, self._changed, found, none, old)


def _number(cell):
    """A cell to compare with a number: an empty one is 0, a text above all numbers."""
    value = 0.0 if cell.value is None else cell.value
    return Live(cell.cell, math.inf if isinstance(value, str) else value)


def _differ(trials, here, there, *ends):
    same = [alike(here, there)]
    # As texts: an empty cell is not 0.
    for own, now in zip(ends[::2], ends[1::2], strict=True):
        same.append(alike(appended(own, ""), appended(now, "")))
    return np.where(
        trials == 0, 0, np.where(functools.reduce(np.logical_and, same), 0, 1)
    )


def _current(trials, changes, found, none, old):
    return chosen(trials == 0, none, chosen(changes == 0, found, old))
