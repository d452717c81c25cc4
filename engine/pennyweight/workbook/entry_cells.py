"""Formulas beside each input: whose figure it is, and the figure used.

The formulas are traced from the functions of `model.entries`. Their stored values are
the results of the same functions for the user's figures.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
from xlsxwriter.utility import xl_rowcol_to_cell

from ..formulas import Live, Reference, formula, live
from ..model import entries
from ..model.allowed import allowed_words, decimals
from ..model.inputs import INPUTS, Input
from ..model.slips import PERCENT, question, slips_of
from .layout import HEAD, LABEL, NOTE, VALUE, defined_name, layout

if TYPE_CHECKING:
    from .book import Book

ENTERED, USED, STATE = VALUE, NOTE, NOTE + 1
OWN_LOW, OWN_HIGH, ESTIMATE, LOW, HIGH, BASIS, STATUS, MEANING = range(5, 13)
LEAST, MOST, TABLE_LOW, TABLE_HIGH, NEAR_LOW, NEAR_HIGH = range(14, 20)
USABLE, ORDERED, FILLED = range(20, 23)
LISTS = {entries.MISSING: 23, entries.UNUSABLE: 24, entries.UNUSUAL: 25}
"""Columns of cumulative lists: the labels, down to the row, in a state."""
ISSUED, CHANGED = 26, 27
BESIDE_AS_ISSUED = {OWN_LOW: 28, OWN_HIGH: 29, BASIS: 30, STATUS: 31}
"""Columns with what the user's other cells of the row had at the issue."""
QUESTION, HINT = 32, 33
"""What an unusual figure may be; and what is told beside an entry."""
IN_DOLLARS = (ESTIMATE, LEAST, MOST, TABLE_LOW, TABLE_HIGH, NEAR_LOW, NEAR_HIGH)
"""Columns of numbers; those of money are in US dollars, times the exchange rate."""
RATE = "exchange_rate"


def in_plan(dollars: float, rate: float = 1.0) -> Live:
    """An amount in US dollars, in the currency of the plan.

    Examples
    --------
    >>> in_plan(0.12).formula
    '=0.12*Exchange_rate'
    """
    amount = Reference(f"{dollars:.15g}"), dollars
    return live(entries.scaled, amount, (Reference(defined_name(RATE)), rate))


def own_ends(name: str, ranges: Mapping[str, tuple[float, float]]) -> list[Any]:
    """The user's own low and high of an input; None for one left out."""
    ends = ranges.get(name, (math.nan, math.nan))
    return [None if math.isnan(end) else end for end in ends]


def estimate_formula(entry: Input, units: str) -> str:
    """Formula in the cell of a table's entry until the user enters a figure.

    It is empty for entries whose cell has a number or nothing.
    """
    estimate = INPUTS[entry.name].value(units, "estimate")
    priced = entry.over and entry.is_money and estimate
    return in_plan(estimate).formula if priced else ""


def rows() -> tuple[int, int]:
    """First and last row of the sheet Inputs with a state."""
    return HEAD + 1, max(layout().tables.values())


class EntryRow:
    """The formulas of one input's row on the sheet Inputs.

    Parameters
    ----------
    book : Book
    name : str
        An input that is not in a table.
    above : EntryRow or None
        The input before it, whose cumulative lists continue here.

    Attributes
    ----------
    cells : dict of int to Live
        Formula and stored value by column.
    numbers : dict of int to float
        Plain numbers by column.
    values : dict of int to object
        Value of each column.
    """

    def __init__(self, book: Book, name: str, above: EntryRow | None) -> None:
        self.name, self.entry, self.units = name, INPUTS[name], book.units
        self.row = layout().places[name].row
        self.values = self._values(book)
        self.cells: dict[int, Live] = {}
        if self.entry.is_money:
            self._in_plan(book.inputs[RATE])
        self.numbers = {
            column: value
            for column, value in self.values.items()
            if column in IN_DOLLARS and column not in (ESTIMATE, *self.cells)
        }
        self._usable()
        self._state(book.inputs)
        self._used(book.inputs)
        if entries.has_range(self.entry):
            self._ends()
        if self.entry.kind != "text":
            self._hint(book)
        self._lists(above)

    def _values(self, book: Book) -> dict[int, Any]:
        """Values of the cells that are not formulas, by column."""
        entry, units = self.entry, self.units
        empty = entries.blank(entry)
        low, high = book.ranges.get(self.name, (empty, empty))
        values = {
            ENTERED: book.given.get(self.name, empty),
            OWN_LOW: low,
            OWN_HIGH: high,
            ESTIMATE: entry.value(units, "estimate"),
            LABEL: entry.label,
        }
        if entry.numeric:
            values[LEAST], values[MOST] = entry.within(units)
            values[NEAR_LOW], values[NEAR_HIGH] = entries.unlikely_beyond(entry, units)
        if entries.has_range(entry):
            values[TABLE_LOW] = entry.value(units, "low")
            values[TABLE_HIGH] = entry.value(units, "high")
        return values

    def _in_plan(self, rate: float) -> None:
        """Multiply the numbers of the table of inputs by the exchange rate."""
        for column in IN_DOLLARS:
            if column in self.values:
                self.cells[column] = in_plan(self.values[column], rate)
                self.values[column] = self.cells[column].value

    def _trace(self, column: int, function: Any, *reads: Any) -> None:
        """Enter a cell: the formula and the value of a function of other cells.

        An item of ``reads`` is a column of the row, a pair (reference, value), or a
        constant.
        """
        pairs = (
            (self.at(read), self.values[read]) if isinstance(read, int) else read
            for read in reads
        )
        self.cells[column] = live(function, *pairs)
        self.values[column] = self.cells[column].value

    def at(self, column: int) -> Reference:
        """A reference to a cell of the row."""
        text = isinstance(self.values[column], str)
        place = layout().entered[self.name]
        if column == ENTERED and place.sheet != "Inputs":
            cell = f"{place.sheet}!{place.cell()}"
        else:
            cell = xl_rowcol_to_cell(self.row, column)
        return Reference(cell, "text" if text else "number")

    def _usable(self) -> None:
        kind = self.entry.kind
        if kind == "choice":
            function, more = entries.choice_usable, self.entry.choices
        elif kind == "text":
            function, more = entries.text_usable, ()
        else:
            whole = kind == "whole"
            function = entries.whole_usable if whole else entries.number_usable
            more = (LEAST, MOST)
        self._trace(USABLE, function, ENTERED, *more)

    def _state(self, inputs: dict[str, Any]) -> None:
        if self.entry.numeric:
            own = (NEAR_LOW, NEAR_HIGH, OWN_LOW, OWN_HIGH)
            self._trace(FILLED, entries.word_of(self.entry), self._number(), *own)
        else:
            chosen = self.name == "job"  # not a figure
            self.values[FILLED] = entries.UNNEEDED if chosen else entries.YOURS
        filled = FILLED if self.entry.numeric else self.values[FILLED]
        reads = ENTERED, self._empty(inputs), filled, USABLE
        if entries.has_range(self.entry):
            used = inputs[self.name]
            at = Reference(xl_rowcol_to_cell(self.row, USED))
            self._trace(ORDERED, entries.range_usable, OWN_LOW, OWN_HIGH, (at, used))
            self._trace(STATE, entries.state_with_range, ORDERED, *reads)
        else:
            self._trace(STATE, entries.state, *reads)

    def _number(self) -> tuple[Reference, Any]:
        """The cell of the entry; a spreadsheet counts an empty one as 0."""
        value = self.values[ENTERED]
        number = value if isinstance(value, str) or value == value else 0.0
        return self.at(ENTERED), number

    def _empty(self, inputs: dict[str, Any]) -> Any:
        """The state of an empty cell; a formula if it depends on choices."""
        state = entries.when_empty(self.name, inputs)
        asked = entries.choices_that_ask(self.entry, inputs["job"])
        if not asked or not entries.job_needs(self.name, inputs["job"]):
            return state
        cells = [(Reference(defined_name(one), "text"), word) for one, word in asked]
        written = formula(entries.empty_word(*cells)).removeprefix("=")
        return Live(Reference(written, "text"), state)

    def _used(self, inputs: dict[str, Any]) -> None:
        text = self.entry.kind == "text"
        function = entries.text_used if text else entries.figure_used
        reads: tuple[Any, ...] = (ENTERED, USABLE, ESTIMATE)
        if self.name == RATE:
            money = Reference(defined_name("currency"), "text"), inputs["currency"]
            function, reads = entries.rate_figure, (*reads, money)
        self._trace(USED, function, *reads)

    def _ends(self) -> None:
        for column, own, end in (
            (LOW, OWN_LOW, TABLE_LOW),
            (HIGH, OWN_HIGH, TABLE_HIGH),
        ):
            self._trace(column, entries.own_end, own, USED, end, ESTIMATE, LEAST, MOST)

    def _hint(self, book: Book) -> None:
        """What an unusual figure may be, and what the cell takes."""
        entry = dataclasses.replace(self.entry, currency=book.shown("$"))
        slips = slips_of(entry, self.units)
        if slips:
            entered: Any = self._number()
            if self.entry.is_money:
                rate = Reference(defined_name(RATE)), book.inputs[RATE]
                entered = live(np.divide, entered, rate)
            self._trace(QUESTION, question, entered, *slips)
        asked = QUESTION if slips else ""
        allowed = self._allowed() if self.entry.numeric else entries.FROM_LIST
        self._trace(HINT, entries.hint, STATE, USABLE, allowed, asked)

    def _allowed(self) -> Any:
        """The numbers that the cell takes; those of money follow the exchange rate."""
        ends = self.entry.within(self.units)
        if self.entry.is_money:
            cells = ((self.at(end), self.values[end]) for end in (LEAST, MOST))
            return live(allowed_words, *cells, *map(decimals, ends), "")
        if self.entry.kind == "share":
            ends = tuple(PERCENT * end for end in ends)
        unit = "%" if self.entry.kind == "share" else ""
        return allowed_words(*ends, *map(decimals, ends), unit)

    def _lists(self, above: EntryRow | None) -> None:
        slips = QUESTION in self.cells
        for wanted, column in LISTS.items():
            before: Any = ""
            if above:
                before = above.at(column), above.values[column]
            told = (QUESTION,) if wanted == entries.UNUSUAL and slips else ()
            self._trace(column, entries.listed, before, STATE, wanted, LABEL, *told)
