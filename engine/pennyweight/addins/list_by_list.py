"""Evaluation of functions of lists: a row or column is one list, a block many."""

import itertools

import numpy as np

from ..errors import BadValue
from .cell_arguments import read_cells
from .cell_values import CellError, Refused, named_rows, number, shown, shown_cell


def by_list(entry, blocks, note):
    """Evaluate a function for each list of the blocks."""
    pairs = list(zip(entry.arguments, blocks, strict=True))
    lists = {
        argument: _lists(block)
        for argument, block in pairs
        if block is not None and argument.kind == "list"
    }
    lists = _without_empty_end(lists)
    others = [block if a.kind != "list" else None for a, block in pairs]
    read, shape = read_cells(entry, others)
    count = max((len(rows) for rows in lists.values()), default=1)
    if any(len(rows) not in (1, count) for rows in lists.values()):
        raise Refused("#VALUE!", "the blocks have different numbers of lists.")
    try:
        shape = np.broadcast_shapes(shape, (count, 1))
    except ValueError:
        raise Refused("#VALUE!", "the lists and numbers do not fit together.") from None
    found = {
        (row, column): _one_list(entry, lists, read, shape, row, column, note)
        for row, column in itertools.product(*map(range, shape))
    }
    upright = bool(lists) and len(next(b for a, b in pairs if a in lists)[0]) == 1
    return _laid_out(found, shape, upright)


def _lists(block):
    """The lists of a block: a row or a column is one, else every row."""
    if len(block) == 1 or len(block[0]) == 1:
        return [[cell for row in block for cell in row]]
    return [list(row) for row in block]


def _without_empty_end(lists):
    """The lists without their common blank end: ranges are often selected too long."""
    rows = [row for block in lists.values() for row in block]
    longest = max(map(len, rows), default=0)
    if any(len(row) != longest for row in rows):
        return lists
    while longest and all(row[longest - 1] is None for row in rows):
        longest -= 1
    return {a: [row[:longest] for row in block] for a, block in lists.items()}


def _one_list(entry, lists, read, shape, row, column, note):
    """The answer for one list and the single arguments of its row."""
    given = {}
    try:
        for argument, block in lists.items():
            cells = block[row if len(block) > 1 else 0]
            if not cells:
                raise Refused("#N/A", f"{argument.name} is blank; enter numbers.")
            values = [number(cell, argument.name) for cell in cells]
            given[argument.parameter] = np.array(values)
        for cells in read:
            values = np.broadcast_to(cells.values, shape)
            mark = np.broadcast_to(cells.marks, shape)[row, column]
            if mark:
                raise list(cells.reasons.values())[mark - 1]
            given[cells.argument.parameter] = values[row, column]
        found = entry.function(**given)
    except Refused as refusal:
        note(refusal.marker, str(refusal))
        return CellError(refusal.marker)
    except BadValue as error:
        note("#NUM!", str(error))
        return CellError("#NUM!")
    except ValueError:
        note("#VALUE!", "the lists have different lengths.")
        return CellError("#VALUE!")
    if (reason := getattr(found, "reason", "")) and found != found:
        note("#N/A", reason)
    return found


def _laid_out(found, shape, upright):
    """The answers as rows: single ones keep the shape; a list takes a row each."""
    if len(found) == 1:
        return _single(found[0, 0], upright)
    if all(np.ndim(value) == 0 for value in found.values()):
        return [
            [shown_cell(found[r, c]) for c in range(shape[1])] for r in range(shape[0])
        ]
    if shape[1] > 1:
        raise Refused("#VALUE!", "a list for each cell of a row fits no sheet.")
    rows = [_single(found[row, 0], False)[0] for row in range(shape[0])]
    width = max(map(len, rows))
    return [[*row, *row[:1] * (width - len(row))] for row in rows]


def _single(value, upright):
    if isinstance(value, dict):
        return named_rows(value)
    if isinstance(value, tuple):
        return [[shown_cell(part) for part in value]]
    if np.ndim(value) == 0:
        return [[shown_cell(value)]]
    cells = shown(np.asarray(value))
    return [[cell] for cell in cells] if upright else [cells]
