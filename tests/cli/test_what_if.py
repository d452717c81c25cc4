"""Cases side by side and break-even, from the book to the terminal."""

import json
from dataclasses import replace

import pytest

import pennyweight as pw
from pennyweight.cli.break_even import show_break_even
from pennyweight.cli.main import main
from pennyweight.documents.case_table import WHAT, read_cases
from pennyweight.errors import BadValue, CallError
from pennyweight.model.inputs import INPUTS, input_called
from pennyweight.model.results import result_called
from pennyweight.model.run import run
from pennyweight.workbook.csv_file import csv_rows
from tests.books import book_at, typed_at
from tests.golden import agreed

TABLE = """\
,low price,dear diesel
Gold price,2400,

fuel_price,,6.5
Grade of the ore,0.35,
gravity_recovery,70%,
Kind of mill,,hammer mill
"""
LOW = {"gold_price": 2400, "ore_grade": 0.35, "gravity_recovery": 0.7}
DEAR = {"fuel_price": 6.5, "mill_kind": "hammer mill"}


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    return book_at(tmp_path_factory.mktemp("if") / "book.xlsx")


def call(*arguments):
    """Run the command line in this process; give its exit code."""
    try:
        main([str(argument) for argument in arguments])
    except SystemExit as stop:
        return stop.code
    return 0


def cases_of(text):
    return read_cases(csv_rows(text, WHAT), "us")


def test_a_table_of_cases_is_read_by_names_and_labels():
    assert cases_of(TABLE) == {"low price": LOW, "dear diesel": DEAR}


@pytest.mark.parametrize(
    ("text", "error", "message"),
    [
        ("", CallError, "is empty"),
        ("x\ngold_price\n", CallError, "is empty"),
        (",a\n", CallError, "is empty"),
        (",a,a\ngold_price,1,2\n", CallError, "the case a is given twice"),
        (",a,,b\ngold_price,1\n", CallError, "a case has no name"),
        (",a\ngold_prize,1\n", CallError, "Line 2 .* Did you mean gold_price"),
        (",a\n\nGold prise,1\n", CallError, "Line 3 .* Did you mean Gold price"),
        (",gold_price\na,1\n", CallError, "no input named a.* the first column the in"),
        (
            ",a\ngold_price,3000\nGold price,3100\n",
            CallError,
            "Line 3.* also in line 2",
        ),
        (",a\n\ngold_price,1,2\n", CallError, "Line 3 .* 2 values for 1 cases"),
        (',a\nwage,30\n"gold_price,2\n', CallError, "line 3, unexpected"),
        (",a\n" + "x" * 200_000, CallError, "line 2, field larger"),
        (";a\nhead_grade;0,35\n", BadValue, r"line 2, case a\): '0,35' is not a numb"),
        (",a\ngold_price,nan\n", BadValue, "NaN is out of range"),
        (",a\ngold_price,cheap\n", BadValue, r"line 2, case a\): 'cheap'"),
        (",a\n\nhead_grade,-1\n", BadValue, r"line 3, case a\): -1 oz/ton is out"),
        (',a\ngold_price,"3,000"\n', BadValue, "Write it without commas: 3000"),
        (",a\nLiner price,2\n", CallError, "Did you mean Mill liner price"),
        (",a\ngold_price,30%\n", BadValue, "is not a number"),
        (",a\nmill_kind,rod mill\n", BadValue, "not one of the choices"),
    ],
)
def test_a_bad_table_is_refused(text, error, message):
    with pytest.raises(error, match=message):
        cases_of(text)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_spreadsheets_part_fields_as_their_country_does(separator):
    """Cells to the right and below that were once filled leave empty fields."""
    lines = ("", "low", "", ""), ("Gold price", "2400", "", ""), ("", "", "", "")
    text = "\r\n".join(map(separator.join, lines))
    assert cases_of(text) == {"low": {"gold_price": 2400}}


def test_a_case_that_contradicts_itself_is_named():
    cases = {"fine": {"wage": 30.0}, "rich": {"bullion_fineness": 950.0}}
    with pytest.raises(BadValue, match=r"^Case rich: .* cannot exceed 1000 parts"):
        pw.example().cases(cases)


def test_results_are_called_by_name_or_label():
    assert result_called("margin of a TON") == "margin_per_ton"
    assert result_called("operating margin per tonne") == "margin_per_ton"
    assert result_called("margin_per_ton") == "margin_per_ton"
    with pytest.raises(CallError, match="Did you mean Operating margin per ton"):
        result_called("Operating margin per one ton")


def test_a_label_that_two_inputs_share_is_not_guessed():
    assert input_called(" gold price ") == "gold_price"
    with pytest.raises(
        CallError, match=r"Operators required, mill .* or .*Use one of these names"
    ):
        input_called("Attention")


def test_cases_are_plain_runs(book, tmp_path, capsys):
    table = tmp_path / "cases.csv"
    table.write_text(TABLE, encoding="utf-8-sig")
    assert call("cases", book, table, "--json") == 0
    found = json.loads(capsys.readouterr().out)
    assert list(found) == ["base case", "low price", "dear diesel"]
    for case, inputs in (("base case", {}), ("low price", LOW), ("dear diesel", DEAR)):
        assert found[case]["inputs"] == inputs
        worth = float(run(inputs)["net_present_value"])
        assert found[case]["net_present_value"] == pytest.approx(worth, rel=1e-12)
    assert call("cases", book, table) == 0
    shown = capsys.readouterr().out
    for words in (
        "low price",
        "$2,400/oz",
        "hammer mill",
        "Operating",
        "21.9% per year",
    ):
        assert words in shown


def test_a_table_that_cannot_be_read(book, tmp_path, capsys):
    assert call("cases", book, tmp_path / "none.csv") == 2
    (tmp_path / "bad.csv").write_bytes(b",a\ngold_price,\xff\n")
    assert call("cases", book, tmp_path / "bad.csv") == 2
    said = capsys.readouterr().err
    assert "There is no file" in said and "again as CSV UTF-8" in said


def test_break_even_is_where_the_result_is_that(book, capsys):
    arguments = ("break-even", book, "Grade of the ore", "--of", "Margin of a ton")
    assert call(*arguments, "--at", 50, "--json") == 0
    found = json.loads(capsys.readouterr().out)
    (grade,) = found["values"]
    assert float(run({"ore_grade": grade})["margin_per_ton"]) == pytest.approx(50)
    assert call(*arguments, "--at", 50) == 0
    said = capsys.readouterr().out
    assert f"Operating margin per ton is $50/ton at {grade:.6g} oz/ton" in said
    now = agreed()["margin_per_ton"]
    assert (
        f"Base case: Operating margin per ton is ${now:.2f}/ton at 0.28 oz/ton." in said
    )


def test_a_target_may_be_written_in_per_cent(book, capsys):
    for target in ("20%", "0.2"):
        rate = ("--of", "internal_rate", "--at", target)
        assert call("break-even", book, "gold_price", *rate) == 0
    one, other = capsys.readouterr().out.split("Base case")[:2]
    assert "is 20% per year at" in " ".join(one.split())
    assert one.strip() in other
    assert call("break-even", book, "gold_price", "--at", "1,5") == 2
    assert "'1,5' is not a number" in capsys.readouterr().err


def test_break_even_says_when_there_is_none(book, capsys):
    assert call("break-even", book, "silver_price", "--at", 1e9) == 0
    assert "No value of silver price was found from" in capsys.readouterr().out
    assert call("break-even", book, "hammer_set_cost") == 0
    worth = agreed()["net_present_value"]
    said = " ".join(capsys.readouterr().out.split())
    assert f"at the values tried it is ${worth:,.0f}" in said


def test_checks_that_fail_at_the_value_found_are_named():
    """A larger mill overloads the motor of the plan."""
    plan = pw.example().change(pace_source="calculated")
    now = plan.results["mill_capacity"]
    found = plan.break_even("mill_diameter", "mill_capacity", 1.6 * now)
    assert "Checks that fail there: " in found.note
    (value,) = found.values
    speed = plan.inputs["mill_speed"] * (plan.inputs["mill_diameter"] / value) ** 0.5
    larger = plan.change(mill_diameter=value, mill_speed=speed)
    moved = larger.judge().checks["failures"]
    assert moved and all(check in found.note for check in moved)
    assert plan.break_even("gold_price").note == ""


def test_a_term_of_all_contract_types_is_that_of_the_agreed_type():
    plan = pw.example().change(job="contract", contract_kind="by the hour")
    found = plan.break_even("hourly charge")
    assert found.name == "terms_per_hour_02"
    assert plan.change({found.name: found.values[0]}).results[
        "agreed_margin"
    ] == pytest.approx(0, abs=1e-6)


@pytest.mark.filterwarnings("error")
def test_break_even_says_when_there_is_no_answer_to_move(tmp_path, capsys):
    book = typed_at(tmp_path / "poor.xlsx", gold_price=1000.0)
    assert call("break-even", book, "assay_price", "--of", "payback_month") == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "at the values tried it is n/a." in said
    assert "Payback month before loan is n/a at" in said


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("gold_pric",), "Did you mean gold_price"),
        (("gold_price", "--of", "verdict"), "is not a number"),
        (("gold_price", "--of", "net_present_valu"), "Did you mean net_present_value"),
        (("mill_kind",), "Mill type is not a number"),
        (("ore_grade", "--at", "nan"), "Target value: nan"),
    ],
)
def test_wrong_calls(book, arguments, message, capsys):
    assert call("break-even", book, *arguments) == 2
    assert message in capsys.readouterr().err


def test_an_input_that_the_plan_does_not_use_is_named(book, tmp_path, capsys):
    table = tmp_path / "unused.csv"
    table.write_text(
        ",hammers,mill\nhammer_set_cost,5000,5000\nKind of mill,,hammer mill\n", "utf-8"
    )
    assert call("cases", book, table) == 0
    said = " ".join(capsys.readouterr().out.split())
    label = INPUTS["hammer_set_cost"].label
    assert f"Case hammers: {label} has no effect on these results" in said
    assert "Case mill:" not in said
    assert call("cases", book, table, "--json") == 0
    found = json.loads(capsys.readouterr().out)
    assert len(found["hammers"]["notes"]) == 1 and found["mill"]["notes"] == []


def test_only_an_input_that_no_line_reads_is_not_used(book, capsys):
    """A hammer mill would wear hammers; lots per season are of the contract alone."""
    for name, told in (
        ("hammer_set_cost", "moves this result under other choices only"),
        ("season_lots", "The plan does not use Lots per season for this result."),
    ):
        assert call("break-even", book, name) == 0
        assert told in " ".join(capsys.readouterr().out.split())


def test_a_case_tells_which_checks_it_fails(book, tmp_path, capsys):
    """A case that pays on paper may need more people than it has."""
    table = tmp_path / "checks.csv"
    table.write_text(",no crew,weak motor\ncrew,0,\nmill_motor,,15\n", "utf-8")
    assert call("cases", book, table, "--json") == 0
    found = json.loads(capsys.readouterr().out)
    assert found["base case"]["failed_checks"] == []
    plan = pw.read(book)
    for case, changes in (
        ("no crew", {"crew": 0}),
        ("weak motor", {"mill_motor": 15.0}),
    ):
        failures = plan.change(changes).judge().checks["failures"]
        assert found[case]["failed_checks"] == failures != []
    assert call("cases", book, table) == 0
    shown = capsys.readouterr().out
    rows = [line for line in shown.splitlines() if line.startswith("Failed checks")]
    assert "none" in rows[0] and failures[0].split()[0] in " ".join(rows)


def test_estimates_for_missing_figures_are_named_before_the_answer(tmp_path, capsys):
    book = typed_at(tmp_path / "book.xlsx", crew=None, wage=None)
    table = tmp_path / "cases.csv"
    table.write_text(TABLE, "utf-8")
    told = "Estimates stand in for what is missing: Operators per shift; Hourly wage."
    for arguments in (("cases", book, table), ("break-even", book, "gold_price")):
        assert call(*arguments) == 0
        assert " ".join(capsys.readouterr().out.split()).startswith(told)
        assert call(*arguments, "--json") == 0
        said = capsys.readouterr()
        assert json.loads(said.out) and told in " ".join(said.err.split())


def test_a_grade_that_the_samples_give_is_changed_as_entered():
    plan = pw.example().change(grade_source="samples")
    found = plan.cases({"poor": {"ore_grade": 0.1}})
    entered = run({"ore_grade": 0.1})["net_present_value"]
    assert found["poor"]["net_present_value"] == pytest.approx(float(entered))
    (note,) = found["poor"]["notes"]
    assert "used as entered, in place of the samples" in note
    even = plan.break_even("ore_grade")
    assert even.values and "as entered" in even.note
    assert even.values == pytest.approx(pw.example().break_even("ore_grade").values)


def test_unknown_words_are_answered_with_labels(book, capsys):
    assert call("break-even", book, "gold") == 2
    assert "Did you mean one of: Gold price; Gold payable; " in capsys.readouterr().err
    assert call("break-even", book, "gold_price", "--of", "profit") == 2
    assert "_" not in capsys.readouterr().err


def test_a_contract_is_compared_by_its_own_results():
    plan = pw.Plan(job="contract", contract_kind="share")
    found = plan.cases({"rich": {"custom_grade": 1.0}})
    assert found["rich"].keys() - {"inputs", "notes", "failed_checks"} == {
        "job_verdict",
        *plan.judge().results,
    }
    (grade,) = plan.break_even("custom_grade").values
    margin = plan.change(custom_grade=grade).results["agreed_margin"]
    assert margin == pytest.approx(0, abs=0.01)


def test_a_jump_past_the_target_is_explained(capsys):
    plan = pw.example()
    found = plan.break_even("Gold price")
    for jumps, told in (((), False), ((2000.0,), True)):
        show_break_even(replace(found, jumps=jumps), plan)
        said = " ".join(capsys.readouterr().out.split())
        assert ("A result jumps where the work ends a month sooner" in said) is told


def test_the_currency_entered_stands_wherever_money_shows(tmp_path, capsys):
    book = book_at(tmp_path / "cedi.xlsx", currency="Ghana cedi")
    for words in (
        ["judge", book],
        ["settle", book, "-o", tmp_path / "statement.xlsx"],
        ["quote", book, "-o", tmp_path / "quote.xlsx"],
        ["quote", book, "--margin", "Ghana cedi 900/hour"],
        ["quote", book, "--margin", "900/hour"],
    ):
        assert call(*words) == 0
        told = capsys.readouterr()
        assert "Ghana cedi" in told.out + told.err
        assert "$" not in told.out + told.err, words
    assert call("quote", book, "--margin", "$150/hour") != 0
    assert "for example Ghana cedi 150/hour" in capsys.readouterr().err
    assert pw.example().judge().currency_note == ""
    note = pw.example().change(currency="Canadian dollars").judge().currency_note
    assert "Canadian dollars" in note


def test_a_figure_in_the_other_unit_is_asked_about(tmp_path, capsys):
    """Before, only judge asked; a case paid $90 million."""
    path = pw.example().change(ore_grade=12.0).write(tmp_path / "book.xlsx")
    table = tmp_path / "cases.csv"
    table.write_text(TABLE)
    for command in (("cases", path, table), ("break-even", path, "gold_price")):
        assert call(*command) == 0
        assert "is it in g/t?" in " ".join(capsys.readouterr().out.split())
