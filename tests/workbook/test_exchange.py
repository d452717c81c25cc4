"""The worked exchange between two partners: three versions of one model.

The workbooks themselves are written in the thorough run. In every run `test_compare`
and the tests of inspection find what is changed, added and typed over in others.
"""

import importlib.util
from pathlib import Path

import pytest

import pennyweight as pw
from pennyweight.documents.compare import compare_books, compare_plans
from pennyweight.model.run import run
from pennyweight.workbook.carry import carry_from
from pennyweight.workbook.layout import layout
from pennyweight.workbook.read import read_book

FOLDER = Path(__file__).parents[2] / "workbooks" / "partner-exchange"
_spec = importlib.util.spec_from_file_location("exchange", FOLDER / "build.py")
exchange = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(exchange)


@pytest.fixture(scope="module")
def versions(tmp_path_factory, libreoffice):
    """The partner's version is really saved by another program."""
    return exchange.build(tmp_path_factory.mktemp("exchange"), libreoffice)


@pytest.fixture(scope="module")
def found(versions):
    sent, back, _ = versions
    return compare_books(sent, back)


@pytest.mark.thorough
def test_what_came_back(found):
    given = {name: value for name, value, _, _ in exchange.rows("back.csv")}
    assert {change.name: change.after for change in found.changes} == given
    statuses = {name: status for name, _, status, _ in exchange.rows("back.csv")}
    assert {c.name: c.status for c in found.changes} == statuses
    place = layout().places[exchange.TYPED_OVER]
    slips = [f for f in found.added if f.kind == "formula overwritten"]
    assert [(f.sheet, f.cell, f.found) for f in slips] == [
        (place.sheet, place.cell(), "12.5")
    ]
    assert slips[0].mend.startswith("put back =")
    told = {(f.kind, f.sheet) for f in found.added if not f.grave}
    assert told == {("sheet added", "Road"), ("note", place.sheet)}
    worth = "net_present_value"
    ours = float(run(given)[worth] - run({})[worth])
    shares = [found.effect(name, worth)[1] for name in given]
    assert sum(shares) == pytest.approx(ours, rel=1e-9)


@pytest.mark.thorough
def test_the_slip_shows_in_their_figures(found):
    """Their book leaves out part of the haulage, so it shows more than the engine."""
    assert found.shown["net_present_value"] > found.after["net_present_value"]
    assert found.inspection.outcome == "something else changed"


@pytest.mark.thorough
def test_nothing_but_inputs_differs_in_what_was_agreed(versions):
    sent, _, agreed = versions
    assert compare_books(sent, agreed).inspection.findings == []


@pytest.mark.thorough
def test_what_was_agreed(versions):
    _, back, agreed = versions
    left = " ".join(carry_from(back).left_behind)
    assert "Road" in left and "We haul ourselves" in left and "Altered formulas" in left
    reading = read_book(agreed)
    for name, value, status, basis in exchange.rows("agreed.csv"):
        assert reading.inputs[name] == value
        assert (reading.statuses[name], reading.bases[name]) == (status, basis)


def told_in_the_readme(found, settled):
    """Run `python workbooks/partner-exchange/build.py` to renew its figures."""
    text = (FOLDER / "README.md").read_text(encoding="utf-8")
    return exchange.readme(text, exchange.tables(found, settled)) == text


@pytest.mark.thorough
def test_the_readme_tells_what_the_engine_finds(versions, found):
    sent, _, agreed = map(read_book, versions)
    assert told_in_the_readme(found, compare_plans(sent, agreed))


def test_the_readme_tells_what_the_engine_finds_in_the_tables():
    sent = pw.example()
    back = sent.change(in_table("back.csv"))
    agreed = back.change({**in_table("agreed.csv"), "haulage_cost": 12.0})
    found, settled = (compare_plans(sent, plan) for plan in (back, agreed))
    assert told_in_the_readme(found, settled)


def in_table(name):
    """The inputs that a table of the exchange changes."""
    return {name: value for name, value, _, _ in exchange.rows(name)}
