"""The risk command and its report in the workbook."""

import contextlib
import json
import shutil
import subprocess
import sys

import pytest
from xlsxwriter.utility import xl_rowcol_to_cell

import pennyweight as pw
from pennyweight.addins import sheet_jobs
from pennyweight.cli import risk_options
from pennyweight.cli.main import main
from pennyweight.cli.risk_options import correlation, distribution_of
from pennyweight.errors import WorkbookError
from pennyweight.model.inputs import INPUTS
from pennyweight.risk.ranges import planned_range
from pennyweight.risk.report import make_report
from pennyweight.risk.study import make_study
from pennyweight.workbook.inspection.findings import AS_ISSUED
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.layout import entry_place
from pennyweight.workbook.package.contents import read_contents
from pennyweight.workbook.risk_sheet.layout import is_filled, placed
from pennyweight.workbook.risk_sheet.rows import drawn_rows, information_rows
from tests.books import book_at, typed_at
from tests.risk.studies import by_numpy, only_varying
from tests.thorough import sampled

from ..oracles.package import write_changed

VARIED = ("gold_price", "wage", "gravity_recovery", "ore_tons", "crew", "dilution")
FIXED = ("--vary", "ore_grade=fixed:0.28", "--vary", "gravity_recovery=fixed:0.7")
"""Without these, no worth of more assays or test lots is calculated, which is slow."""
QUICK = ("--trials", 256, *FIXED)


@pytest.fixture(scope="module")
def report():
    inputs = make_study().inputs
    vary = {name: ("triangular", planned_range(name, inputs, "us")) for name in VARIED}
    vary["ore_grade"] = ("lognormal", [0.28, 0.2])
    return make_report(only_varying(vary=vary), 512, seed=3)


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    return book_at(tmp_path_factory.mktemp("risk") / "book.xlsx")


def call(*arguments):
    """Run the command line in this process; give its exit code."""
    try:
        main([str(argument) for argument in arguments])
    except SystemExit as stop:
        return stop.code
    return 0


def test_json_is_json(report):
    text = json.dumps(report.to_dict(), allow_nan=False)
    back = json.loads(text)
    assert back["figures"]["pays"]["value"] == report.risk.figures["pays"].value
    assert back["distributions"]["ore_grade"]["kind"] == "Lognormal"


def test_curves_go_from_end_to_end_of_what_matters_most(report):
    back = report.to_dict()
    effects = {effect["name"]: effect for effect in back["effects"][:6]}
    assert list(back["curves"]) == list(effects)
    for name, along in back["curves"].items():
        effect = effects[name]
        assert along["values"][0] == effect["low"]
        assert along["values"][-1] == effect["high"]
        assert len(along["values"]) == 11 or INPUTS[name].kind == "whole"
        for result in ("net_present_value", "margin_per_ton"):
            ends = effect["at_low"][result], effect["at_high"][result]
            assert along[result][:: len(along[result]) - 1] == pytest.approx(ends)


def test_nothing_uncertain_still_reports():
    found = make_report(only_varying(), 256)
    assert found.sobol_indices == [] and found.value_of_information == {}


@pytest.mark.parametrize(
    ("cost", "told"),
    sampled([(None, "Cost: the laboratory's fee alone"), (150.0, "as given")], 2),
)
def test_the_value_of_information_says_what_it_counts(cost, told):
    vary = {"ore_grade": ("triangular", [0.1, 0.3, 0.6])}
    vary |= {"gravity_recovery": ("triangular", [0.4, 0.6, 0.7])}
    study = only_varying(vary=vary)
    with by_numpy():
        made = make_report(study, 256, assay_cost=cost)
    assays, lots = (rows for (head, *_), rows in made.tables(pw.example())[-2:])
    assert assays[0][2] == ("$42" if cost is None else "$150")
    assert told in assays[-1][0]
    assert lots[-1][0] == "Of recovery only; a test lot measures the grade, too"
    sheet = information_rows("test lots")(made)
    assert sheet[-1] == [lots[-1][0]]


@pytest.mark.parametrize(
    ("more", "given", "told"),
    sampled(
        [
            ({}, None, "of 58%, the scatter of the samples."),
            ({"sample_weight_01": 0.0}, 0.4, "of 40%, as given."),
            (
                "few",
                None,
                "of 100%, usual for vein gold, for fewer than three samples.",
            ),
        ],
        3,
    ),
)
def test_the_scatter_behind_the_best_number_of_assays_is_told(more, given, told):
    if more == "few":
        more = {f"sample_weight_{n:02}": 0.0 for n in range(3, 13)}
    vary = {"ore_grade": ("triangular", [0.1, 0.3, 0.6])}
    study = only_varying(more, vary=vary)
    with by_numpy():
        made = make_report(study, 256, assay_cv=given)
    assert sum(told in sentence for sentence in made.method()) == 1
    assert any(told in row[0] for row in drawn_rows(made))


def test_command_enters_the_figures(book, tmp_path, capsys):
    own = tmp_path / "own.xlsx"
    shutil.copyfile(book, own)
    assert call("risk", own, *QUICK) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Probability that it pays:" in said and "Too few: about" in said
    assert "Results entered on the sheet Risk" in said
    assert is_filled(read_contents(own))


@pytest.mark.thorough
def test_command_enters_them_into_a_copy(book, tmp_path, capsys):
    before, out = book.read_bytes(), tmp_path / "out.xlsx"
    out.write_text("theirs")
    assert call("risk", book, "--trials", 256, "-o", out) == 2
    assert "exists already" in capsys.readouterr().err
    assert out.read_text() == "theirs"
    assert call("risk", book, "--trials", 256, "-o", out, "--force") == 0
    assert is_filled(read_contents(out)) and inspect_book(out).outcome == AS_ISSUED
    assert book.read_bytes() == before


def test_a_book_that_cannot_be_filled_gets_an_answer(book, tmp_path, capsys):
    own = tmp_path / "own.xlsx"
    heading = ("Risk", xl_rowcol_to_cell(placed("us")[0]["odds"].head, 0))
    write_changed(book, own, {heading: "Luck"})
    before = own.read_bytes()
    assert call("risk", own, *QUICK) == 0
    said = capsys.readouterr()
    assert "Probability that it pays:" in " ".join(said.out.split())
    assert "Results not entered" in said.err and "text changed" in said.err
    assert own.read_bytes() == before


@pytest.mark.thorough
def test_the_same_seed_gives_the_same_json_and_leaves_the_book_alone(book, capsys):
    before = book.read_bytes()
    arguments = ("risk", book, *QUICK, "--seed", 5, "--json", "--no-fill")
    assert call(*arguments) == 0
    first = capsys.readouterr().out
    assert call(*arguments) == 0
    assert capsys.readouterr().out == first
    assert json.loads(first)["seed"] == 5
    assert book.read_bytes() == before


@pytest.mark.parametrize(
    ("arguments", "code", "message"),
    [
        (("--trials", 1), 3, "Trials: 1 is out"),
        (("--trials", 0), 3, "Trials: 0 is out"),
        (("--vary", "wage=triangular:40,30,20"), 3, "not in order"),
        (("--vary", "wage"), 2, "INPUT=KIND:NUMBERS"),
        (("--vary", "wages=fixed:3"), 2, "Hourly wage?"),
        (("--correlate", "gold_price=1"), 2, "INPUT,INPUT=R"),
        (("--correlate", "gold_price,silver_price=x"), 2, "INPUT,INPUT=R"),
        (("--correlate", "gold_price,silver_price=2"), 3, "-1 to 1"),
        (("--gold", "rising"), 2, "rising"),
        (("-o", "report.pdf"), 2, "ends in .xlsx"),
    ],
)
def test_wrong_calls(book, arguments, code, message, capsys):
    assert call("risk", book, *arguments) == code
    assert message in capsys.readouterr().err


def test_no_probability_while_figures_are_missing(report, tmp_path, capsys):
    path = typed_at(tmp_path / "book.xlsx", wage=None)
    before, out = path.read_bytes(), tmp_path / "out.xlsx"
    for more in ((), ("--json", "--no-fill"), ("-o", out)):
        assert call("risk", path, "--trials", 256, *more) == 3
        said = capsys.readouterr()
        told = f"\n  {entry_place('wage')}, Hourly wage\n"
        assert said.out == "" and said.err.endswith(told)
    answer = sheet_jobs.do("risk", path, trials=256)
    assert list(answer) == ["said"] and "Hourly wage" in answer["said"]
    with pytest.raises(WorkbookError, match="Hourly wage"):
        pw.read(path).enter_risk(report, out)
    assert path.read_bytes() == before and not out.exists()


def test_a_lot_is_told_what_to_do_instead(tmp_path, capsys):
    path = typed_at(tmp_path / "lot.xlsx", job="lot")
    before = path.read_bytes()
    assert call("risk", path) == 2
    said = " ".join(capsys.readouterr().err.split())
    assert "needs one for a claim or a contract" in said
    assert "break-even and cases show how the answer changes" in said
    assert path.read_bytes() == before


def test_file_that_is_no_book(tmp_path, capsys):
    path = tmp_path / "none.xlsx"
    path.write_text("no")
    assert call("risk", path) == 3


def test_an_interrupt_leaves_nothing(book, tmp_path, monkeypatch, capsys):
    def stopped(done):
        raise KeyboardInterrupt

    at_work = contextlib.nullcontext(stopped)
    monkeypatch.setattr(risk_options, "progress", lambda *_, **__: at_work)
    own, before = tmp_path / "own.xlsx", book.read_bytes()
    own.write_bytes(before)
    assert call("risk", own, *QUICK) == 130
    assert "Stopped; nothing was written." in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == [own] and own.read_bytes() == before


@pytest.mark.thorough
def test_an_interrupted_process_leaves_nothing(book, tmp_path):
    """Stopped when the first of the trials are done: no file, no traceback."""
    script = (
        "import contextlib, os, signal, sys\n"
        "from pennyweight.cli import main, risk_options\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "stop = lambda done: os.kill(os.getpid(), signal.SIGINT)\n"
        "risk_options.progress = lambda *_, **__: contextlib.nullcontext(stop)\n"
        "main.main(sys.argv[1:])\n"
    )
    own, before = tmp_path / "own.xlsx", book.read_bytes()
    own.write_bytes(before)
    arguments = ["risk", str(own), "--trials", "1000000", *FIXED]
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments],
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 130, done.stderr
    assert "Stopped; nothing was written." in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == [own] and own.read_bytes() == before


def test_options_are_read():
    assert distribution_of("ore_grade=assays: 0.2, 0.3") == (
        "ore_grade",
        ("assays", [0.2, 0.3]),
    )
    assert correlation("wage, burden = -0.5") == (("wage", "burden"), -0.5)


def test_options_take_labels_with_signs_of_their_own_in_any_case():
    label = INPUTS["capital_cost_factor"].label
    assert distribution_of(f"{label.upper()}=fixed:1")[0] == "capital_cost_factor"
    assert distribution_of(" gold PRICE =fixed:1") == ("gold_price", ("fixed", [1.0]))
    pair, coefficient = correlation(f"{label},Gold price=0.5")
    assert pair == ("capital_cost_factor", "gold_price") and coefficient == 0.5
    for name, entry in INPUTS.items():
        if "=" in entry.label and entry.numeric:
            assert distribution_of(f"{entry.label}=fixed:1")[0] == name
