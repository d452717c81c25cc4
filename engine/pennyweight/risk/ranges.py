"""Which inputs are uncertain unless it is said otherwise, and from where to where."""

from ..model.inputs import INPUTS
from ..model.run import run

CHOSEN = (
    "discount_rate",
    "loan_share",
    "loan_months",
    "crew",
    "shipments_per_month",
    "operating_cost_factor",
)
"""Inputs with a low and a high that the operator sets: they are left as they are. The
factor of all operating cost asks what if; drawn beside the single costs that it
multiplies, it would count the same uncertainty twice."""

CAPITAL = "capital_cost_factor"
"""Of capital the estimate as a whole is uncertain, as far as its class says."""
PARTS_OF_CAPITAL = ("mine_capital", "installation_rate", "contingency_rate")
"""Parts of that estimate: drawn beside its factor they would count twice."""

AGREED = (
    "set_up_charge",
    "assay_charge",
    "least_lot_tons",
    "allowed_work_index",
    "hardness_rate",
    "allowed_clay",
    "clay_rate",
    "allowed_sulphides",
    "sulphide_rate",
    "allowed_moisture",
    "moisture_rate",
    "cleanup_share",
    "deposit",
    "charge_days",
    "purchase_days",
)
"""Terms of a contract: they are agreed, not drawn."""
AGREED_SECTIONS = ("Contract: ore bought on assay", "Contract: risk and waiting")


def planned_range(name, inputs, units):
    """Low, planned and high value of an input.

    The table's low and high are for its estimate; they move in proportion with the
    value planned, and stay within the input's bounds. What is planned at nothing, as
    a royalty or a buyer of middlings that there is not, stays at nothing. The factor
    of all capital goes to the ends of the estimate's class, as on the sheet Capital.

    Parameters
    ----------
    name : str
    inputs : mapping
    units : {"us", "metric"}

    Returns
    -------
    low, planned, high : float
        All equal where the table has no range.
    """
    entry, planned = INPUTS[name], float(inputs[name])
    low, default, high = (entry.value(units, w) for w in ("low", "estimate", "high"))
    if name == CAPITAL:
        default, low, high = 1.0, *_ends_of_class(inputs, units)
    if "" in (low, high) or planned == 0:
        return planned, planned, planned
    if planned != default and default > 0 and planned > 0:
        low, high = low * planned / default, high * planned / default
    least, most = entry.within(units)
    return (
        max(min(low, planned), least),
        planned,
        min(max(high, planned), most),
    )


def _ends_of_class(inputs, units):
    """The lowest and the highest that capital may be, as shares of its estimate."""
    found = run(inputs, units, wanted=["class_low", "class_high"])
    return 1 + float(found["class_low"]), 1 + float(found["class_high"])


def uncertain(inputs, units):
    """Inputs that are drawn unless it is said otherwise, with their ranges.

    Returns
    -------
    ranges : dict of str to tuple
        Low, planned and high, of every input that has a range and is no choice of
        the operator's.
    """
    found = {}
    for name, entry in INPUTS.items():
        if entry.numeric and not _settled(name, entry):
            low, planned, high = planned_range(name, inputs, units)
            if low < high:
                found[name] = (low, planned, high)
    return found


def _settled(name, entry):
    """Whether somebody decides an input, or another one stands for it."""
    decided = name in (*CHOSEN, *AGREED) or entry.section in AGREED_SECTIONS
    return decided or name in PARTS_OF_CAPITAL
