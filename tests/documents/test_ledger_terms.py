"""A ledger whose lots follow several versions of the terms."""

import csv
import io

import pytest

from pennyweight.documents.ledger import WHAT, Ledger
from pennyweight.documents.lots import read_lots
from pennyweight.errors import CallError, WorkbookError
from pennyweight.workbook.csv_file import csv_rows

from .test_statement import LOTS

SECOND = {"terms_version": "2", "contract_kind": "purchase"}


def named(*follows):
    """The lots of the example, each with the terms that it follows."""
    head, *lines = LOTS.splitlines()
    rows = [f"{line},{key}" for line, key in zip(lines, follows, strict=True)]
    text = "\n".join([f"{head},terms", *rows])
    return read_lots(csv_rows(text, WHAT), "us", "lots.csv")


def nets(inputs, lots, others=()):
    return Ledger(inputs, "us", lots, "", others).columns["net"]


def test_each_lot_is_settled_under_its_own_terms():
    one = nets({}, named(*["T-26-03/1"] * 3))
    two = nets(SECOND, named(*["T-26-03/2"] * 3))
    mixed = named("T-26-03/1", "T-26-03/2", "T-26-03/1")
    made = Ledger({}, "us", mixed, "", [SECOND])
    assert made.columns["net"] == [one[0], two[1], one[2]]
    (owed,) = made.owed.values()
    assert sum(made.columns["net"]) - 9000 == pytest.approx(owed, abs=1e-9)
    bullion = made.columns["settle_bullion_gold"]
    assert bullion[1] is None and all(bullion[::2])
    copy = csv.DictReader(io.StringIO(made.audit().decode()))
    told = [row["terms"] for row in copy]
    assert ["version 2" in words for words in told] == [False, True, False]
    assert len({words.split("Code ")[1] for words in told}) == 2


@pytest.mark.parametrize(
    ("follows", "others", "words"),
    [
        (["T-26-03/1", "T-26-03/9", "T-26-03/1"], [], r"line 3.*are T-26-03/9"),
        (["T-26-03/1", "", "T-26-03/1"], [], r"line 3.*are missing"),
        (["T-26-03/1"] * 3, [{}], "Two workbooks have terms T-26-03/1"),
        (["T-26-03/1"] * 3, [SECOND | {"currency": "EUR"}], "one currency"),
    ],
)
def test_terms_that_do_not_fit_are_refused(follows, others, words):
    with pytest.raises((CallError, WorkbookError), match=words):
        nets({}, named(*follows), others)


def test_several_terms_need_a_column_that_names_them():
    lots = read_lots(csv_rows(LOTS, WHAT), "us", "lots.csv")
    with pytest.raises(CallError, match="Add the column terms"):
        nets({}, lots, [SECOND])
