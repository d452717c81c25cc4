"""Workbooks as issued by earlier versions: every command opens them.

The files under ``tests/books`` are stored as those versions wrote them. They are never
built anew; each released version adds its own.
"""

import json
import shutil
from pathlib import Path

import pytest

import pennyweight as pw
from pennyweight.cli.main import main
from pennyweight.cli.new import new_plan
from pennyweight.errors import WorkbookError
from pennyweight.workbook import read as reader
from pennyweight.workbook.carry import carry_from
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.read import read_book
from pennyweight.workbook.renew import renew_book
from tests.thorough import sampled

from .digits import as_saved

BOOKS = Path(__file__).parents[1] / "books"
ISSUED = sorted(BOOKS.glob("*/*.xlsx"))
FILLED = {"Gold price": 3150.0, "Wage": 31.5, "Claim": "Lower Tamsel"}
"""What the filled-in books hold, by label of then or now."""


def name(path):
    return f"{path.parent.name}-{path.stem}"


@pytest.fixture(params=sampled(ISSUED, 3), ids=name)
def issued(request, tmp_path):
    return Path(shutil.copy(request.param, tmp_path / "book.xlsx"))


@pytest.fixture
def later(monkeypatch):
    """A program whose version is a later one than that of every stored book."""
    monkeypatch.setattr(reader, "__version__", "999.0.0")


def test_books_of_version_0_1_0_are_there():
    names = {path.stem for path in ISSUED if path.parent.name == "0.1.0"}
    assert names == {"us", "metric", "filled"}


def test_its_inputs_are_read(issued, later):
    reading = read_book(issued)
    assert not reading.current and len(reading.given) > 400
    assert reading.given.keys().isdisjoint(reading.missing)
    assert pw.read(issued).judge().verdict


@pytest.mark.parametrize("path", sorted(BOOKS.glob("*/filled.xlsx")), ids=name)
def test_changed_figures_are_read(path, later):
    inputs = pw.read(path)
    for label, value in FILLED.items():
        assert inputs.results[label] == value if label != "Claim" else True
    reading = read_book(path)
    assert reading.inputs["claim_name"] == FILLED["Claim"]
    assert reading.statuses["wage"] == "measured"
    assert reading.bases["wage"] == "Payroll of last season"


def test_both_unit_systems_give_the_same_money(later):
    us, metric = (pw.read(BOOKS / "0.1.0" / f"{u}.xlsx") for u in ("us", "metric"))
    worth = "net_present_value"
    assert us.results[worth] == pytest.approx(metric.results[worth], rel=1e-9)


@pytest.mark.parametrize(("units", "balls"), [("us", 3.0), ("metric", 76.2)])
def test_balls_and_liners_in_feet_or_metres_become_inches_or_mm(units, balls, later):
    found = read_book(BOOKS / "0.1.0" / f"{units}.xlsx").inputs
    assert found["ball_diameter"] == pytest.approx(balls, rel=0.01)
    assert found["liner_thickness"] == pytest.approx(balls, rel=0.01)


COMMANDS = {
    "judge": (),
    "break-even": ("gold_price", "--of", "net_present_value"),
    "quote": ("-o", "quote.xlsx"),
    "settle": ("-o", "statement.xlsx"),
}


@pytest.mark.parametrize("command", sampled(COMMANDS, 2))
def test_every_command_opens_it(command, issued, later, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    before = issued.read_bytes()
    main([command, str(issued), *COMMANDS[command]])
    assert capsys.readouterr().out
    assert issued.read_bytes() == before


def test_cases_are_read_against_it(issued, later, tmp_path, capsys):
    table = tmp_path / "cases.csv"
    table.write_text("input,high\ngold_price,3600\n")
    main(["cases", str(issued), str(table)])
    assert "high" in capsys.readouterr().out


def test_it_is_compared_with_itself(issued, later, capsys):
    main(["compare", str(issued), str(issued), "--json"])
    found = json.loads(capsys.readouterr().out)
    assert found["changes"] == []
    assert (
        "by a version (0.1.0) with cells in other places"
        in found["inspection"]["reason"]
    )


@pytest.mark.thorough
def test_its_inputs_are_taken_over_into_a_new_workbook(issued, later, tmp_path):
    """`test_upgrade` shows the same of an older workbook in every run."""
    new = tmp_path / "new.xlsx"
    main(["new", str(new), "--from", str(issued)])
    carried, taken = carry_from(issued).inputs, read_book(new).inputs
    assert {name: taken[name] for name in carried} == as_saved(carried)


def test_a_new_workbook_would_have_its_inputs(issued, later):
    plan, carried = new_plan(None, False, issued), carry_from(issued).inputs
    assert len(carried) > 400
    assert {name: plan.inputs[name] for name in carried} == as_saved(carried)


def test_what_needs_the_places_of_cells_says_so(issued, later):
    before = issued.read_bytes()
    way_out = "pennyweight new NEW.xlsx --from book.xlsx"
    assert way_out in inspect_book(issued).reason
    with pytest.raises(WorkbookError, match=way_out):
        renew_book(issued)
    assert issued.read_bytes() == before


@pytest.mark.thorough
def test_its_risk_is_reported_and_not_entered(later, tmp_path, capsys):
    book = Path(shutil.copy(ISSUED[-1], tmp_path / "book.xlsx"))
    before = book.read_bytes()
    main(["risk", str(book), "--trials", "256"])
    said = capsys.readouterr()
    assert "of the trials" in said.out
    assert "pennyweight new NEW.xlsx --from book.xlsx" in " ".join(said.err.split())
    assert book.read_bytes() == before
