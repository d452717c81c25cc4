"""Values of nodes, as names or literals of the kernel's source."""

from ...model.mill import MODEL
from .nodes import NoKernel
from .storage import Storage
from .writing import literal, operation

FOLDS = {"+": "sum", "max": "max", "min": "min"}
"""NumPy's words for what a reduction does."""


class Values(Storage):
    """Writes what works out the nodes of a plan.

    Attributes
    ----------
    here : dict of str to int
        Axis and phase of the loop that is being written.
    """

    here = {}  # noqa: RUF012  (replaced, never changed)

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
        before = self.history(name, f"i_{axis} - 1")
        return f"{before} if i_{axis} > 0 else {self._start(name)}"

    def _start(self, name):
        """What a line has before its first element."""
        start = self.plan.lines[name].start
        if not start:
            return "0.0"
        live = start in self.plan.nodes or start in self.inputs
        return self.slot(start) if live else self._scalar(start)

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
            row = self._fixed_row(node.detail, f"i_{axis} - 1")
            text = f"{row} if i_{axis} > 0 else {self._start(node.detail)}"
            return scope.put(node.place, self._name(), text)
        if node.op == "reduce" and node.args[0].op == "element":
            return scope.put(node.place, self._name(), self._fixed_sum(node))
        if node.op in ("reduce", "lookup"):
            raise NoKernel("a sum that is the same in all trials stands inside a line")
        args = [self.value(arg, self.top, element) for arg in node.args]
        return scope.put(node.place, self._name(), operation(node, args))

    def _fixed_sum(self, node):
        """Sum, largest or smallest of a row that is the same in all trials."""
        symbol, axis = node.detail
        row = self._fixed_row(node.args[0].detail, f":{len(MODEL.axes[axis])}")
        return f"np.{FOLDS[symbol]}({row})"
