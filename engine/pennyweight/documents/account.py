"""The account of a statement: amounts in cents that add up as printed."""

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


def printed(signs):
    """The function of one line of the account, by what stands above it.

    Parameters
    ----------
    signs : sequence of {1, -1}
        Of the lines above, and its own.
    """
    count = len(signs)

    def line(*amounts):
        signed = [a if s > 0 else -a for a, s in zip(amounts, signs, strict=False)]
        before = add_up(*signed[:-1]) if count > 1 else 0.0
        return settlement.cumulative_rounding(before, signed[-1])

    return line


def total(first, *others):
    """Sum of the amounts, without the noise of binary fractions below a cent."""
    return settlement.round_to_cents(add_up(first, *others))
