"""Income tax by tax year: losses, depletion, and month of payment."""

import functools

import numpy as np

from ....trade import tax
from ....trade.tax import TAX_RULES
from ...line import Section

rule = Section("Years", "Tax rule")
plan = Section("Years", "Income tax, before interest")
owner = Section("Years", "Income tax, after the loan's interest")


def enter_rule(name, label, unit, part, note):
    """Enter one figure of the tax rule chosen."""

    @rule.line(label, unit, name=name, reads=("tax_rule",), note=note)
    def of_rule(chosen):
        first, *others = TAX_RULES
        found = getattr(TAX_RULES[first], part)
        for word in others:
            found = np.where(chosen == word, getattr(TAX_RULES[word], part), found)
        return found


enter_rule(
    "offset_share",
    "Income that losses may offset",
    "share",
    "offset_share",
    "Of a year's income, by losses carried forward.",
)
enter_rule(
    "years_back",
    "Years that losses are carried back",
    "count",
    "years_back",
    "Oldest year first; the rest is carried forward.",
)
enter_rule(
    "depletion_rate",
    "Percentage depletion rate",
    "share",
    "depletion_rate",
    "Of revenue after royalty.",
)
enter_rule(
    "depletion_cap",
    "Percentage depletion limit",
    "share",
    "depletion_cap",
    "Of income before depletion.",
)


@rule.line("Months of the tax year before month 1", "month")
def months_before(start_month, tax_year_start, months_per_year):
    """The first tax year is shorter by them."""
    return np.mod(start_month - tax_year_start + months_per_year, months_per_year)


@rule.line("Month in which the tax is paid", "month", over="year")
def tax_due_month(year, months_per_year, months_before, tax_delay, plan_months):
    """Months after the tax year; the last month of the plan at the latest."""
    last = year * months_per_year - months_before
    return np.minimum(last + tax_delay, plan_months)


def enter(section, ending, profit):
    """Enter the tax of each year on one profit.

    Parameters
    ----------
    section : Section
    ending : str
        Prefix of the names of the lines.
    profit : str
        Name of the yearly row of profit.
    """

    def own(name):
        if name == "profit":
            return profit
        for start in ("closing_", "opening_"):
            if name.startswith(start):
                return start + ending + name.removeprefix(start)
        return ending + name if name in OWN else name

    line = functools.partial(
        section.line, unit="$", over="year", total=True, rename=own
    )

    @line("Percentage depletion")
    def depletion(net_return_in_year, profit, depletion_rate, depletion_cap):
        """Limited by the year's income; zero if the rule has none."""
        return tax.percentage_depletion(
            net_return_in_year, profit, depletion_rate, depletion_cap
        )

    @line("Income before losses")
    def income(profit, depletion):
        """Profit less depletion."""
        return profit - depletion

    @line("Losses offset")
    def losses_used(income, opening_losses, offset_share):
        """Of earlier years, as far as the rule allows."""
        return tax.loss_offset(income, opening_losses, offset_share)

    @line("Taxable income")
    def taxed_profit(income, losses_used):
        """After losses carried forward."""
        return np.maximum(income, 0) - losses_used

    @line("Losses carried back")
    def carried_back(
        income, years_back, opening_open_1, opening_open_2, opening_open_3
    ):
        """Against the income of earlier years, whose tax is refunded."""
        two = np.where(years_back > 1, opening_open_2, 0)
        three = np.where(years_back > 1 + 1, opening_open_3, 0)
        room = np.where(years_back > 0, opening_open_1, 0) + two + three
        return np.minimum(np.maximum(0 - income, 0), room)

    @line("Taxed income of the year, open to losses", total=False)
    def closing_open_1(taxed_profit):
        """Later losses may be carried back to it."""
        return taxed_profit

    @line("Taxed income of the year before, still open", total=False)
    def closing_open_2(opening_open_1, opening_open_2, opening_open_3, carried_back):
        """Losses are carried back to the oldest year first."""
        older = opening_open_2 + opening_open_3
        return opening_open_1 - np.maximum(carried_back - older, 0)

    @line("Taxed income two years before, still open", total=False)
    def closing_open_3(opening_open_2, opening_open_3, carried_back):
        """Losses are carried back to the oldest year first."""
        back = np.maximum(carried_back - opening_open_3, 0)
        return np.maximum(opening_open_2 - back, 0)

    @line("Losses carried forward", total=False)
    def closing_losses(opening_losses, losses_used, income, carried_back):
        """End of the tax year."""
        new = np.maximum(0 - income, 0) - carried_back
        return (opening_losses - losses_used) + new

    @line("Income tax of the year")
    def tax_in_year(taxed_profit, carried_back, tax_rate):
        """At the income tax rate; negative if refunded. Ask a tax adviser."""
        return (taxed_profit - carried_back) * tax_rate


OWN = (
    "depletion",
    "income",
    "losses_used",
    "taxed_profit",
    "carried_back",
    "tax_in_year",
)
"""Lines of each of the two taxes, named with its prefix."""

enter(plan, "", "profit_in_year")
enter(owner, "owner_", "owner_profit_in_year")
