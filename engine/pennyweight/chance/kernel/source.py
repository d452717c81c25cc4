"""Source of the fused kernel: all lines, month by month, several trials abreast.

The loop over the trials of a batch is innermost and without branches or calls, so
that the compiler can put several trials into one instruction. Everything that a
batch needs from one month to the next lies in one small array, slot by slot.
"""

import re

from ...model.axes import AXES
from .nodes import NoKernel
from .plan import has_call
from .writing import WIDTH, Scope, indented, larger, literal, operation

HEAD = '''"""The lines of the model; written by the program, not by hand."""

import math

import numpy as np


def kernel(values, prices, scalars, rows, out):
'''


class Source:
    """Writes the kernel of a plan.

    Parameters
    ----------
    plan : Plan
    inputs : tuple of str
        Varied inputs in the order of the kernel's ``values``.

    Attributes
    ----------
    text : str
    scalars, rows : dict
        Places of the values worked out beforehand, under their names.
    """

    def __init__(self, plan, inputs):
        self.plan, self.graph, self.inputs = plan, plan.graph, inputs
        self.slots, self.histories = {}, {}
        self.scalars, self.rows = {}, {}
        self.count, self.written = 0, set()
        self.top = Scope()
        self.loop_of = {
            (axis, phase): segments
            for phase in plan.phases
            for axis, segments in plan.loops(phase).items()
        }
        self.fused = self._fusible()
        self.stored = self._kept()
        self.hidden = self._hoisted()
        self.text = self._write()
        self._check_written()

    def _check_written(self):
        """Raise when something is read that was never worked out."""
        place = r"b\[(\d+) \+ k\]"
        written = set(re.findall(rf"^ *{place} = ", self.text, re.MULTILINE))
        missing = set(re.findall(place, self.text)) - written
        if missing or set(self.histories) - self.written:
            raise NoKernel("something is read that was not worked out")

    # What is worked out where

    def _fusible(self):
        """Reductions that are summed up while their loop runs."""
        found = {}
        for node in self.plan.reductions:
            axis, phase = node.detail[1], self.plan.ready(node) - 1
            rows = [n for n in _leaves(node.args[0]) if n.axes and n.varies]
            same = all(
                n.op == "element"
                and n.detail in self.plan.nodes
                and self.plan.phase[n.detail] == phase
                for n in rows
            )
            if rows and same and not node.axes and (axis, phase) in self.loop_of:
                found[node.place] = (axis, phase)
        return found

    def _kept(self):
        """Lines along an axis that are read again after their loop."""
        kept = set()
        for node in (*self.plan.reductions, *self.plan.lookups):
            if node.place not in self.fused:
                parts = node.args if node.op == "lookup" else node.args[:1]
                for part in parts:
                    kept |= {n.detail for n in _leaves(part) if self._row(n)}
        for name, node in self.plan.nodes.items():
            for leaf in _leaves(node) if self.plan.lines[name].over else ():
                if self._row(leaf) and self._from_before(leaf.detail, name):
                    kept.add(leaf.detail)
        return kept

    def _row(self, node):
        return node.op in ("element", "before") and node.detail in self.plan.phase

    def _from_before(self, name, reader):
        """Whether a line is worked out before the loop of one that reads it."""
        early = self.plan.phase[name] < self.plan.phase[reader]
        return early or self._gathers(name)

    def _gathers(self, name):
        return self.plan.lines[name].gathers

    def _hoisted(self):
        """Parts of lines along an axis that are the same in every element."""
        found = {}
        trees = [n for k, n in self.plan.nodes.items() if self.plan.lines[k].over]
        trees += [n.args[0] for n in self.plan.reductions]
        waiting, seen = trees, set()
        while waiting:
            node = waiting.pop()
            if node.place in seen:
                continue
            seen.add(node.place)
            single = node.varies and not node.axes
            if single and node.op not in ("ref", "const", "reduce", "lookup"):
                found.setdefault(self.plan.ready(node), {})[node.place] = node
            else:
                waiting += node.args
        return found

    # Names and slots

    def _name(self):
        self.count += 1
        return f"v{self.count}"

    def slot(self, key):
        """Place in the small array for something."""
        place = self.slots.setdefault(key, len(self.slots))
        return f"b[{place * WIDTH} + k]"

    def history(self, name, index):
        """Place of one element of a stored line."""
        if name not in self.histories:
            lengths = [len(AXES[self.plan.lines[n].over[0]]) for n in self.histories]
            self.histories[name] = sum(lengths)
        return f"h[({self.histories[name]} + {index}) * {WIDTH} + k]"

    def _scalar(self, name):
        place = self.scalars.setdefault(name, len(self.scalars))
        return f"scalars[{place}]"

    def _fixed_row(self, name, index):
        place = self.rows.setdefault(name, len(self.rows))
        return f"rows[{place}, {index}]"

    # Values

    def value(self, node, lane, element=None):
        """Name or literal of a node's value; works it out where it must.

        Parameters
        ----------
        node : Node
        lane : Scope
            Of the loop over trials.
        element : Scope, optional
            Of the loop along an axis around it.
        """
        if node.op == "const":
            return literal(node.detail)
        known = lane.find(node.place) if node.varies else None
        if known is None and not node.varies:
            known = (element or self.top).find(node.place)
        if known is not None:
            return known
        if not node.varies:
            return self._invariant(node, element)
        if node.op in ("ref", "element", "before", "price", "reduce", "lookup"):
            return lane.put(node.place, self._name(), self._read(node))
        hidden = self.hidden.get(self.plan.ready(node), {}) if element else {}
        if node.place in hidden:
            return lane.put(node.place, self._name(), self.slot(node.place))
        args = [self.value(arg, lane, element) for arg in node.args]
        return lane.put(node.place, self._name(), operation(node, args))

    def _read(self, node):
        """Source of something that lies in an array."""
        if node.op == "price":
            return self.slot("price")
        if node.op in ("reduce", "lookup"):
            return self.slot(node.place)
        if node.op == "ref":
            return self.slot(node.detail)
        (axis,) = node.axes
        name, here = node.detail, self.here.get(axis)
        if here == self.plan.phase.get(name) and not self._gathers(name):
            return self.slot(("before", name) if node.op == "before" else name)
        if node.op == "element":
            return self.history(name, f"i_{axis}")
        start = self.plan.lines[name].start
        first = (
            self.slot(start)
            if start in self.plan.nodes
            else self._scalar(start)
            if start
            else "0.0"
        )
        return f"{self.history(name, f'i_{axis} - 1')} if i_{axis} > 0 else {first}"

    def _invariant(self, node, element):
        """Something that is the same in all trials."""
        scope = element if node.axes and element else self.top
        if node.op == "ref":
            return scope.put(node.place, self._name(), self._scalar(node.detail))
        if node.op == "element":
            (axis,) = node.axes
            text = self._fixed_row(node.detail, f"i_{axis}")
            return scope.put(node.place, self._name(), text)
        if node.op == "before":
            (axis,) = node.axes
            start = self.plan.lines[node.detail].start
            first = self._scalar(start) if start else "0.0"
            row = self._fixed_row(node.detail, f"i_{axis} - 1")
            text = f"{row} if i_{axis} > 0 else {first}"
            return scope.put(node.place, self._name(), text)
        if node.op in ("reduce", "lookup"):
            raise NoKernel("a sum that is the same in all trials stands inside a line")
        args = [self.value(arg, self.top, element) for arg in node.args]
        return scope.put(node.place, self._name(), operation(node, args))

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
            f"h = np.empty({(self._history_length() + 1) * WIDTH})",
            *self.top.lines,
            f"for first in range(0, out.shape[1], {WIDTH}):",
            *indented(body),
        ]
        return HEAD + "\n".join(indented(lines)) + "\n"

    def _history_length(self):
        return sum(len(AXES[self.plan.lines[n].over[0]]) for n in self.histories)

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
        index, length = f"i_{axis}", len(AXES[axis])
        names = [name for segment in segments for name in segment]
        sums = [
            node
            for node in self.plan.reductions
            if self.fused.get(node.place) == (axis, phase)
        ]
        carried = self._carried(names)
        before = Scope()
        for name in carried:
            start = self.plan.lines[name].start
            first = (
                "0.0"
                if not start
                else (
                    self.slot(start)
                    if start in self.plan.nodes or start in self.inputs
                    else self.value(self._ref(start), before)
                )
            )
            before.lines.append(f"{self.slot(('before', name))} = {first}")
        before.lines += [f"{self.slot(n.place)} = {_first(n)}" for n in sums]
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
            *self._lanes(before.lines),
            f"for {index} in range({length}):",
            *indented(element.lines),
            *indented(parts),
        ]

    def _ref(self, name):
        return self.graph.node("ref", (), name, "number", (), False)

    def _carried(self, names):
        """Lines whose last element is read in the same loop."""
        leaves = [n for name in names for n in _leaves(self.plan.nodes[name])]
        read = {n.detail for n in leaves if n.op == "before"}
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
            found, total = self.value(node.args[0], lane, element), self._name()
            lane.lines.append(f"{total} = {self.slot(node.place)}")
            lane.lines.append(f"{self.slot(node.place)} = {_add(node, total, found)}")
        for name in carried:
            lane.lines.append(f"{self.slot(('before', name))} = {self.slot(name)}")
        return [*inner, *self._lanes(lane.lines)]

    def _inner_sums(self, names):
        """Reductions that differ from element to element of the loop around them."""
        wanted = {n.place: n for name in names for n in _tree(self.plan.nodes[name])}
        return [n for n in wanted.values() if n.op in ("reduce", "lookup") and n.axes]

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
        saved = dict(self.here)
        element, lane = Scope(outer or self.top), Scope()
        found = self.value(node.args[0], lane, element)
        total = self._name()
        lane.lines.append(f"{total} = {self.slot(node.place)}")
        lane.lines.append(f"{self.slot(node.place)} = {_add(node, total, found)}")
        self.here = saved
        return [
            *self._lanes([f"{self.slot(node.place)} = {_first(node)}"]),
            f"for i_{axis} in range({len(AXES[axis])}):",
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
            f"for i_{axis} in range({len(AXES[axis])}):",
            *indented([*element.lines, *probe.lines, f"if {key} == {wanted}:"]),
            *indented([f"{found} = i_{axis}", "break"], 2),
            f"i_{axis} = {found}",
            *element.lines,
            *answer.lines,
            f"{self.slot(node.place)} = {given}",
        ]
        return self._lanes(lane.lines)


def _first(node):
    return {"+": "0.0", "max": "-np.inf", "min": "np.inf"}[node.detail[0]]


def _add(node, total, found):
    symbol = node.detail[0]
    if symbol == "+":
        return f"{total} + {found}"
    return larger(total, found, ">" if symbol == "max" else "<")


def _tree(node, seen=None):
    """Every node below one, once."""
    seen = set() if seen is None else seen
    if node.place in seen:
        return
    seen.add(node.place)
    yield node
    for arg in node.args:
        yield from _tree(arg, seen)


def _leaves(node):
    """What a node reads, sums and lookups inside it left aside."""
    waiting, seen = [node], set()
    while waiting:
        here = waiting.pop()
        if here.place in seen:
            continue
        seen.add(here.place)
        if here.op in ("ref", "element", "before", "price"):
            yield here
        elif here.op not in ("reduce", "lookup"):
            waiting += here.args
