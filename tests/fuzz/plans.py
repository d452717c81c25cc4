"""Random plans whose money must close: ``python -m tests.fuzz.plans [PLANS] [SEED]``.

Cash, loan and depreciation close; tax of the years adds up to the tax paid, as a naive
second way reckons it; partners' flows add up to what there is to share, to the cent.
"""

import sys
import warnings

import numpy as np

from pennyweight.errors import OutsideRange
from pennyweight.model.axes import PARTNER
from pennyweight.model.run import run
from pennyweight.trade.tax import TAX_RULES

from ..model.drawing import stacked, usual
from ..model.test_tax import profits_by_year, taxed

CENT = 0.005
TOGETHER = 50
LETTERS = [letter.lower() for letter in PARTNER.values]


def plan_with_partners(rng):
    """Usual inputs, and partners who put in cash or value in kind."""
    one = usual(rng)
    for own in (f"{place:02d}" for place in range(1, len(LETTERS) + 1)):
        one[f"partner_funding_{own}"] = float(rng.choice([0.0, 0.5, 1.0]))
        one[f"partner_share_{own}"] = float(rng.choice([0.0, 0.3, 0.7]))
        one[f"partner_rank_{own}"] = str(rng.choice(["first", "second"]))
        one[f"partner_in_kind_{own}"] = float(rng.choice([0.0, 5e4]))
    return one


def flows_of_partners(values):
    """Flows of all partners by month, and what they must add up to."""
    month = np.sum([values[f"partner_{letter}_flow"] for letter in LETTERS], axis=0)
    shared = np.where(values["funding_total"] > 0, values["owner_cash"], 0)
    for own in (f"{place:02d}" for place in range(1, len(LETTERS) + 1)):
        shared = shared + values["royalty"] * values[f"partner_royalty_{own}"]
        at = np.arange(1, 121)[:, None] == values[f"partner_in_kind_month_{own}"]
        shared = shared - at * values[f"partner_in_kind_{own}"]
    return month, shared


def sums_that_close(values):
    """Pairs of sums over the plan that must be the same, by name."""
    total = {
        name: np.sum(values[name], axis=0)
        for name in (
            *("net_return", "operating_cost", "capital_spent", "sustaining_spent"),
            *("salvage_received", "closure_paid", "tied_up", "tax_paid", "tax_saved"),
            *("cash_after_tax", "owner_cash", "loan_drawn", "loan_paid", "interest"),
            *("depreciation", "tax_in_year", "owner_tax_in_year", "owner_tax_paid"),
            "cash_after_tax_in_year",
        )
    }
    spent = total["operating_cost"] + total["capital_spent"] + total["closure_paid"]
    spent = spent + total["sustaining_spent"] + total["tied_up"] + total["tax_paid"]
    yield (
        "cash",
        total["cash_after_tax"],
        (total["net_return"] + total["salvage_received"] - spent),
    )
    yield "cash of the years", total["cash_after_tax_in_year"], total["cash_after_tax"]
    yield "balance", values["closing_cash"][-1], total["cash_after_tax"]
    yield (
        "owner's cash",
        total["owner_cash"],
        (
            total["cash_after_tax"]
            + total["tax_saved"]
            + total["loan_drawn"]
            - total["loan_paid"]
        ),
    )
    yield (
        "loan",
        total["loan_drawn"] + total["interest"],
        (total["loan_paid"] + values["closing_loan"][-1]),
    )
    yield (
        "depreciation",
        total["depreciation"],
        (total["capital_spent"] - values["closing_undepreciated"][-1]),
    )
    yield "tax", total["tax_paid"], total["tax_in_year"]
    yield "owner's tax", total["owner_tax_paid"], total["owner_tax_in_year"]
    yield "partners", values["partners_cash"], values["shared_cash"]
    yield "partners by month", *flows_of_partners(values)


def faults(sets, values):
    """What does not close in some plans, in words."""
    for name, found, wanted in sums_that_close(values):
        off = np.abs(found - wanted) > CENT
        if off.any():
            yield f"{name}: off by {np.abs(found - wanted).max():,.4f}"
    for place, inputs in enumerate(sets):
        rule = TAX_RULES[inputs["tax_rule"]]
        for ending, profit in (("", "profit"), ("owner_", "owner_profit")):
            sums = profits_by_year(inputs, values, profit, place)
            naive = taxed(*sums, rule, inputs["tax_rate"])
            found = values[f"{ending}tax_in_year"][:, place]
            if (np.abs(found - naive) > CENT).any() or found.sum() < -CENT:
                yield f"plan {place}, {inputs['tax_rule']}: {ending}tax of the years"


def main(plans=1000, seed=0):
    """Draw so many plans; give the number of faults, each printed with its seed."""
    warnings.simplefilter("ignore", OutsideRange)
    found = 0
    for start in range(seed, seed + plans, TOGETHER):
        rng = np.random.default_rng(start)
        sets = [plan_with_partners(rng) for _ in range(TOGETHER)]
        for fault in faults(sets, run(stacked(sets))):
            found += 1
            print(f"seed {start}: {fault}")
    print(f"{plans} plans, {found} faults")
    return found


if __name__ == "__main__":
    sys.exit(bool(main(*map(int, sys.argv[1:]))))
