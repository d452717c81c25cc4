"""Inputs that a season needs but nobody entered, so that estimates are used."""

import numpy as np

from ..model.entries import estimated_charges, needed
from ..model.inputs import INPUTS
from ..model.jobs import CLAIM, CONTRACT, precedents
from .columns import YES
from .lots import CREW, FIELDS, LINES, OWN_ORE, TERMS

REPLACED = ("ore_grade", "dilution", "gravity_recovery")
"""Inputs that the lot's own figures replace."""
OF_OWN_ORE = ("net_return_per_ton", "mine_cost_per_ton")


def estimated_inputs(inputs, units, given, lots):
    """Inputs that these lots need and for which estimates are used.

    Parameters
    ----------
    inputs : mapping
        Of the workbook.
    units : {"us", "metric"}
    given : collection of str
        Inputs that the user entered.
    lots : pandas.DataFrame
        By `lots.read_lots`.

    Returns
    -------
    names : list of str
        Required inputs of a contract, those of a claim if own ore is milled, and
        charges of the lots' contract types.
    """
    known = {*given, *REPLACED, *_in_table(lots)}
    wanted = {
        name
        for job, lines in _lines_of(lots)
        for name in precedents(lines)[1] - known
        if needed(name, {**inputs, "job": job})
    }
    missing = [name for name in INPUTS if name in wanted]
    return [*missing, *_charges(inputs, units, lots)]


def _in_table(lots):
    """Inputs for which the table has a figure for every lot."""
    complete = [name for name in FIELDS if lots[name].notna().all()]
    kind = ["contract_kind"] * ("contract" in complete)
    return [*kind, *(FIELDS[name].input for name in complete)]


def _lines_of(lots):
    """Lines of the model that the lots are calculated by, with their job."""
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
