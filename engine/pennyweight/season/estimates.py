"""Inputs that a season needs but nobody entered, so that estimates are used."""

import numpy as np

from ..model.entries import estimated_charges, needed
from ..model.inputs import INPUTS, families
from ..model.jobs import CLAIM, CONTRACT, precedents
from .columns import YES
from .lots import CREW, FIELDS, KINDS, LINES, OWN_ORE, TERMS

REPLACED = ("ore_grade", "dilution", "gravity_recovery")
"""Inputs that the lot's own figures replace."""
CHARGES = "Contract: charges and penalties"
"""Section of the inputs."""
PER_LOT = ("set_up_charge", "assay_charge")
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
    customers = lots[lots["contract"] != OWN_ORE]
    rates, others = _rates(inputs, units, customers), _others(inputs, customers)
    return [*missing, *rates, *(name for name in others if name not in known)]


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


def _rates(inputs, units, lots):
    """Charges of the lots' contract types that are neither entered nor in the table."""
    columns = {family: column for column, family in TERMS.items()}
    kinds = lots["contract"].fillna(inputs["contract_kind"])
    for kind in kinds.unique():
        for name in estimated_charges({**inputs, "contract_kind": kind}, units):
            family, _, _ = name.rpartition("_")
            own = family in columns and lots.loc[kinds == kind, columns[family]].notna()
            if not np.all(own):
                yield name


def _others(inputs, lots):
    """Other charges and penalties that customers' lots may bear, above 0."""
    if not len(lots):
        return []
    billed = zip(KINDS, families()["terms_lot_charged"], strict=True)
    kinds = lots["contract"].fillna(inputs["contract_kind"])
    per_lot = any(inputs[name] == YES for kind, name in billed if kind in set(kinds))
    read = precedents(LINES)[1] - {*(() if per_lot else PER_LOT)}
    charges = [name for name in INPUTS if name in read and _is_charge(INPUTS[name])]
    return [name for name in charges if inputs[name] > 0]


def _is_charge(entry):
    return entry.section == CHARGES and entry.unit.startswith("$")
