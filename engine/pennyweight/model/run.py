"""Working out every line for one set of inputs, or for many at once.

Values carry their axes first and the scenarios last: a row over the months has the
shape (121,) for one set of inputs and (121, n) for n sets.
"""

import itertools

import numpy as np

from ..errors import ModelError
from . import lines as _lines  # noqa: F401  (reading the lines enters them)
from .axes import AXES
from .inputs import complete
from .line import LINES
from .order import closing, groups, lagged, needed, recurrent
from .rules import check_rules
from .units import constants


def run(inputs=None, units="us", wanted=None, monthly=None):
    """Work out the model.

    Parameters
    ----------
    inputs : mapping of str to float, str or array, optional
        In the units of ``units``; what is left out takes the example's value. Arrays
        of one common length are scenarios, worked out together.
    units : {"us", "metric"}
        Unit system of the inputs and of the answers.
    wanted : iterable of str, optional
        Lines asked for: what none of them rests on is left out. All when left out.
    monthly : mapping of str to array, optional
        Inputs that differ from month to month, of shape (121,) or (121, n). Rows over
        the months read them month by month, single lines take month 0.

    Returns
    -------
    values : dict of str to ndarray
        Every input and constant, and the lines, under their names.

    Raises
    ------
    CallError
        For an input that does not exist.
    BadValue
        For an input outside its bounds.

    Examples
    --------
    >>> values = run({"gold_price": [3000.0, 4000.0]})
    >>> bool(values["net_present_value"][0] < values["net_present_value"][1])
    True
    """
    rows = {name: np.asarray(row, float) for name, row in (monthly or {}).items()}
    today = {name: row[0] for name, row in rows.items()}
    given = complete({**(inputs or {}), **today}, units)
    check_rules(given, units=units)
    shape = np.broadcast_shapes(*(np.shape(value) for value in given.values()))
    state = _State({**constants(units), **given}, shape, rows)
    asked = set(LINES) if wanted is None else needed(wanted)
    with np.errstate(all="ignore"):
        for group in groups():
            if not asked.issuperset(group):
                continue
            if recurrent(group):
                _element_by_element(group, state)
            else:
                state.values[group[0]] = _whole(LINES[group[0]], state)
    return state.values


class _State:
    """Values found so far, and the shape of the scenarios."""

    def __init__(self, values, shape, monthly):
        self.values = {name: np.asarray(value) for name, value in values.items()}
        self.shape = shape
        self.monthly = monthly

    def axes_of(self, name, over):
        """Axes along which a line that runs over some axes reads a name."""
        if name in self.monthly and "month" in over:
            return ("month",)
        return axes_of(name)

    def read(self, name, over):
        """What such a line reads, with all its axes."""
        if name in AXES:
            return self.axis(name)
        if name in self.monthly and "month" in over:
            return self.monthly[name]
        return self.values[name]

    def axis(self, name):
        """Values of an axis, ready to meet the scenarios."""
        values = np.asarray(AXES[name].values)
        return values.reshape(-1, *(1,) * len(self.shape))

    def full(self, value, axes):
        """Give a value all of its axes and the scenarios."""
        lengths = tuple(len(AXES[name]) for name in axes)
        return np.broadcast_to(value, (*lengths, *self.shape))


def axes_of(name):
    """Axes along which a name runs; inputs and constants have none."""
    if name in AXES:
        return (name,)
    if lagged(name):
        return LINES[closing(name)].over
    return LINES[name].over if name in LINES else ()


def _whole(line, state):
    """Work out a line in one call where its reading allows it, else by element."""
    if line.gathers:
        parts = [state.full(state.values[name], ()) for name in line.parameters]
        return np.stack(parts)
    if line.over and not all(
        set(axes_of(name)) <= set(line.over) and not lagged(name)
        for name in line.parameters
    ):
        return _loop(line, state)
    arguments = [_aligned(name, line.over, state) for name in line.parameters]
    return state.full(line.function(*arguments), line.over)


def _aligned(name, over, state):
    """A value with length-one axes put where it lacks an axis of the line."""
    value, own = state.read(name, over), state.axes_of(name, over)
    if not over:
        return state.full(value, own) if own else value
    index = tuple(slice(None) if axis in own else None for axis in over)
    return value[(*index, ...)] if own else value


def _loop(line, state):
    lengths = [len(AXES[name]) for name in line.over]
    places = itertools.product(*(range(length) for length in lengths))
    results = [_element(line, place, state) for place in places]
    stacked = np.stack([np.broadcast_to(value, state.shape) for value in results])
    return stacked.reshape(*lengths, *state.shape)


def _element(line, place, state):
    """One element of a line: same-axis values at the place, other axes whole."""
    at = dict(zip(line.over, place, strict=True))
    return line.function(*(_at(line, name, at, state) for name in line.parameters))


def _at(line, name, at, state):
    if lagged(name):
        return _opening(name, at, state)
    value, own = state.read(name, line.over), state.axes_of(name, line.over)
    if not own:
        return value
    if not set(own) & set(at):
        return state.full(value, own)
    found = value[tuple(at.get(axis, slice(None)) for axis in own)]
    return found.reshape(()) if name in AXES else found


def _opening(name, at, state):
    (axis,) = at
    source = LINES[closing(name)]
    if at[axis] > 0:
        return state.values[source.name][at[axis] - 1]
    return state.values[source.start] if source.start else np.float64(0)


def _element_by_element(group, state):
    (over,) = {LINES[name].over for name in group}
    if len(over) != 1:
        raise ModelError(f"{group} read each other along more than one axis.")
    length = len(AXES[over[0]])
    for name in group:
        state.values[name] = np.empty((length, *state.shape))
    for place in range(length):
        for name in group:
            state.values[name][place] = _element(LINES[name], (place,), state)
