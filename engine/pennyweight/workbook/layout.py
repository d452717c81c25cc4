"""Layout of the workbook: sheet, row and column of every line, input and axis.

The columns are the same on every sheet: label, value, unit, note, then the periods. A
line along an axis has a first cell, and a step from element to element.
"""

import functools
import hashlib
import itertools
from dataclasses import dataclass, field

from xlsxwriter.utility import xl_range_abs, xl_rowcol_to_cell

from ..model.entries import conditions, needed
from ..model.inputs import INPUTS, families
from ..model.jobs import OWN_SHEETS
from ..model.line import closing, lagged
from ..model.mill_model import MODEL
from ..model.units import CONSTANTS
from .sheets import REGISTRY

LABEL, VALUE, UNIT, NOTE, FIRST = range(5)
ENTERED, USED = VALUE, NOTE
"""Columns of the sheet Inputs: the user's figure, and the figure used."""
START = "Start"
TABLES = "Tables on other sheets"
FIRST_ASKED = ("claim_name", "job")
"""Entered on the sheet Start, with the must-haves."""
ENTRIES = "Entries of the tables"
"""Section of the sheet Inputs: the inputs of other sheets, as issued."""
HEAD = 3
"""Row of the column heads; the sheet's own rows follow below."""
EDITION = 3
"""Raised when cells move that `layout` does not place, such as columns of Inputs."""

SHEETS = tuple(REGISTRY)
LINE_SHEETS = tuple(name for name, sheet in REGISTRY.items() if sheet.lines)


@dataclass(frozen=True)
class Place:
    """The cells of a line.

    Attributes
    ----------
    sheet : str
    row, column : int
        Of its first element, from 0.
    steps : tuple of (int, int)
        Rows and columns from element to element, one pair per axis.
    lengths : tuple of int
        Elements along each axis.
    """

    sheet: str
    row: int
    column: int
    steps: tuple = ()
    lengths: tuple = ()

    def at(self, *index):
        """Row and column of an element; -1 is the cell before the first."""
        row, column = self.row, self.column
        for place, (down, across) in zip(index, self.steps, strict=True):
            row, column = row + place * down, column + place * across
        return row, column

    @functools.cached_property
    def elements(self):
        """Index of each element, in order."""
        return list(itertools.product(*map(range, self.lengths)))

    def cell(self, *index):
        """Address of an element, without the sheet."""
        found = self._cells.get(index)
        if found is None:
            found = self._cells[index] = xl_rowcol_to_cell(*self.at(*index))
        return found

    @functools.cached_property
    def _cells(self):
        """Cache of addresses."""
        return {}

    @property
    def range(self):
        """Absolute address of all elements, without the sheet."""
        return self.range_at(*(None for _ in self.lengths))

    def range_at(self, *index):
        """Absolute address of all elements along the axes whose index is None."""
        ends = [
            (0, length - 1) if place is None else (place, place)
            for place, length in zip(index, self.lengths, strict=True)
        ]
        first, last = zip(*ends, strict=True)
        return xl_range_abs(*self.at(*first), *self.at(*last))

    @property
    def absolute(self):
        """Absolute address of the first element, without the sheet."""
        return xl_rowcol_to_cell(self.row, self.column, True, True)


@dataclass
class Block:
    """A section of a sheet: its heading and the rows of its tables."""

    sheet: str
    title: str
    heading: int
    singles: list = field(default_factory=list)
    across: list = field(default_factory=list)
    down: list = field(default_factory=list)
    across_head: int = 0
    down_head: int = 0
    axis_across: str = ""
    axis_down: str = ""


@dataclass
class Layout:
    """All places, the blocks of every sheet, and the last row of each sheet.

    ``entered`` has the yellow cell of each input, ``issued`` the row of the sheet
    Inputs with its value as issued, ``tables`` the row that checks a column of a table
    of inputs.
    """

    rows: dict
    places: dict = field(default_factory=dict)
    axes: dict = field(default_factory=dict)
    blocks: list = field(default_factory=list)
    issued: dict = field(default_factory=dict)
    entered: dict = field(default_factory=dict)
    tables: dict = field(default_factory=dict)


def defined_name(name):
    """The defined name of an input, a constant or a single line.

    Examples
    --------
    >>> defined_name("gold_price")
    'Gold_price'
    """
    return name[0].upper() + name[1:]


@functools.cache
def has_start(axis):
    """Whether some line along the axis reads a previous element."""
    return any(
        lagged(read) and axis in MODEL.lines[closing(read)].over
        for line in MODEL.lines.values()
        for read in line.parameters
    )


@functools.cache
def layout():
    """Assign a place to every line.

    Returns
    -------
    layout : Layout
    """
    found = Layout(dict.fromkeys(LINE_SHEETS, HEAD + 1))
    for section in MODEL.sections:
        _block(found, section.sheet, section.title)
    _inputs(found)
    return found


@functools.cache
def layout_mark():
    """Digest of the layout, its edition and the labels.

    It is stored in a workbook, so that a workbook with another layout is recognised.
    """
    found = layout()
    labels = [(n, e.label) for n, e in (*INPUTS.items(), *MODEL.lines.items())]
    content = (EDITION, SHEETS, found.places, found.axes, found.issued, labels)
    return hashlib.sha256(repr(content).encode()).hexdigest()[:8]


def _inputs(found):
    """Place the inputs by section, the constants, then the record of tables' entries.

    Must-haves are entered on the sheet Start; their rows here show the figures.
    """
    row, section = HEAD + 1, None
    start, asked_first = itertools.count(HEAD + 1), on_start()
    for name, entry in listed():
        if entry.section != section:
            section = entry.section
            found.blocks.append(Block("Inputs", section, row))
            row += 1
        found.places[name] = Place("Inputs", row, USED)
        found.entered[name] = (
            Place(START, next(start), ENTERED)
            if name in asked_first
            else Place("Inputs", row, ENTERED)
        )
        found.issued[name] = row
        row += 1
    found.blocks.append(Block("Inputs", TABLES, row))
    for name, members in families().items():
        if INPUTS[members[0]].numeric:
            row += 1
            found.tables[name] = row
    row += 2
    found.blocks.append(Block("Inputs", "Fixed numbers", row))
    for name in CONSTANTS:
        row += 1
        found.places[name] = Place("Inputs", row, USED)
    found.rows["Inputs"] = row = row + 1
    found.blocks.append(Block("Inputs", ENTRIES, row))
    entries = [name for name, entry in INPUTS.items() if entry.over]
    found.issued |= {name: at for at, name in enumerate(entries, row + 1)}
    found.entered |= {name: found.places[name] for name in entries}


@functools.cache
def on_start():
    """Inputs that are entered on the sheet Start: must-haves, and their choices."""
    jobs = (job for job in INPUTS["job"].choices if job not in OWN_SHEETS)
    wanted = set().union(*map(must_haves, jobs))
    choices = {c for name in wanted for c, _ in conditions(INPUTS[name])}
    return frozenset({*FIRST_ASKED, *wanted, *choices})


@functools.cache
def must_haves(job):
    """Inputs that a job needs with the estimated choices, or that only it has."""
    inputs = {name: entry.estimate for name, entry in INPUTS.items()} | {"job": job}
    mills = [inputs | {"ore_milled_by": by} for by in INPUTS["ore_milled_by"].choices]
    jobs = {
        name: [wanted for choice, wanted in conditions(entry) if choice == "job"]
        for name, entry in listed()
    }
    return frozenset(
        name
        for name in jobs
        if any(needed(name, given) for given in mills) or jobs[name] == [job]
    )


def entry_place(name):
    """Sheet and cell where an input is entered."""
    place = layout().entered[name]
    return f"{place.sheet}!{place.cell()}"


def listed():
    """Inputs with a row on the sheet Inputs; not the entries of tables."""
    return [(name, entry) for name, entry in INPUTS.items() if not entry.over]


def _block(found, sheet, title):
    lines = [
        line
        for line in MODEL.lines.values()
        if (line.sheet, line.section) == (sheet, title)
    ]
    block = Block(sheet, title, found.rows[sheet])
    row = block.heading + 1
    for line in lines:
        if not line.over:
            found.places[line.name] = Place(sheet, row, VALUE)
            block.singles.append(line)
            row += 1
    row = _across(found, block, [line for line in lines if len(line.over) == 1], row)
    row = _down(found, block, [line for line in lines if line.over], row)
    found.blocks.append(block)
    found.rows[sheet] = row + 1


def _across(found, block, lines, row):
    """Place lines along a horizontal axis: one row each."""
    block.across = [line for line in lines if not MODEL.axes[line.over[0]].down]
    if not block.across:
        return row
    (name,) = {line.over[0] for line in block.across}
    block.axis_across = name
    first = FIRST + has_start(name)
    steps, lengths = ((0, 1),), (len(MODEL.axes[name]),)
    timeline = name in ("month", "year")
    block.across_head = HEAD if timeline else row
    here = Place(block.sheet, block.across_head, first, steps, lengths)
    found.axes.setdefault(name, here)
    row += not timeline
    for line in block.across:
        place = Place(block.sheet, row, first, steps, lengths)
        found.places[line.name] = place
        _entries(found, line, place)
        row += 1
    return row


def _entries(found, line, place):
    """Place the inputs in the cells of a column to fill."""
    for position, name in enumerate(line.parameters if line.entry else ()):
        found.places[name] = Place(place.sheet, *place.at(position))


def _down(found, block, lines, row):
    """Place lines along a vertical axis: one column each; tables to their right."""
    block.down = [line for line in lines if MODEL.axes[line.over[0]].down]
    if not block.down:
        return row
    (name,) = {line.over[0] for line in block.down}
    block.axis_down, block.down_head = name, row
    length = len(MODEL.axes[name])
    top = row + 1 + has_start(name)
    column_place = Place(block.sheet, top, LABEL, ((1, 0),), (length,))
    found.axes.setdefault(name, column_place)
    columns = iter((VALUE, *range(FIRST, FIRST + len(block.down))))
    for line in block.down:
        if len(line.over) == 2:
            lengths = (length, len(MODEL.axes[line.over[1]]))
            place = Place(block.sheet, top, FIRST, ((1, 0), (0, 1)), lengths)
        else:
            place = Place(block.sheet, top, next(columns), ((1, 0),), (length,))
        found.places[line.name] = place
        _entries(found, line, place)
    return top + length
