"""Formulas of the calculated cells, traced from the functions of the lines."""

import functools
import itertools
import string

from xlsxwriter.utility import quote_sheetname

from ..errors import CannotTrace
from ..formulas import Reference, formula
from ..formulas.expression import Operation, express
from ..model.inputs import INPUTS
from ..model.line import add_up, closing, lagged
from ..model.mill_model import MODEL
from ..model.units import CONSTANTS
from .layout import defined_name, layout


@functools.cache
def traced():
    """Trace every line once.

    Returns
    -------
    expressions : dict of str to (Expression, str)
        The expression with ``{name}`` in place of addresses, and its text.

    Raises
    ------
    CannotTrace
        Naming the line whose function has no formula.
    """
    found = {}
    for name in (name for group in MODEL.groups for name in group):
        line = MODEL.lines[name]
        if line.gathers:
            continue
        arguments = [_placeholder(line, read, found) for read in line.parameters]
        try:
            expression = express(line.function(*arguments))
            found[name] = (_summed(line, expression), "")
            found[name] = (found[name][0], formula(found[name][0]))
        except CannotTrace as error:
            raise CannotTrace(f"Line {name}: {error}") from None
    return found


def _placeholder(line, read, found):
    """A reference whose address is filled in for each cell later."""
    whole = not lagged(read) and not set(MODEL.axes_of(read)) <= set(line.over)
    across = whole and not MODEL.axes[MODEL.axes_of(read)[-1]].down
    return Reference("{" + read + "}", _kind(read, found), whole, across)


def _kind(name, found):
    of_line = found[name][0].kind if name in found else "number"
    return MODEL.kind_of(name) or of_line


def _summed(line, expression):
    """The expression; SUM if it adds lines in adjacent rows."""
    if line.function is not add_up or len(line.parameters) < 3:
        return expression
    places = [layout().places.get(name) for name in line.parameters]
    if None in places or {(p.sheet, p.column) for p in places} != {
        (line.sheet, places[0].column)
    }:
        return expression
    rows = [place.row for place in places]
    if rows != list(range(rows[0], rows[0] + len(rows))):
        return expression
    first, last = line.parameters[0], line.parameters[-1]
    column = Reference("{" + first + "}:{" + last + "}", spread=True)
    return Operation("SUM", (column,))


@functools.cache
def formulas_of(name):
    """Formulas of the cells of a line, in the order of its elements.

    Parameters
    ----------
    name : str
        Of the line.

    Returns
    -------
    formulas : tuple of str
    """
    line = MODEL.lines[name]
    if line.gathers:
        return tuple("=" + defined_name(read) for read in line.parameters)
    parts, count = [], len(layout().places[name].elements)
    for text, read, *_ in string.Formatter().parse(traced()[name][1]):
        parts.append(itertools.repeat(text, count))
        if read is not None:
            parts.append(_addresses(line, read))
    return tuple(map("".join, zip(*parts, strict=False)))


def name_free(line):
    """Whether a formula sums a column of cells, so that it uses addresses only."""
    return ":{" in traced()[line.name][1]


def _addresses(line, read):
    """How the cells of a line refer to what they read: by name, or each by address."""
    named = not MODEL.axes_of(read) and not name_free(line)
    if read in INPUTS or read in CONSTANTS or named:
        return itertools.repeat(defined_name(read))
    return _cells(read, line.over, layout().places[line.name].sheet)


@functools.cache
def _cells(read, over, sheet):
    """Address of what is read, for each element along the axes of the reader."""
    places, axes = layout().places, layout().axes
    if lagged(read):
        place, back = places[closing(read)], 1
    else:
        place, back = axes[read] if read in MODEL.axes else places[read], 0
    there = "" if place.sheet == sheet else quote_sheetname(place.sheet) + "!"
    own = MODEL.axes_of(read)
    along = [over.index(axis) if axis in over else None for axis in own]
    if along.count(None) == len(along):
        return itertools.repeat(there + (place.range if own else place.cell()))
    found = []
    for index in itertools.product(*(range(len(MODEL.axes[axis])) for axis in over)):
        at = [None if axis is None else index[axis] - back for axis in along]
        found.append(there + (place.range_at(*at) if None in at else place.cell(*at)))
    return found


def start_formula(name):
    """Formula of the cell before the first element, for a ``closing_`` line."""
    start = MODEL.lines[name].start
    return f"={defined_name(start)}" if start else "=0"
