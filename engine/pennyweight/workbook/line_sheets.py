"""The sheets of calculated lines: sections, single values, rows and tables."""

import functools
import math
import re

from xlsxwriter.utility import quote_sheetname

from ..model.checks import CHECKS
from ..model.inputs import INPUTS
from ..model.line import closing, lagged
from ..model.mill_model import MODEL
from ..model.units import CONSTANTS, MIXED
from .cell_formulas import formulas_of, start_formula
from .input_sheet import fill
from .layout import FIRST, HEAD, LABEL, NOTE, UNIT, VALUE, has_start, layout
from .live_cells import stored
from .sheets import REGISTRY
from .style import ROW_HEIGHT, START_FILL, WIDTHS, number_format

DATES = {"month": "month_date", "year": "year_end_date"}
"""Lines with the dates of the periods of an axis."""


FITTING = 1.22
"""Letters of a note per unit of column width."""
NARROW, BOLD, INDENT = 1.3, 1.1, 2
"""Letters of a bold answer per unit of column width, on one line and wrapped; and
letters of its indent."""


def widths(name):
    """Widths of the columns of a sheet, in characters."""
    found = WIDTHS | REGISTRY[name].widths
    return found | ({"note": found["period"]} if runs_over(name) else {})


def runs_over(name):
    """Whether notes extend over empty cells: the sheet has only vertical tables."""
    blocks = [block for block in layout().blocks if block.sheet == name]
    down = any(block.down for block in blocks)
    return down and not any(block.across for block in blocks)


TEXT = re.compile('"([^"]*)"')
FLAGS = "".join(f'"{check}"' for name in CHECKS for check in MODEL.axes[name].values)
"""Texts that the line checks_flag looks up."""


def _longest_text(line):
    """Letters of the longest text in the formula of a line."""
    found = FLAGS if line.name == "checks_flag" else formulas_of(line.name)[0]
    return max(map(len, TEXT.findall(found)), default=0)


class LineSheet:
    """Writes one sheet of lines."""

    def __init__(self, sheet, formats, book, name):
        self.sheet, self.formats, self.book, self.name = sheet, formats, book, name
        self.blocks = [block for block in layout().blocks if block.sheet == name]
        self.widths = widths(name)

    def write(self):
        """Write every block of the sheet."""
        for block in self.blocks:
            self.sheet.set_row(block.heading, 18)
            if block.heading > HEAD + 1:
                self.sheet.set_row(block.heading - 1, 9)
            title = self.book.worded(block.title)
            self.formats.heading(self.sheet, block.heading, NOTE, title)
            for line in block.singles:
                self._single(line)
            if block.across:
                self._across(block)
            if block.down:
                self._down(block)

    def _text(self, row, line):
        """Write label, unit and note of a line; return its number of lines."""
        formats = self.formats
        self.sheet.write_string(row, LABEL, self.book.worded(line.label), formats())
        unit = self.book.shown(line.unit)
        if unit:
            self.sheet.write_string(row, UNIT, unit, formats.unit())
        note, fits = self.book.worded(line.note), FITTING * self.widths["note"]
        lines = 1 if runs_over(self.name) else math.ceil(len(note) / fits) or 1
        if lines > 1:
            self.sheet.set_row(row, ROW_HEIGHT * lines)
        look = formats.note(text_wrap=True) if lines > 1 else formats.note()
        self.sheet.write_string(row, NOTE, note, look)
        return lines

    def _single(self, line):
        place = layout().places[line.name]
        noted = self._text(place.row, line)
        value, side = stored(self.book.values[line.name]), {}
        if isinstance(value, str):
            # Left, so that a long answer extends into the empty unit cell.
            side = {"align": "left", "indent": 1, "shrink": False}
            room = self.widths["value"] - INDENT
            longest = max(len(value), _longest_text(line))
            if longest > NARROW * (room + self.widths["unit"]):
                side["text_wrap"] = True
                lines = max(noted, math.ceil(longest / (BOLD * room)))
                self.sheet.set_row(place.row, ROW_HEIGHT * lines)
        look = self._look(line.unit, line.name, bold=True, **side)
        self.sheet.write_formula(*place.at(), *formulas_of(line.name), look, value)

    def _cells(self, line):
        """Write the cells of a line along its axes."""
        if line.entry:
            for name in line.parameters:
                fill(self.sheet, self.formats, self.book, name)
            return
        place, values = layout().places[line.name], self.book.values[line.name]
        look = self._look(line.unit, line.name, align="right", **self._wrapped(line))
        cells = zip(
            place.elements, formulas_of(line.name), values.ravel().tolist(), strict=True
        )
        for index, formula, value in cells:
            at = place.at(*index)
            if line.unit == MIXED:
                look = self._own_unit(line.parameters[index[0]], at[0])
            self.sheet.write_formula(*at, formula, look, stored(value))

    def _wrapped(self, line):
        """Wrap a row of texts that would shrink until nobody can read them."""
        texts = self.book.values[line.name].dtype.kind == "U"
        if not texts or MODEL.axes[line.over[0]].down:
            return {}
        lines = math.ceil(_longest_text(line) / self.widths["period"])
        self.sheet.set_row(layout().places[line.name].row, ROW_HEIGHT * lines)
        return {"text_wrap": True, "shrink": False}

    def _look(self, unit, name="", **more):
        form = number_format(unit, self.book.units, name)
        # Large amounts become smaller letters, never ####.
        return self.formats(num_format=form, **{"shrink": True, **more})

    def _own_unit(self, source, row):
        """Write the unit of a figure in its row, and return its format."""
        if source in CONSTANTS:
            unit = CONSTANTS[source][1]
        else:
            unit = (MODEL.lines.get(source) or INPUTS[source]).unit
        text = self.book.shown(unit)
        self.sheet.write_string(row, UNIT, text, self.formats.unit())
        return self._look(unit, source, align="right")

    def _across(self, block):
        axis = MODEL.axes[block.axis_across]
        self._across_head(block, axis)
        for line in block.across:
            place = layout().places[line.name]
            self._text(place.row, line)
            self._start(line)
            self._cells(line)
            if line.total:
                self._total(line, place)

    def _across_head(self, block, axis):
        """Write the values of the axis; months and years in the frozen head."""
        place = layout().axes[block.axis_across]
        if block.across_head == HEAD and block is not self.blocks[0]:
            return
        head = self.formats.head(align="right", num_format=_axis_format(axis))
        self.sheet.write_string(
            block.across_head, LABEL, axis.label, self.formats.head()
        )
        if axis.name in DATES:
            self._dates(DATES[axis.name])
        if any(len(str(value)) > self.widths["period"] for value in axis.values):
            self.sheet.set_row(block.across_head, 30)
        for position, value in enumerate(axis.values):
            column = place.at(position)[1]
            self.sheet.write(block.across_head, column, value, head)

    def _dates(self, name):
        """Write the date of each period above its number, in the frozen head."""
        place = layout().places[name]
        look = self.formats.note(num_format=number_format("date", ""), align="right")
        for position, value in enumerate(self.book.values[name]):
            cell, column = place.cell(position), place.at(position)[1]
            self.sheet.write_formula(HEAD - 1, column, f"={cell}", look, stored(value))

    def _start(self, line):
        """Write the opening value before the first element, if one is read."""
        if line.name not in _carried():
            return
        row, column = layout().places[line.name].at(-1)
        value = stored(self.book.values[line.start]) if line.start else 0
        look = self._look(line.unit, bg_color=START_FILL)
        self.sheet.write_formula(row, column, start_formula(line.name), look, value)

    def _total(self, line, place):
        look = self._look(line.unit, bold=True)
        value = math.fsum(self.book.values[line.name])
        total = f"=SUM({place.range.replace('$', '')})"
        self.sheet.write_formula(place.row, VALUE, total, look, value)

    def _down(self, block):
        axis = MODEL.axes[block.axis_down]
        lines = block.down
        top = layout().places[lines[0].name].row
        canonical = layout().axes[block.axis_down]
        look = self.formats(align="left", num_format=_axis_format(axis))
        short = all(len(self._title(line)) <= self.widths["unit"] for line in lines)
        self.sheet.set_row(block.down_head, ROW_HEIGHT * (1 if short else 2))
        self.sheet.write_string(block.down_head, LABEL, axis.label, self.formats.head())
        if has_start(axis.name):
            self.sheet.write_string(top - 1, LABEL, "Start", self.formats.note())
        for position, value in enumerate(axis.values):
            row = top + position
            if (canonical.sheet, canonical.row) == (block.sheet, top):
                self.sheet.write(row, LABEL, value, look)
            else:
                sheet = quote_sheetname(canonical.sheet)
                there = f"={sheet}!{canonical.cell(position)}"
                self.sheet.write_formula(row, LABEL, there, look, value)
        for line in lines:
            self._column(block, line)

    def _title(self, line):
        unit = self.book.shown(line.unit)
        return self.book.worded(line.label) + (f", {unit}" if unit else "")

    def _column(self, block, line):
        place = layout().places[line.name]
        # The head of a table with two axes extends over its columns.
        wide = {"text_wrap": False} if len(line.over) == 2 else {"align": "right"}
        look = self.formats.head(**wide)
        self.sheet.write_string(block.down_head, place.column, self._title(line), look)
        if len(line.over) == 1:
            self._start(line)
        self._cells(line)


def _axis_format(axis):
    if isinstance(axis.values[0], str):
        return "@"
    return {"1/year": "0.0000%", "share": "0%"}.get(axis.unit, "0")


@functools.cache
def _carried():
    """Lines whose previous element some line reads."""
    reads = {read for line in MODEL.lines.values() for read in line.parameters}
    return {closing(read) for read in reads if lagged(read)}


def last_column(name):
    """Last used column of a sheet of lines."""
    ends = [
        place.at(*(length - 1 for length in place.lengths))[1]
        for place in layout().places.values()
        if place.sheet == name
    ]
    return max([FIRST, *ends])
