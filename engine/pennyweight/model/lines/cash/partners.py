"""Partners: what each puts in, and what the waterfall pays to each.

The owner's cash is called from and paid to the partners. Capital comes back first, the
first rank before the second, each with its preferred return; then the carried interest
catches up, and the rest is split. Within a rank all is paid in proportion to what each
puts in over the plan, valued at the preferred return.
"""

import numpy as np

from ....trade import money, partners
from ...axes import PARTNER
from ...line import Section

terms = Section("Partners", "What is agreed")
outcome = Section("Partners", "Result of each partner")
shares = Section("Partners", "Shares used")
totals = Section("Partners", "Totals")
picks = Section("Partners", "Workings: shares of each partner")
results = Section("Partners", "Workings: result of each partner")
pool = Section("Cash flow", "Partners: waterfall")
each = Section("Cash flow", "Partners: flow of each")

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

    @totals.line(
        f"Cash calls of the {rank} rank",
        "share",
        name=f"funding_{rank}",
        reads=("partner_rank", "funding_used"),
    )
    def funding_of(partner_rank, funding_used, rank=rank):
        """Sum of its partners."""
        return np.sum((partner_rank == rank) * funding_used, axis=0)

    @totals.line(
        f"Put in by the {rank} rank, at the preferred return",
        "$",
        name=f"valued_{rank}",
        reads=("partner_rank", "valued_put_in"),
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
    """In proportion to the shares earned; by cash calls if none is."""
    return np.where(earned_total > 0, part_of(share_earned, earned_total), funding_used)


@totals.line("Shares of carried interest entered", "share")
def carry_total(partner_carry):
    """Sum of the partners."""
    return np.sum(partner_carry, axis=0)


@shares.line("Share of carried interest used", "share", over="partner")
def carry_used(partner_carry, carry_total, profit_used):
    """In proportion to the shares entered; by profit if there is none."""
    return np.where(carry_total > 0, part_of(partner_carry, carry_total), profit_used)


@totals.line("Preferred return per month", "share")
def preferred_rate(preferred_return, months_per_year):
    """Compounds to the yearly rate."""
    return 1 / money.discount_factor(preferred_return, 1 / months_per_year) - 1


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


def flow(
    calls,
    funding,
    month,
    in_kind_month,
    in_kind,
    rank,
    rank_share,
    returned_first,
    preferred_first,
    returned_second,
    preferred_second,
    carry_paid,
    carry_used,
    profit_split,
    profit_used,
    royalty,
    royalty_share,
):
    """Cash and value in kind put in, negative; cash got, positive."""
    first = returned_first + preferred_first
    second = returned_second + preferred_second
    back = rank_share * np.where(rank == "first", first, second)
    profit = carry_paid * carry_used + profit_split * profit_used
    put_in = calls * funding + np.where(month == in_kind_month, in_kind, 0)
    return back + profit + royalty * royalty_share - put_in


USED = {
    "funding_used": "Cash calls",
    "rank_share": "Rank",
    "carry_used": "Carried interest",
    "profit_used": "Profit",
}
"""Shares that the flow of a partner reads."""

for place, letter in enumerate(PARTNER.values, 1):
    name, own = f"partner_{letter.lower()}", f"{place:02d}"
    for used, label in USED.items():

        @picks.line(
            f"{label}, partner {letter}",
            "share",
            name=f"{used}_{own}",
            reads=("partner", used),
        )
        def picked(axis, row, letter=letter):
            """From the table above."""
            return np.sum((axis == letter) * row, axis=0)

    each.monthly(
        f"Flow of partner {letter}",
        "$",
        total=True,
        name=f"{name}_flow",
        reads=(
            "partner_calls",
            f"funding_used_{own}",
            "month",
            f"partner_in_kind_month_{own}",
            f"partner_in_kind_{own}",
            f"partner_rank_{own}",
            f"rank_share_{own}",
            "returned_first",
            "preferred_paid_first",
            "returned_second",
            "preferred_paid_second",
            "carry_paid",
            f"carry_used_{own}",
            "profit_split",
            f"profit_used_{own}",
            "royalty",
            f"partner_royalty_{own}",
        ),
        note="Put in negative, cash got positive; value in kind included.",
    )(flow)

    @each.monthly(
        f"Cumulative flow of partner {letter}",
        "$",
        name=f"closing_{name}",
        reads=(f"opening_{name}", f"{name}_flow"),
    )
    def cumulative(before, flow):
        """Its lowest value is the money at risk."""
        return before + flow

    each.monthly(
        f"Month with negative cumulative flow of partner {letter}",
        "month",
        name=f"{name}_red_month",
        reads=(f"closing_{name}", "month"),
        note="Month number; -1 if not negative.",
    )(money.negative_period)

    @results.line(
        f"Partner {letter}: cash over the plan",
        "$",
        name=f"{name}_cash",
        reads=(f"{name}_flow",),
    )
    def cash(flow):
        """Undiscounted."""
        return np.sum(flow, axis=0)

    @results.line(
        f"Partner {letter}: net present value",
        "$",
        name=f"{name}_value",
        reads=(f"{name}_flow", "discount_factor"),
    )
    def value(flow, factor):
        """At the discount rate."""
        return np.sum(flow * factor, axis=0)

    @results.line(
        f"Partner {letter}: internal rate of return (IRR)",
        "1/year",
        name=f"{name}_rate",
        reads=(f"crossings_{name}", f"last_middle_{name}"),
    )
    def rate(crossings, middle):
        """Per year; n/a unless there is exactly one IRR."""
        return np.where(crossings == 1, middle, np.nan)

    @results.line(
        f"Partner {letter}: money at risk",
        "$",
        name=f"{name}_at_risk",
        reads=(f"closing_{name}",),
    )
    def at_risk(cumulative):
        """Most that the partner has put in and not got back."""
        return np.maximum(0 - np.min(cumulative, axis=0), 0)

    @results.line(
        f"Partner {letter}: payback month",
        "month",
        name=f"{name}_payback",
        reads=(f"{name}_red_month", "plan_months", f"{name}_at_risk"),
    )
    def payback(red, plan_months, at_risk):
        """Cumulative flow stays positive from here; n/a if never."""
        back = np.logical_and(at_risk > 0, np.max(red, axis=0) < plan_months)
        return np.where(back, np.max(red, axis=0) + 1, np.nan)


for ending, label, unit in (
    ("cash", "Cash over the plan", "$"),
    ("value", "Net present value", "$"),
    ("rate", "Internal rate of return (IRR)", "1/year"),
    ("at_risk", "Money at risk", "$"),
    ("payback", "Payback month", "month"),
):
    outcome.gather(
        f"partner_{ending}",
        label,
        unit,
        "partner",
        tuple(f"partner_{letter.lower()}_{ending}" for letter in PARTNER.values),
        note="After tax and loan; value in kind counts as put in.",
    )
totals.total(
    "partners_cash",
    "Flow of all partners over the plan",
    "$",
    tuple(f"partner_{letter.lower()}_cash" for letter in PARTNER.values),
    note="Value in kind counts as put in.",
)


@totals.line("Owner's cash, royalty and value in kind shared", "$")
def shared_cash(
    owner_cash,
    funding_total,
    royalty,
    partner_royalty,
    partner_in_kind,
):
    """What the flow of all partners must equal."""
    shared = np.where(funding_total > 0, np.sum(owner_cash, axis=0), 0)
    paid = np.sum(royalty, axis=0) * np.sum(partner_royalty, axis=0)
    return shared + paid - np.sum(partner_in_kind, axis=0)
