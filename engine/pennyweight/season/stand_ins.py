"""Figures that a season needs and that nobody entered: estimates stand in for them."""

import numpy as np

from ..model.entries import estimated_charges, needed
from ..model.inputs import INPUTS
from ..model.jobs import CLAIM, CONTRACT, precedents
from .columns import YES
from .lots import CREW, FIELDS, LINES, OWN_ORE, TERMS

SOLD = ("ore_grade", "dilution", "gravity_recovery")
"""Inputs that the lot's own figures replace."""
OF_OWN_ORE = ("net_return_per_ton", "mine_cost_per_ton")


def stand_ins(inputs, units, given, lots):
    """Inputs that these lots need and for which estimates stand in.

    Parameters
    ----------
    inputs : mapping
        Of the workbook.
    units : {"us", "metric"}
    given : collection of str
        Inputs for which there is the user's figure.
    lots : pandas.DataFrame
        By `lots.read_lots`.

    Returns
    -------
    names : list of str
        Must-haves of a contract, those of a claim where own ore is milled, and
        charges of the contract types of the lots.
    """
    known = {*given, *SOLD, *_told(lots)}
    wanted = {
        name
        for job, lines in _lines(lots)
        for name in precedents(lines)[1] - known
        if needed(name, {**inputs, "job": job})
    }
    found = [name for name in INPUTS if name in wanted]
    return [*found, *_charges(inputs, units, lots)]


def _told(lots):
    """Inputs of which the table has a figure for every lot."""
    whole = [name for name in FIELDS if lots[name].notna().all()]
    kind = ["contract_kind"] * ("contract" in whole)
    return [*kind, *(FIELDS[name].input for name in whole)]


def _lines(lots):
    """The lines that the lots are worked out by, with the job that they belong to."""
    yield CONTRACT, [n for n in (*LINES, *CREW) if n not in OF_OWN_ORE]
    own = lots[lots["contract"] == OWN_ORE]
    if len(own):
        mined = (own["mined"] == YES).all()
        yield CLAIM, OF_OWN_ORE[:1] if mined else OF_OWN_ORE


def _charges(inputs, units, lots):
    """Charges of the lots' contract types that are neither entered nor in the table."""
    columns = {family: column for column, family in TERMS.items()}
    kinds = lots["contract"].fillna(inputs["contract_kind"])
    for kind in kinds[kinds != OWN_ORE].unique():
        for name in estimated_charges({**inputs, "contract_kind": kind}, units):
            family, _, _ = name.rpartition("_")
            own = family in columns and lots.loc[kinds == kind, columns[family]].notna()
            if not np.all(own):
                yield name
