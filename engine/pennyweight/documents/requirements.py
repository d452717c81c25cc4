"""Requirements of papers: figures entered, assays complete, gold balance confirmed."""

import math

import numpy as np

from ..errors import CallError, WorkbookError
from ..model.inputs import INPUTS
from ..model.lines.settlement.weights import MILL_ALONE, NO_UMPIRE
from ..model.mill_model import MODEL
from ..workbook.layout import entry_place
from .dates import assay_due, day_after
from .lots import needed_figures
from .page import unit_of

LONGEST = 255
PARTS = 10_000
"""Parts of an ounce that papers show."""
OPTIONAL = ("settle_owner_assay", "settle_advances")
"""Figures of a lot that may be left out."""


def refuse_stand_ins(given, values):
    """Raise when the owner, the contract type or a figure of the lot is an estimate.

    Parameters
    ----------
    given : collection of str
        Inputs for which there is the user's figure.
    values : mapping
        As given by `run`.

    Raises
    ------
    WorkbookError
        Naming each cell that the settlement needs.
    """
    agreed = values["deposit"] > 0
    optional = OPTIONAL if agreed else (*OPTIONAL, "settle_deposit")
    wanted = [n for n in needed_figures(values) if n in INPUTS and n not in optional]
    need = "A statement needs the owner, the contract type and your figures of the lot"
    refuse_missing(("customer_name", "contract_kind", *wanted), given, need)


def refuse_missing(wanted, given, need):
    """Raise when one of the inputs wanted is not given, naming the cell of each."""
    missing = [name for name in wanted if name not in given]
    if missing:
        lines = (f"{entry_place(name)}, {INPUTS[name].label}" for name in missing)
        raise WorkbookError(f"{need}. These are not entered:\n  " + "\n  ".join(lines))


def refuse_unsettled(how, lot):
    """Raise when a lot needs an umpire's assay that it does not have.

    Parameters
    ----------
    how : str
        The line ``settle_how``.
    lot : str
        Its name, and where its umpire's assay is entered.
    """
    if str(how) == NO_UMPIRE:
        raise WorkbookError(
            f"{lot}: the assays of mill and owner differ by more than the splitting "
            "limit, and there is no umpire's assay. Enter it, then settle again."
        )


def refuse_before_assay_due(how, lot, weighed, dated, days):
    """Raise when a lot is settled while the owner may still report an assay.

    Parameters
    ----------
    how : str
        The line ``settle_how``.
    lot : str
        Its name, and where its owner's assay is entered.
    weighed, dated : str
        When the lot was weighed, and the date of the statement.
    days : float
        Days after weighing for the owner's assay; 0 without such a term.
    """
    if days <= 0 or str(how) != MILL_ALONE:
        return
    due, day = assay_due(weighed, days), day_after(dated)
    if due and day and day < day_after(due):
        raise WorkbookError(
            f"{lot}: the owner may report an assay until {due}, and none is entered; "
            f"the statement is dated {dated}. Enter the assay, settle after that day, "
            "or make a provisional statement."
        )


def unbalanced(values, names, units):
    """Lots whose gold balance is outside the tolerance, with the figures.

    In an ore purchase the assay is paid for, so the balance is not a condition.

    Parameters
    ----------
    values : mapping
        As given by `run`, for one lot or for several.
    names : sequence of str
        Of the lots.
    units : {"us", "metric"}

    Returns
    -------
    texts : dict of int to str
        By place of the lot.
    """
    if str(np.ravel(values["agreed_purchase"])[0]) == "yes":
        return {}
    each = [
        np.nan_to_num(_each(values[name], names), nan=-1.0).tolist()
        for name in ("settle_gap", "gap_band", "settle_found", "settle_gold_fed")
    ]
    ounces = unit_of("oz", units)
    return {
        at: f"{name}: gold found {found:,.4f} {ounces}, gold fed {fed:,.4f} {ounces}, "
        f"difference {gap:+.1%}, allowed {band:.1%} either way"
        for at, (name, gap, band, found, fed) in enumerate(
            zip(names, *each, strict=True)
        )
        if abs(gap) > band
    }


def _each(value, names):
    """A value for each lot."""
    return np.broadcast_to(value, len(names))


def _made_good(values, names):
    """Ounces of each lot that are missing, and that the mill makes good."""
    line = MODEL.lines["settle_missing"]
    missing = line.function(*(values[name] for name in line.parameters))
    return _each(missing, names), _each(values["settle_made_good"], names)


def _remedy(missing, made_good, ounces):
    """What is made good of missing gold, in words; empty if more was found than fed."""
    if not missing:
        return ""
    part = f"{made_good:,.4f} {ounces}" if made_good else "nothing"
    return f"; {missing:,.4f} {ounces} missing, of which the mill makes good {part}"


def refuse_made_good(values, names, units):
    """Raise when a mill makes good more gold than is missing.

    Parameters
    ----------
    values, names, units
        As for `unbalanced`.

    Raises
    ------
    WorkbookError
        Naming the lot, both weights, and the cell.
    """
    if str(np.ravel(values["agreed_purchase"])[0]) == "yes":
        return
    entry, ounces = INPUTS["settle_made_good"], unit_of("oz", units)
    place = f"{entry_place(entry.name)}; in a table of lots the column made_good"
    for name, missing, made_good in zip(names, *_made_good(values, names), strict=True):
        if made_good > missing:
            most = math.floor(missing * PARTS) / PARTS
            raise WorkbookError(
                f"{name}: {entry.label} ({place}) is {made_good:,.4f} {ounces}. It can "
                f"be at most {most:,.4f} {ounces}: gold fed less gold found, and "
                "nothing within the tolerance. Enter less, or 0."
            )


def refuse_unbalanced(values, names, units, confirmed):
    """Raise when a gold balance is outside the tolerance and not confirmed.

    Parameters
    ----------
    values, names, units
        As for `unbalanced`.
    confirmed : str
        Why the lots are paid all the same; empty if not confirmed.

    Returns
    -------
    note : str
        For the paper: which lots, by how much, and why; empty if all balance.

    Raises
    ------
    CallError
        For a reason that cannot be printed.
    WorkbookError
        Naming each lot and its figures.
    """
    if confirmed and not (confirmed.isprintable() and len(confirmed) <= LONGEST):
        raise CallError(
            "Give the reason to confirm the balance in one line of at most "
            f"{LONGEST} characters."
        )
    refuse_made_good(values, names, units)
    outside = unbalanced(values, names, units)
    if not outside:
        return ""
    if not confirmed.strip():
        raise WorkbookError(
            "The gold balance is outside the agreed tolerance, so nothing is settled."
            "\n  "
            + "\n  ".join(outside.values())
            + "\nCheck weights, units and assays. To pay all the same, settle again "
            'with --confirm-balance "reason" on the command line '
            '(confirm_balance="reason" in Python); the paper then names the reason. '
            "Enter who agreed on the cause, and when, and the missing gold that the "
            "mill makes good: Gold balance agreed on, Gold balance agreed by, Missing "
            "gold that the mill makes good."
        )
    pairs = [*zip(*_made_good(values, names), strict=True)]
    ounces = unit_of("oz", units)
    told = [f"{text}{_remedy(*pairs[at], ounces)}" for at, text in outside.items()]
    return (
        f"Gold balance outside the agreed tolerance: {'; '.join(told)}. Confirmed, "
        f"because: {confirmed.strip()}"
    )
