"""The rate of return, found in the open: rates tried, then a bracket halved.

A spreadsheet's own function for it fails or misleads on monthly flows, so the steps
of `trade.money.internal_rate` stand in rows, once after tax and once before.
"""

import inspect

import numpy as np

from ....formulas import lookup
from ....trade import money
from ...line import Section

WHICH = ("after tax", "before tax")
FOUND = {
    words: Section("Rate of return", f"What was found, {words}") for words in WHICH
}
WORKINGS = {
    (step, words): Section("Rate of return", f"{step}, {words}")
    for words in WHICH
    for step in ("Rates tried", "Bracket halved")
}
SHARED = ("trial_rate", "discount_years")
"""What both rates read under the same name."""


def enter(ending, words, cash_row):
    """Enter the lines of one rate of return.

    Parameters
    ----------
    ending : str
        Put behind the names of the lines.
    words : str
        Which cash, for the headings.
    cash_row : str
        Name of the row of cash.
    """
    found = FOUND[words]
    tried = WORKINGS["Rates tried", words]
    halved = WORKINGS["Bracket halved", words]

    def line(section, label, unit="-", over=(), start=""):
        def decorate(function):
            reads = [
                name
                if name in SHARED
                else cash_row
                if name == "cash"
                else name + ending
                for name in inspect.signature(function).parameters
            ]
            section.line(
                label,
                unit,
                over,
                name=function.__name__ + ending,
                reads=reads,
                start=start and start + ending,
            )(function)
            return function

        return decorate

    @line(tried, "Present value", "$", "trial_rate")
    def closing_trial(trial_rate, cash, discount_years):
        """Of all cash, at the rate beside."""
        return money.present_value_at(trial_rate, cash, discount_years)

    @line(tried, "Sign change", "count", "trial_rate")
    def crossing(opening_trial, closing_trial):
        """1 where the sign differs from the row above."""
        return money.crosses(opening_trial, closing_trial)

    @line(found, "Rates that fit", "count")
    def crossings(crossing):
        """Only one rate means something."""
        return np.sum(crossing, axis=0)

    @line(found, "Money put in", "$")
    def outlay(cash):
        """All months in which more goes out than comes in."""
        return -np.sum((cash < 0) * cash, axis=0)

    @line(found, "Money coming in", "$")
    def receipts(cash):
        """All months in which more comes in than goes out."""
        return np.sum((cash > 0) * cash, axis=0)

    @line(found, "Lowest rate tried", "1/year")
    def lowest_rate(trial_rate):
        """Lower end of the first bracket."""
        return np.min(trial_rate, axis=0)

    @line(found, "Highest rate tried", "1/year")
    def highest_rate(trial_rate):
        """Upper end of the first bracket."""
        return np.max(trial_rate, axis=0)

    @line(found, "Present value at the lowest rate", "$")
    def lowest_value(lowest_rate, trial_rate, closing_trial):
        """Its sign decides which half is kept."""
        return lookup(lowest_rate, trial_rate, closing_trial)

    @line(found, "Present value at the highest rate", "$")
    def highest_value(highest_rate, trial_rate, closing_trial):
        """Above zero when the rate lies beyond those tried."""
        return lookup(highest_rate, trial_rate, closing_trial)

    @line(tried, "Side beyond the rates tried")
    def rate_beyond(highest_value):
        """Where a rate would lie that none of these brackets."""
        return money.rate_beyond(highest_value)

    @line(tried, "Reason, were no rate to fit")
    def no_rate(outlay, receipts, rate_beyond):
        """Counts only where the rates that fit are none."""
        return money.no_rate_reason(outlay, receipts, rate_beyond)

    @line(halved, "Present value half-way", "$", "halving")
    def middle_value(opening_low, opening_high, cash, discount_years):
        """At the middle of the bracket above."""
        middle = money.halfway(opening_low, opening_high)
        return money.present_value_at(middle, cash, discount_years)

    @line(halved, "Lower end", "1/year", "halving", start="lowest_rate")
    def closing_low(opening_low, opening_high, middle_value, lowest_value):
        """Moves up when the sign changes in the upper half."""
        return money.lower_end(opening_low, opening_high, middle_value, lowest_value)

    @line(halved, "Upper end", "1/year", "halving", start="highest_rate")
    def closing_high(opening_low, opening_high, middle_value, lowest_value):
        """Moves down when the sign changes in the lower half."""
        return money.upper_end(opening_low, opening_high, middle_value, lowest_value)

    @line(found, "Rate found: middle of the last bracket", "1/year")
    def last_middle(closing_low, closing_high):
        """The rate of return, if exactly one fits."""
        return money.halfway(np.max(closing_low, axis=0), np.min(closing_high, axis=0))


enter("", "after tax", "cash_after_tax")
enter("_before_tax", "before tax", "cash_before_tax")
