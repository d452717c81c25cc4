"""Papers held against the workbook that they were written from."""

import openpyxl
import pytest

import pennyweight as pw
from pennyweight.documents.paper_check import AGAIN, inspect_paper
from pennyweight.errors import WorkbookError
from pennyweight.workbook.inspection.inspect import inspect_book
from tests.oracles.package import defined_names, stored_cells, write_changed

from .test_statement import WAIVED

EXAMPLE = pw.example()


def altered(path, changes):
    """A copy of a paper with other values in cells, by name or address."""
    names, out = defined_names(path), path.with_name("altered.xlsx")
    sheet = names.cell(next(n for n in changes if "_" in n)).sheet
    cells = {
        (sheet, names.cell(key).corner if "_" in key else key): value
        for key, value in changes.items()
    }
    write_changed(path, out, cells)
    return out


def test_a_statement_is_held_against_its_workbook(tmp_path):
    """The reason for which its balance was confirmed is taken from the paper."""
    plan = EXAMPLE.change(settle_melt_mass=150.0)
    path = plan.settle(tmp_path / "statement.xlsx", confirm_balance=WAIVED)
    assert inspect_paper(path, plan).outcome == "as issued"
    names = defined_names(path)
    metal, share = names.cell("Settle_metal"), names.cell("Settle_wet_tons")
    out = altered(path, {"Settle_metal": 1.0, "Settle_wet_tons": 2.0, "A4": "Checked."})
    found = {f.cell: f for f in inspect_paper(out, plan).findings}
    there = found[metal.corner]
    assert (there.kind, there.found, there.mend) == ("formula overwritten", "1", AGAIN)
    value = stored_cells(path)[metal.sheet][metal.corner]
    assert there.expected.startswith("=") and there.expected.endswith(f", {value:.12g}")
    assert found[share.corner].kind == "fixed number changed"
    wet = EXAMPLE.inputs["settle_wet_tons"]
    assert found[share.corner].expected == f"{wet:.12g}"
    assert found["A4"].kind == "text changed" and len(found) == 3
    dearer = inspect_paper(path, plan.change(settle_price=3500.0))
    assert dearer.outcome == "something else changed"


@pytest.mark.parametrize("provisional", [False, True])
def test_a_statement_of_another_lot_is_told_at_once(tmp_path, provisional):
    """Instead of a list of what differs."""
    path = EXAMPLE.settle(tmp_path / "statement.xlsx", provisional=provisional)
    for lot in ("Lot 8", "Lot 77", "Lot"):
        told = rf"begins with 'Lot 7 of .*, and the workbook has '{lot}'\."
        with pytest.raises(WorkbookError, match=told):
            inspect_paper(path, EXAMPLE.change(settle_lot=lot))
    assert inspect_paper(path, EXAMPLE).outcome == "as issued"


def test_a_customer_may_enter_figures_of_the_lot_in_a_quote(tmp_path):
    path = EXAMPLE.quote(tmp_path / "quote.xlsx")
    grade = defined_names(path).cell("Custom_grade").corner
    found = inspect_paper(altered(path, {"Custom_grade": 0.9}), EXAMPLE)
    assert [(f.cell, f.kind) for f in found.inputs] == [(grade, "input changed")]
    assert {f.kind for f in found.findings} == {"stored value"}  # not worked out
    again = EXAMPLE.change(custom_grade=0.9).quote(tmp_path / "again.xlsx")
    followed = inspect_paper(again, EXAMPLE)
    assert "stored value" not in {f.kind for f in followed.findings}


def test_what_a_quote_shows_is_compared_too(tmp_path):
    """Its cells stay as they are; its reader would see something else."""
    path, out = EXAMPLE.quote(tmp_path / "quote.xlsx"), tmp_path / "altered.xlsx"
    book = openpyxl.load_workbook(path)
    sheet = book.active
    charge = defined_names(path).cell("Contract_charge").corner
    sheet[charge].number_format = '"95.00"'
    sheet.row_dimensions[9].hidden = True
    sheet["B200"] = "The deposit is waived."
    book.create_sheet("Terms, page 2")["A1"] = "No penalties."
    book.save(out)
    found = {(f.sheet, f.cell): f.kind for f in inspect_paper(out, EXAMPLE).findings}
    assert found[sheet.title, charge] == "number format changed"
    assert found[sheet.title, ""] == "hidden rows or columns"
    assert found[sheet.title, "B200"] == "cell added to a paper"
    assert found["Terms, page 2", ""] == "sheet added to a paper"


def test_only_papers_are_held_against_a_workbook(tmp_path):
    charges = tmp_path / "charges.xlsx"
    EXAMPLE.charges("20%", path=charges)
    with pytest.raises(WorkbookError, match="a settlement statement"):
        inspect_paper(charges, EXAMPLE)
    path = EXAMPLE.quote(tmp_path / "quote.xlsx")
    assert f"inspect {path} --book" in inspect_book(path).reason
