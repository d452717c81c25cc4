"""Taking inputs over from a workbook of an older layout.

The older books are stored files, made by `older.build`; nothing of today's layout is in
them.
"""

import io
import zipfile

import pytest

from pennyweight.cli.main import main
from pennyweight.errors import WorkbookError
from pennyweight.model.inputs import INPUTS, STATUSES
from pennyweight.model.run import run
from pennyweight.workbook import layout as layouts
from pennyweight.workbook.carry import carry_from
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.layout import layout, layout_mark
from pennyweight.workbook.read import read_book
from pennyweight.workbook.renew import renew_book
from tests.thorough import sampled

from ..oracles.package import defined_names, stored_cells
from .digits import fifteen_digits
from .older.build import HERE, build, rows, value

LOST = ("burden", "price_date")
"""Not there, and there under another name and label."""
GONE = frozenset(
    ("grind_exponent", "liberation_size", "liberation_slope", "slime_slope")
)
"""Inputs of the former model of the grind, which the present one does not have."""
BY_LABEL = ("wage", "gold_price")
"""Without a name, and under another name."""


@pytest.fixture(params=["us", "metric"])
def units(request):
    return request.param


@pytest.fixture
def older(units):
    return HERE / f"{units}.xlsx"


def test_the_stored_books_are_those_that_are_built(units, older):
    made = io.BytesIO()
    build(units, made)
    with zipfile.ZipFile(made) as one, zipfile.ZipFile(older) as other:
        for name in set(one.namelist()) - {"docProps/core.xml"}:  # has the date
            assert one.read(name) == other.read(name), name


def test_hardly_anything_of_it_stands_where_it_stands_today(older):
    """But for an input or two that came there by chance."""
    names, same = defined_names(older), []
    for row in rows():
        if row["defined"] and row["name"] in INPUTS:
            place, there = layout().places[row["name"]], names.cell(row["defined"])
            if (there.sheet, there.corner) == (place.sheet, place.cell()):
                same.append(row["name"])
    assert len(same) <= 2, same


def test_its_inputs_are_read_and_what_it_lacks_is_reported(units, older):
    reading = read_book(older)
    assert (reading.units, reading.version) == (units, "0.0.9")
    assert not reading.current and set(LOST) <= set(reading.missing)
    assert not reading.given.keys() & set(LOST) and "wage" in reading.given
    for row in rows():
        if row["name"] in INPUTS and row["name"] not in LOST:
            wanted = fifteen_digits(value(row, units))
            assert reading.inputs[row["name"]] == wanted, row["name"]
    assert "written by version 0.0.9" in reading.note
    assert (
        "Ore is milled by; " in reading.note and "keep their estimates" in reading.note
    )


def test_its_cells_are_not_checked_and_the_way_out_is_reported(older):
    found = inspect_book(older)
    assert "version (0.0.9)" in found.reason and "new NEW.xlsx --from" in found.reason
    with pytest.raises(WorkbookError, match=r"new NEW\.xlsx --from"):
        renew_book(older)


def test_every_input_that_it_holds_is_carried(units, older):
    carried = carry_from(older)
    assert carried.units == units
    held = {row["name"]: row for row in rows()}
    held["ore_grade"] = held.pop("head_grade")
    assert set(BY_LABEL) <= carried.inputs.keys()
    for name, row in held.items():
        if name not in LOST and name not in GONE:
            assert carried.inputs[name] == fifteen_digits(value(row, units)), name
            if not INPUTS[name].over:
                assert carried.statuses[name] == row["status"] in STATUSES
                assert carried.bases[name] == row["basis"]


def test_what_it_lacks_is_reported_and_keeps_its_estimate(older):
    carried = carry_from(older)
    assert not carried.inputs.keys() & set(LOST)
    assert not carried.statuses.keys() & set(LOST)
    told = " ".join(carried.left_behind)
    for name in LOST:
        assert f"{INPUTS[name].label}: not in that book" in told
    assert "Priced_on: not an input of this version" in told
    assert "Assays: sheet added" in told


def test_a_shorter_table_leaves_its_other_rows_unused(older):
    """Assays of the example do not get among theirs."""
    carried = carry_from(older)
    entries = [name for name, entry in INPUTS.items() if entry.over == "sample"]
    later = [name for name in entries if int(name.rpartition("_")[2]) > 20]
    assert len(later) == 200
    assert {carried.inputs[name] for name in later} == {0.0}
    told = " ".join(carried.left_behind)
    assert "Sample weight: 20 of 60 entries are in that book; the others are 0." in told


@pytest.mark.thorough
@pytest.mark.parametrize("units", sampled(["metric", "us"], 2))
def test_the_fresh_book_judges_as_the_older_inputs_do(units, older, tmp_path, capsys):
    fresh = tmp_path / "fresh.xlsx"
    main(["new", str(fresh), "--from", str(older)])
    assert "Wage burden: not in that book" in " ".join(capsys.readouterr().out.split())
    reading, held = read_book(fresh), carry_from(older).inputs
    complete = carry_from(older).complete
    wanted = run(complete, units)["net_present_value"].item()
    names, cells = defined_names(fresh), stored_cells(fresh)
    assert names.read(cells, "Net_present_value") == pytest.approx(wanted, rel=1e-12)
    assert reading.inputs["wage"] == held["wage"]


@pytest.mark.thorough
def test_the_fresh_book_is_sound(older, tmp_path):
    fresh = tmp_path / "fresh.xlsx"
    main(["new", str(fresh), "--from", str(older)])
    assert inspect_book(fresh).findings == []


def test_both_older_books_give_the_same_money():
    """One holds the other's figures, converted."""
    us = run(carry_from(HERE / "us.xlsx").inputs, "us")
    metric = run(carry_from(HERE / "metric.xlsx").inputs, "metric")
    for name in ("net_present_value", "life_cash", "peak_funding"):
        assert us[name].item() == pytest.approx(metric[name].item(), rel=1e-9)


def test_a_cell_that_moves_gives_another_mark(monkeypatch):
    """Nobody has to remember to count a version up."""
    before = layout_mark()
    monkeypatch.setattr(layouts, "HEAD", layouts.HEAD + 1)
    for cached in (layouts.layout, layouts.layout_mark):
        cached.cache_clear()
    try:
        assert layout_mark() != before
    finally:
        monkeypatch.undo()
        for cached in (layouts.layout, layouts.layout_mark):
            cached.cache_clear()
    assert layout_mark() == before
