"""The account of a statement: cents that add up as printed."""

from ..model.line import add_up
from ..trade import settlement

ACCOUNT = (
    # line, words, sign
    ("settle_metal", "Metal", 1),
    ("settle_charge", "Milling charge", -1),
    ("settle_penalties", "Penalties", -1),
    ("settle_shipment", "Shipment", -1),
    ("settle_umpire_fee", "Umpire", -1),
    ("deposit", "Deposit paid on delivery", 1),
    ("settle_advances", "Advances received", -1),
)


def printed(count):
    """The function of one line of the account: the exact ones before, and its own."""

    def line(*amounts):
        signed = [
            amount if sign > 0 else -amount
            for amount, (_, _, sign) in zip(amounts, ACCOUNT, strict=False)
        ]
        before = add_up(*signed[:-1]) if count > 1 else 0.0
        return settlement.printed_amount(before, signed[-1])

    return line


def total(first, *others):
    """Sum of the amounts, free of the noise of binary fractions below a cent."""
    return settlement.whole_cents(add_up(first, *others))
