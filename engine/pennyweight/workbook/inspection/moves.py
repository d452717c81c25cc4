"""What moved on a sheet: rows and columns, blocks, or the order of the rows."""

import functools
import re
from collections import Counter, defaultdict
from dataclasses import dataclass, field

from xlsxwriter.utility import xl_range

from .shift import Shift, shift_of

LEAST = 4
"""Cells that must fall into place before a move is believed."""
FEW = 2
"""Blocks that people move one after the other; more is another order."""
_ADDRESS = re.compile(
    r"(?:'(?:[^']|'')+'!|[^\W\d][\w.]*!)?\$?[A-Z]{1,3}\$?[0-9]{1,7}(?![\w(])",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Block:
    """A block of cells that stands elsewhere: its corners, and how far it went."""

    top: int
    left: int
    bottom: int
    right: int
    step: tuple

    def holds(self, place):
        """Whether a place of ours belongs to it."""
        row, column = place
        return self.top <= row <= self.bottom and self.left <= column <= self.right

    def address(self, step=(0, 0)):
        """Its address, moved on by a step."""
        top, left = _plus((self.top, self.left), step)
        return xl_range(top, left, *_plus((self.bottom, self.right), step))

    def grown(self, top, left, bottom, right):
        """The block with its edges moved outwards."""
        edges = (self.top - top, self.left - left)
        return Block(*edges, self.bottom + bottom, self.right + right, self.step)


@dataclass
class Moves:
    """What moved on one sheet.

    Attributes
    ----------
    rows, columns : Shift
    blocks : list of Block
    unordered : tuple of int
        First and last row of those that stand in another order, if any.
    """

    rows: Shift = field(default_factory=Shift)
    columns: Shift = field(default_factory=Shift)
    blocks: list = field(default_factory=list)
    unordered: tuple = ()

    @property
    def any(self):
        """Whether anything moved."""
        shifted = self.rows.moved or self.columns.moved
        return bool(shifted or self.blocks or self.unordered)

    def forward(self, place):
        """Where a place of ours is now; None when it is gone."""
        for block in self.blocks:
            if block.holds(place):
                return _plus(place, block.step)
        found = self.rows.forward(place[0]), self.columns.forward(place[1])
        return None if None in found else found

    def back(self, place):
        """Which place of ours a place of theirs is; None when it is new."""
        for block in self.blocks:
            was = _minus(place, block.step)
            if block.holds(was):
                return was
        found = self.rows.back(place[0]), self.columns.back(place[1])
        left_open = any(block.holds(found) for block in self.blocks)
        return None if None in found or left_open else found


def moves_of(ours, theirs):
    """Find what moved on a sheet, by the cells that look like no other.

    Parameters
    ----------
    ours, theirs : dict of (int, int) to Cell
        Without the cells that are the user's to fill.

    Returns
    -------
    moves : Moves
    """
    anchors = _anchors(ours, theirs)
    rows, astray = _shift(0, anchors, ours, theirs)
    if len({anchors[at][0] - at[0] for at in anchors if at[0] in astray}) > FEW:
        return _in_another_order(anchors)
    moves = Moves(rows, _shift(1, anchors, ours, theirs)[0])
    strays = defaultdict(list)
    for was, now in anchors.items():
        if moves.forward(was) != now:
            strays[_minus(now, was)].append(was)
    blocks = [_block(step, at, ours, theirs) for step, at in strays.items()]
    moves.blocks = [block for block in blocks if _weight(block, ours) >= LEAST]
    if any(_lands_on(block, ours) for block in moves.blocks):
        return _in_another_order(anchors)
    return moves if _gain(moves, ours, theirs) >= LEAST else Moves()


def _plus(place, step):
    return place[0] + step[0], place[1] + step[1]


def _minus(place, step):
    return place[0] - step[0], place[1] - step[1]


@functools.lru_cache(maxsize=40_000)
def _skeleton(formula):
    """A formula without its addresses, which moving rewrites."""
    return _ADDRESS.sub("#", formula.replace(" ", "")).upper()


def _look(cell):
    """What is recognised of a cell wherever it stands; None for nothing."""
    if cell is None or cell.value == "":
        return None
    return _skeleton(cell.formula) if cell.formula else cell.value


def _anchors(ours, theirs):
    """Places, in ours and in theirs, of what stands once in both."""
    known, here = _single(ours), _single(theirs)
    return {known[look]: here[look] for look in known.keys() & here.keys()}


def _single(cells):
    counts = Counter(_look(cell) for cell in cells.values())
    return {
        look: place
        for place, cell in cells.items()
        for look in [_look(cell)]
        if look is not None and counts[look] == 1
    }


def _shift(way, anchors, ours, theirs):
    """The shift of the rows (way 0) or columns (1), and which do not follow it."""
    votes = defaultdict(Counter)
    for was, now in anchors.items():
        votes[was[way]][now[way] - was[way]] += 1
    offsets = {
        line: max(told, key=lambda offset, told=told: (told[offset], -abs(offset)))
        for line, told in votes.items()
    }
    mine, other = _lines(way, ours), _lines(way, theirs)

    def alike(line, now):
        return (mine[line] & other[now]).total()

    return shift_of(offsets, alike)


def _lines(way, cells):
    found = defaultdict(Counter)
    for place, cell in cells.items():
        look = _look(cell)
        if look is not None:
            found[place[way]][look] += 1
    return found


def _in_another_order(anchors):
    """Every row from the first to the last that is not where it was."""
    moved = [
        row
        for was, now in anchors.items()
        if was[0] != now[0]
        for row in (was[0], now[0])
    ]
    return Moves(unordered=(min(moved), max(moved)))


def _block(step, places, ours, theirs):
    """The block around cells that went the same way."""
    rows, columns = zip(*places, strict=True)
    block = Block(min(rows), min(columns), max(rows), max(columns), step)
    edges = ((0, 1, 0, 0), (0, 0, 0, 1), (1, 0, 0, 0), (0, 0, 1, 0))
    for edge in edges:
        while True:
            wider = block.grown(*edge)
            new = [at for at in ours if wider.holds(at) and not block.holds(at)]
            same = [_same_look(ours[at], theirs.get(_plus(at, step))) for at in new]
            if not new or not all(same):
                break
            block = wider
    return block


def _same_look(one, other):
    return _look(one) == _look(other)


def _weight(block, ours):
    return sum(block.holds(place) for place in ours)


def _lands_on(block, ours):
    """Whether a block lies where other cells of ours belong."""
    there = (_minus(place, block.step) for place in ours if not block.holds(place))
    return any(block.holds(place) for place in there)


def _gain(moves, ours, theirs):
    """How many more cells are as they should be when the moves are undone."""
    gain = 0
    for place, cell in ours.items():
        now = moves.forward(place)
        gain += now is not None and _same_look(cell, theirs.get(now))
        gain -= _same_look(cell, theirs.get(place))
    return gain
