"""Account of a statement: amounts rounded to cents, and the rounding difference."""

from ..model.line import add_up
from ..trade import settlement

ACCOUNT = (
    # line or input, sign
    ("settle_metal", 1),
    ("settle_charge", -1),
    ("settle_escalation", -1),
    ("settle_penalties", -1),
    ("settle_shipment", -1),
    ("settle_umpire_fee", -1),
    ("deposit", 1),
    ("settle_advances", -1),
    ("settle_provisional", -1),
)


ROUNDING = "rounding"
"""The line of the rounding difference."""
BOOKED = (*ACCOUNT, (ROUNDING, 1))


def booked(sign):
    """The function of one line of the account: its amount, rounded to cents."""

    def line(amount):
        cents = settlement.round_to_cents(amount)
        return cents if sign > 0 else 0 - cents

    return line


def rounding(signs):
    """The function of the rounding difference: exact net less the rounded lines.

    Parameters
    ----------
    signs : sequence of {1, -1}
        Signs of the amounts. The function takes the exact amounts, then the rounded
        lines.
    """

    def line(*amounts):
        exact = zip(amounts, signs, strict=False)
        net = total(*(a if s > 0 else -a for a, s in exact))
        return total(net, *(-line for line in amounts[len(signs) :]))

    return line


def total(first, *others):
    """Sum of the amounts in whole cents."""
    return settlement.round_to_cents(add_up(first, *others))
