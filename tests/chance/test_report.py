"""The command and its report, from the book to the file."""

import json
import subprocess
import sys

import openpyxl
import pytest

from pennyweight.chance.report import as_json, make_report
from pennyweight.chance.study import make_study
from pennyweight.doors.command import main
from pennyweight.doors.risk_words import correlation, distribution_of
from pennyweight.errors import CallError
from pennyweight.workbook.book import make_book
from pennyweight.workbook.chance_sheet import SHEETS, report_bytes, write_report
from pennyweight.workbook.write import write_book


@pytest.fixture(scope="module")
def report():
    vary = {"head_grade": ("lognormal", [0.28, 0.2])}
    return make_report(make_study(vary=vary), 512, seed=3, way="numpy")


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    return write_book(make_book(), tmp_path_factory.mktemp("risk") / "book.xlsx")


def call(*arguments):
    """Run the command line in this process; give its exit code."""
    try:
        main([str(argument) for argument in arguments])
    except SystemExit as stop:
        return stop.code
    return 0


def test_report_holds_values_and_no_formula(report, tmp_path):
    path = write_report(report, tmp_path / "report.xlsx")
    package = openpyxl.load_workbook(path)
    assert tuple(package.sheetnames) == SHEETS
    for sheet in package:
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type not in ("f", "e"), (sheet.title, cell.coordinate)
    inputs = {row[0].value: row[1].value for row in package["Inputs"].iter_rows()}
    assert inputs["Gold price"] == report.study.inputs["gold_price"]
    chances = {row[0].value: row[1].value for row in package["Chance"].iter_rows()}
    pays = report.risk.figures["pays"].value
    assert chances["the claim pays: its running cost and its capital"] == pays


def test_same_report_same_bytes(report):
    assert report_bytes(report) == report_bytes(report)


def test_nothing_is_overwritten_or_left_half(report, tmp_path):
    path = tmp_path / "report.xlsx"
    path.write_bytes(b"mine")
    with pytest.raises(CallError, match="exists already"):
        write_report(report, path)
    assert path.read_bytes() == b"mine"
    write_report(report, path, force=True)
    assert [p.name for p in tmp_path.iterdir()] == ["report.xlsx"]


def test_json_is_json(report):
    text = json.dumps(as_json(report), allow_nan=False)
    back = json.loads(text)
    assert back["figures"]["pays"]["value"] == report.risk.figures["pays"].value
    assert back["varied"]["head_grade"]["kind"] == "Lognormal"


def test_metric_report(tmp_path):
    found = make_report(make_study(units="metric"), 256, way="numpy")
    write_report(found, tmp_path / "metric.xlsx")


def test_nothing_uncertain_still_reports(tmp_path):
    found = make_report(make_study(only=True), 256, way="numpy")
    assert found.shares == [] and found.knowing == {}
    write_report(found, tmp_path / "still.xlsx")


def test_command(book, tmp_path, capsys):
    out = tmp_path / "out.xlsx"
    assert call("risk", book, "--trials", 256, "-o", out) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "it pays in" in said and "They are not enough" in said
    assert out.exists()


def test_command_gives_the_same_json_for_the_same_seed(book, capsys):
    arguments = ("risk", book, "--trials", 256, "--seed", 5, "--json")
    assert call(*arguments) == 0
    first = capsys.readouterr().out
    assert call(*arguments) == 0
    assert capsys.readouterr().out == first
    assert json.loads(first)["seed"] == 5


@pytest.mark.parametrize(
    ("arguments", "code", "message"),
    [
        (("--trials", 1), 3, "1 trials"),
        (("--trials", 0), 3, "0 trials"),
        (("--vary", "wage=triangular:40,30,20"), 3, "must not fall"),
        (("--vary", "wage"), 2, "INPUT=KIND:NUMBERS"),
        (("--vary", "wages=fixed:3"), 2, "Did you mean wage"),
        (("--correlate", "gold_price=1"), 2, "INPUT,INPUT=SHARE"),
        (("--correlate", "gold_price,silver_price=x"), 2, "INPUT,INPUT=SHARE"),
        (("--correlate", "gold_price,silver_price=2"), 3, "-1 to 1"),
        (("--gold", "rising"), 2, "rising"),
        (("-o", "report.pdf"), 2, "ends in .xlsx"),
    ],
)
def test_wrong_calls(book, arguments, code, message, capsys):
    assert call("risk", book, *arguments) == code
    assert message in capsys.readouterr().err


def test_file_that_is_no_book(tmp_path, capsys):
    path = tmp_path / "none.xlsx"
    path.write_text("no")
    assert call("risk", path) == 3


def test_interrupt_leaves_nothing(book, tmp_path):
    """Stopped in the middle of the work: no file, no traceback."""
    script = (
        "import os, signal, threading, sys\n"
        "from pennyweight.doors.command import main\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "threading.Timer(4.0, os.kill, (os.getpid(), signal.SIGINT)).start()\n"
        "main(sys.argv[1:])\n"
    )
    out = tmp_path / "report.xlsx"
    arguments = ["risk", str(book), "--trials", "60000000", "-o", str(out)]
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments],
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 130, done.stderr
    assert "Stopped; nothing was written." in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_options_are_read():
    assert distribution_of("head_grade=assays: 0.2, 0.3") == (
        "head_grade",
        ("assays", [0.2, 0.3]),
    )
    assert correlation("a, b = -0.5") == (("a", "b"), -0.5)


def test_report_can_be_printed(report, tmp_path, render_pages):
    path = write_report(report, tmp_path / "report.xlsx")
    pages = render_pages(path, tmp_path / "pages")
    assert len(pages) >= len(SHEETS)
