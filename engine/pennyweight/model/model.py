"""A model: inputs, axes, lines, and the order of calculation."""

import functools
from collections import Counter
from graphlib import CycleError, TopologicalSorter

from ..errors import ModelError, nearest
from .axes import Axis
from .copies import Copies
from .inputs import INPUTS
from .line import Section, closing, lagged
from .units import CONSTANTS


class Model:
    """Lines with the inputs and axes that they read.

    Parameters
    ----------
    sections : iterable of Section
        In the order of the sheets.
    axes : iterable of Axis

    Attributes
    ----------
    sections : tuple of Section
    lines : dict of str to Line
        In the order of the sections.
    axes : dict of str to Axis
    inputs : dict of str to Input
    """

    def __init__(self, sections, axes):
        self.sections = tuple(sections)
        self.axes = {axis.name: axis for axis in axes}
        self.inputs = dict(INPUTS)
        self.lines = {}
        copies = []
        for section in self.sections:
            for line in section.lines:
                if isinstance(line, Copies):
                    copies.append((section, line))
                else:
                    self._add(line)
        for section, repeated in copies:
            for line in repeated.make(section, self.lines):
                self._add(line)

    @classmethod
    def of(cls, modules):
        """Assemble a model from the sections and axes that modules define.

        Parameters
        ----------
        modules : iterable of module

        Returns
        -------
        model : Model
        """
        things = []
        for module in modules:
            for value in vars(module).values():
                things += value.values() if isinstance(value, dict) else [value]
        found = {id(thing): thing for thing in things}.values()
        return cls(
            [thing for thing in found if isinstance(thing, Section)],
            [thing for thing in found if isinstance(thing, Axis)],
        )

    def _add(self, line):
        if line.name in self.lines:
            raise ModelError(f"Two lines are named {line.name}; rename one of them.")
        self.lines[line.name] = line

    @functools.cache  # noqa: B019
    def axes_of(self, name):
        """Axes of a name; inputs and constants have none."""
        if name in self.axes:
            return (name,)
        if lagged(name):
            return self.lines[closing(name)].over
        return self.lines[name].over if name in self.lines else ()

    def kind_of(self, name):
        """Kind of the values of an input or an axis; empty for a line."""
        if name in self.inputs:
            return "number" if self.inputs[name].numeric else "text"
        if name in self.axes:
            return "text" if isinstance(self.axes[name].values[0], str) else "number"
        return ""

    @functools.cache  # noqa: B019
    def readings(self, line):
        """How a line that is calculated in one call reads each of its names.

        Axes that the line lacks come first, since the line sums over them. The axes of
        the line follow, like the axis of scenarios.

        Parameters
        ----------
        line : Line

        Returns
        -------
        readings : tuple of (str, tuple, tuple or None)
            Name, its axes, and the index that adds a length-one axis for each axis of
            the line that it lacks; None if none is needed.
        """
        found = []
        for name in line.parameters:
            own, index = self.axes_of(name), None
            if own and own != line.over and line.over:
                whole = [slice(None) for axis in own if axis not in line.over]
                index = [slice(None) if axis in own else None for axis in line.over]
                index = (*whole, *index, ...)
            found.append((name, own, index))
        return tuple(found)

    @functools.cache  # noqa: B019
    def is_single(self, line):
        """Whether a line is a single value of single values."""
        return not line.over and not any(map(self.axes_of, line.parameters))

    @functools.cached_property
    def known(self):
        """Every name: lines, inputs, axes and constants."""
        return {*self.lines, *self.inputs, *self.axes, *CONSTANTS}

    @functools.cache  # noqa: B019
    def needed_together(self, names):
        """`needed`, cached; ``names`` is a frozenset."""
        return frozenset(self.needed(names))

    def precedents(self, line):
        """Names of the lines that a line reads, its own previous values included."""
        names = [closing(name) if lagged(name) else name for name in line.parameters]
        if line.start:
            names.append(line.start)
        return [name for name in names if name in self.lines]

    def needed(self, names, known=()):
        """Lines that the named ones depend on, the named included.

        Parameters
        ----------
        names : iterable of str
            Lines; other names depend on nothing.
        known : iterable of str
            Included, but not what they depend on.

        Returns
        -------
        names : set of str
        """
        found, waiting = {*known}, [name for name in names if name in self.lines]
        while waiting:
            name = waiting.pop()
            if name not in found:
                found.add(name)
                waiting += self.precedents(self.lines[name])
        return found

    @functools.cache  # noqa: B019
    def dependents(self, names):
        """The names, a frozenset, with all lines that depend on them."""
        found = set(names)
        for group, reads in self._reads:
            if not found.isdisjoint(reads):
                found.update(group)
        return found

    @functools.cached_property
    def _reads(self):
        """Each group with all names that its lines read, in order of calculation."""
        return [
            (
                group,
                {
                    read
                    for line in map(self.lines.get, group)
                    for read in (*line.parameters, *self.precedents(line), line.start)
                },
            )
            for group in self.groups
        ]

    @functools.cached_property
    def groups(self):
        """Groups of lines, in order of calculation.

        A group of several lines, or of one that reads its own previous value, is
        calculated element by element. Unknown names, and lines that read each other in
        a circle, raise a `ModelError`.
        """
        self.check_names()
        # No sets: the order, and so the compiled kernel, is the same in each process.
        graph = {name: self.precedents(line) for name, line in self.lines.items()}
        reads = (read for line in self.lines.values() for read in line.parameters)
        member = _recurrences(graph, {closing(read) for read in reads if lagged(read)})
        condensed = {}
        for name, reads in graph.items():
            home = member.get(name, name)
            reached = (member.get(read, read) for read in reads)
            others = condensed.setdefault(home, {})
            others.update(dict.fromkeys(read for read in reached if read != home))
        try:
            homes = list(TopologicalSorter(condensed).static_order())
            inner = list(TopologicalSorter(self._without_lags()).static_order())
        except CycleError as error:
            raise ModelError(f"These lines read each other: {error.args[1]}.") from None
        places = {name: place for place, name in enumerate(inner)}
        found = {home: [] for home in homes}
        for name in self.lines:
            found[member.get(name, name)].append(name)
        return tuple(tuple(sorted(found[home], key=places.get)) for home in homes)

    @functools.cache  # noqa: B019  (a model lives as long as the program)
    def recurrent(self, group):
        """Whether a group must be calculated element by element."""
        return any(
            closing(name) in group
            for member in group
            for name in self.lines[member].parameters
            if lagged(name)
        )

    def check_names(self):
        """Raise if a name is used twice, or a line reads an unknown name."""
        names = [*self.lines, *self.inputs, *CONSTANTS, *self.axes]
        twice = {name for name, count in Counter(names).items() if count > 1}
        if twice:
            raise ModelError(f"Names used for two things: {sorted(twice)}; rename one.")
        known = set(names)
        for line in self.lines.values():
            for name in (*line.parameters, *filter(None, [line.start])):
                wanted = closing(name) if lagged(name) else name
                if wanted not in known:
                    raise ModelError(
                        f"{line.name} reads {wanted}, which is not a line or an input."
                        + nearest(wanted, known)
                    )

    def _without_lags(self):
        return {
            name: [read for read in line.parameters if read in self.lines]
            for name, line in self.lines.items()
        }


def _recurrences(graph, carried):
    """Map each line in a recurrence to the first line of its group.

    Each recurrence has a line whose previous value is read: one of those carried.
    """
    reverse = {name: set() for name in graph}
    for name, reads in graph.items():
        for read in reads:
            reverse[read].add(name)
    member = {}
    for name in carried:
        if name not in member:
            circle = _reachable(graph, name) & _reachable(reverse, name)
            first = next((line for line in graph if line in circle), None)
            member.update(dict.fromkeys(circle, first))
    return member


def _reachable(graph, start):
    seen, waiting = set(), list(graph[start])
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            waiting += graph[name]
    return seen
