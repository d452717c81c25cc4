"""Provisional and final settlement, and the price of a day or a period."""

import pytest

from pennyweight.documents.price_table import price_of
from pennyweight.documents.statement import make_statement
from pennyweight.errors import CallError
from pennyweight.workbook.csv_file import csv_rows

from ..books import book_at
from ..commands import pennyweight

CONCENTRATE = {
    # 10 t wet, 8 % water, 300 g/t, 97 % of the gold, 8 per oz refining, 90 % first.
    "contract_kind": "purchase",
    "settle_wet_tons": 10.0,
    "settle_moisture": 0.08,
    "settle_mill_assay": 300.0,
    "settle_owner_assay": 0.0,
    "settle_price": 2400.0,
    "purchase_price_deduction": 8 / 2400,
    "purchase_low_payable": 0.97,
    "purchase_payable_rise": 0.0,
    "purchase_deduction": 0.0,
    "purchase_treatment": 0.0,
    "provisional_share": 0.9,
    "moisture_rate": 0.0,
    "hardness_rate": 0.0,
    "deposit": 0.0,
    "settle_deposit": 0.0,
    "settle_advances": 0.0,
}
FINAL = {
    "settle_wet_tons": 9.95,
    "settle_moisture": 0.085,
    "settle_mill_assay": 291.0,
    "settle_price": 2500.0,
    "purchase_price_deduction": 8 / 2500,
}


def test_a_concentrate_is_paid_provisionally_and_settled():
    """Terms of a published concentrate contract (90 % provisional, 8 per oz)."""
    first = make_statement(CONCENTRATE, "metric", provisional=True)
    assert first.values["provisional_due"] == pytest.approx(185_300.06, abs=0.01)
    paid = first.values["provisional_due"]
    whole = make_statement({**CONCENTRATE, **FINAL}, "metric").values["printed_net"]
    assert whole == pytest.approx(205_896.04, abs=0.01)
    given = {**CONCENTRATE, **FINAL, "settle_provisional": paid}
    last = make_statement(given, "metric")
    assert last.values["printed_net"] == pytest.approx(20_595.98, abs=0.01)
    assert last.values["printed_net"] + paid == pytest.approx(whole, abs=1e-9)


def test_a_provisional_statement_has_the_mills_figures_and_one_balance():
    given = {"settle_date": "20 July 2026", "contract_kind": "by the ton"}
    first = make_statement(given, "us", provisional=True)
    labels = {str(cells[0]): cells[3] for kind, cells, _ in first.rows if kind == "row"}
    assert labels["Gold fineness"] == "By the mill, until the refiner has settled."
    assert "Gold in bullion" in labels and "Gold in settled bullion" not in labels
    assert "Provisional balance" in labels and "Balance due" not in labels
    assert "Due with this statement, 20 July 2026." in labels.values()


def test_nothing_is_paid_provisionally_to_an_owner_who_owes():
    page = make_statement({"settle_advances": 90_000.0}, "us", provisional=True)
    assert page.values["printed_net"] < 0 == page.values["provisional_due"]


PRICES = """date;price
2026-07-10;3440
2026-07-13;3450
2026-07-14;3463
"""
ROWS = csv_rows(PRICES, "prices")


@pytest.mark.parametrize(
    ("period", "price"),
    [
        ("2026-07-14", 3463.0),
        ("2026-07-01:2026-07-31", 3451.0),
        ("2026-07-11:2026-07-13", 3450.0),
    ],
)
def test_the_price_of_a_day_or_the_average_of_a_period(period, price):
    assert price_of(ROWS, period)[0] == pytest.approx(price)


def test_a_day_without_a_price_takes_the_last_one_before():
    """A Sunday; the signed page says so."""
    told = "2026-07-12, by the last price before: 2026-07-10"
    assert price_of(ROWS, "2026-07-12") == (3440.0, told)


@pytest.mark.parametrize(
    ("period", "words"),
    [
        ("2026-07-15", "it ends on 2026-07-14"),
        ("2026-07-01", "and none before it"),
        ("2026-08-01:2026-08-31", "no price from 2026-08-01"),
        ("14 July", "is not a date"),
    ],
)
def test_a_day_without_a_price_is_refused(period, words):
    with pytest.raises(CallError, match=words):
        price_of(ROWS, period)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("2026-07-14;3400", "two prices"),
        ("2026-07-15;-3", "not a price"),
        ("2026-07-15;dear", "not a price"),
        ("July;3400", "is not a date"),
        ("2026-07-15", "enter a date and a price"),
    ],
)
def test_a_table_of_prices_that_cannot_be_used_is_refused(line, words):
    with pytest.raises(CallError, match=words):
        price_of(csv_rows(PRICES + line, "prices"), "2026-07-14")


def test_the_command_pays_a_part_at_the_average_price(tmp_path):
    book_at(tmp_path / "book.xlsx")
    (tmp_path / "prices.csv").write_text(PRICES)
    call = ("settle", "book.xlsx", "-o", "first.xlsx", "--provisional")
    period = ("--prices", "prices.csv", "--price-day", "2026-07-01:2026-07-31")
    done = pennyweight(*call, *period, cwd=tmp_path)
    assert done.returncode == 0 and "Payable now" in done.stdout
    copy = (tmp_path / "first.csv").read_text("utf-8")
    assert "average of 3 prices" in copy and "3451" in copy
    assert pennyweight(*call, *period[:2], "--force", cwd=tmp_path).returncode == 2
