"""Table of lots, and the model's income, cost and hours of each lot at each grind.

Income, cost, hours and recovery are the model's own lines, calculated for all lots and
grinds at once.
"""

import math
from dataclasses import dataclass
from functools import partial

import numpy as np
import pandas as pd

from ..errors import BadValue, WorkbookError
from ..model.axes import CONTRACT
from ..model.columns import Field, in_plan, refuse_names
from ..model.inputs import INPUTS, families
from ..model.lines.contract.charges import CHARGES, WHOLE_SEASON, of_kind, present
from ..model.lines.cost.components import components
from ..model.mill_model import MODEL
from ..model.run import run
from .columns import NEEDED, NO, YES, checked_table, place_of

WHAT = "table of lots"
OWN_ORE = "own ore"
PARTS = (1.0, 0.75, 0.5, 0.25)
"""Parts of a lot that may be milled, if it may be split."""
KINDS = tuple(CONTRACT.values)
TERMS = {
    "tonnage_charge": "terms_per_ton",
    "hourly_charge": "terms_per_hour",
    "share": "terms_share",
}
UNCERTAIN = ("wet_tons", "grade", "recovery", "pace")
"""Columns that may have a low and a high."""


def _ranged(name, label, entry, **more):
    """A column that may have a low and a high."""
    return {
        name: Field(label, input=entry, **more),
        f"{name}_low": Field(f"{label}, low", input=entry),
        f"{name}_high": Field(f"{label}, high", input=entry),
    }


FIELDS = {
    "lot": Field("Lot", "text", **NEEDED),
    "owner": Field("Owner", "text", also=("customer",)),
    "contract": Field("Contract type", "choice", choices=(*KINDS, OWN_ORE)),
    **_ranged("wet_tons", "Wet weight", "custom_wet_tons", also=("tons",), **NEEDED),
    "moisture": Field("Moisture", input="custom_moisture"),
    **_ranged("grade", "Grade", "custom_grade", **NEEDED),
    **_ranged("recovery", "Gravity recovery", "custom_recovery"),
    "recovery_p80": Field("Grind of that recovery, P80", input="measured_p80"),
    **_ranged("pace", "Relative throughput", "custom_pace"),
    "p80": Field("Agreed grind, P80", input="product_p80"),
    "work_index": Field("Work index", input="custom_work_index"),
    "clay": Field("Clay", input="custom_clay"),
    "sulphides": Field("Sulphides", input="custom_sulphides"),
    "set_up_hours": Field("Set-up and clean-up time", input="set_up_hours"),
    "tonnage_charge": Field("Tonnage charge", input="terms_per_ton_01"),
    "hourly_charge": Field("Hourly charge", input="terms_per_hour_01"),
    "share": Field("Mill's share of bullion", input="terms_share_01"),
    "deposit": Field("Deposit", input="deposit"),
    "ready": Field("Earliest day", "date", also=("earliest_day",)),
    "due": Field("Due day", "date", also=("due_day",)),
    "late_cost": Field("Cost per day late"),
    "split": Field("May be split", "choice", choices=(YES, NO)),
    "least_tons": Field("Least wet weight"),
    "must": Field("Must be milled", "choice", choices=(YES, NO)),
    "mined": Field("Already mined", "choice", choices=(YES, NO)),
    "planned_start": Field("Planned start", "date"),
}
"""Columns of a table of lots. Defaults for a lot are the workbook's inputs."""
MEASURED = {
    name: (field.label, field.input)
    for name, field in FIELDS.items()
    if field.input and not name.endswith(("_low", "_high"))
}
"""Columns that stand for an input: label and input."""

DIRECT = (
    *("wet_tons", "moisture", "grade", "clay", "sulphides"),
    "set_up_hours",
)
"""Columns that are entered in an input unchanged."""
LINES = (
    *("agreed_income", "custom_tons", "custom_hours", "custom_ore_milling_ton_rate"),
    *("milling_ton_rate", "running_cost_per_ton", "feed_rate", "mine_cost_per_ton"),
    *("contract_charge", "custom_penalties", "purchase_paid"),
    "terms_purchase",
)
CREW = tuple(
    f"{name}_per_ton" for name in components(("mill", "site"), ("staffed hour",))
)


def read_lots(table, units, inputs=None):
    """Read a table of lots; check its columns, and each lot for contradictions.

    Parameters
    ----------
    table : pandas.DataFrame
        One row for each lot; columns as in `FIELDS`.
    units : {"us", "metric"}

    Returns
    -------
    lots : pandas.DataFrame
        All columns of `FIELDS`.

    Raises
    ------
    CallError, WorkbookError
        Naming line and column.
    """
    lots = checked_table(table, in_plan(FIELDS, inputs), units, WHAT)
    refuse_names(lots["lot"], partial(place_of, lots, column="lot"))
    for row in range(len(lots)):
        _check_lot(lots, row)
    return lots


def _check_lot(lots, row):
    lot = lots.loc[row]
    if lot["ready"] and lot["due"] and lot["due"] < lot["ready"]:
        raise WorkbookError(
            f"Due day ({place_of(lots, row, 'due')}): {lot['due']} is before the "
            f"earliest day, {lot['ready']}. Enter a later due day."
        )
    for name in UNCERTAIN:
        low, value, high = (lot[f"{name}_low"], lot[name], lot[f"{name}_high"])
        if math.isnan(low) != math.isnan(high):
            raise WorkbookError(
                f"{FIELDS[name].label} ({place_of(lots, row)}): it has a low or a high "
                "alone. Enter both, or neither."
            )
        if low == 0:
            raise WorkbookError(
                f"{FIELDS[name].label} ({place_of(lots, row, name)}): its low is 0. "
                "Enter a low above 0, or leave low and high empty."
            )
        if not math.isnan(low) and not (
            low < high and not (value < low or value > high)
        ):
            raise WorkbookError(
                f"{FIELDS[name].label} ({place_of(lots, row, name)}): {value:g} is not "
                f"between its low, {low:g}, and its high, {high:g}."
            )
    if lot["least_tons"] > lot["wet_tons"]:
        raise WorkbookError(
            f"Least wet weight ({place_of(lots, row, 'least_tons')}): "
            f"{lot['least_tons']:g} is more than the lot has, {lot['wet_tons']:g}."
        )


@dataclass(frozen=True)
class Offers:
    """Income, cost and hours of each lot in each mode: a grind, and a part of the lot.

    Attributes
    ----------
    lots : pandas.DataFrame
        By `read_lots`.
    table : pandas.DataFrame
        One row for each lot and mode: ``lot`` is the row of the lot; ``p80`` µm;
        ``part`` of the lot; ``tons`` dry, ``wet_tons``; mill ``hours`` with set-up;
        ``income``, avoidable ``cost`` and ``contribution``, $; the same by time of
        payment: ``spent`` at the start, ``charges`` and ``metal`` received later.
    crew_per_hour : float
        By `crew_per_hour`.
    """

    lots: pd.DataFrame
    table: pd.DataFrame
    crew_per_hour: float

    @property
    def names(self):
        """Name of each lot."""
        return list(self.lots["lot"])


def make_offers(plan_inputs, units, lots, grinds=()):
    """Evaluate every lot in every mode.

    Parameters
    ----------
    plan_inputs : mapping
        Of the workbook.
    units : {"us", "metric"}
    lots : pandas.DataFrame
        By `read_lots`.
    grinds : sequence of float
        Product sizes to try, P80 in µm. Default: the workbook's.

    Returns
    -------
    offers : Offers
    """
    rows, sizes, parts = _modes(plan_inputs, lots, grinds)
    inputs = lot_inputs(plan_inputs, lots, rows, sizes, parts)
    found = evaluate_lots(plan_inputs, units, inputs, lots, rows)
    wet = inputs["custom_wet_tons"]
    table = pd.DataFrame(
        {"lot": rows, "p80": sizes, "part": parts, "wet_tons": wet, **found}
    )
    return Offers(lots, table, crew_per_hour(plan_inputs, units))


def _modes(plan_inputs, lots, grinds):
    sizes = list(grinds) or [plan_inputs["product_p80"]]
    modes = [
        (row, size, part)
        for row in range(len(lots))
        for part in _parts(lots.loc[row])
        for size in _sizes(lots.loc[row], sizes)
    ]
    return (np.array(column) for column in zip(*modes, strict=True))


def _sizes(lot, sizes):
    return sizes if math.isnan(lot["p80"]) else [lot["p80"]]


def _parts(lot):
    if lot["split"] != YES:
        return (1.0,)
    least = 0 if math.isnan(lot["least_tons"]) else lot["least_tons"] / lot["wet_tons"]
    return tuple(part for part in PARTS if part >= least - 1e-9)


def lot_inputs(plan_inputs, lots, rows, sizes, parts):
    """Inputs of the model for given lots, as arrays.

    Parameters
    ----------
    plan_inputs : mapping
    lots : pandas.DataFrame
    rows : ndarray of int
        Row of the lot for each scenario.
    sizes, parts : ndarray
        Product size, and part of the lot.

    Returns
    -------
    inputs : dict of str to ndarray
    """
    lots = lots.loc[rows].reset_index(drop=True)
    found = {}
    for column in DIRECT:
        name = FIELDS[column].input
        found[name] = lots[column].fillna(plan_inputs[name]).to_numpy(float)
    between = np.sqrt(lots["pace_low"] * lots["pace_high"])
    pace = lots["pace"].fillna(between).to_numpy(float)
    index = lots["work_index"].to_numpy(float)
    found |= by_work_index(index, pace, plan_inputs)
    found["custom_wet_tons"] = found["custom_wet_tons"] * parts
    found["product_p80"] = np.asarray(sizes, float)
    kinds = _kinds(plan_inputs, lots)
    found["contract_kind"] = kinds
    for column, family in TERMS.items():
        for name, kind in zip(families()[family], KINDS, strict=True):
            entered = lots[column].notna() & (kinds == kind)
            if entered.any():
                found[name] = np.where(entered, lots[column], plan_inputs[name])
    recovery = lots["recovery"].fillna(plan_inputs["custom_recovery"])
    found["gravity_recovery"] = recovery.to_numpy(float)
    found["_recovery_p80"] = (
        lots["recovery_p80"].fillna(plan_inputs["product_p80"]).to_numpy(float)
    )
    return found


def by_work_index(index, pace, plan_inputs):
    """Inputs for the throughput of lots: measured, or else from the work index.

    Parameters
    ----------
    index, pace : ndarray
        Work index and relative throughput of each lot; NaN if not known.
    plan_inputs : mapping
        Defaults for lots with neither.

    Returns
    -------
    inputs : dict of str to ndarray
    """
    unknown = np.isnan(index)
    untimed = np.where(unknown, plan_inputs["custom_pace"], 0)
    return {
        "custom_pace": np.where(np.isnan(pace), untimed, pace),
        "custom_work_index": np.where(unknown, plan_inputs["custom_work_index"], index),
    }


def _kinds(plan_inputs, lots):
    kinds = lots["contract"].fillna(plan_inputs["contract_kind"])
    return kinds.replace(OWN_ORE, plan_inputs["contract_kind"]).to_numpy(str)


def season_costs(inputs, units):
    """Costs of the season that no lot causes.

    Parameters
    ----------
    inputs : mapping
    units : {"us", "metric"}

    Returns
    -------
    monthly, crew : float
        Costs paid by the month, and the pay of all staffed hours, $.
    """
    paid = [
        run({**inputs, "crew_paid_for": paid_for}, units, wanted="season_fixed_cost")
        for paid_for in INPUTS["crew_paid_for"].choices
    ]
    monthly, with_crew = (float(found["season_fixed_cost"]) for found in paid)
    return monthly, with_crew - monthly


def crew_per_hour(inputs, units):
    """Cost of the crew that one more mill hour causes, $.

    A crew paid for the whole season costs nothing more.
    """
    if inputs["crew_paid_for"] == WHOLE_SEASON:
        return 0.0
    found = run(inputs, units, wanted=(*CREW, "feed_rate"))
    return float(sum(found[name] for name in CREW) * found["feed_rate"])


def evaluate_lots(plan_inputs, units, inputs, lots, rows):
    """Hours, income and avoidable cost of given lots, by the model's lines.

    Parameters
    ----------
    plan_inputs : mapping
    units : {"us", "metric"}
    inputs : dict of str to ndarray
        By `lot_inputs`.
    lots : pandas.DataFrame
    rows : ndarray of int

    Returns
    -------
    found : dict of str to ndarray
    """
    inputs = dict(inputs)
    measured_at = inputs.pop("_recovery_p80")
    own = (lots["contract"] == OWN_ORE).to_numpy()[rows]
    mined = (lots["mined"] == YES).to_numpy()[rows]
    sold = {
        "recovery_source": "entered",
        "grade_source": "entered",
        "dilution": 0.0,
        "ore_grade": inputs["custom_grade"],
        "measured_p80": measured_at,
    }
    given = {**plan_inputs, **inputs}
    wanted = ("table_recovery", "net_return_per_ton")
    ore = _run({**given, **sold}, units, wanted, lots, rows)
    given.update(
        gravity_recovery=plan_inputs["gravity_recovery"],
        custom_recovery=ore["table_recovery"],
    )
    values = _run(given, units, (*LINES, *CREW), lots, rows)
    tons, hours = values["custom_tons"], values["custom_hours"]
    hourly = values["running_cost_per_ton"] - values["milling_ton_rate"]
    if plan_inputs["crew_paid_for"] == WHOLE_SEASON:
        hourly = hourly - sum(values[name] for name in CREW)
    per_ton = values["custom_ore_milling_ton_rate"]
    cost = tons * per_ton + hours * hourly * values["feed_rate"]
    cost = cost + plan_inputs["lot_assay_fee"]
    cost = cost + np.where(own & ~mined, tons * values["mine_cost_per_ton"], 0)
    income = np.where(own, tons * ore["net_return_per_ton"], values["agreed_income"])
    deposit = lots["deposit"].fillna(plan_inputs["deposit"]).to_numpy()[rows]
    return {
        **_cash_timing(given["contract_kind"], values, own, cost, income, deposit),
        "recovery": ore["table_recovery"],
        "tons": tons,
        "hours": hours,
        "income": income,
        "cost": cost,
        "contribution": income - cost,
    }


def _cash_timing(kind, values, own, cost, income, deposit):
    """Income and cost of given lots by time of payment.

    The price of bought ore counts at the start, before it is due. A deposit counts up
    to the charges: the rest is returned to the owner.
    """
    agreed = np.array(KINDS)[:, None] == kind
    charge, buys = (
        np.asarray(values[name]).reshape(len(KINDS), -1)
        for name in ("contract_charge", "terms_purchase")
    )
    charges = np.sum(agreed * charge, axis=0) + values["custom_penalties"]
    charges = np.where(own, 0.0, charges)
    bought = ~own & np.any(agreed & (buys == YES), axis=0)
    bought = np.where(bought, values["purchase_paid"], 0.0)
    metal = income - charges + bought
    paid = np.minimum(deposit, charges)
    # Metal worth less than its shipment costs cash.
    spent = cost + bought - paid - np.minimum(metal, 0.0)
    return {
        "spent": spent,
        "charges": charges - paid,
        "metal": np.maximum(metal, 0.0),
    }


def needed_charges(income, values):
    """Charge of each contract type at which each lot brings a given income.

    Parameters
    ----------
    income : ndarray
        Lots along the last axis.
    values : mapping of str to ndarray
        Of the lots, by `run`: the lines of `present` and those that `CHARGES` name.

    Returns
    -------
    charges : dict of str to ndarray
    """
    kinds = np.array(KINDS)[:, None]
    found = {}

    def by_kind(name):
        line, value = MODEL.lines.get(name), values[name]
        return value.reshape(len(kinds), -1) if line and line.over else value

    with np.errstate(all="ignore"):
        for name, _, kind, _, term, count in CHARGES:
            reads = (*present(kind), term, count)
            found[name] = of_kind(kind)(income, kinds, *map(by_kind, reads))
    return found


def _run(inputs, units, wanted, lots, rows):
    """Run the model for all scenarios; an error names the lot and its line."""
    try:
        return run(inputs, units, wanted=wanted)
    except BadValue:
        for at, row in enumerate(rows):
            one = {
                name: value[at] if np.ndim(value) else value
                for name, value in inputs.items()
            }
            try:
                run(one, units, wanted=wanted)
            except BadValue as error:
                place = f"Lot {lots.loc[row, 'lot']} ({place_of(lots, row)})"
                raise WorkbookError(f"{place}: {error}") from None
        raise
