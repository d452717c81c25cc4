"""Charts of a plan, drawn with matplotlib (the extra ``plot``)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from . import arguments
from .errors import CallError
from .model.mill_model import MODEL
from .model.results import result_called

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from .plan import Plan

INK, GOLD, GREEN, RED = "#24323A", "#B07D1A", "#2E7D4F", "#B3402A"
SHOWN = 12
"""The most bars in a chart; the smallest are left out."""


@arguments.typechecked
def cash_flow(plan: Plan, ax: Axes | None = None) -> Axes:
    """Chart of the cumulative cash after tax, undiscounted and discounted, by month.

    Parameters
    ----------
    plan : Plan
    ax : matplotlib.axes.Axes, optional

    Returns
    -------
    ax : matplotlib.axes.Axes
    """
    ax = ax or _axes()
    last = int(plan.results["life_months"]) + 1
    frame = plan.cash_flow.iloc[: last + 1]
    for name, colour in (
        ("closing_cash", INK),
        ("closing_discounted", GOLD),
        ("closing_owner", GREEN),
    ):
        label = frame.attrs["labels"][name]
        ax.plot(frame.index, frame[name], color=colour, label=label)
    ax.axhline(0, color="grey", linewidth=0.8)
    ax.set(xlabel="Month", ylabel=f"Cash, {plan.inputs['currency']}")
    ax.yaxis.set_major_formatter("{x:,.0f}")
    ax.legend(frameon=False)
    return ax


@arguments.typechecked
def costs(plan: Plan, ax: Axes | None = None) -> Axes:
    """Chart of the operating cost per ton by component, the largest on top.

    Parameters
    ----------
    plan : Plan
    ax : matplotlib.axes.Axes, optional

    Returns
    -------
    ax : matplotlib.axes.Axes
    """
    ax = ax or _axes()
    frame = plan.costs.query("cost_per_ton > 0").nlargest(SHOWN, "cost_per_ton")[::-1]
    ax.barh(frame["component"], frame["cost_per_ton"], color=GOLD)
    ax.set(xlabel=f"Operating cost, {plan.unit('cost_per_ton')}")
    return ax


@arguments.typechecked
def tornado(
    plan: Plan, result: str = "net_present_value", ax: Axes | None = None
) -> Axes:
    """Tornado chart: one input at a time from its low to its high.

    Parameters
    ----------
    plan : Plan
    result : str
        Name or label of a single result.
    ax : matplotlib.axes.Axes, optional

    Returns
    -------
    ax : matplotlib.axes.Axes
    """
    from .risk.sensitivity import effects

    ax, result = ax or _axes(), result_called(result)
    ranked = effects(plan._study(), results=(result,), by=result)[:SHOWN][::-1]
    now = plan.results[result]
    for place, effect in enumerate(ranked):
        for end, at in ((effect.low, effect.at_low), (effect.high, effect.at_high)):
            width = at[result] - now
            colour = GREEN if width > 0 else RED
            ax.barh(place, width, left=now, color=colour)
            aligned = "left" if width > 0 else "right"
            value = plan.text(effect.name, end, 4)
            ax.annotate(f" {value} ", (now + width, place), va="center", ha=aligned)
    ax.set_yticks(
        np.arange(len(ranked)), [plan.label(effect.name) for effect in ranked]
    )
    ax.axvline(now, color="grey", linewidth=0.8)
    ax.margins(x=0.3)
    ax.set(xlabel=", ".join(filter(None, (plan.label(result), plan.unit(result)))))
    share = MODEL.lines[result].unit in ("share", "1/year")
    ax.xaxis.set_major_formatter("{x:.1%}" if share else "{x:,.10g}")
    return ax


def _axes() -> Axes:
    try:
        from matplotlib import pyplot
    except ImportError:
        raise CallError(
            "Pictures need matplotlib: install pennyweight with its extra plot."
        ) from None
    _, ax = pyplot.subplots(figsize=(9, 5), layout="constrained")
    return ax
