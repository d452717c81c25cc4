"""Account of a statement: amounts in whole cents, and their sum."""

from ..model.line import add_up
from ..trade import settlement

ACCOUNT = (
    # line or input, sign
    ("settle_metal", 1),
    ("settle_made_good_paid", 1),
    ("settle_charge", -1),
    ("settle_escalation", -1),
    ("settle_penalties", -1),
    ("settle_shipment", -1),
    ("settle_umpire_fee", -1),
    ("settle_deposit", 1),
    ("settle_advances", -1),
    ("settle_provisional", -1),
)


def booked(sign):
    """The function of one line of the account: its amount as it is shown."""

    def line(amount):
        cents = settlement.round_to_cents(amount)
        return cents if sign > 0 else 0 - cents

    return line


def total(first, *others):
    """Sum of the amounts in whole cents."""
    return settlement.round_to_cents(add_up(first, *others))
