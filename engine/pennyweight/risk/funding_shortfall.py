"""When the owner's money runs out: lines of their own, read beside the model's."""

import numpy as np

from ..model.line import Line


def short_month(closing_owner, month, funds, plan_months):
    """The month's number where more is out than there is at hand, else beyond all."""
    slack = 1e-9 * (1 + np.abs(funds))
    return np.where(-closing_owner > funds + slack, month, plan_months + 1)


def shortage_month(short_month):
    """First month in which the money is short; beyond the plan when it never is."""
    return np.min(short_month, axis=0)


def money_missing(peak_funding, funds):
    """How much more than the money at hand is needed at the worst."""
    return np.maximum(peak_funding - funds, 0)


SHORTAGE = {
    line.name: line
    for line in (
        Line(
            "short_month",
            "Month, where the money at hand is short",
            "month",
            short_month,
            ("closing_owner", "month", "funds", "plan_months"),
            over=("month",),
        ),
        Line(
            "shortage_month",
            "Month in which the money runs out",
            "month",
            shortage_month,
            ("short_month",),
        ),
        Line(
            "money_missing",
            "Money missing at the worst",
            "$",
            money_missing,
            ("peak_funding", "funds"),
        ),
    )
}
"""Lines that need the money at hand, under the name ``funds``."""


def needed_by(names):
    """Lines of the model that the given names need.

    Parameters
    ----------
    names : iterable of str
        Lines of the model or of `SHORTAGE`.

    Returns
    -------
    names : set of str
        None of them of `SHORTAGE`.
    """
    found = set()
    for name in names:
        if name in SHORTAGE:
            found |= needed_by(SHORTAGE[name].parameters)
        elif name != "funds":
            found.add(name)
    return found


def add_shortage(values, funds, wanted):
    """Work out lines of `SHORTAGE` from values of the model, in place.

    Parameters
    ----------
    values : dict of str to ndarray
    funds : float
    wanted : iterable of str
    """
    own = {"funds": funds}
    if "closing_owner" in values:
        cash = values["closing_owner"]
        own["month"] = np.arange(len(cash)).reshape(-1, *(1,) * (cash.ndim - 1))
    for name in SHORTAGE:
        if name in wanted or (name == "short_month" and "shortage_month" in wanted):
            line = SHORTAGE[name]
            values[name] = line.function(
                *(
                    own[read] if read in own else values[read]
                    for read in line.parameters
                )
            )
