"""Source of the fused kernel: all lines, month by month, several trials abreast.

The loop over the trials of a batch is innermost and without branches or calls, so
that the compiler can put several trials into one instruction. Everything that a
batch needs from one month to the next lies in one small array, slot by slot.
"""

import re

from ...model.mill import MODEL
from .nodes import NoKernel, leaves, tree
from .plan import has_call
from .values import Values
from .writing import WIDTH, Scope, first_of, indented, joined

HEAD = '''"""The lines of the model; written by the program, not by hand."""

import math

import numpy as np

from pennyweight.risk.kernel.choice import choose, larger, smaller


def kernel(values, prices, scalars, rows, out):
'''


class Source(Values):
    """Writes the kernel of a plan.

    Parameters
    ----------
    plan : KernelPlan
    inputs : tuple of str
        Varied inputs in the order of the kernel's ``values``.

    Attributes
    ----------
    text : str
    scalars, rows : dict
        Places of the values worked out beforehand, under their names.
    """

    def __init__(self, plan, inputs):
        super().__init__(plan, inputs)
        self.text = self._write()
        self._check_written()

    def _check_written(self):
        """Raise when something is read that was never worked out."""
        place = r"b\[(\d+) \+ k\]"
        written = set(re.findall(rf"^ *{place} = ", self.text, re.MULTILINE))
        missing = set(re.findall(place, self.text)) - written
        if missing or set(self.histories) - self.written:
            raise NoKernel("something is read that was not worked out")

    # Loops

    def _write(self):
        self.here = {}
        body = self._lanes(
            [
                f"b[{self._input(name)} + k] = values[{place}, first + k]"
                for place, name in enumerate(self.inputs)
            ]
        )
        for phase in self.plan.phases:
            body += self._separate(phase)
            body += self._singles(phase)
            for (axis, at), segments in self.loop_of.items():
                if at == phase:
                    body += self._axis_loop(axis, phase, segments)
        # A result may be a sum that only now is complete.
        body += self._separate(len(self.plan.phases))
        body += self._lanes(
            [
                f"out[{place}, first + k] = {self.slot(name)}"
                for place, name in enumerate(self.plan.results)
                if name in self.plan.nodes
            ]
        )
        lines = [
            f"b = np.empty({(len(self.slots) + 1) * WIDTH})",
            f"h = np.empty({(self.length + 1) * WIDTH})",
            *self.top.lines,
            f"for first in range(0, out.shape[1], {WIDTH}):",
            *indented(body),
        ]
        return HEAD + "\n".join(indented(lines)) + "\n"

    def _input(self, name):
        return self.slots.setdefault(name, len(self.slots)) * WIDTH

    def _lanes(self, lines):
        return [f"for k in range({WIDTH}):", *indented(lines)] if lines else []

    def _singles(self, phase):
        lane = Scope()
        for name in self.plan.singles(phase):
            found = self.value(self.plan.nodes[name], lane)
            lane.lines.append(f"{self.slot(name)} = {found}")
            ref = self.graph.node("ref", (), name, self.graph.kinds[name], (), True)
            lane.names[ref.place] = found
        for node in self.hidden.get(phase, {}).values():
            lane.lines.append(f"{self.slot(node.place)} = {self.value(node, lane)}")
        for name in sorted(self.stored):
            if self._gathers(name) and self.plan.phase[name] == phase:
                lane.lines += self._side_by_side(name, lane)
        return self._lanes(lane.lines)

    def _side_by_side(self, name, lane):
        """Store single lines as the elements of the line that gathers them."""
        line = self.plan.lines[name]
        self.written.add(name)
        parts = [self.graph.reference(part, line) for part in line.parameters]
        return [
            f"{self.history(name, place)} = {self.value(part, lane)}"
            for place, part in enumerate(parts)
        ]

    def _axis_loop(self, axis, phase, segments):
        self.here = {axis: phase}
        index, length = f"i_{axis}", len(MODEL.axes[axis])
        names = [name for segment in segments for name in segment]
        sums = [
            node
            for node in self.plan.reductions
            if self.fused.get(node.place) == (axis, phase)
        ]
        carried = self._carried(names)
        before = [
            f"{self.slot(('before', name))} = {self._start(name)}" for name in carried
        ]
        before += [f"{self.slot(n.place)} = {first_of(n)}" for n in sums]
        element, parts = Scope(self.top), []
        if self.plan.graph.path and axis == "month":
            parts += self._lanes([f"{self.slot('price')} = prices[{index}, first + k]"])
        for segment in segments:
            parts += self._segment(segment, element, index)
        plain = [node for node in sums if not has_call(node.args[0])]
        parts += self._segment([], element, index, plain, carried)
        for node in sums:
            if node not in plain:
                parts += self._segment([], element, index, [node])
        self.here = {}
        return [
            *self._lanes(before),
            f"for {index} in range({length}):",
            *indented(element.lines),
            *indented(parts),
        ]

    def _carried(self, names):
        """Lines whose last element is read in the same loop."""
        read_here = [n for name in names for n in leaves(self.plan.nodes[name])]
        read = {n.detail for n in read_here if n.op == "before"}
        return [name for name in names if name in read]

    def _segment(self, names, element, index, sums=(), carried=()):
        lane, inner = Scope(), []
        for node in self._inner_sums(names):
            inner += self._inner_loop(node, element)
        for name in names:
            found = self.value(self.plan.nodes[name], lane, element)
            lane.lines.append(f"{self.slot(name)} = {found}")
            axes = self.plan.lines[name].over
            kind = self.graph.kinds[name]
            ref = self.graph.node("element", (), name, kind, axes, True)
            lane.names[ref.place] = found
            if name in self.stored:
                self.written.add(name)
                lane.lines.append(f"{self.history(name, index)} = {found}")
        for node in sums:
            self._add(node, lane, element)
        for name in carried:
            lane.lines.append(f"{self.slot(('before', name))} = {self.slot(name)}")
        return [*inner, *self._lanes(lane.lines)]

    def _add(self, node, lane, element):
        """Take one element more into a reduction."""
        found, total = self.value(node.args[0], lane, element), self.slot(node.place)
        lane.lines.append(f"{total} = {joined(node, total, found)}")

    def _inner_sums(self, names):
        """Reductions that differ from element to element of the loop around them."""
        below = tree(self.plan.nodes[name] for name in names)
        return [n for n in below if n.op in ("reduce", "lookup") and n.axes]

    def _separate(self, phase):
        """Reductions and lookups over stored lines, before the lines of a phase."""
        lines = []
        for node in (*self.plan.reductions, *self.plan.lookups):
            if node.place in self.fused or node.axes or self.plan.ready(node) != phase:
                continue
            lines += self._inner_loop(node, None)
        return lines

    def _inner_loop(self, node, outer):
        """One reduction or lookup over stored lines."""
        if node.op == "lookup":
            return self._search(node, outer)
        axis = node.detail[1]
        element, lane = Scope(outer or self.top), Scope()
        self._add(node, lane, element)
        return [
            *self._lanes([f"{self.slot(node.place)} = {first_of(node)}"]),
            f"for i_{axis} in range({len(MODEL.axes[axis])}):",
            *indented(element.lines),
            *indented(self._lanes(lane.lines)),
        ]

    def _search(self, node, outer):
        """The result beside the first key that equals a value; else the first."""
        if outer is not None:
            raise NoKernel("a lookup along one axis stands in a line along another")
        value, keys, results = node.args
        axis = node.detail
        lane, element = Scope(), Scope(self.top)
        wanted = self.value(value, lane)
        probe, answer = Scope(), Scope()
        key = self.value(keys, probe, element)
        given = self.value(results, answer, element)
        found = self._name()
        lane.lines += [
            f"{found} = 0",
            f"for i_{axis} in range({len(MODEL.axes[axis])}):",
            *indented([*element.lines, *probe.lines, f"if {key} == {wanted}:"]),
            *indented([f"{found} = i_{axis}", "break"], 2),
            f"i_{axis} = {found}",
            *element.lines,
            *answer.lines,
            f"{self.slot(node.place)} = {given}",
        ]
        return self._lanes(lane.lines)
