"""CSV tables of spreadsheet programs: read, or refused with line and column."""

import pytest

from pennyweight.errors import BadValue, CallError
from pennyweight.model.allowed import check
from pennyweight.model.columns import entered
from pennyweight.model.inputs import INPUTS
from pennyweight.workbook.csv_file import LARGEST, csv_rows, read_csv


@pytest.mark.parametrize(
    "first", ["sep=;\n", "\ufeffsep=;\n".lstrip("\ufeff"), "SEP=;\r\n"]
)
def test_a_first_line_may_say_what_separates(first):
    rows = csv_rows(f"{first}Lot;net\nGoldgräber, Süd;2.5\n", "table")
    assert [fields for _, fields in rows] == [
        ["Lot", "net"],
        ["Goldgräber, Süd", "2.5"],
    ]
    assert rows[1][0] == 3


@pytest.mark.parametrize("empty", ["", ";;", '  ;"";'])
def test_empty_lines_are_counted_up_to_the_last_row(empty):
    lines = ("lot;net;", empty, '"A\n\nB";1', empty, empty, "C;2", empty, "")
    skipped = []
    rows = csv_rows("\n".join(lines), "table", skipped)
    assert [line for line, _ in rows] == [1, 5, 8]
    assert skipped == [2, 6, 7]


def test_lines_separated_otherwise_are_named():
    with pytest.raises(CallError, match="line 3 is separated by ';'"):
        csv_rows("lot,wet,dry\nA,1,2\nB;1;2\n", "table")


@pytest.mark.parametrize("field", ["1_000", "\u0661\u0662", "0x10", "1e999"])
def test_only_plain_digits_are_a_number(field):
    with pytest.raises(BadValue, match=r"line 2, wet_tons.*is not a number"):
        entered("settle_wet_tons", field, "us", "line 2, wet_tons")


@pytest.mark.parametrize(("field", "words"), [("2,5", "2.5"), ("-0,25", "-0.25")])
def test_a_decimal_comma_is_answered_with_the_point(field, words):
    with pytest.raises(BadValue, match=f"decimal point: {words}"):
        entered("settle_wet_tons", field, "us", "line 2, wet_tons")


def test_percent_is_read_and_a_comma_in_it_is_answered():
    assert entered("settle_moisture", "5.5 %", "us", "x") == pytest.approx(0.055)
    with pytest.raises(BadValue, match=r"5\.5%"):
        entered("settle_moisture", "5,5%", "us", "line 2, moisture")


def test_a_file_that_is_too_large_is_refused(tmp_path):
    path = tmp_path / "large.csv"
    with open(path, "wb") as file:
        file.truncate(LARGEST + 1)
    with pytest.raises(CallError, match="larger than"):
        read_csv(path, "table")


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("62%", "It was entered as text. Type it again as a number: 62%, or 0.62."),
        ("0,7", "Write it with a decimal point: 0.7."),
        ("4.000,50", "Write it with a decimal point: 4000.50."),
    ],
)
def test_a_number_that_is_a_text_is_said_to_be_one(typed, words):
    with pytest.raises(BadValue, match=f"'{typed}' is not a number. {words} Enter"):
        check(INPUTS["gravity_recovery"], typed, "us", "")
