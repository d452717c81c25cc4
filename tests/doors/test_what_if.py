"""Cases side by side and break-even, from the book to the terminal."""

import json

import pytest

from pennyweight.chance.cases import read_cases
from pennyweight.doors.command import main
from pennyweight.errors import BadValue, CallError
from pennyweight.model.inputs import input_called
from pennyweight.model.run import run
from pennyweight.workbook.book import make_book
from pennyweight.workbook.write import write_book

TABLE = """\
,low price,dear diesel
Gold price,2400,

fuel_price,,6.5
Grade of the ore,0.35,
gravity_recovery,70%,
Kind of mill,,hammer mill
"""
LOW = {"gold_price": 2400, "head_grade": 0.35, "gravity_recovery": 0.7}
DEAR = {"fuel_price": 6.5, "mill_kind": "hammer mill"}


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    return write_book(make_book(), tmp_path_factory.mktemp("if") / "book.xlsx")


def call(*arguments):
    """Run the command line in this process; give its exit code."""
    try:
        main([str(argument) for argument in arguments])
    except SystemExit as stop:
        return stop.code
    return 0


def test_a_table_of_cases_is_read_by_names_and_labels():
    assert read_cases(TABLE, "us") == {"low price": LOW, "dear diesel": DEAR}


@pytest.mark.parametrize(
    ("text", "error", "message"),
    [
        ("", CallError, "is empty"),
        ("x\ngold_price\n", CallError, "is empty"),
        (",a\n", CallError, "is empty"),
        (",a,a\ngold_price,1,2\n", CallError, "A case stands twice"),
        (",a\ngold_prize,1\n", CallError, "Did you mean gold_price"),
        (",a\nGold prise,1\n", CallError, "Did you mean Gold price"),
        (",a\ngold_price,3000\nGold price,3100\n", CallError, "Line 3 .* stands twice"),
        (",a\n\ngold_price,1,2\n", CallError, "Line 3 .* too many fields"),
        (",a\ngold_price,cheap\n", BadValue, r"line 2, case a\): 'cheap'"),
        (",a\n\nhead_grade,-1\n", BadValue, r"line 3, case a\): -1 oz/ton is out"),
        (",a\ngold_price,30%\n", BadValue, "is not a number"),
        (",a\nmill_kind,rod mill\n", BadValue, "not one of the choices"),
    ],
)
def test_a_bad_table_is_refused(text, error, message):
    with pytest.raises(error, match=message):
        read_cases(text, "us")


def test_a_label_that_two_inputs_share_is_not_guessed():
    assert input_called(" gold price ") == "gold_price"
    with pytest.raises(CallError, match=r" or .*give one of them"):
        input_called("Attention")


def test_cases_are_plain_runs(book, tmp_path, capsys):
    table = tmp_path / "cases.csv"
    table.write_text(TABLE, encoding="utf-8-sig")
    assert call("cases", book, table, "--json") == 0
    found = json.loads(capsys.readouterr().out)
    assert list(found) == ["plan", "low price", "dear diesel"]
    for case, inputs in (("plan", {}), ("low price", LOW), ("dear diesel", DEAR)):
        assert found[case]["inputs"] == inputs
        worth = float(run(inputs)["net_present_value"])
        assert found[case]["net_present_value"] == pytest.approx(worth, rel=1e-12)
    assert call("cases", book, table) == 0
    shown = capsys.readouterr().out
    for words in ("low price", "2400 $/oz", "hammer mill", "Margin of a ton", "22.1 %"):
        assert words in shown


def test_a_table_that_cannot_be_read(book, tmp_path, capsys):
    assert call("cases", book, tmp_path / "none.csv") == 2
    (tmp_path / "bad.csv").write_bytes(b",a\ngold_price,\xff\n")
    assert call("cases", book, tmp_path / "bad.csv") == 2
    said = capsys.readouterr().err
    assert "cannot be read" in said and "save it as CSV UTF-8" in said


def test_break_even_is_where_the_result_is_that(book, capsys):
    arguments = ("break-even", book, "Grade of the ore", "--of", "margin_per_ton")
    assert call(*arguments, "--at", 50, "--json") == 0
    found = json.loads(capsys.readouterr().out)
    (grade,) = found["values"]
    assert float(run({"head_grade": grade})["margin_per_ton"]) == pytest.approx(50)
    assert call(*arguments, "--at", 50) == 0
    said = capsys.readouterr().out
    assert f"Margin of a ton is 50 $/ton at {grade:.6g} oz/ton" in said
    assert "Now: Margin of a ton is 144.15 $/ton at 0.28 oz/ton." in said


def test_break_even_says_when_there_is_none(book, capsys):
    assert call("break-even", book, "silver_price", "--at", 1e9) == 0
    assert "No silver price from" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("gold_pric",), "Did you mean gold_price"),
        (("gold_price", "--of", "verdict"), "is no number"),
        (("gold_price", "--of", "net_present_valu"), "Did you mean net_present_value"),
        (("mill_kind",), "no input that can be moved"),
    ],
)
def test_wrong_calls(book, arguments, message, capsys):
    assert call("break-even", book, *arguments) == 2
    assert message in capsys.readouterr().err
