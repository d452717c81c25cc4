"""The inputs that vary in a risk analysis, and their low and high values."""

import numpy as np

from ..errors import BadValue
from ..model.entries import own_end
from ..model.inputs import INPUTS, amount, inputs_in
from ..model.lines.cash.capital import EQUIPMENT
from ..model.run import run

CHOSEN = (
    "discount_rate",
    "loan_share",
    "loan_months",
    "crew",
    "overtime_multiple",
    "shipments_per_month",
    "operating_cost_factor",
)
"""Inputs with a range that do not vary, since the operator decides them. The operating
cost factor would count the uncertainty of each cost twice."""

CAPITAL = "capital_cost_factor"
"""Varies over the accuracy range of the estimate class."""
PARTS_OF_CAPITAL = (
    "capital_to_spend",
    "mine_capital",
    *EQUIPMENT,
    "installation_rate",
    "contingency_rate",
)
"""Parts of the capital estimate, whose uncertainty that factor includes."""

AGREED = (
    "set_up_charge",
    "assay_charge",
    "least_lot_tons",
    "least_lot_charge",
    "allowed_work_index",
    "hardness_rate",
    "allowed_clay",
    "clay_rate",
    "allowed_sulphides",
    "sulphide_rate",
    "allowed_moisture",
    "moisture_rate",
    "cleanup_share",
    "cleanup_limit",
    "escalation_base",
    "settle_index",
    "deposit",
    "charge_days",
    "purchase_days",
    "toll_charge",
    "toll_share",
)
"""Contract terms, which are agreed, so that they do not vary."""
AGREED_SECTIONS = ("Contract: ore purchase", "Contract: risk and next lot")


def planned_range(name, inputs, units):
    """Low, base and high value of an input.

    The low and high in the table of inputs are for its estimate. They are scaled to the
    value of the base case, within the bounds of the input. An input of zero, such as a
    royalty, stays zero. The capital cost factor varies over the range of the estimate
    class, as on the sheet Capital. The ends of a whole number are whole numbers.

    Parameters
    ----------
    name : str
    inputs : mapping
    units : {"us", "metric"}

    Returns
    -------
    low, base, high : float
        In the units of the inputs; all equal if the table has no range.
    """
    entry, base = inputs_in(inputs)[name], float(inputs[name])
    low, default, high = (entry.value(units, w) for w in ("low", "estimate", "high"))
    if name == CAPITAL:
        default, low, high = 1.0, *_ends_of_class(inputs, units)
    if "" in (low, high) or base == 0:
        return base, base, base
    least, most = entry.within(units)
    if base != default and default > 0 and base > 0:
        ends = (own_end(np.nan, base, e, default, least, most) for e in (low, high))
        low, high = map(float, ends)
    if entry.kind == "whole":
        low, high = float(np.floor(low)), float(np.ceil(high))
    return max(min(low, base), least), base, min(max(high, base), most)


def own_range(name, ends, inputs, units):
    """The user's own low and high of an input, with the value of the base case.

    Parameters
    ----------
    name : str
    ends : (float, float)
        In the units of the inputs.
    inputs : mapping
    units : {"us", "metric"}

    Returns
    -------
    low, base, high : float

    Raises
    ------
    BadValue
        For a low above the value, or a high below it.
    """
    (low, high), base = ends, float(inputs[name])
    if not low <= base <= high:
        entry = inputs_in(inputs)[name]
        text = [amount(value, entry, units) for value in (low, base, high)]
        raise BadValue(
            f"{entry.label}: low {text[0]}, value {text[1]} and high {text[2]} are not "
            "in order. Enter a low that is not above the value, and a high that is not "
            "below it."
        )
    return low, base, high


def _ends_of_class(inputs, units):
    """Low and high of the capital cost factor, by the estimate class."""
    found = run(inputs, units, wanted=["class_low", "class_high"])
    return 1 + float(found["class_low"]), 1 + float(found["class_high"])


def uncertain(inputs, units):
    """Inputs that vary by default, with their ranges.

    Returns
    -------
    ranges : dict of str to tuple
        Low, base and high of every input with a range, unless the operator or a
        contract fixes it.
    """
    found = {}
    for name, entry in INPUTS.items():
        if entry.numeric and not _fixed(name, entry):
            low, base, high = planned_range(name, inputs, units)
            if low < high:
                found[name] = (low, base, high)
    return found


def _fixed(name, entry):
    """Whether an input is fixed, or included in another one."""
    decided = name in (*CHOSEN, *AGREED) or entry.section in AGREED_SECTIONS
    return decided or name in PARTS_OF_CAPITAL
