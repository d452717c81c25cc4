"""Lines for the funding shortfall: its month and its size."""

import numpy as np

from ..model.axes import MONTH
from ..model.line import Line


def month_if_short(closing_owner, month, funds, plan_months):
    """The month, if funding exceeds the cash available; else a month after the plan."""
    slack = 1e-9 * (1 + np.abs(funds))
    return np.where(-closing_owner > funds + slack, month, plan_months + 1)


def shortfall_month(month_if_short):
    """First month with a funding shortfall; after the plan if cash never runs out."""
    return np.min(month_if_short, axis=0)


def funding_shortfall(peak_funding, funds):
    """Peak funding less the cash available; zero if the cash is enough."""
    return np.maximum(peak_funding - funds, 0)


SHORTFALL_LINES = {
    line.name: line
    for line in (
        Line(
            "month_if_short",
            "Month, if there is a funding shortfall",
            "month",
            month_if_short,
            ("closing_owner", "month", "funds", "plan_months"),
            over=("month",),
        ),
        Line(
            "shortfall_month",
            "First month of funding shortfall",
            "month",
            shortfall_month,
            ("month_if_short",),
        ),
        Line(
            "funding_shortfall",
            "Funding shortfall",
            "$",
            funding_shortfall,
            ("peak_funding", "funds"),
        ),
    )
}
"""Lines that read the cash available, under the name ``funds``."""


READS = {"closing_owner", "peak_funding"}
"""Lines of the model that the shortfall lines read."""


def needed_by(names):
    """Lines of the model that the given lines need.

    Parameters
    ----------
    names : iterable of str
        Lines of the model or of `SHORTFALL_LINES`.

    Returns
    -------
    names : set of str
        Lines of the model only.
    """
    found = {name for name in names if name not in SHORTFALL_LINES}
    return found if found.issuperset(names) else found | READS


def add_shortfall(values, funds):
    """Calculate `SHORTFALL_LINES` from values of the model, in place.

    Parameters
    ----------
    values : dict of str to ndarray
    funds : float
        Cash available, $.
    """
    rows = (-1, *(1,) * (values["closing_owner"].ndim - 1))
    own = {"funds": funds, "month": np.array(MONTH.values).reshape(rows)}
    for name, line in SHORTFALL_LINES.items():
        reads = {**values, **own}
        values[name] = line.function(*(reads[read] for read in line.parameters))
