"""Where the kernel keeps what it has worked out, and what it sums on the way."""

from ...model.mill import MODEL
from .nodes import leaves, tree
from .writing import WIDTH, Scope


class Storage:
    """What of a plan is stored, and where.

    Parameters
    ----------
    plan : KernelPlan
    inputs : tuple of str
        Varied inputs in the order of the kernel's ``values``.
    """

    def __init__(self, plan, inputs):
        self.plan, self.graph, self.inputs = plan, plan.graph, inputs
        self.slots, self.histories, self.length = {}, {}, 0
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

    def _fusible(self):
        """Reductions that are summed up while their loop runs."""
        found = {}
        for node in self.plan.reductions:
            axis, phase = node.detail[1], self.plan.ready(node) - 1
            rows = [n for n in leaves(node.args[0]) if n.axes and n.varies]
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
                    kept |= {n.detail for n in leaves(part) if self._row(n)}
        for name, node in self.plan.nodes.items():
            for leaf in leaves(node) if self.plan.lines[name].over else ():
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
        for node in tree(trees, lambda node: not _worked_out_once(node)):
            if _worked_out_once(node):
                found.setdefault(self.plan.ready(node), {})[node.place] = node
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
            self.histories[name] = self.length
            self.length += len(MODEL.axes[self.plan.lines[name].over[0]])
        return f"h[({self.histories[name]} + {index}) * {WIDTH} + k]"

    def _scalar(self, name):
        place = self.scalars.setdefault(name, len(self.scalars))
        return f"scalars[{place}]"

    def _fixed_row(self, name, index):
        place = self.rows.setdefault(name, len(self.rows))
        return f"rows[{place}, {index}]"


def _worked_out_once(node):
    """Whether a node is an operation with one value in each trial."""
    single = node.varies and not node.axes
    return single and node.op not in ("ref", "const", "reduce", "lookup")
