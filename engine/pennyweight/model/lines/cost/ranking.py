"""Largest costs per ton in order, for the chart of costs."""

import functools

import numpy as np

from ....formulas import lookup, smallest
from ...axes import Axis
from ...line import Section
from .components import components, per_ton, rates

largest = Section("Cost per ton", "Largest costs")
keys = Section("Checks", "Workings of the largest costs")

COMPONENT = Axis(
    "component",
    "Cost",
    "-",
    tuple(line.label for line in per_ton.lines if line.name != "cost_per_ton"),
    down=True,
)
COST_RANK = Axis("cost_rank", "Rank", "count", tuple(range(1, 13)), down=True)
"""Most costs that the chart can show."""

keys.gather(
    "component_cost",
    "Cost",
    "$/ton",
    "component",
    tuple(name + "_per_ton" for name in components()),
    note="From the sheet Cost per ton.",
)

OF_THE_MINE = tuple(
    line.label.removesuffix(", unit rate")
    for line in rates.lines
    if line.stage == "mine"
)


@keys.line("Cost that the job asks for", "$/ton", over="component")
def component_counted(component, component_cost, job):
    """A milling contract leaves out the cost of the mine."""
    mine = functools.reduce(np.logical_or, (component == it for it in OF_THE_MINE))
    left_out = np.logical_and(mine, job == "contract")
    return np.where(left_out, 0, component_cost)


@keys.line("Place", "count", over="component")
def closing_component(opening_component):
    """Counted from the top."""
    return opening_component + 1


@keys.line("Sort key", "$/ton", over="component")
def component_key(component_counted, closing_component, tie):
    """The largest cost first; equal costs in the order of the table."""
    return closing_component * tie - component_counted


@largest.line("Operating cost", "$/ton", over="cost_rank")
def ranked_cost(cost_rank, component_key, component_counted):
    """Per ton; the largest first."""
    return lookup(smallest(component_key, cost_rank), component_key, component_counted)


@largest.line("Component", over="cost_rank")
def ranked_component(cost_rank, component_key, component, ranked_cost):
    """Empty below the last cost that is not zero."""
    named = lookup(smallest(component_key, cost_rank), component_key, component)
    return np.where(ranked_cost > 0, named, "")
