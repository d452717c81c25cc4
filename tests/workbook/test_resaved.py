"""Every template, changed and saved by another program, reads and judges the same."""

import csv
from pathlib import Path

import openpyxl
import pytest

import pennyweight as pw
from pennyweight.model.inputs import INPUTS
from pennyweight.model.judgement import judge
from pennyweight.model.run import run
from pennyweight.model.units import convert
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.layout import defined_name, layout
from pennyweight.workbook.read import read_book
from tests.books import book_at
from tests.thorough import sampled

from .digits import as_saved

WORKBOOKS = Path(__file__).parents[2] / "workbooks"
TABLES = sorted(
    path
    for path in WORKBOOKS.glob("*/*.csv")
    if path.read_text("utf-8").startswith("name,")
)
TEMPLATES = ("plain", "example", *(str(p.relative_to(WORKBOOKS)) for p in TABLES))
PROGRAMS, UNITS = ("libreoffice", "gnumeric", "openpyxl"), ("us", "metric")
SAVED = [(program, "example", "us") for program in PROGRAMS]
SAVED += [(program, "plain", "metric") for program in PROGRAMS]
SAVED += [(PROGRAMS[n % 3], t, UNITS[n % 2]) for n, t in enumerate(TEMPLATES[2:])]
"""The example in US units and the plain workbook in metric units by every program; the
others, which differ from them in their inputs only, in turn."""
CHANGED = {
    "gold_price": 2750.5,
    "ore_grade": 0.31,
    "crew": 2.0,
    "power_source": "grid",
    "mill_kind": "hammer mill",
    "sample_grade_02": 0.27,
    "choice_kind_02": "hammer mill",
    "claim_name": "Upper Draw & Söhne",
}
"""A text, choices, numbers, entries of tables; in US customary units."""


def in_units(inputs, units):
    return {
        name: convert(float(value), INPUTS[name].unit, "us", units)
        if INPUTS[name].numeric
        else value
        for name, value in inputs.items()
    }


def inputs_of(template):
    if template == "plain":
        return {"claim_name": "My claim", "prepared_by": ""}
    if template == "example":
        return {}
    with (WORKBOOKS / template).open(encoding="utf-8", newline="") as file:
        return {row["name"]: row["value"] for row in csv.DictReader(file)}


def typed(name):
    """Name of the cell into which people type an input."""
    return defined_name(name) + ("" if INPUTS[name].over else "_entered")


def save_with_openpyxl(path, out, changes):
    package = openpyxl.load_workbook(path)
    for name, value in changes.items():
        place = layout().entered.get(name) or layout().places[name]
        package[place.sheet][place.cell()].value = value
    package.save(out)


def test_the_templates_are_there():
    assert len(TEMPLATES) >= 6


@pytest.mark.parametrize(("program", "template", "units"), sampled(SAVED, 5))
def test_changed_and_saved_again(program, template, units, request, tmp_path):
    given = in_units(inputs_of(template), units)
    path = book_at(tmp_path / "book.xlsx", units, **given)
    back, changes = tmp_path / "back.xlsx", in_units(CHANGED, units)
    if program == "openpyxl":
        save_with_openpyxl(path, back, changes)
    else:
        named = {typed(name): value for name, value in changes.items()}
        request.getfixturevalue(program).save_changed(path, back, named)
    reading = read_book(back)
    wanted = {**read_book(path).inputs, **changes}
    assert reading.units == units and reading.inputs == as_saved(wanted)
    one, other = judge(reading.inputs, units), judge(wanted, units)
    assert one.verdict == other.verdict == str(run(wanted, units)["verdict"])
    for name, result in other.results.items():
        value = result["value"]
        wanted = pytest.approx(value, rel=1e-9) if isinstance(value, float) else value
        assert one.results[name]["value"] == wanted, name
    found = inspect_book(back, strict=True).findings
    kinds = {finding.kind for finding in found if finding.grave}
    # openpyxl drops what formulas gave.
    assert kinds == ({"no stored values"} if program == "openpyxl" else set())


def test_a_new_workbook_with_one_figure_is_as_issued_but_for_it(gnumeric, tmp_path):
    """Most of its yellow cells are empty, and count as 0 where a formula reads them."""
    path, back = tmp_path / "new.xlsx", tmp_path / "back.xlsx"
    pw.Plan().write(path)
    gnumeric.save_changed(path, back, {"Gold_price_entered": 2750.0})
    found = inspect_book(back, strict=True)
    assert [f.kind for f in found.findings if f.grave] == []
    assert [(f.sheet, f.found) for f in found.inputs] == [("Start", "2750")]
    assert found.outcome == "inputs changed"
