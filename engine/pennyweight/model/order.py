"""The order in which lines are worked out, found from what each one reads."""

import functools
from graphlib import CycleError, TopologicalSorter

from ..errors import ModelError, nearest
from .axes import AXES
from .inputs import INPUTS
from .line import LINES
from .units import CONSTANTS


def closing(name):
    """Name of the line whose last value an ``opening_`` parameter takes."""
    return "closing_" + name.removeprefix("opening_")


def lagged(name):
    """Tell whether a parameter is the previous element of a line."""
    return name.startswith("opening_")


def precedents(line):
    """Names of the lines that a line reads, its own former values included."""
    names = [closing(name) if lagged(name) else name for name in line.parameters]
    if line.start:
        names.append(line.start)
    return [name for name in names if name in LINES]


def check_names():
    """Raise when a name is used twice, or a line reads what does not exist."""
    names = [*LINES, *INPUTS, *CONSTANTS, *AXES]
    twice = {name for name in names if names.count(name) > 1}
    if twice:
        raise ModelError(f"Names used for two things: {sorted(twice)}; rename one.")
    known = set(names)
    for line in LINES.values():
        for name in (*line.parameters, *filter(None, [line.start])):
            wanted = closing(name) if lagged(name) else name
            if wanted not in known:
                raise ModelError(
                    f"{line.name} reads {wanted}, which no line or input is."
                    + nearest(wanted, known)
                )


@functools.cache
def groups():
    """Put the lines in order: single lines, and groups that go month by month.

    Returns
    -------
    groups : tuple of tuple of str
        Each group's lines in order. A group of more than one, or one that reads its
        own former value, is worked out element by element.

    Raises
    ------
    ModelError
        For unknown names, and for lines that read each other in a circle.
    """
    check_names()
    graph = {name: set(precedents(line)) for name, line in LINES.items()}
    member = _recurrences(graph)
    condensed = {}
    for name, reads in graph.items():
        home = member.get(name, name)
        reached = {member.get(read, read) for read in reads}
        condensed.setdefault(home, set()).update(reached - {home})
    try:
        homes = list(TopologicalSorter(condensed).static_order())
        inner = list(TopologicalSorter(_without_lags()).static_order())
    except CycleError as error:
        raise ModelError(f"These lines read each other: {error.args[1]}.") from None
    places = {name: place for place, name in enumerate(inner)}
    found = {home: [] for home in homes}
    for name in LINES:
        found[member.get(name, name)].append(name)
    return tuple(tuple(sorted(found[home], key=places.get)) for home in homes)


def recurrent(group):
    """Tell whether a group has to be worked out element by element."""
    return any(
        closing(name) in group
        for member in group
        for name in LINES[member].parameters
        if lagged(name)
    )


def needed(names):
    """Lines that the named ones rest on, themselves included.

    Parameters
    ----------
    names : iterable of str
        Lines; other names rest on nothing.

    Returns
    -------
    names : set of str
    """
    found, waiting = set(), [name for name in names if name in LINES]
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += precedents(LINES[name])
    return found


def _without_lags():
    return {
        name: {read for read in line.parameters if read in LINES}
        for name, line in LINES.items()
    }


def _recurrences(graph):
    """Map each line that takes part in a recurrence to one line of its group."""
    reverse = {name: set() for name in graph}
    for name, reads in graph.items():
        for read in reads:
            reverse[read].add(name)
    member = {}
    for name in graph:
        if name not in member and name in _reach(graph, name):
            circle = _reach(graph, name) & _reach(reverse, name)
            member.update(dict.fromkeys(circle, name))
    return member


def _reach(graph, start):
    seen, waiting = set(), list(graph[start])
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            waiting += graph[name]
    return seen
