"""Lines that a kernel calculates, in order."""

from graphlib import CycleError, TopologicalSorter

from ...model.mill_model import MODEL
from ..funding_shortfall import SHORTFALL_LINES


class NoKernel(Exception):
    """Reason why the kernel cannot be made."""


def groups_needed(lines, results):
    """Groups of lines in the model's order, with the shortfall lines last.

    Parameters
    ----------
    lines : mapping of str to Line
    results : tuple of str
        Single lines.

    Returns
    -------
    groups : list of tuple of str
        Lines of a group read each other's previous element.
    """
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
    groups = [group for group in MODEL.groups if asked.issuperset(group)]
    return groups + [(name,) for name in SHORTFALL_LINES if name in extra]


def varying_groups(groups, inputs):
    """Groups of lines that differ from trial to trial.

    Parameters
    ----------
    groups : list of tuple of str
    inputs : tuple of str
        Inputs that differ.

    Returns
    -------
    groups : list of tuple of str
    """
    varying = {*SHORTFALL_LINES, *MODEL.dependents(frozenset(inputs))}
    return [group for group in groups if group[0] in varying]


def elementwise_order(lines, group):
    """Lines of one loop, each after the lines that it reads."""
    reads = {name: [r for r in lines[name].parameters if r in group] for name in group}
    try:
        return list(TopologicalSorter(reads).static_order())
    except CycleError as error:
        raise NoKernel(f"{error.args[1]} read each other in a circle") from None
