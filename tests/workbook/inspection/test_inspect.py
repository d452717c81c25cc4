"""Inspection: every altered cell is found."""

import re

import numpy as np
import pytest

from pennyweight.cli.compare import compare
from pennyweight.documents.compare import changed_inputs, compare_books
from pennyweight.errors import WorkbookError
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run
from pennyweight.workbook.book import Before
from pennyweight.workbook.inspection.expected import Expected
from pennyweight.workbook.inspection.formula_equality import same_formula
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.layout import layout
from pennyweight.workbook.package.sheet_part import StoredCell
from pennyweight.workbook.write import book_bytes
from tests.books import book_at, example_figures, made_book
from tests.fuzz.altering import part_of
from tests.fuzz.files import packed, unpacked
from tests.thorough import sampled

from ...oracles.package import write_changed


@pytest.fixture(scope="module", params=sampled(["us", "metric"], 2))
def units(request):
    return request.param


def test_a_fresh_book_is_sound(units, tmp_path):
    path = book_at(tmp_path / "book.xlsx", units)
    assert inspect_book(path).outcome == "as issued"


def test_a_formula_overwritten_by_a_number_and_a_hidden_sheet(units, tmp_path):
    place = layout().places["cost_per_ton"]
    path, spoilt = tmp_path / "book.xlsx", tmp_path / "spoilt.xlsx"
    made = made_book(units=units)
    path.write_bytes(book_bytes(made, lambda p, _: p.add_worksheet("Mine").hide()))
    write_changed(path, spoilt, {(place.sheet, place.cell()): 100.0})
    found = inspect_book(spoilt)
    assert found.outcome == "something else changed"
    kinds = {finding.kind for finding in found.findings}
    assert {"sheet added", "hidden sheet"} <= kinds
    ours = [f for f in found.findings if f.kind == "formula overwritten"]
    assert [(f.sheet, f.cell, f.found) for f in ours] == [
        (place.sheet, place.cell(), "100")
    ]
    assert ours[0].mend.startswith("put back =SUM(")


def test_an_unusable_book_gives_its_reason(tmp_path):
    path = tmp_path / "b.xlsx"
    path.write_text("nothing")
    found = inspect_book(path)
    assert found.outcome == "cannot be used" and "not an .xlsx workbook" in found.reason


def test_an_entry_that_is_gone_is_told_with_the_others(tmp_path):
    place = layout().places["partner_in_kind_month_01"]
    parts = unpacked(book_at(tmp_path / "book.xlsx").read_bytes())
    name = part_of(parts, place.sheet)
    row = rb'<row r="%d".*?</row>' % (place.row + 1)
    parts[name], gone = re.subn(row, b"", parts[name], flags=re.DOTALL)
    path = tmp_path / "gone.xlsx"
    path.write_bytes(packed(parts))
    found = inspect_book(path)
    assert gone == 1 and "it is empty" in found.reason
    assert "nothing" in {finding.found for finding in found.inputs}


@pytest.mark.thorough
def test_an_unusable_entry_hides_nothing_else(tmp_path, capsys):
    """The formula and the figures that differ are listed, without results."""
    mine, theirs = book_at(tmp_path / "mine.xlsx"), tmp_path / "theirs.xlsx"
    wage, mining = (layout().entered[name] for name in ("wage", "mining_cost"))
    net = layout().places["net_return_per_ton"]
    typed = {wage: 44.0, mining: "about 400", net: 2900.0}
    write_changed(mine, theirs, {(at.sheet, at.cell()): v for at, v in typed.items()})
    found = inspect_book(theirs)
    assert found.outcome == "cannot be used" and "'about 400'" in found.reason
    assert [(f.cell, f.kind) for f in found.findings] == [
        (net.cell(), "formula overwritten")
    ]
    wanted = {wage.cell(): "44", mining.cell(): "about 400"}
    assert {f.cell: f.found for f in found.inputs} == wanted
    changes = {c.name: c.after for c in changed_inputs(mine, theirs)}
    assert changes == {"wage": "$44/hour", "mining_cost": "'about 400'"}
    with pytest.raises(WorkbookError, match="is not a number"):
        compare(mine, theirs)
    assert "$44/hour" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("=SUM('Years'!$F$2:$P$2)", "=sum(Years!$F$2:$P$2)", True),
        ("=1.0063*A1", "=1.00630000000000000004 * A1", True),
        ("=TINV(A1,3)", "=_xlfn.T.INV.2T(A1,3)", True),
        ("=A1+B1", "=B1+A1", False),
        ("=SUM(A1:A3)", "=SUM(A1:A4)", False),
        ('="pays"', '="Pays"', False),
        ("=1.0063*A1", "=1.0064*A1", False),
    ],
)
def test_sameness_of_formulas(one, other, same):
    assert same_formula(one, other) is same


@pytest.mark.parametrize("deep", [300, 5000, 100_000])
def test_brackets_within_brackets_are_no_formula_of_ours(deep):
    nested = "=" + "(" * deep + "1" + ")" * deep
    assert same_formula(nested, nested)
    assert not same_formula(nested, "=1") and not same_formula("=" + "-" * deep, "=1")


def test_a_figure_changed_but_not_calculated(tmp_path):
    """The results stored are those of the inputs as issued; nobody altered them."""
    issued, path = book_at(tmp_path / "issued.xlsx"), tmp_path / "changed.xlsx"
    wage, worth = layout().entered["wage"], layout().places["net_present_value"]
    changes = {(wage.sheet, wage.cell()): 44.0}
    write_changed(issued, path, changes)
    compared = compare_books(issued, path)
    found = compared.inspection
    assert found.outcome == "not calculated" and "save it" in found.meaning
    assert [f.kind for f in found.findings] == ["values of earlier inputs"]
    (change,) = found.inputs
    assert (change.cell, change.expected, change.found) == (wage.cell(), "29", "44")
    name = "net_present_value"
    assert compared.shown[name] == pytest.approx(compared.before[name], rel=1e-9)
    assert compared.shown[name] > compared.after[name]
    write_changed(issued, path, {**changes, (worth.sheet, worth.cell()): 9999.0})
    found = inspect_book(path)
    assert found.outcome == "something else changed"
    kinds = [f.kind for f in found.findings]
    assert kinds == ["values of earlier inputs", "formula overwritten"]


def test_rounding_of_sums_that_nearly_cancel_accuses_nobody():
    """Far below zero, a rate discounts late months a million times up."""
    poor = {"gold_price": 1500.0}
    values, figures = run(poor), example_figures(poor)
    before = Before(figures.inputs)
    expected = Expected(figures, figures.inputs, None, (), before)
    rate, years = values["last_middle"], values["discount_years"]
    sums = np.sum(abs(values["real_cash"]) / (1 + rate) ** years)
    assert rate < -0.8 and 2e-15 * sums > expected.noise
    for name in ("middle_value", "net_present_value", "internal_rate", "last_middle"):
        line, place = MODEL.lines[name], layout().places[name]
        index = (40,) if line.over else ()
        at, wanted = (line.sheet, place.at(*index)), float(values[name][index])
        rounding, alteration = 0.0, 1e-6 * wanted
        if line.over:
            rounding, alteration = 2e-15 * sums, 1e-9 * sums
        assert expected.same(wanted, StoredCell("n", wanted + rounding), at), name
        assert not expected.same(wanted, StoredCell("n", wanted + alteration), at), name
