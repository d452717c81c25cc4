"""Calculate the lines of the model, for one set of inputs or for many scenarios.

Values have their own axes first and the scenarios last: a row over the months has the
shape (120,) for one set of inputs and (120, n) for n scenarios.
"""

import functools
import warnings
from itertools import islice, repeat

import numpy as np

from ..errors import BadValue, CallError, ModelError
from .allowed import complete
from .line import closing, lagged
from .lookup import unknown
from .mill_model import MODEL
from .rules import check_rules
from .units import constants


def run(inputs=None, units="us", wanted=None, monthly=None, model=MODEL, base=None):
    """Calculate the model.

    Parameters
    ----------
    inputs : mapping of str to float, str or array, optional
        In the units of ``units``. Default: the example's values. Arrays of one common
        length are scenarios, calculated together.
    units : {"us", "metric"}
        Unit system of the inputs and results.
    wanted : iterable of str, optional
        Lines to calculate, with those that they depend on. Default: all.
    monthly : mapping of str to array, optional
        Inputs that vary by month, of shape (120,) or (120, n). Rows over the months
        read them month by month; single lines read month 1.
    model : Model, optional
    base : dict of str to ndarray, optional
        Values of an earlier run with single values, in the same units. Lines in it that
        depend on no input with another value are taken over.

    Returns
    -------
    values : dict of str to ndarray
        Every input and constant, and the lines, under their names; read-only without
        scenarios.

    Raises
    ------
    CallError
        For an input or a line that does not exist, and a monthly input that no row
        over the months reads.
    BadValue
        For an input outside its bounds, and for arrays whose lengths differ.

    Examples
    --------
    >>> values = run({"gold_price": [3000.0, 4000.0]})
    >>> bool(values["net_present_value"][0] < values["net_present_value"][1])
    True
    """
    rows = _monthly_rows(monthly or {}, units, model)
    first_month = {name: row[0] for name, row in rows.items()}
    given = complete({**(inputs or {}), **first_month}, units)
    shape = _scenarios(given, rows)
    check_rules(given, units=units)
    asked = frozenset(model.lines) if wanted is None else _lines_for(wanted, model)
    if not (shape or rows or base):
        values, told = _single_run(tuple(given.items()), units, asked, model)
        for one in told:
            warnings.warn_explicit(one.message, one.category, one.filename, one.lineno)
        return dict(values)
    return _calculated(given, units, asked, model, shape, rows, base)


@functools.lru_cache(maxsize=16)
def _single_run(given, units, asked, model):
    """Values for one set of inputs, read-only, and the warnings on them.

    They are kept: a job needs the same ones more than once. The next set of inputs
    often differs in a few, and only what depends on these is calculated again.
    """
    with warnings.catch_warnings(record=True) as told:
        warnings.simplefilter("always")
        base = _last.get((units, model))
        values = _calculated(dict(given), units, asked, model, base=base)
    for value in values.values():
        value.flags.writeable = False
    if not told:
        _last[units, model] = values
    return values, told


_last: dict = {}
"""Values of the last run without a warning, by units and model."""


def _calculated(given, units, asked, model, shape=(), rows=None, base=None):
    """Values of the lines asked for, and of all inputs and constants."""
    state = _State({**constants(units), **given}, shape, rows or {}, model)
    kept = _unchanged(base, given, rows or {}, model) if base else ()
    with np.errstate(all="ignore"):
        for group in model.groups:
            if not asked.issuperset(group):
                continue
            if group[0] in kept:
                state.take_over(group, base)
            elif model.recurrent(group):
                _element_by_element(group, state)
            else:
                state.values[group[0]] = _all_at_once(model.lines[group[0]], state)
    return {
        name: state.full(value, model.axes_of(name))
        if name in model.lines
        else np.asarray(value)
        for name, value in state.values.items()
    }


def _unchanged(base, given, rows, model):
    """Lines of an earlier run that depend on no input with another value."""
    changed = {
        name
        for name, value in given.items()
        if name in rows or isinstance(value, np.ndarray) or value != base[name].item()
    }
    return base.keys() & model.lines.keys() - model.dependents(frozenset(changed))


def _lines_for(wanted, model):
    """Lines to calculate for those wanted."""
    wanted = [wanted] if isinstance(wanted, str) else list(wanted)
    for name in wanted:
        if name not in model.known:
            raise unknown(name, model.lines, "result")
    return model.needed_together(frozenset(wanted))


def _monthly_rows(monthly, units, model):
    """Rows of inputs over the months, checked against the bounds of the input."""
    months = len(model.axes["month"])
    rows = {}
    for name, given in monthly.items():
        if name not in model.inputs:
            raise unknown(name, model.inputs, "input")
        label = model.inputs[name].label
        if not any(
            name in line.parameters and line.over == ("month",)
            for line in model.lines.values()
        ):
            raise CallError(
                f"{label} cannot differ from month to month: no row of the cash flow "
                "reads it. Give it as a single value."
            )
        complete({name: given}, units)
        row = np.asarray(given, float)
        if row.ndim not in (1, 2) or len(row) != months:
            raise BadValue(
                f"{label}: the monthly values have the shape {row.shape}. Give "
                f"{months} values, one for each month from 1 to {months}."
            )
        rows[name] = row
    return rows


def _scenarios(given, rows):
    """Common shape of the scenarios."""
    lengths = {name: getattr(value, "shape", ()) for name, value in given.items()}
    lengths |= {name: row.shape[1:] for name, row in rows.items()}
    lengths = {name: shape for name, shape in lengths.items() if shape}
    wrong = [name for name, shape in lengths.items() if len(shape) > 1]
    if wrong:
        raise BadValue(
            f"{MODEL.inputs[wrong[0]].label}: the values have the shape "
            f"{lengths[wrong[0]]}. Give one number, or one list of scenarios."
        )
    if len(set(lengths.values()) - {(1,)}) > 1:
        told = ", ".join(
            f"{MODEL.inputs[name].label} has {shape[0]}"
            for name, shape in lengths.items()
        )
        raise BadValue(
            f"The scenarios differ in number: {told}. Give lists of one length."
        )
    return np.broadcast_shapes(*lengths.values())


class _State:
    """Values calculated so far, and the shape of the scenarios.

    A value that is the same in all scenarios is calculated once: it is a scalar, or has
    a last axis of length one.
    """

    def __init__(self, values, shape, monthly, model):
        # Single values are scalars, since NumPy is faster with them.
        self.values = {
            name: value if isinstance(value, str) else np.asarray(value)[()]
            for name, value in values.items()
        }
        self.shape, self.shapes = shape, {}
        self.uniform = (1,) * len(shape)
        self.monthly = {
            name: row.reshape(len(row), *(row.shape[1:] or self.uniform))
            for name, row in monthly.items()
        }
        self.model = model

    def take_over(self, group, base):
        """Enter lines of an earlier run with single values."""
        for name in group:
            value = base[name]
            self.values[name] = value.reshape(value.shape + self.uniform)[()]

    def read(self, name, over):
        """Value and axes of a name, as read by a line with given axes."""
        if name in self.monthly and "month" in over:
            return self.monthly[name], ("month",)
        value = self.values.get(name)
        if value is None:
            value = self.openings(name) if lagged(name) else self.axis(name)
        return value, self.model.axes_of(name)

    def axis(self, name):
        """Values of an axis, shaped to broadcast with the scenarios."""
        return np.asarray(self.model.axes[name].values).reshape(-1, *self.uniform)

    def openings(self, name):
        """Previous element of a line, for each of its elements."""
        source = self.model.lines[closing(name)]
        start, values = self.start(source), self.values[source.name][:-1]
        shape = np.broadcast_shapes(np.shape(start), values.shape[1:])
        first = np.broadcast_to(start, (1, *shape))
        others = np.broadcast_to(values, (len(values), *shape))
        return np.concatenate([first, others])

    def start(self, line):
        """Opening value of a line."""
        return self.values[line.start] if line.start else np.float64(0)

    def length(self, axis):
        return len(self.model.axes[axis])

    def full(self, value, axes):
        """Broadcast a value to its axes and the scenarios."""
        value, shape = np.asarray(value), self._shapes(axes)[0]
        return value if value.shape == shape else np.broadcast_to(value, shape)

    def compact(self, value, axes):
        """Broadcast a value to its axes, and to the scenarios if they differ."""
        full, uniform = self._shapes(axes)
        value = np.asarray(value)
        # Broadcasting costs more than most lines: avoid it if possible.
        if value.shape in (full, uniform):
            return value[()]
        if not axes and value.size == 1:
            return value.reshape(())[()]
        same = value.shape[-1:] in ((), self.uniform)
        return np.broadcast_to(value, uniform if same else full)

    def rows(self, values):
        """Combine the elements of a line into an array."""
        if len({getattr(value, "shape", ()) for value in values}) > 1:
            values = np.broadcast_arrays(*values)
        rows = np.array(values)
        return rows.reshape(len(rows), *(rows.shape[1:] or self.uniform))

    def _shapes(self, axes):
        """Shape of a value with given axes; its shape if all scenarios are equal."""
        if axes not in self.shapes:
            own = tuple(self.length(axis) for axis in axes)
            uniform = own + self.uniform if axes else ()
            self.shapes[axes] = own + self.shape, uniform
        return self.shapes[axes]


def _all_at_once(line, state):
    """Calculate all elements of a line together."""
    if line.gathers:
        return state.rows([state.values[name] for name in line.parameters])
    if state.model.is_single(line):
        arguments = [state.values[name] for name in line.parameters]
    else:
        readings = state.model.readings(line)
        arguments = [_aligned(*reading, line.over, state) for reading in readings]
    return state.compact(line.function(*arguments), line.over)


def _aligned(name, own, index, over, state):
    """A value with a length-one axis for each axis of the line that it lacks."""
    if not own and not state.monthly:
        return state.values[name]
    value, own = state.read(name, over)
    if name in state.monthly and own:
        index = (*(slice(None) if axis == "month" else None for axis in over), ...)
    return value if index is None else value[index]


def _element_by_element(group, state):
    """Calculate lines whose elements depend on the previous ones."""
    lines = [state.model.lines[name] for name in group]
    (over,) = {line.over for line in lines}
    if len(over) != 1:
        raise ModelError(f"{group} read each other along more than one axis.")
    found = {line.name: [state.start(line)] for line in lines}
    steps = []
    for line in lines:
        arguments = zip(*_readings(line, found, state), strict=False)  # some go on
        steps.append((line.function, arguments, found[line.name]))
    for _ in range(state.length(over[0])):
        for function, arguments, values in steps:
            values.append(function(*next(arguments)))
    for name, (_, *values) in found.items():
        state.values[name] = state.rows(values).astype(float)


def _readings(line, found, state):
    """For each name that a line reads, an iterable of the value for each element.

    ``found`` has the lines of the group itself, each after its opening value; they are
    read while they grow.
    """
    for name in line.parameters:
        if name in found:
            yield islice(found[name], 1, None)
        elif lagged(name) and closing(name) in found:
            yield found[closing(name)]
        else:
            value, own = state.read(name, line.over)
            shared = set(own) & set(line.over)
            if shared:
                rows = np.moveaxis(value, own.index(*shared), 0)
                alone = len(own) == 1 and rows.shape[1:] == (1,)
                yield list(rows[:, 0] if alone else rows)
            else:
                yield repeat(value)
