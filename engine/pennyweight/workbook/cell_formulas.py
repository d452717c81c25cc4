"""Formulas of the calculated cells, traced from the functions of the lines."""

import functools
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
def formula_at(name, index=()):
    """Formula of one cell of a line.

    Parameters
    ----------
    name : str
        Of the line.
    index : tuple of int
        Place along its axes; empty for a single line.

    Returns
    -------
    formula : str
    """
    line = MODEL.lines[name]
    if line.gathers:
        return "=" + defined_name(line.parameters[index[0]])
    parts = _parts(name)
    return "".join(part if isinstance(part, str) else part(index) for part in parts)


def name_free(line):
    """Whether a formula sums a column of cells, so that it uses addresses only."""
    return ":{" in traced()[line.name][1]


@functools.cache
def _parts(name):
    """Parts of a line's formula: texts, and functions that give addresses."""
    found, line = [], MODEL.lines[name]
    for text, read, *_ in string.Formatter().parse(traced()[name][1]):
        found.append(text)
        if read is not None:
            found.append(_address(line, read))
    return tuple(found)


def _address(line, read):
    """How a formula refers to what it reads: a name, or an address for each cell."""
    if read in INPUTS or read in CONSTANTS:
        return defined_name(read)
    own = MODEL.axes_of(read)
    if not own and not name_free(line):
        return defined_name(read)
    places, axes = layout().places, layout().axes
    if lagged(read):
        place, back = places[closing(read)], 1
    else:
        place, back = axes[read] if read in MODEL.axes else places[read], 0
    here = place.sheet == places[line.name].sheet
    sheet = "" if here else quote_sheetname(place.sheet) + "!"
    along = [line.over.index(axis) if axis in line.over else None for axis in own]

    def address(index):
        at = [None if axis is None else index[axis] - back for axis in along]
        return sheet + (place.range_at(*at) if None in at else place.cell(*at))

    return address


def start_formula(name):
    """Formula of the cell before the first element, for a ``closing_`` line."""
    start = MODEL.lines[name].start
    return f"={defined_name(start)}" if start else "=0"
