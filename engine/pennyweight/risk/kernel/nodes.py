"""The lines needed for some results, traced into one graph of operations.

Every line's own function is called with references, as it is for a spreadsheet, and
the expression that comes back is put into a graph in which equal parts are one node.
"""

from dataclasses import dataclass

import numpy as np

from ...formulas import Reference
from ...formulas.expression import Constant, Operation, express
from ...model.line import closing, lagged
from ...model.mill import MODEL

REDUCTIONS = {"SUM": "+", "SUMPRODUCT": "+", "MAX": "max", "MIN": "min"}
CALLS = ("^", "EXP", "LN", "LOG10", "MOD", "SIN", "COS", "TAN", "ACOS", "ASIN", "ATAN")
"""Operations that call a function of the processor's library: they stand apart, so
that they do not keep the rest from running on several trials at once."""


class NoKernel(Exception):
    """What keeps the kernel from being made, in words."""


@dataclass(eq=False)
class Node:
    """One operation, with equal ones being the same object.

    Attributes
    ----------
    op : str
        A spreadsheet operation; ``const``, ``ref``, ``element``, ``before`` (the
        element before), ``price`` (the gold price of the month), ``reduce``,
        ``lookup``.
    args : tuple of Node
    detail : object
        Value of a constant, name of a reference, axis of a reduction.
    kind : {"number", "truth", "text"}
    varies : bool
        From trial to trial.
    axes : frozenset of str
        Axes along which it differs.
    place : int
        Number in the order of making.
    """

    op: str
    args: tuple
    detail: object
    kind: str
    varies: bool
    axes: frozenset
    place: int


class Graph:
    """Makes nodes.

    Parameters
    ----------
    lines : mapping of str to Line
    varied : set of str
        Inputs that differ from trial to trial.
    path : bool
        Whether the gold price differs from month to month.
    varying : set of str
        Lines that differ from trial to trial.
    """

    def __init__(self, lines, varied, path, varying):
        self.lines, self.varied, self.path = lines, varied, path
        self.varying = varying
        self.made, self.texts, self.kinds = {}, {}, {}

    def node(self, op, args=(), detail=None, kind="number", axes=None, varies=None):
        """Give the one node that is so."""
        key = (op, tuple(arg.place for arg in args), repr(detail), kind)
        if key not in self.made:
            if axes is None:
                axes = frozenset().union(*(arg.axes for arg in args))
            if varies is None:
                varies = any(arg.varies for arg in args)
            place = len(self.made)
            self.made[key] = Node(
                op, tuple(args), detail, kind, varies, frozenset(axes), place
            )
        return self.made[key]

    def code(self, text):
        """Number that stands for a text."""
        return self.texts.setdefault(str(text), len(self.texts))

    def trace(self, line):
        """Give the node of a line, elementwise along its axes."""
        if line.gathers:
            raise NoKernel(f"{line.name} is read element by element")
        if len(line.over) > 1:
            raise NoKernel(f"{line.name} runs over {len(line.over)} axes")
        arguments = [self._argument(line, read) for read in line.parameters]
        expression = express(line.function(*arguments))
        return self._convert(expression, line, {})

    def _argument(self, line, read):
        whole = not lagged(read) and not set(self.axes_of(read)) <= set(line.over)
        return Reference(read, self.kind_of(read), whole)

    def axes_of(self, name):
        """Axes along which a name runs."""
        if name in MODEL.axes:
            return (name,)
        if lagged(name):
            return self.lines[closing(name)].over
        return self.lines[name].over if name in self.lines else ()

    def kind_of(self, name):
        """Kind of a name's values."""
        return MODEL.kind_of(name) or self.kinds.get(name, "number")

    def _convert(self, expression, line, known):
        """Turn an expression into a node; ``known`` holds what was turned before."""
        if id(expression) in known:
            return known[id(expression)][1]
        if isinstance(expression, Constant):
            made = self.constant(expression.value)
        elif isinstance(expression, Reference):
            made = self.reference(expression.address, line, expression.spread)
        else:
            made = self._operation(expression, line, known)
        known[id(expression)] = (expression, made)  # kept alive: the id stays its own
        return made

    def constant(self, value):
        """Node of a constant; texts are told by their number."""
        if isinstance(value, str):
            return self.node("const", (), float(self.code(value)), "text")
        kind = "truth" if isinstance(value, bool | np.bool_) else "number"
        return self.node("const", (), value, kind)

    def reference(self, name, line, whole=False):
        """Node of a name that a line reads."""
        if lagged(name):
            source = closing(name)
            varies = source in self.varying
            return self.node("before", (), source, "number", line.over, varies)
        if self.path and name == "gold_price" and "month" in line.over:
            return self.node("price", (), name, "number", ("month",), True)
        axes = self.axes_of(name)
        if len(axes) > 1 or (axes and not whole and axes != line.over):
            raise NoKernel(f"{line.name} reads part of {name}")
        varies = name in self.varied or name in self.varying
        kind = self.kind_of(name)
        return self.node("element" if axes else "ref", (), name, kind, axes, varies)

    def _operation(self, expression, line, known):
        symbol = expression.symbol
        if symbol == "INDEX":
            return self._lookup(expression, line, known)
        if symbol in REDUCTIONS and any(o.spread for o in expression.operands):
            return self._reduction(expression, line, known)
        args = [self._convert(part, line, known) for part in expression.operands]
        return self.node(symbol, args, None, expression.kind)

    def _reduction(self, expression, line, known):
        parts = [self._convert(part, line, known) for part in expression.operands]
        inner = parts[0]
        for part in parts[1:]:
            inner = self.node("*", (inner, part))
        gathered = self._spread_out(REDUCTIONS[expression.symbol], inner)
        if gathered is not None:
            return gathered
        (axis,) = inner.axes - set(line.over) or (None,)
        if axis is None:
            raise NoKernel(f"{line.name} sums along its own axis")
        detail = (REDUCTIONS[expression.symbol], axis)
        return self.node("reduce", (inner,), detail, axes=inner.axes - {axis})

    def _gathering(self, node):
        """The line that puts single lines side by side, if a node reads one whole."""
        if node.op == "element" and node.detail in self.lines:
            line = self.lines[node.detail]
            return line if line.gathers else None
        return None

    def _spread_out(self, symbol, inner):
        """A reduction of lines put side by side is written out."""
        line = self._gathering(inner)
        if line is None or not inner.varies:
            return None
        parts = [self.reference(name, line) for name in line.parameters]
        total = parts[0]
        for part in parts[1:]:
            args = (total, part)
            total = self.node({"max": "MAX", "min": "MIN"}.get(symbol, symbol), args)
        return total

    def _lookup(self, expression, line, known):
        results, *places = expression.operands
        match = next(p for p in places if isinstance(p, Operation))
        if match.symbol != "MATCH":
            raise NoKernel(f"{line.name} looks up by {match.symbol}")
        value, keys = (self._convert(part, line, known) for part in match.operands[:2])
        results = self._convert(results, line, known)
        gathered = self._gathering(keys)
        if gathered is not None and keys.varies:
            return self._choose(value, gathered, results)
        (axis,) = keys.axes
        axes = (value.axes | results.axes) - {axis}
        return self.node("lookup", (value, keys, results), axis, results.kind, axes)

    def _choose(self, value, line, results):
        """A lookup among lines put side by side, as one choice after another."""
        if results.op != "element" or results.detail not in MODEL.axes:
            raise NoKernel(f"a lookup of {results.detail} beside {line.name}")
        answers = [self.constant(word) for word in MODEL.axes[results.detail].values]
        # As in NumPy, the first stands where nothing is equal.
        chosen = answers[0]
        for name, answer in reversed([*zip(line.parameters, answers, strict=True)]):
            same = self.node("=", (value, self.reference(name, line)), kind="truth")
            chosen = self.node("IF", (same, answer, chosen), None, answer.kind)
        return chosen


def tree(nodes, opened=lambda node: True):
    """Some nodes and every node below them, once; below those alone that are opened."""
    waiting, seen = list(nodes), set()
    while waiting:
        node = waiting.pop()
        if node not in seen:
            seen.add(node)
            yield node
            waiting += node.args if opened(node) else ()


def leaves(node):
    """What a node reads, sums and lookups inside it left aside."""
    below = tree([node], lambda node: node.op not in ("reduce", "lookup"))
    return [n for n in below if n.op in ("ref", "element", "before", "price")]
