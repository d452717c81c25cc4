"""Elementwise evaluation: functions of single numbers, for a block of cells."""

import numpy as np

from ..errors import BadValue
from .cell_arguments import read_cells
from .cell_values import CellError, Refused, plain, shown


def by_cell(entry, blocks, note):
    """Evaluate a function for each cell; a faulty cell affects no other."""
    single = _single_numbers(entry, blocks)
    if single is not None:
        return [[plain(part) for part in _parts(_one(entry, single, note))]]
    read, shape = read_cells(entry, blocks)
    faulty = _faults(read, shape, note)
    valid = np.flatnonzero([cell is None for cell in faulty])
    columns = {
        cells.argument.parameter: np.broadcast_to(cells.values, shape).ravel()[valid]
        for cells in read
    }
    parts = None
    for group, fixed in _groups(columns, valid.size):
        varied = {
            name: values[group].astype(float)
            for name, values in columns.items()
            if name not in fixed
        }
        found = _call(entry, fixed, varied, len(group), note)
        parts = parts or [faulty[:] for _ in found]
        for part, cells in zip(parts, found, strict=True):
            for place, cell in zip(valid[group].tolist(), cells, strict=True):
                part[place] = cell
    return _rows(parts or [faulty], shape)


def _single_numbers(entry, blocks):
    """The arguments if all are single numbers, the common and fast case; else None."""
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


def _one(entry, given, note):
    """Call the function once, and note the reason of an answer that is NaN."""
    found = entry.function(**given)
    if (reason := getattr(found, "reason", "")) and found != found:
        note("#N/A", reason)
    return found


def _faults(read, shape, note):
    """The error value of each faulty cell; that of the first argument counts."""
    faulty = [None] * (shape[0] * shape[1])
    for cells in read:
        if not cells.reasons:
            continue
        kept = list(cells.reasons.values())
        marks = np.broadcast_to(cells.marks, shape).ravel()
        for place in np.flatnonzero(marks).tolist():
            if faulty[place] is None:
                faulty[place] = CellError(kept[marks[place] - 1].marker)
        note(kept[0].marker, str(kept[0]))
    return faulty


def _groups(columns, count):
    """Groups of rows with the same choices, switches and omitted numbers.

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
        )  # numbers may differ within a group
        places.setdefault(key, []).append(place)
    for key, group in places.items():
        fixed = {
            name: part
            for name, part in zip(words, key, strict=True)
            if part is not float
        }
        yield np.array(group), fixed


def _call(entry, fixed, varied, count, note):
    """Call for many rows at once; bisect the rows if one of them is refused."""
    if count == 0:
        return []
    single = count == 1
    given = {name: v.item() if single else v for name, v in varied.items()}
    try:
        found = _one(entry, {**fixed, **given}, note)
    except BadValue as error:
        if single:
            note("#NUM!", str(error))
            return [[CellError("#NUM!")]]
        return _halved(entry, fixed, varied, count, note)
    return [_cells(part, count) for part in _parts(found)]


def _halved(entry, fixed, varied, count, note):
    middle = count // 2
    halves = [
        _call(entry, fixed, {n: v[part] for n, v in varied.items()}, size, note)
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
    """The parts of an answer as rows: side by side, or for a row below one another."""
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
