"""A ledger's file and balance in one call."""

from pennyweight.documents.ledger import Ledger


def ledger(inputs, units, lots, confirmed=""):
    """Give the bytes of the ledger, and what the mill owes after the last lot."""
    made = Ledger(inputs, units, lots, confirmed)
    return made.content(), sum(made.owed.values())
