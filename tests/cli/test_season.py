"""``pennyweight season`` from a CSV file: the screen, JSON, and refusals."""

import json
from pathlib import Path

import openpyxl
import pytest

from tests.books import book_at, typed_at
from tests.commands import pennyweight

WANTED = Path(__file__).parents[2] / "workbooks" / "season-plan" / "wanted.csv"
START = ("--start", "2026-04-01", "--seconds", "3")


@pytest.fixture
def folder(tmp_path):
    book_at(tmp_path / "claim.xlsx")
    few = WANTED.read_text("utf-8").splitlines()[:7]
    (tmp_path / "wanted.csv").write_text("\n".join(few), "utf-8")
    return tmp_path


def season(folder, *more):
    return pennyweight(
        "season", "claim.xlsx", "--lots", "wanted.csv", *START, *more, cwd=folder
    )


def test_the_screen_has_plan_reasons_worth_and_rules(folder):
    done = season(folder)
    assert done.returncode == 0, done.stderr
    for words in (
        "Contribution of the season: $",
        "Lots left out",
        "Its income does not cover its avoidable cost.",
        "What a mill hour is worth, $",
        "For a lot or a charge use the average.",
        "first come, first served: $",
    ):
        assert words in done.stdout


def test_estimates_for_missing_figures_are_named_first(folder):
    typed_at(folder / "claim.xlsx", wage=None)
    told = "Estimates stand in for what is missing: Hourly wage."
    assert season(folder).stdout.startswith(told)
    assert told in season(folder, "--json", "-o", "season.xlsx").stderr
    sheet = openpyxl.load_workbook(folder / "season.xlsx")["Season"]
    assert told in [cell.value for cell in sheet["A"]]


def test_first_day_clean_up_and_unusual_figures_are_told(folder):
    rows = (folder / "wanted.csv").read_text("utf-8").splitlines()
    place = rows[0].split(",").index("grade")
    for at, row in enumerate(rows[1:], 1):
        cells = row.split(",")
        cells[place : place + 3] = ["14", "13", "15"]
        rows[at] = ",".join(cells)
    (folder / "wanted.csv").write_text("\n".join(rows), "utf-8")
    done = season(folder, "--owner-hours", "6")
    assert done.stdout.count("look again at 14 oz/ton") == 5
    assert "And 1 more." in done.stdout
    assert "First working day: 2 Apr 2026." in done.stdout
    assert "the crew of the clean-ups between owners takes $" in done.stdout
    assert "look again" in season(folder, "--json").stderr


def test_chance_and_cases_are_shown_when_asked_for(folder):
    (folder / "cases.csv").write_text(",finer\nproduct_p80,200\n", "utf-8")
    done = season(folder, "--chance", "50", "--cases", "cases.csv", "--cash", "45000")
    assert done.returncode == 0, done.stderr
    assert "Contribution in 50 draws, $" in done.stdout
    assert "Chance of each lot" in done.stdout
    assert "finer" in done.stdout
    assert "Cash, $" in done.stdout
    assert "Unlimited cash would add $" in done.stdout


def test_a_planned_lot_is_frozen(folder):
    text = (folder / "wanted.csv").read_text("utf-8").splitlines()
    text[0] += ",planned_start"
    text[1] += ",2026-04-03"
    (folder / "wanted.csv").write_text("\n".join(text), "utf-8")
    found = json.loads(season(folder, "--freeze", "5", "--json").stdout)
    start = {lot["lot"]: lot["start"] for lot in found["plan"]}["Umberlow 1"]
    assert start == "2026-04-03"


def test_json_adds_up_and_beats_the_simple_rules(folder):
    found = json.loads(season(folder, "--json").stdout)
    total = sum(lot["contribution"] for lot in found["plan"])
    assert found["contribution"] == pytest.approx(total)
    assert found["contribution"] >= max(found["simple_rules"].values())
    assert found["bound"] >= found["contribution"] - 1e-6
    assert found["hours_used"] <= 1


@pytest.mark.parametrize(
    ("old", "new", "code", "words"),
    [
        ("180,", "many,", 3, "is not a number"),
        ("0.42,", "-0.42,", 3, "out of range"),
        ("2026-05-20", "2026-02-20", 3, "before the earliest day"),
        ("lot,owner", "lot,owners", 2, "column 'owners' is unknown"),
    ],
)
def test_bad_tables_are_refused(folder, old, new, code, words):
    text = (
        (folder / "wanted.csv")
        .read_text("utf-8")
        .replace("260,240,280,", "180,170,190,")
    )
    (folder / "wanted.csv").write_text(text.replace(old, new, 1), "utf-8")
    done = season(folder)
    assert done.returncode == code
    assert words in done.stderr
    if code == 3:
        assert "wanted.csv, line 2, column" in done.stderr


def test_a_start_that_is_not_a_date_is_refused(folder):
    done = pennyweight(
        *("season", "claim.xlsx", "--lots", "wanted.csv", "--start", "soon"), cwd=folder
    )
    assert done.returncode == 2
    assert "year-month-day" in done.stderr
