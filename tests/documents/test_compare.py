"""Comparison of two workbooks: what changed, and the effect of each change."""

import json
from types import SimpleNamespace

import openpyxl
import pytest
from xlsxwriter.utility import xl_rowcol_to_cell

import pennyweight as pw
from pennyweight.cli.compare import _changes, _signed
from pennyweight.cli.screen import console
from pennyweight.documents.compare import (
    _entries,
    _notes,
    _unusable,
    compare_books,
    compare_plans,
)
from pennyweight.documents.comparison import HEADLINES
from pennyweight.documents.comparison_book import write_comparison
from pennyweight.errors import CallError
from pennyweight.model import shapley as shares
from pennyweight.model.inputs import INPUTS
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.model.units import convert
from pennyweight.workbook.entry_cells import OWN_HIGH, OWN_LOW
from pennyweight.workbook.layout import layout
from pennyweight.workbook.read import read_book
from pennyweight.workbook.write import write_book
from tests.books import book_at, made_book, typed_at
from tests.commands import pennyweight

from ..oracles.package import formula_cells, stored_cells, write_changed

EXAMPLE = pw.example()
CHANGES = {"gold_price": 3000.0, "crew": 2.0, "claim_name": "Upper Draw"}
BASIS = "We count them daily"


@pytest.fixture(scope="module")
def mine(tmp_path_factory):
    return book_at(tmp_path_factory.mktemp("mine") / "mine.xlsx")


@pytest.fixture(scope="module")
def theirs(tmp_path_factory):
    book = made_book(CHANGES, statuses={"crew": "measured"}, bases={"crew": BASIS})
    return write_book(book, tmp_path_factory.mktemp("theirs") / "theirs.xlsx")


@pytest.fixture(scope="module")
def comparison(mine, theirs):
    return compare_books(mine, theirs)


@pytest.mark.thorough
def test_a_figure_that_nobody_entered_is_reported_as_an_estimate(tmp_path):
    empty = typed_at(tmp_path / "empty.xlsx", wage=None)
    full = typed_at(tmp_path / "full.xlsx", wage=3.2)
    found = pw.read(empty).compare(pw.read(full))
    told = {c["name"]: c for c in found.to_dict()["changes"]}["wage"]
    assert (told["estimated_before"], told["estimated"]) == (True, False)
    screen = pennyweight("compare", empty, full, cwd=tmp_path).stdout
    shown = " ".join(screen.split())
    assert "empty ($32/hour) $3.20/hour" in shown
    assert shown.count("the estimate in brackets was used") == 1
    assert "empty (32.0)" in str(found.rows())
    book = openpyxl.load_workbook(found.write(tmp_path / "comparison.xlsx"))
    cells = {cell.value: cell for row in book["Comparison"] for cell in row}
    assert "empty (" in cells[32].number_format and cells[32].data_type == "n"
    assert "empty" not in cells[3.2].number_format
    assert any("in brackets" in str(value) for value in cells)


@pytest.mark.thorough
def test_both_sides_of_a_full_pair_are_figures(mine, theirs, tmp_path):
    assert "brackets" not in pennyweight("compare", mine, theirs, cwd=tmp_path).stdout


def test_changes_are_named_with_cell_and_figures(comparison):
    found = {change.name: change for change in comparison.changes}
    assert set(found) == set(CHANGES)
    place = layout().entered["gold_price"]
    assert found["gold_price"].place == f"{place.sheet}!{place.cell()}"
    assert (found["gold_price"].before, found["gold_price"].after) == (3440, 3000)


def test_shares_add_up_to_what_the_engine_says(comparison):
    before, after = run({}), run(CHANGES)
    for name in HEADLINES:
        shares = [
            comparison.effect(change, name)[1] for change in ("gold_price", "crew")
        ]
        total = float(after[name] - before[name])
        assert sum(shares) == pytest.approx(total, rel=1e-9)
    alone = comparison.effect("crew", "net_present_value")[0]
    expected = run({"crew": 2.0})["net_present_value"] - before["net_present_value"]
    assert alone == pytest.approx(float(expected), rel=1e-9)


def test_a_name_has_no_effect_on_money(comparison):
    assert comparison.effect("claim_name", "net_present_value") == (None, None)


def test_the_same_book_differs_in_nothing(mine):
    same = compare_books(mine, mine)
    assert same.changes == [] and same.shares is None
    assert same.before == same.after


def in_metric(inputs):
    return {
        name: convert(value, INPUTS[name].unit, "us", "metric")
        if INPUTS[name].numeric
        else value
        for name, value in inputs.items()
    }


def test_a_metric_plan_has_no_changes():
    metric = pw.Plan(in_metric(EXAMPLE.inputs), units="metric")
    assert EXAMPLE.compare(metric).changes == []


def test_cells_of_tables_that_nobody_entered_are_not_called_empty(tmp_path):
    """They count as 0, or have the figure that a new workbook has."""
    entered = {"sample_weight_03": 4.0, "sample_grade_03": 0.2, "terms_share_04": 0.3}
    mine = pw.Plan(entered).write(tmp_path / "mine.xlsx")
    changes = pw.read(mine).compare(pw.Plan()).changes
    assert {change.name for change in changes} == set(entered)
    assert not any(change.estimated for change in changes)
    places = {name: layout().entered[name] for name in entered}
    undone = {"sample_weight_03": None, "sample_grade_03": None, "terms_share_04": 0.45}
    typed = {(at.sheet, at.cell()): undone[name] for name, at in places.items()}
    write_changed(mine, tmp_path / "undone.xlsx", typed)
    found = pw.inspect(tmp_path / "undone.xlsx").inputs
    assert [finding.found for finding in found] == ["0", "0", "0.45"]


@pytest.mark.thorough
def test_a_metric_workbook_differs_in_its_units_alone(mine, tmp_path):
    metric = in_metric(read_book(mine).inputs)
    found = compare_books(mine, book_at(tmp_path / "metric.xlsx", "metric", **metric))
    assert found.changes == []
    assert "metric" in found.notes[0]


def test_comparison_as_a_workbook(comparison, tmp_path, libreoffice):
    path = write_comparison(comparison, tmp_path / "c.xlsx")
    cells = libreoffice.recalculate(path)["Comparison"]
    assert cells["A6"] == "Gold price" and cells["A9"] == "Claim name"
    assert "Gold price" in cells.values()
    with pytest.raises(CallError, match="--force"):
        write_comparison(comparison, path)


def test_every_headline_has_its_effect(comparison):
    told = comparison.to_dict()
    assert told["shares"] == "exact" and told["no_shares"] == ""
    for change in told["changes"]:
        words = change["name"] == "claim_name"
        for effect in change["effects"].values():
            assert (effect["alone"] is None) == (effect["share"] is None) == words
    assert comparison.turns("gold_price") and not comparison.turns("crew")
    verdict = [
        comparison.effect(name, "job_verdict")[1] for name in ("gold_price", "crew")
    ]
    assert sum(verdict) == pytest.approx(1, rel=1e-12)


def test_more_changes_than_can_be_combined_are_drawn(monkeypatch):
    monkeypatch.setattr(shares, "EXACT", 2)
    monkeypatch.setattr(shares, "ORDERS", 20)
    changes = {"gold_price": 3000.0, "crew": 2.0, "ore_grade": 0.3}
    found = EXAMPLE.compare(EXAMPLE.change(changes))
    told = found.to_dict()
    assert told["shares"] == "sampled" and "drawn" in found.basis
    effects = [change["effects"]["net_present_value"] for change in told["changes"]]
    assert all(effect["standard_error"] >= 0 for effect in effects)
    total = found.after["net_present_value"] - found.before["net_present_value"]
    assert sum(effect["share"] for effect in effects) == pytest.approx(total, rel=1e-9)


def test_changes_that_only_go_together():
    changes = {"feed_f80": 300.0, "product_p80": 90.0, "gold_price": 3000.0}
    found = EXAMPLE.compare(EXAMPLE.change(changes))
    told = {change["name"]: change for change in found.to_dict()["changes"]}
    assert told["feed_f80"]["together_with"] == ["product_p80"]
    assert told["product_p80"]["effects"]["life_cash"]["share"] is None


def test_no_rate_of_return_is_said_and_not_shared():
    found = EXAMPLE.compare(EXAMPLE.change(gold_price=300.0))
    assert found.after["internal_rate"] is None
    assert found.effect("gold_price", "internal_rate") == (None, None)
    assert found.to_dict()["without_answer"]["internal_rate"] > 0
    json.dumps(found.to_dict(), allow_nan=False)


def test_status_and_basis_are_compared(comparison):
    remarks = comparison.remarks
    found = {(r.name, r.what): (r.before, r.after) for r in remarks}
    assert found["crew", "status"] == (INPUTS["crew"].status, "measured")
    assert found["crew", "basis"][1] == BASIS
    assert len(found) == 2


@pytest.fixture
def beyond_its_range(mine, tmp_path):
    """A workbook that came back with an entry outside its own low and high."""
    path, name = tmp_path / "b.xlsx", "mining_cost"
    entered, used = layout().entered[name], layout().places[name]
    low, high = (xl_rowcol_to_cell(used.row, at) for at in (OWN_LOW, OWN_HIGH))
    changes = {(used.sheet, low): 80.0, (used.sheet, high): 120.0}
    changes[entered.sheet, entered.cell()] = 130.0
    write_changed(mine, path, changes)
    return path


UNUSABLE = (
    "Entries of the second workbook that cannot be used: "
    f"{INPUTS['mining_cost'].label}. 'pennyweight judge' says why."
)


def test_an_entry_that_cannot_be_used_is_named(mine, beyond_its_range):
    first, second = read_book(mine), read_book(beyond_its_range)
    assert compare_plans(first, second).verdicts[1].startswith("not yet")
    assert _unusable([*map(_entries, (first, second))]) == [UNUSABLE]


@pytest.mark.thorough
def test_a_comparison_names_the_entry_that_cannot_be_used(mine, beyond_its_range):
    found = compare_books(mine, beyond_its_range)
    assert found.verdicts[1].startswith("not yet")
    assert found.notes[-1] == UNUSABLE


def test_what_a_formula_typed_over_did_is_shown(mine, tmp_path):
    path, place = tmp_path / "b.xlsx", layout().places["net_present_value"]
    write_changed(mine, path, {(place.sheet, place.cell()): 1.0e6})
    found = compare_books(mine, path)
    assert found.changes == [] and found.shown == {"net_present_value": 1.0e6}
    assert [(f.sheet, f.cell, f.kind) for f in found.added] == [
        (place.sheet, place.cell(), "formula overwritten")
    ]
    back = compare_books(path, mine)
    assert back.added == [] and [f.cell for f in back.gone] == [place.cell()]


def test_the_waterfall_ends_where_the_engine_does(tmp_path, libreoffice):
    """Its steps are formulas; another program works them out, below zero and above."""
    changes = {"gold_price": 2600.0, "ore_grade": 0.36, "crew": 2.0}
    found = EXAMPLE.compare(EXAMPLE.change(changes))
    path = write_comparison(found, tmp_path / "c.xlsx")
    stored = stored_cells(path)["Comparison"]
    cells = libreoffice.recalculate(path)["Comparison"]
    for cell in formula_cells(path):
        assert cells[cell[1]] == pytest.approx(stored[cell[1]], rel=1e-12, abs=1e-6)
    rows = range(6, 6 + len(found.changes))
    assert cells[f"J{rows[-1]}"] == pytest.approx(found.after["net_present_value"])
    for row in rows:
        start, end = cells[f"I{row}"], cells[f"J{row}"]
        parts = [cells[f"{column}{row}"] for column in "KLMNO"]
        # Above and below zero, the bars reach from the one end to the other.
        above = sum(part for part in parts if part > 0)
        below = sum(part for part in parts if part < 0)
        assert above == pytest.approx(max(start, end, 0))
        assert below == pytest.approx(min(start, end, 0))
        base = parts[0]
        low, high = sorted((start, end))
        assert base == pytest.approx(max(low, 0) + min(high, 0))


def test_a_change_of_a_rate_is_reported_in_points():
    assert _signed(pw.example(), "internal_rate", -0.277) == "-27.7 points"
    assert _signed(pw.example(), "net_present_value", 5.0) == "+$5"


@pytest.mark.parametrize("job", ["contract", "lot", "test"])
def test_a_comparison_has_the_results_of_its_job(job, tmp_path):
    first = pw.example().change(job=job)
    lots = ("custom_wet_tons", "settle_wet_tons", "lot_wet_mass")
    heavier = dict(zip(lots, (30.0, 30.0, 4400.0), strict=True))
    found = first.compare(first.change(heavier))
    judged = first.judge()
    assert list(found.before) == list(judged.headlines) == list(found.headlines)
    assert found.before == {n: judged.results[n]["value"] for n in judged.headlines}
    for name in found.money:
        total = found.after[name] - found.before[name]
        shares = [found.effect(change.name, name)[1] for change in found.changes]
        assert total and sum(shares) == pytest.approx(total, rel=1e-9)
    assert list(found.to_dict()["results"]) == list(judged.headlines)
    main = next(iter(found.money))
    cells = stored_cells(found.write(tmp_path / "c.xlsx"))["Comparison"]
    ends = [found.before[main], found.after[main]]
    # The file has 15 digits of a figure.
    assert [cells["J5"], cells["J8"]] == pytest.approx(ends, rel=1e-14)
    label = MODEL.lines[main].label
    assert [*found.rows()[2]][4] == f"{label}: effect alone"


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"discount_rate": 0.2}, ["discount_rate"]),
        ({"discount_rate": 0.2, "tax_rate": 0.1}, ["discount_rate", "tax_rate"]),
    ],
)
def test_changes_without_effect_are_named(changes, named, capsys):
    first = pw.example().change(job="contract")
    found = first.compare(first.change(changes))
    _changes(console(), found, first)
    told = " ".join(capsys.readouterr().out.split())
    labels = "; ".join(INPUTS[name].label for name in named)
    assert f"Without effect on either figure: {labels}." in told


def test_workbooks_for_other_jobs_or_in_other_units_say_so():
    claim, lot, metric = (
        SimpleNamespace(note="", units=units, version="1", inputs={"job": job})
        for job, units in (("claim", "us"), ("lot", "us"), ("claim", "metric"))
    )
    assert _notes(claim, claim) == []
    assert "is for claim, the second for lot" in _notes(claim, lot)[0]
    assert "metric in the second" in _notes(claim, metric)[0]
