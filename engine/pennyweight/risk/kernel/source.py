"""Source code of the kernel: the model's lines in one loop over the trials.

Each line's own function is called with references, as for a spreadsheet. The expression
that it returns is written as statements, each operation once.
"""

import contextlib
from collections import ChainMap

from ...formulas import Reference
from ...formulas.expression import Constant, Operation, express
from ...model.line import closing, lagged
from ...model.mill_model import MODEL
from .order import NoKernel, elementwise_order, groups_needed, varying_groups
from .writing import REDUCTIONS, literal, operation

HEAD = '''"""The lines of the model; written by the program, not by hand."""

import math

import numpy as np
from numba.extending import register_jitable


@register_jitable
def choose(condition, first, second):
    return first if condition else second


def kernel(values, prices, scalars, rows, out):
'''


class Source:
    """Source code of a kernel.

    Parameters
    ----------
    lines : mapping of str to Line
    inputs : tuple of str
        Inputs that differ from trial to trial, in the order of the kernel's ``values``.
    results : tuple of str
        In the order of the kernel's ``out``.

    Attributes
    ----------
    text : str
    kinds : dict of str to str
        Kind of each line that differs between trials: ``number``, ``truth``, ``text``.
    texts : dict of str to int
        Codes of texts.
    scalars, rows : list of str
        Names of what is the same in all trials, in the order of the arguments.
    """

    def __init__(self, lines, inputs, results):
        self.lines, self.inputs = lines, inputs
        self.kinds, self.texts, self.scalars, self.rows = {}, {}, [], []
        self.axes, self.count, self.traced = {}, 0, []
        self.statements, self.names = [], ChainMap()
        groups = groups_needed(lines, results)
        for group in varying_groups(groups, inputs):
            self._write(group)
        self.text = HEAD + "\n".join(_indented(self._all_statements(results))) + "\n"

    def _all_statements(self, results):
        """All statements of the kernel."""
        lengths = {name: len(MODEL.axes[axis]) for name, axis in self._stored()}
        return [
            *(f"{name} = scalars[{at}]" for at, name in enumerate(self.scalars)),
            *(f"{name} = rows[{at}]" for at, name in enumerate(self.rows)),
            *(f"{name} = np.empty({length})" for name, length in lengths.items()),
            "for t in range(out.shape[1]):",
            *(f"    {name} = values[{at}, t]" for at, name in enumerate(self.inputs)),
            *_indented(self.statements),
            *(
                f"    out[{at}, t] = {name}"
                for at, name in enumerate(results)
                if name in self.kinds
            ),
        ]

    def _stored(self):
        """Lines along an axis, which are stored in arrays for other lines to read."""
        return [(n, self._axis(n)) for n in self.kinds if self.lines[n].over]

    # Lines

    def _write(self, group):
        """Write a single line, or the loop of lines along an axis."""
        line = self.lines[group[0]]
        axis = self._axis(line.name)
        self.kinds.update(dict.fromkeys(group, "number"))
        if line.gathers:
            for at, part in enumerate(line.parameters):
                address = self._argument(line, part).address
                self.statements.append(f"{line.name}[{at}] = {address}")
        elif axis:
            with self._loop(axis):
                for name in elementwise_order(self.lines, group):
                    self._element(name, f"{name}[i_{axis}]")
        else:
            self.statements.append(f"{line.name} = {self._trace(line)}")

    def _element(self, name, place):
        value = self._trace(self.lines[name])
        self.statements.append(f"{place} = {value}")
        self.names[place] = value

    def _trace(self, line):
        """Write the statements of a line; return the name of its value."""
        arguments = [self._argument(line, read) for read in line.parameters]
        expression = express(line.function(*arguments))
        self.kinds[line.name] = expression.kind
        return self._value(expression)

    def _argument(self, line, read):
        """Reference to a name that a line reads, in terms of the source."""
        if read == "gold_price" and line.over == ("month",):
            return Reference("prices[i_month, t]")
        name = closing(read) if lagged(read) else read
        axis, address = self._axis(name), self._read(name)
        if lagged(read):
            start = self.lines[name].start
            first = self._read(start) if start else "0.0"
            address = f"{name}[i_{axis} - 1] if i_{axis} > 0 else {first}"
        self.axes[address] = axis
        kind = MODEL.kind_of(read) or self.kinds.get(read, "number")
        return Reference(address, kind, bool(axis) and line.over != (axis,))

    def _axis(self, name):
        """Axis along which a name runs; empty for a single value."""
        if name in MODEL.axes:
            return name
        over = self.lines[name].over if name in self.lines else ()
        if len(over) > 1:
            raise NoKernel(f"{name} runs over {len(over)} axes")
        return "".join(over)

    def _read(self, name):
        """Expression that reads a name; records names with one value for all trials."""
        axis = self._axis(name)
        fixed = self.rows if axis else self.scalars
        if name not in self.kinds and name not in self.inputs and name not in fixed:
            fixed.append(name)
        return f"{name}[i_{axis}]" if axis else name

    # Values

    def _value(self, expression):
        """Name or literal of a value; its statements are written if it is new."""
        if isinstance(expression, Constant):
            return self._constant(expression.value)
        known = self.names.get(id(expression))
        if known is None:
            known = self.names[id(expression)] = self._named(self._text(expression))
            self.traced.append(expression)  # kept alive, so that its id stays unique
        return known

    def _constant(self, value):
        """A constant as source text; texts by their code."""
        if isinstance(value, str):
            value = float(self.texts.setdefault(value, len(self.texts)))
        return literal(value)

    def _named(self, text):
        if text.isidentifier():
            return text
        if text not in self.names:
            self.names[text] = self._new("v")
            self.statements.append(f"{self.names[text]} = {text}")
        return self.names[text]

    def _new(self, letter):
        self.count += 1
        return f"{letter}{self.count}"

    def _text(self, expression):
        if isinstance(expression, Reference):
            return expression.address
        symbol, operands = expression.symbol, expression.operands
        if symbol == "INDEX":
            return self._lookup(*operands)
        if symbol in REDUCTIONS and any(part.spread for part in operands):
            return self._reduction(symbol, operands)
        return operation(symbol, [self._value(part) for part in operands])

    def _reduction(self, symbol, operands):
        """The sum, largest or smallest along an axis."""
        total, (joining, none) = self._new("s"), REDUCTIONS[symbol]
        self.statements.append(f"{total} = {none}")
        with self._loop(self._axis_of(operands)):
            found = " * ".join([self._value(part) for part in operands])
            self.statements.append(f"{total} = {operation(joining, [total, found])}")
        return total

    def _lookup(self, results, *places):
        """The result at the first key that equals a value; else the first result."""
        match = next(part for part in places if isinstance(part, Operation))
        if match.symbol != "MATCH":
            raise NoKernel(f"a place is given by {match.symbol}")
        value, keys, _ = match.operands
        wanted, axis = self._value(value), self._axis_of([keys])
        with self._loop(axis):
            self.statements += [f"if {self._value(keys)} == {wanted}:", "    break"]
        self.statements += ["else:", f"    i_{axis} = 0"]
        with self._scope():
            return self._value(results)

    def _axis_of(self, operands):
        """Axis of the first range among the operands."""
        (part, *_) = [part for part in operands if part.spread]
        if isinstance(part, Operation):
            return self._axis_of(part.operands)
        return self.axes[part.address]

    @contextlib.contextmanager
    def _loop(self, axis):
        """Statements written in this context are the body of a loop over an axis."""
        outer, self.statements = self.statements, []
        with self._scope():
            yield
        outer.append(f"for i_{axis} in range({len(MODEL.axes[axis])}):")
        outer += _indented(self.statements)
        self.statements = outer

    @contextlib.contextmanager
    def _scope(self):
        """Values named in this context are unknown after it."""
        self.names = self.names.new_child()
        yield
        self.names = self.names.parents


def _indented(lines):
    return ["    " + line for line in lines]
