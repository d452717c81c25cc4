"""Clean-up gold of the owner, and missing gold that the mill makes good."""

import re
from pathlib import Path

import numpy as np
import pytest

import pennyweight as pw
from pennyweight.documents.ledger import WHAT, Ledger
from pennyweight.documents.lots import read_lots
from pennyweight.documents.quote import make_quote
from pennyweight.documents.statement import make_statement
from pennyweight.documents.terms import mark_of
from pennyweight.errors import WorkbookError
from pennyweight.model.judgement import judge
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.workbook.csv_file import csv_rows

from ..books import book_at
from .test_statement import HAND, LOTS, WAIVED, sentences

BOOKS = Path(__file__).parents[1] / "books"
NET = 3000 * (0.985 - 0.005) - 10  # of an ounce of gold in the bullion of HAND
FED = 19 * 0.41


def paid(given, confirmed=""):
    return make_statement({**HAND, **given}, "us", confirmed).values["printed_net"]


@pytest.mark.parametrize(
    ("given", "ounces"),
    [
        ({}, 0.2),  # 5% of 7.79 oz is 0.3895 oz
        ({"cleanup_limit": 1.0}, 0.0),
        ({"cleanup_limit": 0.0}, 0.5895),
        ({"cleanup_owner": "owner"}, 0.5895),
    ],
)
def test_clean_up_gold_above_the_limit_is_the_owners(given, ounces):
    """Found: 0.5895 oz, of 7.79 oz fed; paid for at 2,930.00 an ounce."""
    lot = {"settle_melt_mass": 180.0, "settle_cleanup": 0.5895}
    mills = paid({**lot, "cleanup_limit": 1.0})
    assert paid({**lot, **given}) == pytest.approx(mills + ounces * NET, abs=0.006)
    values = run({**HAND, **lot, **given})
    assert values["settle_net"] == pytest.approx(paid({**lot, **given}), abs=1e-9)
    assert values["settle_unshared"] < 0.01


def test_a_mill_cannot_keep_a_lots_gold_as_clean_up_gold():
    """4.1 oz left in the mill: what is above 5% of the gold fed is paid for."""
    lot = {"settle_melt_mass": 40.0, "settle_cleanup": 4.1}
    page = make_statement({**HAND, **lot}, "us")
    assert page.values["settle_cleanup_owned"] == pytest.approx(4.1 - 0.05 * FED)
    sold = (4.1 - 0.05 * FED) * NET
    assert page.values["settle_cleanup_sold"] == pytest.approx(sold, abs=0.006)


@pytest.mark.parametrize(
    ("given", "ounces"),
    [
        # of 19 tons at 0.5 oz/ton, 70% is melted: 6.65 oz; 5% of 9.5 oz is 0.475 oz
        ({"cleanup_owner": "owner", "cleanup_share": 0.02}, 0.133),
        ({"cleanup_owner": "mill", "cleanup_share": 0.2}, 0.855),
        ({"cleanup_owner": "mill", "cleanup_share": 0.02}, 0.0),
    ],
)
def test_quote_and_statement_pay_one_price_for_clean_up_gold(given, ounces):
    """Without the silver in it, at 4,000 x 98% - 10 = 3,910 an ounce."""
    lot = {
        **HAND,
        **{"custom_wet_tons": 20.0, "custom_moisture": 0.05, "custom_grade": 0.5},
        **{"custom_recovery": 0.7, "furnace_recovery": 1.0, "gold_price": 4000.0},
        **given,
    }
    quoted = make_quote(lot, "us")
    assert quoted.values["custom_cleanup_sold"] == pytest.approx(ounces * 3910)
    values = run(lot)
    assert values["custom_cleanup_sold"] == pytest.approx(ounces * 3910)
    assert np.max(values["contract_gap"]) < 1e-6
    place = MODEL.axes["contract"].values.index(HAND["contract_kind"])
    assert quoted.values["owner_net"] == pytest.approx(values["owner_net"][place])
    milled = {"settle_price": 4000.0, "settle_mill_assay": 0.5}
    milled |= {"settle_owner_assay": 0.5, "settle_cleanup": ounces + 0.475}
    settled = make_statement({**lot, **milled, "cleanup_owner": "mill"}, "us", WAIVED)
    expected = round(ounces * 3910, 2)
    assert settled.values["settle_cleanup_sold"] == pytest.approx(expected, abs=0.006)


def test_the_limit_is_a_term_of_the_signed_page():
    told = sentences(make_quote({}, "us"))
    assert "belongs to the mill up to 5% of the gold fed, and beyond that to" in told
    words = "Clean-up gold that belongs to the owner is paid, by weight and assay, at"
    assert words in told
    assert words in sentences(make_quote({"cleanup_owner": "owner"}, "us"))
    none = {"cleanup_limit": 1.0}
    assert words not in sentences(make_quote(none, "us"))
    assert words not in sentences(make_quote({"contract_kind": "purchase"}, "us"))
    marks = {mark_of(run(given)) for given in ({}, none, {"cleanup_limit": 0.04})}
    assert len(marks) == 3


def test_terms_without_a_limit_keep_the_code_that_they_had(tmp_path):
    """A workbook of 0.1.0 has no such input: the mill keeps all."""
    for given in ({"cleanup_owner": "owner"}, {"contract_kind": "purchase"}):
        marks = {mark_of(run({**given, "cleanup_limit": it})) for it in (0.05, 1.0)}
        assert len(marks) == 1
    older = pw.read(BOOKS / "0.1.0" / "us.xlsx")
    assert older.inputs["cleanup_limit"] == 1.0
    assert not any("clean-up gold" in told for told in older.judge().look_again)
    book_at(tmp_path / "book.xlsx")
    assert pw.read(tmp_path / "book.xlsx").inputs["cleanup_limit"] == 0.05


MISSING = {"settle_melt_mass": 150.0, "settle_agreed": "20 July 2026"}
MISSING |= {"settle_agreed_by": "both, in writing"}


def test_missing_gold_that_the_mill_makes_good_is_paid_for():
    """0.9 oz at 2,930.00 are $2,637.00; 0.9755 oz are missing."""
    page = make_statement({**HAND, **MISSING, "settle_made_good": 0.9}, "us", WAIVED)
    nothing = make_statement({**HAND, **MISSING}, "us", WAIVED)
    assert page.values["settle_made_good_paid"] == 2637
    gained = page.values["printed_net"] - nothing.values["printed_net"]
    assert gained == pytest.approx(2637, abs=1e-6)
    found = 150 * 0.8 / 31.1034768 + 19 * 0.9752 * 0.118 + 0.71 + 0.06
    assert page.values["settle_missing"] == pytest.approx(FED - found)
    ounces = "0.9755 troy oz missing, of which the mill makes good "
    assert f"{ounces}0.9000 troy oz. Confirmed" in sentences(page)
    assert f"{ounces}nothing. Confirmed" in sentences(nothing)
    values = run({**HAND, **MISSING, "settle_made_good": 0.9})
    assert values["settle_net"] == pytest.approx(page.values["printed_net"])


def test_missing_gold_has_its_own_day_and_late_interest():
    """Assayed 13 July, agreed 20 July, 21 days each; statement of 20 August 2026."""
    lot = {**HAND, **MISSING, "settle_made_good": 0.9, "settle_date": "20 August 2026"}
    page = make_statement(lot, "us", WAIVED)
    notes = [row[3] for kind, row, _ in page.rows if kind == "row"]
    agreed = "10 August 2026, 21 days after the agreement on the gold balance"
    due = "Due 3 August 2026, 21 days after the final assay. Of it, $2,637.00 for "
    assert f"{due}missing gold is due {agreed}." in notes
    rest = page.values["printed_net"] - 2637
    assert page.values["other_balance"] == pytest.approx(rest)
    late = page.values["interest_so_far"], page.values["interest_so_far_made_good"]
    assert late == (
        round(rest * 0.08 / 365 * 17, 2),
        round(2637 * 0.08 / 365 * 10, 2),
    )
    first = make_statement({**lot, "settle_provisional": rest}, "us", WAIVED)
    assert first.values["printed_net"] == 2637
    notes = [row[3] for kind, row, _ in first.rows if kind == "row"]
    assert f"Due {agreed}." in notes
    assert first.values["days_late"] == 10


@pytest.mark.parametrize(("given", "most"), [({**MISSING}, "0.9755"), ({}, "0.0000")])
def test_no_more_is_made_good_than_is_missing(given, most):
    lot = {**HAND, **given, "settle_made_good": 1.0, "job": "lot"}
    told = rf"Missing gold .* is 1\.0000 troy oz\. It can be at most {most} troy oz"
    with pytest.raises(WorkbookError, match=told):
        make_statement(lot, "us", WAIVED)
    check = "Settlement: gold made good is at most the gold that is missing"
    assert check in judge(lot).checks["failures"]
    bought = {**lot, "contract_kind": "purchase"}
    assert "settle_made_good_paid" in make_statement(bought, "us").values


def test_a_ledger_pays_what_is_made_good():
    """By its column; without one nothing is, whatever the workbook has."""
    head, first, *_ = LOTS.splitlines()
    lot = dict(zip(head.split(","), first.split(","), strict=True))
    lot |= {"melt_mass": "100", "agreed": "2026-07-20", "agreed_by": "both"}

    def net(**more):
        row = {**lot, **more}
        table = f"{','.join(row)}\n{','.join(row.values())}"
        lots = read_lots(csv_rows(table, WHAT), "us")
        return Ledger({"settle_made_good": 9.0}, "us", lots, WAIVED)

    plain, more = net(), net(made_good="0.5")
    assert "settle_made_good_paid" not in plain.columns
    (amount,) = more.columns["settle_made_good_paid"]
    price = run({"settle_price": float(lot["price"])})["settle_ounce_net"]
    assert amount == pytest.approx(0.5 * price, abs=0.006)
    gained = more.columns["net"][0] - plain.columns["net"][0]
    assert gained == pytest.approx(amount, abs=1e-6)
    assert re.search("makes good 0.5000 troy oz", " ".join(more.notes))
    with pytest.raises(WorkbookError, match="at most"):
        net(made_good="50")
