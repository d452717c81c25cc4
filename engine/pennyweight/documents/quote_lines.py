"""Lines that only a quote has, and its terms in words."""

import numpy as np

from ..model.units import shown


def lot_hours(custom_tons, milling_pace, set_up_hours):
    """At the pace expected."""
    return custom_tons / milling_pace + set_up_hours


def total_charge(contract_charge, custom_penalties):
    """Charge and penalties."""
    return contract_charge + custom_penalties


def says(owner_net):
    """Who pays whom; never by a sign alone."""
    return np.where(owner_net >= 0, "the mill pays you", "you owe the mill")


def net_per_ton(owner_net, custom_tons):
    """Before the owner's own cost."""
    return owner_net / custom_tons


def terms_in_words(value, term, units):
    """Say the terms of the kind agreed.

    Parameters
    ----------
    value, term : callable
        Give an input of the book, and a term of the kind agreed, under its name.
    units : {"us", "metric"}

    Yields
    ------
    sentence : str
    """
    if term("purchase") == "yes":
        yield (
            "The mill buys the ore on the assay settled on, and all metal, "
            "by-products and tailings are then its own. Paid "
            f"{value('purchase_days'):g} days after the assay is settled."
        )
    else:
        yield (
            f"The ore stays the owner's. Clean-up gold belongs to the "
            f"{value('cleanup_owner')}, middlings to the "
            f"{value('middlings_owner')}, tailings to the {value('tails_owner')}. "
            f"Charges are due {value('charge_days'):g} days after milling, metal "
            f"{value('refiner_days'):g} days."
        )
    least = value("least_lot_tons")
    if term("per_ton") > 0 and least > 0:
        yield f"Dry tons are charged for, at least {least:g} {shown('ton', units)}."
    if term("on_cost") == "yes":
        yield (
            "Milling is at the mill's cost plus a percentage: the rates below, for the "
            "tons and mill hours that the lot takes."
        )
    if value("deposit") > 0:
        yield (
            f"A deposit of ${value('deposit'):,.2f} is paid on delivery and counts "
            "toward the settlement."
        )
