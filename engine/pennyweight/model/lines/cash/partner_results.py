"""Cash flow of each partner, and its return."""

import numpy as np

from ....trade import money
from ...axes import PARTNER
from ...line import Section
from .partners import outcome, picks, results, totals
from .rate_of_return import only_rate

each = Section("Cash flow", "Partners: flow of each")


USED = {
    "funding_used": "Cash calls",
    "rank_share": "Rank",
    "carry_used": "Carried interest",
    "profit_used": "Profit",
}
"""Shares used in the cash flow of a partner."""
ENTERED = (
    *("partner_in_kind_month", "partner_in_kind", "partner_rank"),
    *("partner_royalty", *USED),
)
"""Names of inputs of each partner, and of shares by partner."""
OF_PARTNER = ("flow", "red_month", "cash", "value", "rate", "at_risk", "payback")


def enter(place, letter):
    """Enter the lines of one partner."""
    name = f"partner_{letter.lower()}"

    def own(word):
        if word in ENTERED:
            return f"{word}_{place:02d}"
        if word in ("opening", "closing", "crossings", "last_middle"):
            return f"{word}_{name}"
        return f"{name}_{word}" if word in OF_PARTNER else word

    for used, label in USED.items():

        @picks.line(
            f"{label}, partner {letter}",
            "share",
            name=own(used),
            reads=("partner", used),
        )
        def picked(axis, row):
            """From the table above."""
            return np.sum((axis == letter) * row, axis=0)

    @each.monthly(f"Flow of partner {letter}", "$", total=True, rename=own)
    def flow(
        partner_calls,
        funding_used,
        month,
        partner_in_kind_month,
        partner_in_kind,
        partner_rank,
        rank_share,
        returned_first,
        preferred_paid_first,
        returned_second,
        preferred_paid_second,
        carry_paid,
        carry_used,
        profit_split,
        profit_used,
        royalty,
        partner_royalty,
    ):
        """Put in negative, cash got positive; value in kind included."""
        first = returned_first + preferred_paid_first
        second = returned_second + preferred_paid_second
        back = rank_share * np.where(partner_rank == "first", first, second)
        profit = carry_paid * carry_used + profit_split * profit_used
        in_kind = np.where(month == partner_in_kind_month, partner_in_kind, 0)
        put_in = partner_calls * funding_used + in_kind
        return back + profit + royalty * partner_royalty - put_in

    @each.monthly(f"Cumulative flow of partner {letter}", "$", rename=own)
    def closing(opening, flow):
        """Its lowest value is the money at risk."""
        return opening + flow

    each.monthly(
        f"Month with negative cumulative flow of partner {letter}",
        "month",
        name=own("red_month"),
        reads=(own("closing"), "month"),
        note="Month number; -1 if not negative.",
    )(money.negative_period)

    def line(label, unit="$"):
        return results.line(f"Partner {letter}: {label}", unit, rename=own)

    @line("cash over the plan")
    def cash(flow):
        """Undiscounted."""
        return np.sum(flow, axis=0)

    @line("net present value")
    def value(flow, discount_factor):
        """At the discount rate."""
        return np.sum(flow * discount_factor, axis=0)

    @line("internal rate of return (IRR)", "1/year")
    def rate(crossings, last_middle):
        """Real, per year; n/a unless there is exactly one IRR."""
        return only_rate(crossings, last_middle)

    @line("money at risk")
    def at_risk(closing):
        """Most that the partner has put in and not got back."""
        return np.maximum(0 - np.min(closing, axis=0), 0)

    @line("payback month", "month")
    def payback(red_month, plan_months, at_risk):
        """Cumulative flow stays positive from here; n/a if never."""
        last = np.max(red_month, axis=0)
        back = np.logical_and(at_risk > 0, last < plan_months)
        return np.where(back, last + 1, np.nan)


for place, letter in enumerate(PARTNER.values, 1):
    enter(place, letter)

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
