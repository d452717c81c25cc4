"""What each partner puts in and gets, and the result of it."""

import numpy as np

from ....trade import money
from ...axes import PARTNER
from ...line import Section
from .partners import outcome, picks, results, totals
from .rate_of_return import only_rate

each = Section("Cash flow", "Partners: flow of each")


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
        """Real, per year; n/a unless there is exactly one IRR."""
        return only_rate(crossings, middle)

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
