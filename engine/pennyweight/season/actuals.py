"""Variance analysis: actuals against the plan, with the difference split by cause."""

import re
from functools import partial

import numpy as np
import pandas as pd

from ..errors import WorkbookError
from ..model.columns import Field, refuse_names
from ..model.figures import result_text
from ..model.lines.cost.components import components
from ..model.mill_model import MODEL
from ..model.run import run
from ..trade.settlement import round_to_cents
from .columns import NEEDED, checked_table, place_of

WHAT = "table of actuals"
MONTH = re.compile(r"\d{4}-(0[1-9]|1[0-2])")
LIKE_MONTH = re.compile(r"(\d{4})-(\d{1,2})(-\d{1,2}([ T][\d:.]+)?)?")
"""A month, or a date in it: spreadsheets turn 2026-05 into the first of May."""
OTHER_DATE = re.compile(
    r"(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*[ -]\d{2,4}"
    r"|\d{1,2}/\d{4}|\d{4}/\d{1,2}|\d{1,4}([/.])\d{1,2}\2\d{1,4}",
    re.IGNORECASE,
)
"""A month or date in another format. Taken as a lot, it would have no fixed cost."""
HOURS_OF_A_MONTH = 744.0
COSTS = components()
FIELDS = {
    "period": Field("Month or lot", "text", also=("month", "lot"), **NEEDED),
    "tons": Field("Dry ore milled", **NEEDED),
    "hours": Field("Mill hours", unit="hours", **NEEDED),
    "gold": Field("Gold produced", unit="oz", also=("gold_oz",), **NEEDED),
    "planned_hours": Field("Planned mill hours", unit="hours"),
    "head_grade": Field("Head assay", also=("grade",)),
    "tails_grade": Field("Tailings assay", also=("tails",)),
    "income": Field("Net return of the gold", least=-1e12),
    "kwh": Field("Energy used", unit="kWh"),
    "balls": Field("Balls used"),
    **{name: Field(MODEL.lines[f"{name}_per_ton"].label) for name in COSTS},
}
"""Columns of a table of actuals. Gold in fine troy ounces, head and tailings per dry
ton, costs in $ under the name or the label of their component."""
MEASURED = {"head_grade": ("Head assay", "ore_grade")}
"""Columns that stand for an input: label and input."""
PARTS = ("volume", "throughput", "grade", "recovery", "price", "usage", "rate")
"""Causes of a variance."""
PLAN = (
    *("feed_rate", "feed_grade", "planned_recovery", "furnace_recovery"),
    *("net_return_per_ton", "hours_per_month", "availability", "grade_per_ounce"),
    *("energy_per_ton", "ball_make_up", "ball_price", "tons_per_month"),
    *("measured_at_grind", "tailings"),
)


def read_actuals(table, units):
    """Read a table of actuals, and check its columns and periods.

    Parameters
    ----------
    table : pandas.DataFrame
    units : {"us", "metric"}

    Returns
    -------
    actuals : pandas.DataFrame

    Raises
    ------
    CallError, WorkbookError
        Naming line and column.
    """
    actuals = checked_table(table, FIELDS, units, WHAT)
    actuals["period"] = [
        _month(name, place_of(actuals, row, "period"))
        for row, name in enumerate(actuals["period"])
    ]
    names = actuals["period"]
    refuse_names(names, partial(place_of, actuals, column="period"))
    for row, name in enumerate(names):
        if MONTH.fullmatch(name) and actuals.loc[row, "hours"] > HOURS_OF_A_MONTH:
            raise WorkbookError(
                f"Mill hours ({place_of(actuals, row, 'hours')}): "
                f"{actuals.loc[row, 'hours']:g} hours are more than a month has, "
                f"{HOURS_OF_A_MONTH:g}."
            )
        _refuse_half_idle(actuals, row)
    return actuals


def _refuse_half_idle(actuals, row):
    """Ore has hours; gold without ore is of other months; a lot has ore."""
    name, tons, hours, gold = actuals.loc[row, ["period", "tons", "hours", "gold"]]
    if tons > 0 and not hours:
        field, why = "hours", f"0 hours for {tons:g} dry tons. Enter the mill hours"
    elif not tons and gold:
        field = "gold"
        why = f"{gold:g} oz from 0 tons. Enter this gold in the month of its ore"
    elif not tons and not MONTH.fullmatch(name):
        field, why = "tons", "a lot of 0 tons. Leave it out: only a month may be idle"
    else:
        return
    place = place_of(actuals, row, field)
    raise WorkbookError(f"{FIELDS[field].label} ({place}): {why}.")


def _month(name, place):
    """A month, or a date in it, as year-month; the name of a lot unchanged."""
    found = LIKE_MONTH.fullmatch(name)
    if not found and not OTHER_DATE.fullmatch(name):
        return name
    if not found or not 1 <= int(found[2]) <= 12:
        raise WorkbookError(
            f"Month or lot ({place}): {name!r} is not a month as year-month, for "
            "example 2026-05. Write it so, or name a lot in other words."
        )
    return f"{found[1]}-{int(found[2]):02}"


def all_months(actuals):
    """Whether every row is a month, and none a lot."""
    return all(map(MONTH.fullmatch, actuals["period"]))


def in_order(actuals):
    """Sort months by date. Lots, and months among lots, keep their order."""
    if all_months(actuals):
        return actuals.sort_values("period", ignore_index=True)
    return actuals


def refuse_found_gold(actuals, plan, units):
    """Refuse a row whose gold or tailings assay is above what its head assay allows."""
    found = metal(actuals, plan)["recovery"]
    for row in np.flatnonzero(actuals["head_grade"].notna() & (found >= 1)):
        raise WorkbookError(
            f"Gold produced ({place_of(actuals, row, 'gold')}): "
            f"{actuals.loc[row, 'gold']:g} oz are more than the feed held by its head "
            f"assay, {actuals.loc[row, 'gold'] / found[row]:.4g} oz. Correct one of "
            "them."
        )
    richer = actuals["tails_grade"] >= actuals["head_grade"]
    for row in np.flatnonzero(richer):
        head, tails = (
            result_text(actuals.loc[row, name], MODEL.lines["feed_grade"].unit, units)
            for name in ("head_grade", "tails_grade")
        )
        raise WorkbookError(
            f"Tailings assay ({place_of(actuals, row, 'tails_grade')}): {tails} is not "
            f"below the head assay, {head}. Correct one of them."
        )


def plan_figures(inputs, units):
    """Figures of the plan to compare with actuals, by the model's lines.

    Parameters
    ----------
    inputs : mapping
    units : {"us", "metric"}

    Returns
    -------
    plan : dict of str to float
    """
    lines = [name for name in PLAN if name in MODEL.lines]
    values = run(inputs, units, wanted=(*lines, *COSTS))
    plan = {name: float(values[name]) for name in (*PLAN, *COSTS)}
    plan["ounces_per_ton"] = plan["feed_grade"] / plan["grade_per_ounce"]
    plan["yield"] = plan["planned_recovery"] * plan["furnace_recovery"]
    produced = plan["ounces_per_ton"] * plan["yield"]
    plan["price"] = plan["net_return_per_ton"] / produced if produced else 0.0
    return plan


def metal(actuals, plan):
    """Grade and recovery of each row, as measured.

    Without a head assay, the head is calculated from gold and tailings. Without either,
    the planned grade is used, and the difference counts as recovery.

    Parameters
    ----------
    actuals : pandas.DataFrame
    plan : dict

    Returns
    -------
    frame : pandas.DataFrame
        ``head`` in oz/ton, ``measured`` (whether an assay is known), ``yield``,
        ``recovery``, and ``called``: mill call factor, gold accounted for over gold
        called for.
    """
    per_ounce = plan["grade_per_ounce"]
    tons, gold = actuals["tons"], actuals["gold"]
    caught = gold / plan["furnace_recovery"]
    assay = actuals["head_grade"] / per_ounce
    tailings = tons * plan["tailings"]
    accounted = caught + actuals["tails_grade"] / per_ounce * tailings
    head = assay.fillna(accounted / tons).fillna(plan["ounces_per_ton"])
    fed = (head * tons).where(head > 0)
    return pd.DataFrame(
        {
            "head": head,
            "measured": actuals["head_grade"].notna() | actuals["tails_grade"].notna(),
            "yield": (gold / fed).fillna(0.0),
            "recovery": caught / fed,
            "called": accounted / (assay * tons),
        }
    )


def variances(actuals, plan):
    """Split the variance of each row into its causes.

    Parameters
    ----------
    actuals : pandas.DataFrame
        By `read_actuals`.
    plan : dict
        By `plan_figures`.

    Returns
    -------
    frame : pandas.DataFrame
        A row for each month or lot: ``planned`` and ``actual`` contribution, and the
        `PARTS`, rounded to cents; planned and parts add up to actual.
    """
    found = metal(actuals, plan)
    tons, hours = actuals["tons"].to_numpy(), actuals["hours"].to_numpy()
    tons0, hours0 = _planned(actuals, plan)
    pace0 = plan["feed_rate"]
    parts = {name: np.zeros(len(actuals)) for name in PARTS}
    ounce = plan["ounces_per_ton"] * plan["yield"] * plan["price"]
    parts["volume"] += (hours - hours0) * pace0 * ounce
    parts["throughput"] += (tons - hours * pace0) * ounce
    head, gold = found["head"].to_numpy(), actuals["gold"].to_numpy()
    at_plan = plan["yield"] * plan["price"]
    parts["grade"] += tons * (head - plan["ounces_per_ton"]) * at_plan
    parts["recovery"] += (gold - tons * head * plan["yield"]) * plan["price"]
    sold = actuals["income"].to_numpy()
    parts["price"] += np.where(np.isnan(sold), 0.0, sold - gold * plan["price"])
    planned = tons0 * ounce
    for name in COSTS:
        planned = planned - _cost(name, actuals, plan, hours0, tons0, parts)
    rows = {"planned": planned, **parts}
    return _in_cents(actuals["period"], rows)


def _planned(actuals, plan):
    """Planned tons and hours: those of a month, or those that a lot's tons need."""
    of_ore = actuals["tons"] / plan["feed_rate"]
    usual = np.where(are_months(actuals), plan["hours_per_month"], of_ore)
    hours = actuals["planned_hours"].fillna(pd.Series(usual)).to_numpy(float)
    return hours * plan["feed_rate"], hours


def _cost(name, actuals, plan, hours0, tons0, parts):
    """Planned cost of one component; adds its variances to the parts."""
    rate, basis = plan[name], MODEL.lines[name].paid_by
    tons, hours = actuals["tons"].to_numpy(), actuals["hours"].to_numpy()
    if basis == "ton":
        planned, flexed = rate * tons0, rate * tons
        parts["volume"] -= rate * plan["feed_rate"] * (hours - hours0)
        parts["throughput"] -= rate * (tons - plan["feed_rate"] * hours)
    elif basis in ("hour", "staffed hour"):
        rate = rate / (plan["availability"] if basis == "staffed hour" else 1.0)
        planned, flexed = rate * hours0, rate * hours
        parts["volume"] -= flexed - planned
    else:
        planned = flexed = np.where(are_months(actuals), rate, 0.0)
    actual = actuals[name].to_numpy()
    usage = _usage(name, actuals, plan, flexed)
    actual = np.where(np.isnan(actual), flexed + usage, actual)
    parts["usage"] -= usage
    parts["rate"] -= actual - flexed - usage
    return planned


def are_months(actuals):
    """Whether a row is a month; a lot has no monthly costs."""
    return actuals["period"].str.fullmatch(MONTH.pattern)


USED = {
    # component: quantity used, and the plan's quantity per ton
    "cost_of_energy": ("kwh", "energy_per_ton"),
    "cost_of_balls": ("balls", "ball_make_up"),
}


def _usage(name, actuals, plan, flexed):
    """Usage variance: quantity above that planned for the tons, at the plan's rate."""
    if name not in USED or not plan[name]:
        return np.zeros(len(actuals))
    column, per_ton = USED[name]
    used = actuals[column].to_numpy()
    standard = plan[per_ton] * actuals["tons"].to_numpy()
    with np.errstate(divide="ignore", invalid="ignore"):
        more = np.where(standard > 0, used / standard - 1, np.nan)
    return np.where(np.isnan(more), 0.0, more * flexed)


def _in_cents(periods, rows):
    """Round to cents cumulatively, so that each row and its total add up."""
    frame = pd.DataFrame(rows)
    exact = frame.to_numpy()
    sums = np.asarray(round_to_cents(np.cumsum(exact, axis=1)))
    cents = np.diff(sums, axis=1, prepend=0.0)
    frame = pd.DataFrame(np.round(cents, 2), columns=frame.columns)
    frame["actual"] = np.round(sums[:, -1], 2)
    frame.insert(0, "period", list(periods))
    total = {"period": "to date", **frame.drop(columns="period").sum().round(2)}
    return pd.concat([frame, pd.DataFrame([total])], ignore_index=True)
