"""When each part of the graph is worked out: phases, loops, and what is stored."""

from graphlib import CycleError, TopologicalSorter

from ...model.line import closing, lagged
from ...model.mill import MODEL
from ..funding_shortfall import SHORTFALL_LINES
from .nodes import CALLS, Graph, NoKernel, tree


class KernelPlan:
    """The order of work for some results.

    Lines that do not differ from trial to trial are worked out beforehand. Phase by
    phase, single lines are worked out first, then all lines along an axis in one
    loop; what is summed over an axis can be read in the next phase.

    Parameters
    ----------
    lines : mapping of str to Line
    varied : set of str
    path : bool
    results : tuple of str
    """

    def __init__(self, lines, varied, path, results):
        self.lines, self.results = lines, results
        self.order = _order(lines, results)
        varying = _varying(lines, self.order, varied, path)
        self.graph = Graph(lines, varied, path, varying)
        self.nodes, self.phase = {}, {}
        for group in self.order:
            self._place(group)
        self.reductions = self._find("reduce")
        self.lookups = self._find("lookup")

    def _place(self, group):
        """Trace the lines of a group and find their phase."""
        live = [name for name in group if name in self.graph.varying]
        traced = [name for name in live if not self.lines[name].gathers]
        for name in traced:
            node = self.graph.trace(self.lines[name])
            self.nodes[name] = node
            self.graph.kinds[name] = node.kind
        earliest = [0]
        for name in traced:
            # Members of a group read each other in the same loop.
            earliest.append(self._ready(self.nodes[name], set(group), {}))
            start = self.lines[name].start
            earliest.append(self.phase.get(start, 0) if start else 0)
        for name in live:
            parts = self.lines[name].parameters if self.lines[name].gathers else ()
            phases = [self.phase.get(part, 0) for part in parts]
            self.phase[name] = max(*earliest, *phases, 0)

    def _ready(self, node, group, known):
        """First phase in which a node can be worked out."""
        if node.place not in known:
            phase = max((self._ready(a, group, known) for a in node.args), default=0)
            if node.op in ("ref", "element", "before") and node.detail not in group:
                phase = max(phase, self.phase.get(node.detail, 0))
            if node.op in ("reduce", "lookup") and node.varies:
                phase += 1
            known[node.place] = phase
        return known[node.place]

    def ready(self, node):
        """First phase in which a node can be worked out."""
        return self._ready(node, set(), {})

    def _find(self, op):
        """Every node of a kind that differs from trial to trial, once."""
        below = tree(self.nodes.values())
        found = [node for node in below if node.op == op and node.varies]
        return sorted(found, key=lambda node: node.place)

    @property
    def phases(self):
        """Numbers of the phases."""
        last = max(self.phase.values(), default=0)
        return range(last + 1)

    def singles(self, phase):
        """Single lines of a phase, in order."""
        return [
            name
            for name in self.nodes
            if self.phase[name] == phase and not self.lines[name].over
        ]

    def loops(self, phase):
        """Axes of a phase, each with its lines in segments.

        Lines that call functions stand in segments of their own.
        """
        found = {}
        for name in self.nodes:
            line = self.lines[name]
            if self.phase[name] == phase and line.over:
                found.setdefault(line.over[0], []).append(name)
        return {axis: self._segments(names) for axis, names in found.items()}

    def _segments(self, names):
        stages = {}
        for name in _elementwise_order(self.lines, names):
            calls = has_call(self.nodes[name])
            before = [stages[r] for r in self.lines[name].parameters if r in stages]
            stage = max(before, default=0)
            stages[name] = stage + ((stage % 2 == 0) != calls)
        segments = {}
        for name, stage in stages.items():
            segments.setdefault(stage, []).append(name)
        return [segments[stage] for stage in sorted(segments)]


def has_call(node):
    """Whether working out a node for a trial calls a library function."""
    return any(
        n.op in CALLS and n.varies and n.axes and not _square(n) for n in tree([node])
    )


def _square(node):
    return node.op == "^" and node.args[1].detail == 2


def _order(lines, results):
    """Groups of needed lines in the model's order, the shortfall lines after them."""
    for name in results:
        if name not in lines or lines[name].over:
            raise NoKernel(f"{name} is not a single line")
    extra, wanted, waiting = set(), set(), list(results)
    while waiting:
        name = waiting.pop()
        if name in SHORTFALL_LINES and name not in extra:
            extra.add(name)
            waiting += SHORTFALL_LINES[name].parameters
        elif name in lines:
            wanted.add(name)
    asked = MODEL.needed(wanted)
    order = [group for group in MODEL.groups if asked.issuperset(group)]
    return order + [(name,) for name in SHORTFALL_LINES if name in extra]


def _varying(lines, order, varied, path):
    """Lines that differ from trial to trial."""
    found = set()
    for group in order:
        for name in group:
            line = lines[name]
            reads = {closing(r) if lagged(r) else r for r in line.parameters}
            reads |= set(MODEL.precedents(line)) | {line.start}
            walks = path and "gold_price" in reads and "month" in line.over
            if walks or reads & (varied | found):
                found.update(group)
    return found


def _elementwise_order(lines, names):
    """Lines of one loop, each after those whose element it reads."""
    reads = {name: [r for r in lines[name].parameters if r in names] for name in names}
    try:
        return list(TopologicalSorter(reads).static_order())
    except CycleError as error:
        raise NoKernel(f"{error.args[1]} read each other in a circle") from None
