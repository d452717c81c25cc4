"""Every template, saved by another program, is read and judged alike."""

import csv
from pathlib import Path

import pytest

from pennyweight.model.judgement import judge
from pennyweight.model.run import run
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.layout import defined_name
from pennyweight.workbook.read import read_book
from tests.books import book_at

from ..oracles.package import defined_names, stored_cells
from .digits import as_saved
from .empty import empty_at
from .resaved import CHANGED, in_units, save_changed

WORKBOOKS = Path(__file__).parents[2] / "workbooks"
TABLES = sorted(
    path
    for path in WORKBOOKS.glob("*/*.csv")
    if path.read_text("utf-8").startswith("name,")
)
TEMPLATES = ("plain", "example", *(str(p.relative_to(WORKBOOKS)) for p in TABLES))
THOROUGH = pytest.mark.thorough
PROGRAMS, UNITS = ("libreoffice", "gnumeric", "openpyxl"), ("us", "metric")
EACH = (("libreoffice", "example", "us"),)
"""In every run."""
SAVED = {(program, "example", "us") for program in PROGRAMS}
SAVED |= {(program, "plain", "metric") for program in PROGRAMS}
SAVED |= {(PROGRAMS[n % 3], t, UNITS[n % 2]) for n, t in enumerate(TEMPLATES[2:])}
"""The example in US units and the plain workbook in metric units by every program; the
others, which differ from them in their inputs only, in turn."""
CASES = [*EACH, *(pytest.param(*c, marks=THOROUGH) for c in sorted(SAVED - set(EACH)))]


def inputs_of(template):
    if template == "plain":
        return {"claim_name": "My claim", "prepared_by": ""}
    if template == "example":
        return {}
    with (WORKBOOKS / template).open(encoding="utf-8", newline="") as file:
        return {row["name"]: row["value"] for row in csv.DictReader(file)}


def test_the_templates_are_there():
    assert len(TEMPLATES) >= 6


@pytest.fixture
def books(program, template, units, resaved, request, tmp_path):
    """A workbook, and its copy that a program changed and saved."""
    program = None if program == "openpyxl" else request.getfixturevalue(program)
    if template == "example":
        return resaved(program, units)
    given = in_units(inputs_of(template), units)
    path, back = book_at(tmp_path / "a.xlsx", units, **given), tmp_path / "b.xlsx"
    save_changed(program, path, back, units)
    return path, back


@pytest.mark.parametrize(("program", "template", "units"), CASES)
def test_changed_and_saved_again(program, units, books):
    path, back = books
    reading, changes = read_book(back), in_units(CHANGED, units)
    wanted = {**read_book(path).inputs, **changes}
    assert reading.units == units and reading.inputs == as_saved(wanted)
    one, other = judge(reading.inputs, units), judge(wanted, units)
    assert one.verdict == other.verdict == str(run(wanted, units)["verdict"])
    values = {name: result["value"] for name, result in one.results.items()}
    assert values == {n: close(r["value"]) for n, r in other.results.items()}
    found = inspect_book(back, strict=True)
    kinds = {finding.kind for finding in found.findings if finding.grave}
    if program == "openpyxl":  # it drops what formulas gave
        assert kinds == {"no stored values"}
        return
    assert kinds == set() and found.outcome == "inputs changed"
    assert inspect_book(back).findings == []
    told = {place_of(f) for f in found.inputs}
    assert told == {reading.places[name] for name in CHANGED}
    shown = {"verdict": one.verdict, **values}
    assert what_it_shows(back, shown) == {n: close(v) for n, v in shown.items()}


def close(value):
    return pytest.approx(value, rel=1e-9) if isinstance(value, float) else value


def place_of(finding):
    return f"{finding.sheet}!{finding.cell}"


def what_it_shows(path, names):
    """The figures that the program itself calculated and stored."""
    known, cells = defined_names(path), stored_cells(path)
    found = {name: known.read(cells, defined_name(name)) for name in names}
    return {name: None if value == "n/a" else value for name, value in found.items()}


@pytest.mark.thorough
def test_a_new_workbook_with_one_figure_is_as_issued_but_for_it(gnumeric, tmp_path):
    """Most of its yellow cells are empty, and count as 0 where a formula reads them."""
    path = empty_at(tmp_path / "new.xlsx", units="metric")
    back = tmp_path / "back.xlsx"
    gnumeric.save_changed(path, back, {"Gold_price_entered": 2750.0})
    found = inspect_book(back, strict=True)
    assert [f.kind for f in found.findings if f.grave] == []
    assert [(f.sheet, f.found) for f in found.inputs] == [("Start", "2750")]
    assert found.outcome == "inputs changed"
