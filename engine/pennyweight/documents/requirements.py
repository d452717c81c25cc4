"""Requirements of papers: figures entered, assays complete, gold balance confirmed."""

import numpy as np

from ..errors import CallError, WorkbookError
from ..model.inputs import INPUTS
from ..model.lines.settlement.weights import MILL_ALONE, NO_UMPIRE
from ..workbook.layout import entry_place
from .dates import assay_due, day_after
from .lots import needed_figures
from .page import unit_of

LONGEST = 255
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
        np.broadcast_to(np.nan_to_num(values[name], nan=-1.0), len(names)).tolist()
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
    outside = [*unbalanced(values, names, units).values()]
    if not outside:
        return ""
    if not confirmed.strip():
        raise WorkbookError(
            "The gold balance is outside the agreed tolerance, so nothing is paid.\n  "
            + "\n  ".join(outside)
            + "\nCheck weights, units and assays. To pay all the same, settle again "
            'with --confirm-balance "reason" on the command line '
            '(confirm_balance="reason" in Python); the paper then names the reason. '
            "Enter who agreed on the cause, and when: Gold balance agreed on, Gold "
            "balance agreed by."
        )
    return (
        "Gold balance outside the agreed tolerance: "
        f"{'; '.join(outside)}. Confirmed, because: {confirmed.strip()}"
    )
