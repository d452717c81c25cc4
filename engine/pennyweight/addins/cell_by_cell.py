"""Functions of single numbers, worked out for a whole block at once."""

import numpy as np

from ..errors import BadValue
from .cell_arguments import read_cells
from .cell_values import CellError, Refused, plain, shown


def by_cell(entry, blocks, say):
    """Numbers go through cell by cell; one faulty cell spoils no other."""
    single = _single_numbers(entry, blocks)
    if single is not None:
        return [[plain(part) for part in _parts(_one(entry, single, say))]]
    read, shape = read_cells(entry, blocks)
    faulty = _faults(read, shape, say)
    sound = np.flatnonzero([cell is None for cell in faulty])
    columns = {
        cells.argument.parameter: np.broadcast_to(cells.values, shape).ravel()[sound]
        for cells in read
    }
    parts = None
    for group, fixed in _groups(columns, sound.size):
        varied = {
            name: values[group].astype(float)
            for name, values in columns.items()
            if name not in fixed
        }
        found = _call(entry, fixed, varied, len(group), say)
        parts = parts or [faulty[:] for _ in found]
        for part, cells in zip(parts, found, strict=True):
            for place, cell in zip(sound[group].tolist(), cells, strict=True):
                part[place] = cell
    return _rows(parts or [faulty], shape)


def _single_numbers(entry, blocks):
    """The arguments where all are single numbers, which is common and quick."""
    given = {}
    for argument, block in zip(entry.arguments, blocks, strict=True):
        if block is None:
            continue
        cell = block[0][0]
        single = len(block) == 1 and len(block[0]) == 1 and type(cell) is float
        if not single or argument.kind != "number":
            return None
        given[argument.parameter] = cell
    return given


def _one(entry, given, say):
    """One call; an answer that is not a number may carry the reason."""
    found = entry.function(**given)
    if (reason := getattr(found, "reason", "")) and found != found:
        say("#N/A", reason)
    return found


def _faults(read, shape, say):
    """The error value of each cell that cannot be worked out; the first one wins."""
    faulty = [None] * (shape[0] * shape[1])
    for cells in read:
        if not cells.reasons:
            continue
        kept = list(cells.reasons.values())
        marks = np.broadcast_to(cells.marks, shape).ravel()
        for place in np.flatnonzero(marks).tolist():
            if faulty[place] is None:
                faulty[place] = CellError(kept[marks[place] - 1].marker)
        say(kept[0].marker, str(kept[0]))
    return faulty


def _groups(columns, count):
    """Rows that share their words, switches and left-out numbers, with those.

    The functions take one choice at a time.
    """
    words = {name: c.tolist() for name, c in columns.items() if c.dtype == object}
    if not words:
        yield np.arange(count), {}
        return
    places = {}
    for place, key in enumerate(zip(*words.values(), strict=True)):
        key = tuple(
            part if not isinstance(part, float) else float for part in key
        )  # numbers beside blanks vary within a group
        places.setdefault(key, []).append(place)
    for key, group in places.items():
        fixed = {
            name: part
            for name, part in zip(words, key, strict=True)
            if part is not float
        }
        yield np.array(group), fixed


def _call(entry, fixed, varied, count, say):
    """Call for many rows at once; where one is refused, halve to find it."""
    if count == 0:
        return []
    single = count == 1
    given = {name: v.item() if single else v for name, v in varied.items()}
    try:
        found = _one(entry, {**fixed, **given}, say)
    except BadValue as error:
        if single:
            say("#NUM!", str(error))
            return [[CellError("#NUM!")]]
        return _halved(entry, fixed, varied, count, say)
    return [_cells(part, count) for part in _parts(found)]


def _halved(entry, fixed, varied, count, say):
    middle = count // 2
    halves = [
        _call(entry, fixed, {n: v[part] for n, v in varied.items()}, size, say)
        for part, size in (
            (slice(None, middle), middle),
            (slice(middle, None), count - middle),
        )
    ]
    width = max(map(len, halves))
    first, second = (
        half if len(half) == width else [half[0]] * width for half in halves
    )
    return [[*one, *other] for one, other in zip(first, second, strict=True)]


def _parts(found):
    """The parts of an answer; a tuple has several."""
    return list(found) if isinstance(found, tuple) else [found]


def _cells(part, count):
    return shown(np.broadcast_to(np.asarray(part), (count,)))


def _rows(parts, shape):
    """Lay the parts of an answer out: beside one another, or below for a row."""
    height, width = shape
    if len(parts) == 1:
        (cells,) = parts
        return [cells[row * width : (row + 1) * width] for row in range(height)]
    if width == 1:
        return [list(row) for row in zip(*parts, strict=True)]
    if height == 1:
        return [list(part) for part in parts]
    raise Refused(
        "#VALUE!", "a block of several answers each fits no sheet; use a row."
    )
