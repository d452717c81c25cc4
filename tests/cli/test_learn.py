"""``pennyweight learn``: the screen, JSON, entering, and refusals."""

import json
import shutil
from pathlib import Path

import pytest

from pennyweight.model.jobs import SPOKEN
from tests.books import book_at, typed_at
from tests.commands import pennyweight

ACTUALS = Path(__file__).parents[2] / "workbooks" / "season-plan" / "actuals.csv"


@pytest.fixture
def folder(tmp_path):
    book_at(tmp_path / "claim.xlsx")
    shutil.copy(ACTUALS, tmp_path / "actuals.csv")
    return tmp_path


def learn(folder, *more):
    return pennyweight("learn", "claim.xlsx", "actuals.csv", *more, cwd=folder)


def test_the_screen_has_variances_figures_and_forecast(folder):
    done = learn(folder)
    assert done.returncode == 0, done.stderr
    words = ("to date", "Recovery", "Throughput", "Forecast", "--enter all")
    for word in (*words, "without ramp-up", "Rest of season: "):
        assert word in done.stdout
    assert "Gravity recovery 62.0% " in " ".join(done.stdout.split())


def test_estimates_for_missing_figures_are_named_first(folder):
    typed_at(folder / "claim.xlsx", wage=None)
    told = "Estimates stand in for what is missing: Hourly wage."
    assert learn(folder).stdout.startswith(told)
    assert learn(folder, "--json").stderr.startswith(told)


def test_an_unusual_head_assay_is_asked_for(folder):
    text = ACTUALS.read_text("utf-8").splitlines()
    head = text[0].split(",").index("head_grade")
    cells = text[1].split(",")
    cells[head] = "14"
    text[1] = ",".join(cells)
    (folder / "actuals.csv").write_text("\n".join(text), "utf-8")
    told = "Head assay: look again at 14 oz/ton, unusually high: is it in g/t?"
    assert told in " ".join(learn(folder).stdout.split())
    assert told in " ".join(learn(folder, "--json").stderr.split())


@pytest.mark.parametrize("job", ["contract", "lot", "test"])
def test_a_customers_gold_is_not_learned_as_the_mills(folder, job):
    typed_at(folder / "claim.xlsx", job=job)
    before = (folder / "claim.xlsx").read_bytes()
    done = learn(folder, "--enter", "all")
    assert done.returncode == 2 and not done.stdout
    assert (
        f"This plan is for a {SPOKEN[job]}; learning from what was milled"
        in done.stderr
    )
    assert "new all.xlsx --from claim.xlsx --for everything" in done.stderr
    assert (folder / "claim.xlsx").read_bytes() == before


def test_json_ties(folder):
    found = json.loads(learn(folder, "--json").stdout)
    last = found["variances"][-1]
    parts = ("volume", "throughput", "grade", "recovery", "price", "usage", "rate")
    total = last["planned"] + sum(last[part] for part in parts)
    assert total == pytest.approx(last["actual"], abs=0.005)


def test_bad_actuals_write_nothing(folder):
    before = (folder / "claim.xlsx").read_bytes()
    text = ACTUALS.read_text("utf-8").replace(",49.1,", ",-49.1,")
    (folder / "actuals.csv").write_text(text, "utf-8")
    done = learn(folder, "--enter", "all")
    assert done.returncode == 3
    assert "Gold produced (actuals.csv, line 2, column gold)" in done.stderr
    assert (folder / "claim.xlsx").read_bytes() == before
    assert learn(folder, "--copy", "x.xlsx").returncode == 2
