"""The waterfall: in which order the owner's cash goes to the partners.

Capital comes back first, the first rank before the second, each with its preferred
return; then the carried interest catches up, and the rest is split.
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


left = "to_share"
for rank in RANKS:
    words = f", {rank} rank"

    @pool.monthly(
        f"Value put in kind{words}",
        "$",
        total=True,
        name=f"given_{rank}",
        reads=("partner_in_kind_month", "month", "partner_rank", "partner_in_kind"),
    )
    def given(at, month, ranks, in_kind, rank=rank):
        """Equipment, ore or work of the month."""
        return np.sum((at == month) * ((ranks == rank) * in_kind), axis=0)

    @pool.monthly(
        f"Value put in{words}",
        "$",
        total=True,
        name=f"contributed_{rank}",
        reads=("partner_calls", f"funding_{rank}", f"given_{rank}"),
    )
    def contributed(calls, funding, given):
        """Cash and value in kind."""
        return calls * funding + given

    @pool.monthly(
        f"Capital paid back{words}",
        "$",
        total=True,
        name=f"returned_{rank}",
        reads=(left, f"opening_capital_{rank}"),
    )
    def returned(left, capital):
        """As far as the cash goes."""
        return np.minimum(left, capital)

    @pool.monthly(
        f"Capital not paid back{words}",
        "$",
        name=f"closing_capital_{rank}",
        reads=(f"opening_capital_{rank}", f"contributed_{rank}", f"returned_{rank}"),
    )
    def capital(before, put_in, returned):
        """End of month."""
        return before - returned + put_in

    @pool.monthly(
        f"Preferred return owed{words}",
        "$",
        total=True,
        name=f"preferred_owed_{rank}",
        reads=(
            f"opening_preferred_{rank}",
            f"opening_capital_{rank}",
            "preferred_rate",
        ),
    )
    def preferred_owed(before, capital, rate):
        """Compounds on capital and return not paid."""
        return before + (before + capital) * rate

    @pool.monthly(
        f"Preferred return paid{words}",
        "$",
        total=True,
        name=f"preferred_paid_{rank}",
        reads=(left, f"returned_{rank}", f"preferred_owed_{rank}"),
    )
    def preferred_paid(left, returned, owed):
        """After the capital, as far as the cash goes."""
        return np.minimum(left - returned, owed)

    @pool.monthly(
        f"Preferred return not paid{words}",
        "$",
        name=f"closing_preferred_{rank}",
        reads=(f"preferred_owed_{rank}", f"preferred_paid_{rank}"),
    )
    def preferred(owed, paid):
        """End of month."""
        return owed - paid

    @pool.monthly(
        f"Cash left{words}",
        "$",
        name=f"left_after_{rank}",
        reads=(left, f"returned_{rank}", f"preferred_paid_{rank}"),
    )
    def left_over(left, returned, paid):
        """After capital and preferred return."""
        return left - returned - paid

    left = f"left_after_{rank}"


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
