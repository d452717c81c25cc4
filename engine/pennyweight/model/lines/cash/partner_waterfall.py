"""Distribution waterfall: the order in which the partners are paid.

Capital is returned first, with its preferred return, the first rank before the second.
Then the carried interest catches up, and the rest is split.
"""

import numpy as np

from ....trade import money, partners
from ...line import Section
from .partners import RANKS

pool = Section("Cash flow", "Partners: waterfall")


@pool.monthly("Preferred return factor")
def preferred_factor(preferred_rate, month):
    """Value at the start of month 1 of $1 at the end of this month."""
    return money.discount_factor(preferred_rate, month)


@pool.monthly("Cash called", "$", total=True)
def partner_calls(owner_cash, funding_total):
    """Negative owner's cash flow; zero without partners."""
    return np.where(funding_total > 0, np.maximum(0 - owner_cash, 0), 0)


@pool.monthly("Cash to share", "$", total=True)
def to_share(owner_cash, funding_total):
    """Positive owner's cash flow; zero without partners."""
    return np.where(funding_total > 0, np.maximum(owner_cash, 0), 0)


OF_RANK = (
    *("funding", "given", "contributed", "returned", "left_after"),
    *("opening_capital", "closing_capital", "preferred_owed", "preferred_paid"),
    *("opening_preferred", "closing_preferred"),
)
"""Lines of each rank, named with its suffix."""


def enter(rank, left):
    """Enter the lines of a rank, from the cash left by the ranks before."""

    def own(name):
        if name == "left":
            return left
        return f"{name}_{rank}" if name in OF_RANK else name

    def line(label, **options):
        return pool.monthly(f"{label}, {rank} rank", unit="$", rename=own, **options)

    @line("Value put in kind", total=True)
    def given(partner_in_kind_month, month, partner_rank, partner_in_kind, chosen=rank):
        """Equipment, ore or work of the month."""
        in_kind = (partner_rank == chosen) * partner_in_kind
        return np.sum((partner_in_kind_month == month) * in_kind, axis=0)

    @line("Value put in", total=True)
    def contributed(partner_calls, funding, given):
        """Cash and value in kind."""
        return partner_calls * funding + given

    @line("Capital paid back", total=True)
    def returned(left, opening_capital):
        """As far as the cash goes."""
        return np.minimum(left, opening_capital)

    @line("Capital not paid back")
    def closing_capital(opening_capital, contributed, returned):
        """End of month."""
        return opening_capital - returned + contributed

    @line("Preferred return owed", total=True)
    def preferred_owed(opening_preferred, opening_capital, preferred_rate):
        """Compounds on capital and return not paid."""
        earning = opening_preferred + opening_capital
        return opening_preferred + earning * preferred_rate

    @line("Preferred return paid", total=True)
    def preferred_paid(left, returned, preferred_owed):
        """After the capital, as far as the cash goes."""
        return np.minimum(left - returned, preferred_owed)

    @line("Preferred return not paid")
    def closing_preferred(preferred_owed, preferred_paid):
        """End of month."""
        return preferred_owed - preferred_paid

    @line("Cash left")
    def left_after(left, returned, preferred_paid):
        """After capital and preferred return."""
        return left - returned - preferred_paid

    return own("left_after")


left = "to_share"
for rank in RANKS:
    left = enter(rank, left)


@pool.monthly("Catch-up paid", "$", total=True)
def catch_up_paid(left_after_second, opening_catch_up, catch_up_new):
    """To carried interest and partners, by the catch-up share."""
    return np.minimum(left_after_second, opening_catch_up + catch_up_new)


@pool.monthly("Catch-up due on the month's preferred return", "$")
def catch_up_new(
    preferred_paid_first, preferred_paid_second, carried_interest, catch_up_share
):
    """Brings the carried interest to its share of profit."""
    paid = preferred_paid_first + preferred_paid_second
    return partners.catch_up(paid, carried_interest, catch_up_share)


@pool.monthly("Catch-up not paid", "$")
def closing_catch_up(opening_catch_up, catch_up_new, catch_up_paid):
    """End of month."""
    return opening_catch_up + catch_up_new - catch_up_paid


@pool.monthly("Carried interest", "$", total=True)
def carry_paid(left_after_second, catch_up_paid, carried_interest, catch_up_share):
    """From the catch-up, and its share of the rest."""
    rest = left_after_second - catch_up_paid
    return catch_up_share * catch_up_paid + carried_interest * rest


@pool.monthly("Profit split", "$", total=True)
def profit_split(left_after_second, carry_paid):
    """All that is left, by the shares of profit."""
    return left_after_second - carry_paid
