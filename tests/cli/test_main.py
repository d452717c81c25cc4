"""The command line in this process: exit codes, streams, JSON, clear errors."""

import functools
import json
import math
import re
import tempfile
from pathlib import Path

import pytest

from pennyweight.cli import main as command
from pennyweight.model.inputs import INPUTS
from pennyweight.model.judgement import RESULTS
from pennyweight.model.run import run
from pennyweight.workbook import write
from tests.books import book_at, typed_at
from tests.commands import pennyweight
from tests.thorough import sampled

POOR = {"gold_price": 300.0, "ore_grade": 0.01}


BOOKS = {
    "example": ("us", {}),
    "metric": ("metric", {}),
    "poor": ("us", POOR),
    "no season": ("us", {"season_months": 1.0, "build_months": 36.0}),
}
"""Books of several fortunes, in both unit systems."""


@pytest.fixture
def at_once(monkeypatch):
    """New workbooks are two letters: what is in them does not matter here."""
    monkeypatch.setattr(write, "book_bytes", lambda *_, **__: b"PK")


def called(capsys, *arguments):
    """Call the command; give its exit code and what it printed on both streams."""
    try:
        command.main([str(argument) for argument in arguments])
        code = 0
    except SystemExit as stop:
        code = stop.code
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    return code, out, err


def refuse(word):
    raise AssertionError(f"{word} is no JSON")


@functools.cache
def judged(name):
    """What `judge --json` says of one of the books."""
    units, inputs = BOOKS[name]
    with tempfile.TemporaryDirectory() as folder:
        book_at(Path(folder) / "book.xlsx", units, **inputs)
        done = pennyweight("judge", "book.xlsx", "--json", cwd=folder)
    assert (done.returncode, done.stderr) == (0, "")
    return json.loads(done.stdout, parse_constant=refuse)


@pytest.mark.parametrize("name", sampled(BOOKS, 2))
def test_json_is_of_the_stated_shape(name):
    told = judged(name)
    assert isinstance(told["verdict"], str)
    assert all(isinstance(reason, str) for reason in told["reasons"])
    assert set(told["results"]) == set(RESULTS)
    for result in told["results"].values():
        assert {"value", "unit"} <= set(result) <= {"value", "unit", "reason"}
        assert ("reason" in result) == (result["value"] is None)
        assert isinstance(result["value"], int | float | str | None)
        assert isinstance(result["unit"], str)
    assert set(told["inputs"]) == set(INPUTS)
    for entry in told["inputs"].values():
        assert set(entry) == {"value", "unit", "whose", "low", "high"}
    passed, failed = told["checks"]["passed"], told["checks"]["failed"]
    assert isinstance(passed, int) and isinstance(failed, int)
    assert len(told["checks"]["failures"]) == failed


@pytest.mark.parametrize("name", sampled(["example", "metric", "poor"], 2))
def test_json_gives_what_the_engine_works_out(name):
    told = judged(name)
    used = {name: entry["value"] for name, entry in told["inputs"].items()}
    values = run(used, "metric" if name == "metric" else "us")
    assert told["verdict"] == values["verdict"]
    for result, given in told["results"].items():
        engine = values[result].item()
        if isinstance(engine, float) and math.isnan(engine):
            assert given["value"] is None
        else:
            assert given["value"] == engine


def test_the_poor_claim_says_why_there_is_no_rate(tmp_path, capsys):
    told = judged("poor")
    assert told["verdict"] == "does not pay"
    for name in ("internal_rate", "payback_month"):
        assert told["results"][name]["value"] is None
        assert told["results"][name]["reason"].startswith("none")
    book = book_at(tmp_path / "poor.xlsx", **POOR)
    _, out, _ = called(capsys, "judge", book)
    assert "nan" not in re.findall(r"[a-z]+", out.lower())


@pytest.mark.usefixtures("at_once")
@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["--version"], 0),
        (["--help"], 0),
        (["judge", "--help"], 0),
        (["nonsense"], 2),
        (["--nonsense"], 2),
        (["judge"], 2),
        (["judge", "a.xlsx", "b.xlsx"], 2),
        (["judge", "--jsn", "a.xlsx"], 2),
        (["new"], 2),
        (["new", "a.xlsx", "--units"], 2),
        (["new", "a.xlsx", "--units", "imperial"], 2),
        (["new", "a.txt"], 2),
        (["judge", "missing.xlsx"], 3),
        (["judge", "."], 3),
        (["new", "no/such/folder/a.xlsx"], 3),
    ],
)
def test_exit_codes(arguments, code, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    found, out, err = called(capsys, *arguments)
    assert found == code
    assert err if code else out
    assert list(tmp_path.iterdir()) == []


@pytest.mark.usefixtures("at_once")
def test_a_book_that_is_there_stays_unless_forced(tmp_path, capsys):
    path = tmp_path / "a.xlsx"
    path.write_bytes(b"somebody's work")
    code, _, err = called(capsys, "new", path)
    assert (code, path.read_bytes()) == (2, b"somebody's work")
    assert "--force" in err
    assert called(capsys, "new", path, "--force")[0] == 0
    assert path.read_bytes().startswith(b"PK")


def test_a_bad_cell_is_named_and_ends_with_3(tmp_path, capsys):
    path = typed_at(tmp_path / "a.xlsx", gold_price=-5.0)
    code, out, err = called(capsys, "judge", path, "--json")
    assert (code, out) == (3, "")
    assert re.search(r"Gold price \(Start!B\d+\).*out of range", err)


@pytest.mark.usefixtures("at_once")
def test_a_disk_that_is_full_leaves_nothing_behind(tmp_path, capsys, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    code, _, err = called(capsys, "new", tmp_path / "a.xlsx")
    assert code == 3
    assert "No space left" in err
    assert list(tmp_path.iterdir()) == []


def test_an_unforeseen_fault_is_reported_without_a_trace(tmp_path, capsys, monkeypatch):
    def fault(*_):
        raise ZeroDivisionError("a fault of ours")

    monkeypatch.setattr(write, "book_bytes", fault)
    code, _, err = called(capsys, "new", tmp_path / "a.xlsx")
    assert code == 1
    assert "unforeseen" in err and "a fault of ours" in err
    assert list(tmp_path.iterdir()) == []
    monkeypatch.setenv("PENNYWEIGHT_DEBUG", "1")
    with pytest.raises(ZeroDivisionError):
        command.main(["new", str(tmp_path / "a.xlsx")])


def test_an_interrupt_is_reported_and_leaves_nothing(tmp_path, capsys, monkeypatch):
    def interrupt(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(write, "book_bytes", interrupt)
    code, _, err = called(capsys, "new", tmp_path / "a.xlsx")
    assert (code, err.strip()) == (130, "Stopped; nothing was written.")
    assert list(tmp_path.iterdir()) == []
