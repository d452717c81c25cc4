"""The partners' waterfall, against publications and an independent simple version."""

import dataclasses

import numpy as np
import pytest

from pennyweight.model.axes import PARTNER
from pennyweight.model.line import Section
from pennyweight.model.mill_model import MODEL
from pennyweight.model.model import Model
from pennyweight.model.run import run

from ..fuzz.plans import faults, plan_with_partners
from .drawing import stacked

pytestmark = pytest.mark.filterwarnings("ignore::pennyweight.errors.OutsideRange")
LETTERS = [letter.lower() for letter in PARTNER.values]
TERMS = {
    "funding": 0.0,
    "in_kind": 0.0,
    "in_kind_month": 1.0,
    "rank": "first",
    "share": 0.0,
    "earn_in": 0.0,
    "carry": 0.0,
    "royalty": 0.0,
}


def with_flows(flows):
    """The model with a given owner's cash: month and money."""
    cash = np.zeros(120)
    for month, money in flows.items():
        cash[month - 1] = money

    def owner_cash(month):
        return cash[np.asarray(month, int) - 1]

    section = Section("Tests", "Tests")
    line = MODEL.lines["owner_cash"]
    line = dataclasses.replace(line, function=owner_cash, parameters=("month",))
    section.lines.extend({**MODEL.lines, "owner_cash": line}.values())
    return Model([section], MODEL.axes.values())


def agreed(*partners, **others):
    """Inputs for some partners; the rest put in and get nothing."""
    found = dict(others)
    for place in range(len(LETTERS)):
        own = partners[place] if place < len(partners) else {}
        for name, value in {**TERMS, **own}.items():
            found[f"partner_{name}_{place + 1:02d}"] = value
    return found


WANTED = [
    "carry_paid",
    "catch_up_paid",
    "profit_split",
    "returned_first",
    "preferred_paid_first",
    *(f"partner_{letter}_flow" for letter in LETTERS),
]
YEAR = {1: -50.0, 13: 100.0}
"""50 in, 100 out after one year, at 8%, 20% carried."""


@pytest.mark.parametrize(
    ("flows", "share", "expected"),
    [
        # analystforum.com 154723: 50; 4; 1; then 36 and 9.
        (YEAR, 1.0, (50, 4, 1, 10)),
        ({1: -50.0, 25: 100.0}, 1.0, (50, 8.32, 2.08, 10)),  # two years, compounded
        (YEAR, 0.5, (50, 4, 8 / 3, 0.5 * 8 / 3 + 0.2 * (46 - 8 / 3))),
        ({1: -50.0, 13: 53.0}, 0.5, (50, 3, 0, 0)),
        ({1: -50.0, 13: 54.5}, 0.5, (50, 4, 0.5, 0.25)),
        # plumuleadvisory.com: 100 in, 200 out, no catch-up: 181.60 and 18.40.
        ({1: -100.0, 13: 200.0}, 0.0, (100, 8, 0, 18.40)),
    ],
)
def test_waterfalls_in_print(flows, share, expected):
    terms = {"preferred_return": 0.08, "carried_interest": 0.2, "catch_up_share": share}
    inputs = agreed({"funding": 1.0}, {"carry": 1.0}, **terms)
    found = run(inputs, wanted=WANTED, model=with_flows(flows))
    names = ("returned_first", "preferred_paid_first", "catch_up_paid", "carry_paid")
    assert [found[n].sum() for n in names] == pytest.approx(expected, abs=1e-9)
    assert found["partner_b_flow"].sum() == pytest.approx(expected[3])


def naive(flows, partners, rate, carry, share):
    """Every partner's own balances, paid month by month in proportion to them."""
    monthly = (1 + rate) ** (1 / 12) - 1
    count = len(partners)
    capital, preferred, paid = np.zeros(count), np.zeros(count), np.zeros(count)
    funding = np.array([p["funding"] for p in partners])
    funding = funding / funding.sum()
    put_in, due = np.zeros(count), 0.0
    rest_of = np.zeros(120)
    carried = np.zeros(120)
    for month in range(1, 121):
        preferred += (capital + preferred) * monthly
        cash = max(flows.get(month, 0.0), 0.0)
        for rank in ("first", "second"):
            mine = np.array([p["rank"] == rank for p in partners])
            for balance, is_return in ((capital, False), (preferred, True)):
                owed = balance * mine
                if owed.sum() > 0:
                    part = owed / owed.sum() * min(cash, owed.sum())
                    balance -= part
                    paid += part
                    cash -= part.sum()
                    if is_return and share > carry:
                        due += carry * part.sum() / (share - carry)
        tier = min(cash, due)
        due -= tier
        carried[month - 1] = share * tier + carry * (cash - tier)
        rest_of[month - 1] = cash - carried[month - 1]
        for place, partner in enumerate(partners):
            new = funding[place] * max(-flows.get(month, 0.0), 0.0)
            new += partner["in_kind"] * (partner["in_kind_month"] == month)
            capital[place] += new
            put_in[place] += new
    earned = [p["share"] * (put_in[i] >= p["earn_in"]) for i, p in enumerate(partners)]
    carries = np.array([p["carry"] for p in partners])
    split = rest_of.sum() * np.array(earned) / sum(earned)
    return paid + split + carried.sum() * carries / carries.sum() - put_in


@pytest.mark.parametrize("share", [0.0, 0.6])
def test_each_partner_gets_what_the_naive_way_gives(share):
    flows = {1: -300.0, 2: -200.0, 5: -100.0, 9: 80.0, 14: 500.0, 20: 400.0, 30: 900.0}
    given = [
        {"funding": 0.6, "share": 0.4},
        {"funding": 0.4, "share": 0.3},
        {
            "in_kind": 120.0,
            "in_kind_month": 3,
            "rank": "second",
            "share": 0.2,
            "carry": 1.0,
        },
        {"share": 0.1, "earn_in": 1.0},
    ]
    terms = {
        "preferred_return": 0.1,
        "carried_interest": 0.15,
        "catch_up_share": share,
        "royalty_rate": 0.0,
    }
    found = run(agreed(*given, **terms), wanted=WANTED, model=with_flows(flows))
    expected = naive(flows, [{**TERMS, **p} for p in given], 0.1, 0.15, share)
    for letter, wanted in zip("abcd", expected, strict=True):
        got = found[f"partner_{letter}_flow"].sum()
        assert got == pytest.approx(wanted, rel=1e-9, abs=1e-9), letter


def test_money_of_random_plans_closes():
    """Twenty of the thousand plans of `make fuzz`."""
    rng = np.random.default_rng(41)
    sets = [plan_with_partners(rng) for _ in range(20)]
    values = run(stacked(sets))
    assert list(faults(sets, values)) == []
    assert values["partners_cash"].any() and values["loan_paid"].any()
    broken = {**values, "partner_a_flow": values["partner_a_flow"] + 0.01}
    assert any("partners by month" in words for words in faults(sets, broken))


def test_without_partners_nothing_is_shared():
    values = run(agreed())
    assert values["partners_cash"] == values["shared_cash"] == 0
    for letter in LETTERS:
        assert not values[f"partner_{letter}_flow"].any()
        assert np.isnan(values[f"partner_{letter}_rate"])


def test_one_partner_is_the_owner():
    values = run(agreed({"funding": 1.0}, royalty_rate=0.0))
    assert values["partner_a_flow"] == pytest.approx(values["owner_cash"], abs=1e-6)
    assert values["partner_a_value"] == pytest.approx(values["owner_net_present_value"])
    rate = values["owner_internal_rate"]
    assert values["partner_a_rate"] == pytest.approx(rate, rel=1e-9)
    assert values["partner_a_at_risk"] == pytest.approx(values["peak_funding"])
    assert values["partner_a_payback"] == values["owner_payback_month"]
