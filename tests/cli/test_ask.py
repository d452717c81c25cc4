"""Questions for the must-haves: piped answers, errors, and an early end."""

import io

import pytest

import pennyweight as pw
from pennyweight.cli.ask import ask_must_haves
from pennyweight.plan import Plan
from tests.commands import pennyweight
from tests.thorough import sampled


def answered(monkeypatch, capsys, plan, *answers):
    """The plan with some answers, and what was said."""
    text = "".join(f"{answer}\n" for answer in answers)
    monkeypatch.setattr("sys.stdin", io.StringIO(text))
    return ask_must_haves(plan), capsys.readouterr().out


def missing_but(*names, units="us"):
    """The example with some must-haves left to ask."""
    example = pw.example(units)
    kept = {n: value for n, value in example.given.items() if n not in names}
    return Plan(kept, units=units)


def test_every_must_have_is_asked_with_label_unit_and_estimate(monkeypatch, capsys):
    plan = Plan()
    wanted = plan.must_haves()
    found, said = answered(monkeypatch, capsys, plan, *[""] * (1 + len(wanted)))
    assert found.given == {} and found.must_haves() == wanted
    assert all(f"{plan.label(name)}" in said for name in wanted)
    assert "Gold price, $/oz [$4,250/oz]: " in said
    assert "Royalty" in said and ", percent [4%]: " in said


def test_a_bad_answer_is_reported_in_the_words_of_a_workbook(monkeypatch, capsys):
    plan = missing_but("gold_price")
    answers = ("5", "cheap", "$3,440")
    found, said = answered(monkeypatch, capsys, plan, *answers)
    assert found.given["gold_price"] == 3440
    assert "$5/oz is out of range. Enter a number from $200/oz to $50,000/oz." in said
    assert "'cheap' is not a number" in said


@pytest.mark.parametrize(
    ("typed", "share"), [("4", 0.04), ("4%", 0.04), ("0.5%", 0.005), ("0", 0)]
)
def test_shares_are_typed_in_percent(typed, share, monkeypatch, capsys):
    plan = missing_but("royalty_rate")
    found, _ = answered(monkeypatch, capsys, plan, typed)
    assert found.given["royalty_rate"] == pytest.approx(share)


def test_a_share_that_may_be_two_things_is_asked_again(monkeypatch, capsys):
    plan = missing_but("royalty_rate")
    found, said = answered(monkeypatch, capsys, plan, "0.04", "4%")
    assert found.given["royalty_rate"] == pytest.approx(0.04)
    assert "0.04 may be 4% or 0.04%. Type it with the sign %." in said


def test_choices_are_typed_by_their_number(monkeypatch, capsys):
    plan = pw.example()
    monkeypatch.setattr(Plan, "must_haves", lambda _: ["mill_kind"])
    found, said = answered(monkeypatch, capsys, plan, "2")
    assert found.inputs["mill_kind"] == plan.choices("mill_kind")[1]
    assert f"  2 {plan.choices('mill_kind')[1]}" in said


def test_a_hired_mill_is_asked_for_its_terms(monkeypatch, capsys):
    plan = Plan(pw.example().given, job="claim")
    kept = {n: v for n, v in plan.given.items() if n not in ("crew", "toll_tons")}
    plan = Plan({n: v for n, v in kept.items() if n != "ore_milled_by"})
    found, said = answered(monkeypatch, capsys, plan, "2", "300")
    assert found.given["toll_tons"] == 300 and found.must_haves() == []
    assert "Operators per shift" not in said


def test_a_text_may_be_a_number(monkeypatch, capsys):
    plan = pw.example()
    monkeypatch.setattr(Plan, "must_haves", lambda _: ["settle_lot"])
    found, _ = answered(monkeypatch, capsys, plan, "12")
    assert found.inputs["settle_lot"] == "12"


@pytest.mark.thorough
@pytest.mark.parametrize("units", sampled(["metric", "us"], 2))
def test_the_end_of_the_input_keeps_what_was_said(units, tmp_path, monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO("Ash Hollow\n1\n6000\n"))
    done = pennyweight("new", "a.xlsx", "--ask", "--units", units, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    read = pw.read(tmp_path / "a.xlsx")
    assert read.given["claim_name"] == "Ash Hollow"
    assert read.given["ore_tons"] == 6000 and "gold_price" not in read.given
    assert "not yet, " in done.stdout and "Missing;" in done.stdout
    assert "Net present value" not in done.stdout


def test_ctrl_c_keeps_what_was_said(monkeypatch):
    answers = iter(["", "own mill", "6000"])

    def stopped(prompt):
        for answer in answers:
            return answer
        raise KeyboardInterrupt

    monkeypatch.setattr("builtins.input", stopped)
    assert ask_must_haves(Plan()).given["ore_tons"] == 6000


def test_a_file_that_is_there_is_refused_before_the_questions(tmp_path):
    (tmp_path / "a.xlsx").write_bytes(b"work")
    done = pennyweight("new", "a.xlsx", "--ask", cwd=tmp_path)
    assert done.returncode == 2 and "--force" in done.stderr
    assert "estimate is in brackets" not in done.stdout


def test_a_figure_may_have_its_unit_and_no_decimal_comma(monkeypatch, capsys):
    plan = missing_but("ore_grade", "gold_price")
    answers = ("0,31", "9.1 g/t", "0.31 oz/ton", "$3,440/oz")
    found, said = answered(monkeypatch, capsys, plan, *answers)
    assert found.given["ore_grade"] == 0.31 and found.given["gold_price"] == 3440
    assert "'0,31' is not a number. Write it with a decimal point: 0.31." in said
    assert "9.1 g/t" in said
