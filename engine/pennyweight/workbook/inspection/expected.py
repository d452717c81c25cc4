"""Expected contents of a workbook for its present inputs.

They are those of a newly written workbook that keeps the record of the issue and the
results of the last risk analysis.
"""

import functools
import math
import re
from dataclasses import replace

import numpy as np

from ...model.inputs import INPUTS
from ...model.line import closing, lagged
from ...model.mill_model import MODEL
from ...model.run import run
from .. import answer_sheet, contract_sheet
from ..book import Before, Figures, make_book
from ..entry_cells import BESIDE_AS_ISSUED, ISSUED
from ..layout import LINE_SHEETS, layout, listed
from ..risk_sheet.layout import SHEET as RISK
from ..risk_sheet.layout import figure_places
from .fresh import contents_of_fresh

RELATIVE = 1e-9
NOISE = 1e-12
"""Rounding error allowed where sums of money cancel, per largest monthly sum."""
DISCOUNTED = 1e-14
"""Rounding error allowed in a present value, per sum of its absolute terms.
At rates far below zero late months are multiplied by a million, and nearly cancel."""


@functools.cache
def line_places():
    """Line and index of its element, by (sheet, place)."""
    found = {}
    for name, line in MODEL.lines.items():
        place = layout().places[name]
        if not line.entry:
            for index in place.elements:
                found[place.sheet, place.at(*index)] = name, index
    return found


@functools.cache
def input_places():
    """Input, by (sheet, place) of the cell for the user's figure."""
    places = layout().entered
    return {
        (p.sheet, (p.row, p.column)): name for name in INPUTS for p in [places[name]]
    }


@functools.cache
def own_places():
    """Cells beside an input for the user: basis, status, own low and high."""
    rows = {layout().places[name].row for name, _ in listed()}
    return {("Inputs", (row, column)) for row in rows for column in BESIDE_AS_ISSUED}


@functools.cache
def beside_issued_places():
    """Cell for the user beside an input, by the cell that records it at the issue."""
    return {
        (sheet, (row, BESIDE_AS_ISSUED[column])): (row, column)
        for sheet, (row, column) in own_places()
    }


@functools.cache
def issued_places():
    """Input, by the cell that has its value as issued."""
    return {("Inputs", (at, ISSUED)): name for name, at in layout().issued.items()}


@functools.cache
def free_places(units):
    """Cells with values entered by the user, at the issue, or by a risk analysis."""
    drawn = {(RISK, place) for place in figure_places(units)}
    missing = {("Answer", answer_sheet.MISSING_AT_ISSUE)}
    records = issued_places().keys() | beside_issued_places().keys()
    return frozenset(own_places() | records | missing | drawn)


class Expected:
    """The expected formula and value of every cell of a workbook.

    Parameters
    ----------
    figures : Reading
        Of the workbook: the present inputs.
    issued : dict
        Inputs at the issue, for the figures that the engine solved then.
    found : Contents
        The workbook itself.
    lines : tuple of str
        Sheets of the model's lines whose texts and formulas are needed.
    before : Before, optional
        Default: as ``found`` has it.
    """

    def __init__(self, figures, issued, found, lines=LINE_SHEETS, before=None):
        self.figures, self.issued, self.found = figures, issued, found
        self.inputs, self.units, self.lines = figures.inputs, figures.units, lines
        kept = before or kept_in(found, self.units)
        self.pristine = pristine(figures, lines, issued, kept)
        self.cells = self.pristine.sheets
        self.values = run(self.inputs, self.units)
        sums = [v for name, v in self.values.items() if _is_monthly_money(name)]
        largest = max(float(abs(v).max()) for v in sums)
        self.noise = NOISE * (largest if math.isfinite(largest) else 1)

    @functools.cached_property
    def before(self):
        """Contents of a workbook newly written for the inputs of the issue."""
        return pristine(replace(self.figures, inputs=self.issued), self.lines)

    def value(self, sheet, place):
        """The expected value of a calculated cell."""
        value = self.cells[sheet][place].value
        return "" if value is None else value

    def same(self, wanted, cell, key=None):
        """Whether a cell has the expected value, except for rounding.

        ``key`` is the sheet and place of the cell; a line has its own tolerance.
        """
        if cell is None or cell.kind == "none":
            return wanted is None or wanted == ""
        if cell.kind == "e":
            return False
        name, index = line_places().get(key, ("", ()))
        rate = name and MODEL.lines[name].unit == "1/year"
        if same_value(wanted, cell.value, 0.0 if rate else self.noise):
            return True
        if isinstance(wanted, str) and isinstance(cell.value, str):
            return self._by_comma and same_value(wanted, with_point(cell.value))
        noise = self._discounting.get(name)
        return noise is not None and same_value(wanted, cell.value, noise[index])

    @functools.cached_property
    def _by_comma(self):
        """Whether it was calculated where a comma stands before the decimals.

        Then all of its texts write their numbers so: one alone would be altered.
        """
        pairs = (
            (cell.value, there.value)
            for sheet, cells in self.cells.items()
            for place, cell in cells.items()
            if (there := self.found.cell(sheet, place))
        )
        return any(
            text != wanted and with_point(text) == wanted
            for wanted, text in pairs
            if isinstance(wanted, str) and isinstance(text, str)
        )

    @functools.cached_property
    def _discounting(self):
        """Rounding error allowed in present values: an array for each line."""
        return {
            line.name: DISCOUNTED * _discounted(line, self.values)
            for line in MODEL.lines.values()
            if line.section.startswith(RATES) and "discount_years" in line.parameters
        }


SEPARATOR = re.compile(r"(?<=\d)[.,'\u2019\u00a0\u202f](?=\d)")


def with_point(text):
    """A text from a program with decimal commas, with points instead."""
    return SEPARATOR.sub(lambda sign: "." if sign[0] == "," else ",", text)


def same_value(wanted, there, noise=0.0):
    """Whether two values agree; numbers within rounding error."""
    if isinstance(wanted, str) and isinstance(there, str):
        return wanted.rstrip() == there.rstrip()  # LibreOffice saves no blanks there
    if isinstance(wanted, str) or isinstance(there, str):
        return False
    if wanted is None or there is None:
        return wanted is there
    return math.isclose(wanted, there, rel_tol=RELATIVE, abs_tol=noise)


RATES = ("IRR, ", "Trial rates, ", "Bisection, ")
"""Beginnings of the names of sections with present values at trial rates."""


def _discounted(line, values):
    """A line of present values, with the absolute values of all cash flows."""

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


def kept_in(contents, units):
    """What a workbook keeps from before.

    Parameters
    ----------
    contents : Contents
    units : {"us", "metric"}

    Returns
    -------
    before : Before
    """

    def value(sheet, place):
        cell = contents.cell(sheet, place)
        return None if cell is None else cell.value

    missing = value("Answer", answer_sheet.MISSING_AT_ISSUE) or 0.0
    return Before(
        inputs={name: value(*spot) for spot, name in issued_places().items()},
        drawn={place: value(RISK, place) for place in figure_places(units)},
        # A spreadsheet ranks texts above numbers.
        missing=math.inf if isinstance(missing, str) else missing,
    )


def pristine(figures, lines=LINE_SHEETS, issued=None, before=None):
    """Contents of a newly written workbook.

    Parameters
    ----------
    figures : Figures
    lines : tuple of str
        As for `book_bytes`.
    issued : dict, optional
    before : Before, optional
        As for `make_book`.

    Returns
    -------
    contents : Contents
    """
    before = before or Before(figures.inputs)
    mappings = [getattr(figures, name) for name in MAPPINGS]
    mappings += issued or figures.inputs, before.inputs, before.drawn
    pairs = (tuple(sorted(mapping.items())) for mapping in mappings)
    own = figures.units, frozenset(figures.given), figures.currency
    return _pristine(*own, lines, before.missing, *pairs)


MAPPINGS = ("inputs", "statuses", "bases", "ranges")


@functools.lru_cache(maxsize=8)
def _pristine(units, given, currency, lines, missing, *pairs):
    *own, issued, recorded, drawn = map(dict, pairs)
    mappings = dict(zip(MAPPINGS, own, strict=True))
    figures = Figures(units=units, given=dict.fromkeys(given), **mappings)
    before = Before(recorded, drawn, missing)
    return contents_of_fresh(make_book(figures, currency, issued, before), lines)


@functools.cache
def solved_places():
    """Cells with figures that the engine solved for the inputs.

    Returns
    -------
    places : frozenset of (str, (int, int))
    """
    places = {"Answer": answer_sheet, "Contract": contract_sheet}
    return frozenset(
        (name, place)
        for name, sheet in places.items()
        for place in sheet.solved_places()
    )
