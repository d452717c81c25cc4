"""The book that ought to be there, for the inputs that a book holds.

Texts, fixed numbers and formulas are those of a book written afresh. Values of the
model's lines are the engine's for the present inputs; what merely keeps records,
such as flags of changed inputs and totals, is worked out from its own formula.
"""

import functools
import itertools
import math

import numpy as np

from ...model.indifference import indifference_grades
from ...model.inputs import INPUTS
from ...model.line import closing, lagged
from ...model.mill_model import MODEL
from ...model.run import run
from ...model.switching_values import switching_values
from .. import answer_sheet, contract_sheet
from ..book import make_book
from ..entry_cells import BASIS, ISSUED, OWN_HIGH, OWN_LOW, STATUS
from ..layout import LINE_SHEETS, layout, listed
from ..line_sheets import stored
from ..named_cells import spot_of
from ..package.sheet_part import cell_of
from ..risk_sheet.layout import SHEET as RISK
from ..risk_sheet.layout import figure_places
from .evaluate import CannotTell, evaluate
from .fresh import contents_of_fresh

RELATIVE = 1e-9
NOISE = 1e-12
"""Of the largest sum of any month: what rounding may leave where money cancels."""
DISCOUNTED = 1e-14
"""Of the discounted flows, all counted as positive: what rounding may leave of them.
At rates far below zero late months weigh a million times, and nearly cancel."""
DEEPEST = 50


@functools.cache
def line_places():
    """Name and index of the line's element at each (sheet, place)."""
    found = {}
    for name, line in MODEL.lines.items():
        place = layout().places[name]
        if not line.entry:
            for index in itertools.product(*(range(n) for n in place.lengths)):
                found[place.sheet, place.at(*index)] = name, index
    return found


@functools.cache
def input_places():
    """(sheet, place) of the cell for the user's figure, and the input's name."""
    places = layout().entered
    return {
        (p.sheet, (p.row, p.column)): name for name in INPUTS for p in [places[name]]
    }


@functools.cache
def own_places():
    """Cells beside an input that are the user's: basis, status, own low and high."""
    rows = {layout().places[name].row for name, _ in listed()}
    columns = (BASIS, STATUS, OWN_LOW, OWN_HIGH)
    return {("Inputs", (row, column)) for row in rows for column in columns}


@functools.cache
def issued_places():
    """Cells that hold the inputs as they were when the book was issued."""
    return {("Inputs", (at, ISSUED)): name for name, at in layout().issued.items()}


@functools.cache
def free_places(units):
    """Cells that may hold what was entered: by the user, at the issue, by the draws."""
    drawn = {(RISK, place) for place in figure_places(units)}
    missing = {("Answer", answer_sheet.MISSING_AT_ISSUE)}
    return frozenset(own_places() | issued_places().keys() | missing | drawn)


class Expected:
    """What ought to stand in every cell of a book.

    Parameters
    ----------
    inputs : dict
        The inputs that the book holds.
    issued : dict
        Those it was issued with, for the figures that the engine solved then.
    units : {"us", "metric"}
    statuses, bases : dict of str to str
    found : Contents
        The book itself, for cells that are the user's own.
    given : dict, optional
        The inputs that are the user's own; all when left out.
    ranges : dict of str to (float, float), optional
        The user's own low and high.
    lines : tuple of str
        Sheets of the model's lines whose texts and formulas are asked for.
    fresh : Contents, optional
        By `pristine`, where it is at hand.
    """

    def __init__(
        self,
        inputs,
        issued,
        units,
        statuses,
        bases,
        found,
        given=None,
        ranges=None,
        lines=LINE_SHEETS,
        fresh=None,
    ):
        self.inputs, self.units, self.found = inputs, units, found
        self.given = inputs if given is None else given
        told = (units, statuses, bases, self.given, ranges, lines)
        as_issued = issued == inputs and fresh is None
        self.pristine = fresh or pristine(inputs, *told, solve=as_issued)
        self.issued, self._told = issued, told
        self.cells = self.pristine.sheets
        if not as_issued:
            self.cells = _with_solved(self.cells, issued, units)
        self.values = run(inputs, units)
        self._sheets = {name.lower(): name for name in self.cells}
        self._worked, self._depth = {}, 0
        sums = [v for name, v in self.values.items() if _is_monthly_money(name)]
        largest = max(float(abs(v).max()) for v in sums)
        self.noise = NOISE * (largest if math.isfinite(largest) else 1)

    @functools.cached_property
    def before(self):
        """Contents of the workbook that was written for the inputs of the issue."""
        return pristine(self.issued, *self._told, solve=True)

    def value(self, sheet, place):
        """The value that ought to be stored in a cell.

        Parameters
        ----------
        sheet : str
        place : (int, int)

        Returns
        -------
        value : float, str, bool or None
        """
        key = (sheet, place)
        if key not in self._worked:
            self._worked[key] = self._value(sheet, place)
        return self._worked[key]

    def _value(self, sheet, place):
        if (sheet, place) in input_places():
            return _unless_empty(self.given.get(input_places()[sheet, place], ""))
        line = line_places().get((sheet, place))
        if line is not None:
            return stored(self.values[line[0]][line[1]])
        cell = self.cells.get(sheet, {}).get(place)
        theirs = (sheet, place) in free_places(self.units)
        if cell is None or theirs:
            there = self.found.cell(sheet, place)
            return _unless_empty(there.value) if there else None
        return self._formula_value(sheet, cell) if cell.formula else cell.value

    def _formula_value(self, sheet, cell):
        """What a formula gives: as written afresh, unless it reads what was not.

        The column As issued and the results of risk are the workbook's own.
        """
        fresh = "" if cell.value is None else cell.value
        reads = _Reads(self)
        self._depth += 1
        try:
            if self._depth > DEEPEST:
                return fresh
            own = evaluate(cell.formula, sheet, reads.at, reads.named)
            if not reads.differ:
                return fresh
            written = evaluate(cell.formula, sheet, self._fresh_at, self._fresh_named)
        except CannotTell:
            return fresh
        finally:
            self._depth -= 1
        return fresh if same_value(own, written) else own

    def _at(self, sheet, place):
        return self.value(self._sheets.get(sheet, sheet), place)

    def _fresh_at(self, sheet, place):
        cell = self.pristine.cell(self._sheets.get(sheet, sheet), place)
        if cell is None:
            return None
        return "" if cell.formula and cell.value is None else cell.value

    def _fresh_named(self, name):
        sheet, place = self._spot(name)
        return self._fresh_at(sheet.lower(), place)

    def _spot(self, name):
        spot = spot_of(self.pristine.names.get(name.lower(), ""))
        if spot is None:
            raise CannotTell(name)
        return spot

    def same(self, wanted, cell, key=None):
        """Whether the value stored in a cell is the one wanted, but for rounding.

        The key is the sheet and place of the cell, where it may be a line's.
        """
        if cell is None or cell.kind == "none":
            return wanted is None or wanted == ""
        if cell.kind == "e":
            return False
        name, index = line_places().get(key, ("", ()))
        rate = name and MODEL.lines[name].unit == "1/year"
        if same_value(wanted, cell.value, 0.0 if rate else self.noise):
            return True
        noise = self._discounting.get(name)
        return noise is not None and same_value(wanted, cell.value, noise[index])

    @functools.cached_property
    def _discounting(self):
        """What rounding may leave in present values, by line: an array each."""
        return {
            line.name: DISCOUNTED * _discounted(line, self.values)
            for line in MODEL.lines.values()
            if line.section.startswith(RATES) and "discount_years" in line.parameters
        }


class _Reads:
    """Values for a formula, and whether any differs from the one written afresh."""

    def __init__(self, expected):
        self.expected, self.differ = expected, False

    def at(self, sheet, place):
        value = self.expected._at(sheet, place)
        self.differ = self.differ or value != self.expected._fresh_at(sheet, place)
        return value

    def named(self, name):
        sheet, place = self.expected._spot(name)
        return self.at(sheet.lower(), place)


def _unless_empty(value):
    """An empty text stands in an empty cell."""
    return None if value == "" else value


def same_value(wanted, there, noise=0.0):
    """Whether two values agree; numbers but for rounding."""
    if isinstance(wanted, str) and isinstance(there, str):
        return wanted.rstrip() == there.rstrip()  # LibreOffice saves no blanks there
    if isinstance(wanted, str) or isinstance(there, str):
        return False
    if wanted is None or there is None:
        return wanted is there
    return math.isclose(wanted, there, rel_tol=RELATIVE, abs_tol=noise)


RATES = ("IRR, ", "Trial rates, ", "Bisection, ")
"""Beginnings of the sections with present values at rates that are tried."""


def _discounted(line, values):
    """A line of present values with all flows counted as positive."""

    def read(name, at):
        if lagged(name):
            source = MODEL.lines[closing(name)]
            return values[source.name][at - 1] if at else values[source.start]
        if name in line.over:
            return MODEL.axes[name].values[at]
        return abs(values[name]) if name.startswith("real_cash") else values[name]

    count = len(MODEL.axes[line.over[0]]) if line.over else 1
    sums = [
        line.function(*(read(name, at) for name in line.parameters))
        for at in range(count)
    ]
    return np.reshape(sums, values[line.name].shape)


def _is_monthly_money(name):
    line = MODEL.lines.get(name)
    return line is not None and (line.unit, line.over) == ("$", ("month",))


def _with_solved(cells, issued, units):
    """The cells, with what the engine solved when the workbook was issued."""
    found = {sheet: dict(there) for sheet, there in cells.items()}
    for (sheet, place), value in _solved(tuple(sorted(issued.items())), units).items():
        found[sheet][place] = cell_of(value)
    return found


def pristine(
    inputs,
    units,
    statuses,
    bases,
    given=None,
    ranges=None,
    lines=LINE_SHEETS,
    solve=False,
):
    """Contents of a book written afresh.

    Parameters
    ----------
    inputs : dict
    units : {"us", "metric"}
    statuses, bases : dict of str to str
    given : collection of str, optional
        The inputs that are the user's own; all when left out.
    ranges : dict of str to (float, float), optional
    lines : tuple of str
        As for `book_bytes`.
    solve : bool
        As for `make_book`.

    Returns
    -------
    contents : Contents
    """
    told = (statuses, bases, ranges or {})
    texts = tuple(tuple(sorted(mapping.items())) for mapping in told)
    own = None if given is None else frozenset(given)
    return _pristine(tuple(sorted(inputs.items())), units, own, *texts, lines, solve)


@functools.lru_cache(maxsize=8)
def _pristine(inputs, units, given, statuses, bases, ranges, lines, solve):
    told = (dict(statuses), dict(bases), given, dict(ranges), solve)
    return contents_of_fresh(make_book(dict(inputs), units, *told), lines)


@functools.lru_cache(maxsize=8)
def _solved(inputs, units):
    """What the engine solves for the inputs, by sheet and place."""
    given = dict(inputs)
    worth = run(given, units, ["net_present_value"])["net_present_value"].item()
    turns = switching_values(given, units)
    answers = answer_sheet.solved_values(turns, worth, units)
    grades = contract_sheet.solved_values(indifference_grades(given, units))
    return {
        **{("Answer", place): value for place, value in answers},
        **{("Contract", place): value for place, value in grades},
    }


@functools.cache
def solved_places():
    """Cells that hold what the engine solved for the inputs.

    Returns
    -------
    places : frozenset of (str, (int, int))
    """
    return frozenset(_solved((), "us")) | {("Answer", answer_sheet.MISSING_AT_ISSUE)}
