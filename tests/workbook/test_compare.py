"""Two books compared: what changed, and what each change did to the money."""

import openpyxl
import pytest

from pennyweight.errors import CallError
from pennyweight.model.inputs import INPUTS
from pennyweight.model.run import run
from pennyweight.model.units import convert
from pennyweight.workbook.book import make_book
from pennyweight.workbook.carry import carry_from
from pennyweight.workbook.compare import HEADLINES, compare_books
from pennyweight.workbook.comparison_book import write_comparison
from pennyweight.workbook.layout import layout
from pennyweight.workbook.read import read_book
from pennyweight.workbook.write import write_book

CHANGES = {"gold_price": 3000.0, "crew": 2.0, "claim_name": "Upper Draw"}


@pytest.fixture(scope="module")
def mine(tmp_path_factory):
    return write_book(make_book(), tmp_path_factory.mktemp("mine") / "mine.xlsx")


@pytest.fixture(scope="module")
def theirs(tmp_path_factory):
    return write_book(
        make_book(CHANGES), tmp_path_factory.mktemp("theirs") / "theirs.xlsx"
    )


@pytest.fixture(scope="module")
def comparison(mine, theirs):
    return compare_books(mine, theirs)


def test_changes_are_named_with_cell_and_figures(comparison):
    found = {change.name: change for change in comparison.changes}
    assert set(found) == set(CHANGES)
    place = layout().places["gold_price"]
    assert found["gold_price"].place == f"Inputs!{place.cell()}"
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


def test_a_metric_copy_differs_in_its_units_alone(mine, tmp_path):
    metric = {
        name: convert(value, INPUTS[name].unit, "us", "metric")
        if INPUTS[name].numeric
        else value
        for name, value in read_book(mine).inputs.items()
    }
    path = write_book(make_book(metric, "metric"), tmp_path / "metric.xlsx")
    found = compare_books(mine, path)
    assert found.changes == []
    assert "metric" in found.notes[0]


def test_comparison_as_a_workbook(comparison, tmp_path, libreoffice):
    path = write_comparison(comparison, tmp_path / "c.xlsx")
    cells = libreoffice.recalculate(path)["Comparison"]
    assert cells["A6"] == "Claim"
    assert "Gold price" in cells.values()
    with pytest.raises(CallError, match="--force"):
        write_comparison(comparison, path)


def test_inputs_are_carried_into_a_fresh_book(theirs):
    carried = carry_from(theirs)
    assert carried.left_behind == []
    assert carried.inputs["gold_price"] == 3000.0
    assert carried.inputs["claim_name"] == "Upper Draw"


def test_what_cannot_be_carried_is_named(theirs, tmp_path):
    package = openpyxl.load_workbook(theirs)
    del package.defined_names["Wage"]
    place = layout().places["crew"]
    package[place.sheet][place.cell()] = "three"
    package.create_sheet("Our notes")
    path = tmp_path / "old.xlsx"
    package.save(path)
    carried = carry_from(path)
    told = " ".join(carried.left_behind)
    for word in ("Wage", "'three' is not a number", "Our notes"):
        assert word in told
    assert "wage" not in carried.inputs
    assert carried.inputs["gold_price"] == 3000.0
