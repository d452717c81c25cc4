"""Partners: agreed terms, and the shares that follow from contributions.

The owner's cash is called from and paid to the partners. Within a rank, payments are in
proportion to contributions over the plan, valued at the preferred return.
"""

import numpy as np

from ....trade import money
from ...line import Section

terms = Section("Partners", "What is agreed")
outcome = Section("Partners", "Result of each partner")
shares = Section("Partners", "Shares used")
totals = Section("Partners", "Totals")
picks = Section("Partners", "Workings: shares of each partner")
results = Section("Partners", "Workings: result of each partner")

RANKS = ("first", "second")

terms.entries(
    "partner_funding",
    "partner_in_kind",
    "partner_in_kind_month",
    "partner_rank",
    "partner_share",
    "partner_earn_in",
    "partner_carry",
    "partner_royalty",
)


def part_of(weight, total):
    """Share of a total; zero without one."""
    return np.where(total > 0, weight / total, 0)


@totals.line("Cash calls entered", "share")
def funding_total(partner_funding):
    """Shares of cash calls are taken in proportion; 0 without partners."""
    return np.sum(partner_funding, axis=0)


@shares.line("Share of cash calls used", "share", over="partner")
def funding_used(partner_funding, funding_total):
    """In proportion to the shares entered."""
    return part_of(partner_funding, funding_total)


@totals.line("Cash calls over the plan", "$")
def all_calls(partner_calls):
    """Negative owner's cash flow."""
    return np.sum(partner_calls, axis=0)


@totals.line("Cash calls at the preferred return", "$")
def valued_calls(partner_calls, preferred_factor):
    """Value at the start of month 1."""
    return np.sum(partner_calls * preferred_factor, axis=0)


@shares.line("Put in over the plan", "$", over="partner", total=True)
def put_in(funding_used, all_calls, partner_in_kind):
    """Cash calls and value in kind."""
    return funding_used * all_calls + partner_in_kind


@shares.line("Put in, at the preferred return", "$", over="partner")
def valued_put_in(
    funding_used,
    valued_calls,
    partner_in_kind,
    partner_in_kind_month,
    preferred_rate,
):
    """Value at the start of month 1; later money has earned less."""
    factor = money.discount_factor(preferred_rate, partner_in_kind_month)
    return funding_used * valued_calls + partner_in_kind * factor


for rank in RANKS:

    @totals.line(f"Cash calls of the {rank} rank", "share", name=f"funding_{rank}")
    def funding_of(partner_rank, funding_used, rank=rank):
        """Sum of its partners."""
        return np.sum((partner_rank == rank) * funding_used, axis=0)

    @totals.line(
        f"Put in by the {rank} rank, at the preferred return",
        "$",
        name=f"valued_{rank}",
    )
    def valued_of(partner_rank, valued_put_in, rank=rank):
        """Sum of its partners."""
        return np.sum((partner_rank == rank) * valued_put_in, axis=0)


@shares.line("Share of its rank", "share", over="partner")
def rank_share(partner_rank, valued_put_in, valued_first, valued_second):
    """By what was put in, at the preferred return."""
    total = np.where(partner_rank == "first", valued_first, valued_second)
    return part_of(valued_put_in, total)


@shares.line("Share of profit earned", "share", over="partner")
def share_earned(partner_share, put_in, partner_earn_in):
    """Zero if less was put in than the share takes to earn."""
    return np.where(put_in >= partner_earn_in, partner_share, 0)


@totals.line("Shares of profit earned", "share")
def earned_total(share_earned):
    """Sum of the partners."""
    return np.sum(share_earned, axis=0)


@shares.line("Share of profit used", "share", over="partner")
def profit_used(share_earned, earned_total, funding_used):
    """In proportion to the shares earned, else by cash calls."""
    return np.where(earned_total > 0, part_of(share_earned, earned_total), funding_used)


@totals.line("Shares of carried interest entered", "share")
def carry_total(partner_carry):
    """Sum of the partners."""
    return np.sum(partner_carry, axis=0)


@shares.line("Share of carried interest used", "share", over="partner")
def carry_used(partner_carry, carry_total, profit_used):
    """In proportion to the shares entered, else by shares of profit."""
    return np.where(carry_total > 0, part_of(partner_carry, carry_total), profit_used)


@totals.line("Preferred return per month", "share")
def preferred_rate(preferred_return, months_per_year):
    """Compounds to the yearly rate."""
    return 1 / money.discount_factor(preferred_return, 1 / months_per_year) - 1
