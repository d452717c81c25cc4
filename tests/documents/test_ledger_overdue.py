"""A ledger's ages, set-off and late interest: held to figures worked out by hand."""

import datetime

import openpyxl
import pytest

from pennyweight.documents.ledger import WHAT, Ledger
from pennyweight.documents.lots import read_lots
from pennyweight.documents.overdue import late_interest
from pennyweight.errors import CallError, WorkbookError
from pennyweight.workbook.csv_file import csv_rows

from ..thorough import sampled
from .test_statement import LOTS, agree

RATE = {"late_rate": 0.09, "terms_issued": "2026-05-01", "terms_signed": "2026-05-02"}
OWNER = "Umberlow Bench claims"
FINAL = {"weighed": "2026-06-10", "milled": "2026-06-12", "assayed": "2026-06-21"}
FINAL |= {"date": "2026-06-25", "price_day": "2026-06-21", "date_paid": ""}
"""Due 21 days after 21 June: on 12 July 2026."""
OWES = FINAL | {"date": "2026-09-10", "advances": "40000", "wet_tons": "25.43"}
"""The owner owes; due 14 days after the statement: on 24 September 2026."""


def table(*lots):
    """A table of lots: the first of the season, each with other figures."""
    head, first, *_ = LOTS.splitlines()
    plain = dict(zip(head.split(","), first.split(","), strict=True))
    plain |= {"customer": OWNER, "paid": "0"}
    rows = [{**plain, **lot} for lot in lots]
    lines = [rows[0], *(row.values() for row in rows)]
    return read_lots(csv_rows("\n".join(map(",".join, lines)), WHAT), "us", "lots.csv")


def ledger(*lots, on="2026-09-10", **terms):
    return Ledger({**RATE, **terms}, "us", table(*lots), on=on)


def written(made, path):
    path.write_bytes(made.content())
    return openpyxl.load_workbook(path, data_only=True)


def customers(made, path):
    """Rows of the sheet Customers: of each side by age, and of the accounts."""
    rows = [*written(made, path)["Customers"].iter_rows(min_row=4, values_only=True)]
    ages, *rest = rows
    at = next(at for at, row in enumerate(rest) if str(row[0]).startswith("Account"))
    first, heads, second = rest[: at - 1], rest[at + 1], rest[at + 2 :]
    return (
        [dict(zip(ages, row, strict=True)) for row in first],
        [dict(zip(heads, row, strict=True)) for row in second],
    )


def test_late_interest_by_hand():
    """20,558.95 x 9% / 365 is 5.06933 a day; 60 days from 12 July to 10 September."""
    assert late_interest(20_558.95, 20_558.95, 0.09, 60, 0) == 304.16
    assert late_interest(-20_558.95, -20_558.95, 0.09, 60, 0) == -304.16
    # 10,000 is paid after 20 days: 20 x 5.06933 and 40 x 10,558.95 x 9% / 365.
    assert late_interest(20_558.95, 10_558.95, 0.09, 60, 20) == 205.53
    # All of it, or more, is paid after 20 days: 101.39.
    assert late_interest(20_558.95, 0.0, 0.09, 60, 20) == 101.39
    assert late_interest(20_558.95, -441.05, 0.09, 60, 20) == 101.39
    assert late_interest(20_558.95, 20_558.95, 0.09, -3, 0) == 0


@pytest.mark.parametrize(
    ("paid", "paid_on", "until", "rest"),
    [("0", "", 0, 60), ("4000", "2026-08-01", 20, 40), ("4000", "2026-07-01", 0, 60)],
)
def test_a_ledger_shows_the_late_interest_of_a_lot(paid, paid_on, until, rest):
    lot = {"lot": "HD-1", **FINAL, "paid": paid, "date_paid": paid_on}
    columns = ledger(lot).columns
    (net,), (interest,) = columns["net"], columns["late_interest"]
    dollar_days = net * until + (net - float(paid)) * rest
    assert interest == pytest.approx(dollar_days * 0.09 / 365, abs=0.005)
    assert columns["balance"] == [round(net - float(paid), 2)]  # owed beside it


def test_the_age_counts_from_the_due_day_not_from_the_statement(tmp_path):
    """Due on 12 July; the statement of 5 September is 5 days old, the debt 60."""
    made = ledger({"lot": "HD-1", **FINAL, "date": "2026-09-05"})
    (net,) = made.columns["net"]
    assert made.columns["days_late"] == [60]
    (row, _), _ = customers(made, tmp_path / "ledger.xlsx")
    assert row["31 to 60 days past due, $"] == net == row["Balance owed, $"]
    assert row["0 to 30 days past due, $"] == row["Not due yet, $"] == 0


AGES = {-1: "Not due yet", 0: "0 to 30", 30: "0 to 30", 31: "31 to 60", 60: "31 to 60"}
AGES |= {61: "61 to 90", 90: "61 to 90", 91: "Over 90", 400: "Over 90"}


@pytest.mark.parametrize(("days", "head"), AGES.items())
def test_ages_at_their_limits(days, head, tmp_path):
    day = datetime.date(2026, 7, 12) + datetime.timedelta(days)
    made = ledger({"lot": "HD-1", **FINAL}, on=str(day))
    (row, _), (account,) = customers(made, tmp_path / "ledger.xlsx")
    found = [name for name, amount in row.items() if amount == made.columns["net"][0]]
    assert [name for name in found if name.startswith(head)] == found[-1:]
    assert (account["Due to the owner, $"] > 0) == (days >= 0)


def test_what_is_not_due_is_not_set_off(tmp_path):
    """The mill owes since 12 July; what the owner owes is due on 24 September."""
    made = ledger({"lot": "HD-1", **FINAL}, {"lot": "HD-2", **OWES})
    owed, owing = made.columns["net"]
    assert made.columns["due"] == ["12 July 2026", "24 September 2026"] and owing < 0
    sides, (account,) = customers(made, tmp_path / "ledger.xlsx")
    told = {row["Customer"]: row for row in sides}
    assert told["The mill owes"]["31 to 60 days past due, $"] == owed
    assert told["Customers owe the mill"]["Not due yet, $"] == owing
    assert account["Due to the owner, $"] == owed
    assert account["Due from the owner, $"] == 0
    assert account["Due to the owner after set-off, $"] == owed
    assert account["Balance of the account, $"] == round(owed + owing, 2)
    assert made.owed == {OWNER: round(owed + owing, 2)}


def test_what_is_due_on_both_sides_is_set_off(tmp_path):
    lots = {"lot": "HD-1", **FINAL}, {"lot": "HD-2", **OWES}
    made = ledger(*lots, on="24 September 2026")
    owed, owing = made.columns["net"]
    _, (account,) = customers(made, tmp_path / "ledger.xlsx")
    assert account["Due from the owner, $"] == owing
    assert account["Due to the owner after set-off, $"] == round(owed + owing, 2)
    interest = owed * 0.09 / 365 * 74  # days from 12 July
    assert account["Late interest to the owner, $"] == pytest.approx(
        interest, abs=0.005
    )


def test_a_lot_without_a_due_day_has_no_age_and_is_named(tmp_path):
    undated = {"lot": "HD-2", **FINAL, "milled": "", "wet_tons": "25.41"}
    made = ledger({"lot": "HD-1", **FINAL}, undated)
    (row, _), (account,) = customers(made, tmp_path / "ledger.xlsx")
    assert row["Due day unknown, $"] == made.columns["net"][1]
    assert account["Due to the owner, $"] == made.columns["net"][0]
    assert made.columns["late_interest"][1] is None
    assert any("a date is missing, of: HD-2." in note for note in made.notes)
    assert any("nothing in column milled, line 3" in note for note in made.notes)


def test_late_interest_needs_the_day_of_the_payment():
    made = ledger({"lot": "HD-1", **FINAL, "paid": "4000"})
    assert "late_interest" not in made.columns
    assert any("payment is missing (date_paid), of: HD-1." in n for n in made.notes)
    early = ledger({"lot": "HD-1", **FINAL, "paid": "4000"}, on="2026-07-12")
    assert not any("payment is missing" in note for note in early.notes)


def test_without_a_late_rate_there_is_no_late_interest():
    made = ledger({"lot": "HD-1", **FINAL}, late_rate=0.0)
    assert "late_interest" not in made.columns and made.columns["days_late"] == [60]


@pytest.mark.parametrize("program", sampled(["gnumeric", "libreoffice", "iron"], 2))
def test_ages_set_off_and_interest_are_live(program, tmp_path, request):
    lots = [
        {"lot": "HD-1", **FINAL, "paid": "4000", "date_paid": "2026-08-01"},
        {"lot": "HD-2", **OWES},
        {"lot": "HD-3", **FINAL, "milled": "", "wet_tons": "25.41"},
        {"lot": "HD-4", **FINAL, "customer": "Quernhope partners", "wet_tons": "25.44"},
    ]
    path = tmp_path / "ledger.xlsx"
    written(ledger(*lots), path)
    agree(path, request.getfixturevalue(program))
    sheet = openpyxl.load_workbook(path)["Ledger"]
    told = [str(cell.value) for row in sheet for cell in row]
    assert sum("/365" in text for text in told) == 3


@pytest.mark.parametrize(
    ("on", "words"),
    [
        (
            "2026-08-01",
            r"is before 10 September 2026 \(.*line 3, column date",
        ),
        ("next week", "'next week' is not a date"),
    ],
)
def test_the_day_of_the_ledger_is_a_day_and_not_before_its_lots(on, words):
    with pytest.raises(CallError, match=words):
        ledger({"lot": "HD-1", **FINAL}, {"lot": "HD-2", **OWES}, on=on)


def test_without_a_day_the_latest_date_of_the_table_counts():
    paid = {"paid": "4000", "date_paid": "2026-08-01"}
    made = ledger({"lot": "HD-1", **FINAL, **paid}, on="")
    assert made.day == datetime.date(2026, 8, 1) and made.columns["days_late"] == [20]


def test_a_day_of_payment_that_is_no_date_is_refused():
    with pytest.raises(WorkbookError, match=r"line 2, column date_paid.*is not a date"):
        ledger({"lot": "HD-1", **FINAL, "date_paid": "soon"})


@pytest.mark.parametrize("other", ["hd 1", "HD1", "HD - 1.", "hd\u20131", "H.D.-1"])
def test_names_that_differ_in_blanks_dashes_or_dots_are_the_same(other):
    with pytest.raises(WorkbookError, match=r"line 3.*are the same\. Give each lot"):
        table({"lot": "HD-1"}, {"lot": other})


def test_a_dash_between_numbers_counts():
    assert table({"lot": "HD-1-1"}, {"lot": "HD-11"}).names == ["HD-1-1", "HD-11"]


def test_the_same_lot_under_another_name_makes_a_draft():
    made = ledger({"lot": "HD-1", **FINAL}, {"lot": "HD-7", **FINAL})
    (fault,) = made.faults
    assert fault.startswith("Draft.") and fault in made.notes
    assert "line 2, HD-1 and line 3, HD-7: every weight and assay is equal" in fault
    assert "if it is the same lot, delete all lines but one" in fault
    other = {"lot": "HD-7", **FINAL, "melt_mass": "239.7"}
    assert not ledger({"lot": "HD-1", **FINAL}, other).faults


def test_a_table_without_dates_says_what_is_not_checked():
    made = Ledger(RATE, "us", table({"lot": "HD-1", "paid": "4000"}))
    (note,) = [note for note in made.notes if "Without these dates" in note]
    assert "no column for weighed, milled, assayed, date, price_day, date_paid" in note
    assert "the day of the price is not checked" in note
    assert not any(
        "Without these" in note for note in ledger({"lot": "A", **FINAL}).notes
    )


def test_a_payment_before_the_lot_was_weighed_makes_a_draft():
    lot = {"lot": "HD-1", **FINAL, "paid": "4000"}
    early = ledger({**lot, "date_paid": "2026-06-09"})
    assert "paid on 9 June 2026, before it was weighed, 10 June 2026" in " ".join(
        early.faults
    )
    assert not ledger({**lot, "date_paid": "2026-06-10"}).faults
