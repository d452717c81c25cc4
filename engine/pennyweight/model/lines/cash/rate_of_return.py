"""Internal rate of return, by trial rates and bisection.

A spreadsheet's own function fails or misleads with monthly flows. The rows follow the
steps of `trade.money.internal_rate` instead: for the plan after tax and before tax, for
the owner and for each partner.
"""

import numpy as np

from ....formulas import lookup
from ....trade import money
from ...axes import PARTNER
from ...line import Section

PARTNERS = {letter: f"partner {letter}" for letter in PARTNER.values}
WHICH = ("after tax", "before tax", "owner", *PARTNERS.values())
AT_START = Section("Cash flow", "Net cash flow in money of the price date")
FOUND = {words: Section("Years", f"IRR, {words}") for words in WHICH}
WORKINGS = {
    (step, words): Section("Years", f"{step}, {words}")
    for words in WHICH
    for step in ("Trial rates", "Bisection")
}
SHARED = ("trial_rate", "discount_years", "price_level")
"""Names that all rates of return share."""


def only_rate(crossings, middle):
    """The rate if exactly one was found, else NaN."""
    return np.where(crossings == 1, middle, np.nan)


def enter(ending, words, cash_row):
    """Enter the lines of one internal rate of return.

    Parameters
    ----------
    ending : str
        Suffix of the names of the lines.
    words : str
        One of `WHICH`, for headings and labels.
    cash_row : str
        Name of the row of net cash flow.
    """
    found = FOUND[words]
    tried = WORKINGS["Trial rates", words]
    halved = WORKINGS["Bisection", words]

    def line(section, *told, **options):
        return section.line(*told, rename=own, **options)

    def own(name):
        if name in SHARED:
            return name
        return cash_row if name == "cash" else name + ending

    @line(AT_START, f"In money of the price date, {words}", "$", "month")
    def real_cash(cash, price_level):
        """Without inflation, so that the rate is real."""
        return cash / price_level

    @line(tried, f"Present value at the trial rate, {words}", "$", "trial_rate")
    def closing_trial(trial_rate, lowest_rate, real_cash, discount_years):
        """Of all net cash flow, at the rate beside or the lowest one that counts."""
        rate = np.maximum(trial_rate, lowest_rate)
        return money.present_value_at(rate, real_cash, discount_years)

    @line(tried, f"Sign change, {words}", "count", "trial_rate")
    def crossing(opening_trial, closing_trial):
        """1 if the sign differs from the row above."""
        return money.crosses(opening_trial, closing_trial)

    @line(found, f"IRRs found, {words}", "count")
    def crossings(crossing):
        """The IRR is defined only if this is 1."""
        return np.sum(crossing, axis=0)

    @line(found, f"Total outflows, {words}", "$")
    def outlay(real_cash):
        """Sum of the months with negative net cash flow."""
        return 0 - np.sum((real_cash < 0) * real_cash, axis=0)

    @line(found, f"Total inflows, {words}", "$")
    def receipts(real_cash):
        """Sum of the months with positive net cash flow."""
        return np.sum((real_cash > 0) * real_cash, axis=0)

    @line(found, f"Lowest trial rate, {words}", "1/year")
    def lowest_rate(trial_rate, outlay, receipts):
        """Lower limit of the first bracket; higher if more comes in than goes out."""
        return money.lowest_rate(outlay, receipts, np.min(trial_rate, axis=0))

    @line(found, f"Highest trial rate, {words}", "1/year")
    def highest_rate(trial_rate):
        """Upper limit of the first bracket."""
        return np.max(trial_rate, axis=0)

    @line(found, f"Present value at the lowest trial rate, {words}", "$")
    def lowest_value(lowest_rate, real_cash, discount_years):
        """Its sign decides which half of the bracket is kept."""
        return money.present_value_at(lowest_rate, real_cash, discount_years)

    @line(found, f"Present value at the highest trial rate, {words}", "$")
    def highest_value(highest_rate, trial_rate, closing_trial):
        """Positive if the IRR is above the trial rates."""
        return lookup(highest_rate, trial_rate, closing_trial)

    @line(tried, f"Side outside the trial rates, {words}")
    def rate_beyond(highest_value):
        """Above or below, if no trial rates bracket an IRR."""
        return money.rate_beyond(highest_value)

    @line(tried, f"Reason if there is no IRR, {words}")
    def no_rate(outlay, receipts, rate_beyond):
        """Used only if no IRR is found."""
        return money.no_rate_reason(outlay, receipts, rate_beyond)

    @line(halved, f"Present value at the midpoint, {words}", "$", "halving")
    def middle_value(opening_low, opening_high, real_cash, discount_years):
        """At the midpoint of the previous bracket."""
        middle = money.halfway(opening_low, opening_high)
        return money.present_value_at(middle, real_cash, discount_years)

    @line(
        halved,
        f"Lower limit of the bracket, {words}",
        "1/year",
        "halving",
        start="lowest_rate",
    )
    def closing_low(opening_low, opening_high, middle_value, lowest_value):
        """Moves up if the sign changes in the upper half."""
        return money.lower_end(opening_low, opening_high, middle_value, lowest_value)

    @line(
        halved,
        f"Upper limit of the bracket, {words}",
        "1/year",
        "halving",
        start="highest_rate",
    )
    def closing_high(opening_low, opening_high, middle_value, lowest_value):
        """Moves down if the sign changes in the lower half."""
        return money.upper_end(opening_low, opening_high, middle_value, lowest_value)

    @line(found, f"Midpoint of the last bracket, {words}", "1/year")
    def last_middle(closing_low, closing_high):
        """The IRR, if there is exactly one."""
        return money.halfway(np.max(closing_low, axis=0), np.min(closing_high, axis=0))


enter("", "after tax", "cash_after_tax")
enter("_before_tax", "before tax", "cash_before_tax")
enter("_owner", "owner", "owner_cash")
for letter, words in PARTNERS.items():
    enter(f"_partner_{letter.lower()}", words, f"partner_{letter.lower()}_flow")
