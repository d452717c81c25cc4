"""The account of a statement: amounts in cents as shown, and what they leave."""

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
"""The line of the odd cents."""
BOOKED = (*ACCOUNT, (ROUNDING, 1))


def booked(sign):
    """The function of one line of the account: its amount, rounded as it is shown."""

    def line(amount):
        cents = settlement.round_to_cents(amount)
        return cents if sign > 0 else 0 - cents

    return line


def rounding(signs):
    """The function of the line of the odd cents: net less the lines booked.

    Parameters
    ----------
    signs : sequence of {1, -1}
        Of the exact amounts; it takes these, then the lines as booked.
    """

    def line(*amounts):
        exact = zip(amounts, signs, strict=False)
        net = total(*(a if s > 0 else -a for a, s in exact))
        return total(net, *(-line for line in amounts[len(signs) :]))

    return line


def total(first, *others):
    """Sum of the amounts, without the noise of binary fractions below a cent."""
    return settlement.round_to_cents(add_up(first, *others))
