"""Long names and large amounts are read in full, or from their beginning."""

import math

import openpyxl
import pytest

import pennyweight as pw
from pennyweight.model.checks import CHECKS
from pennyweight.model.mill_model import MODEL
from pennyweight.workbook.layout import START, layout
from pennyweight.workbook.start_sheet import USED
from pennyweight.workbook.style import ROW_HEIGHT
from tests.oracles.package import stored_cells

NAME = "Upper Example Consolidated Quartz Lode, Extension East of the Old Shaft"


@pytest.fixture(scope="module")
def sheets(tmp_path_factory):
    path = tmp_path_factory.mktemp("long") / "book.xlsx"
    plan = pw.example().change(job="claim", claim_name=NAME)
    return openpyxl.load_workbook(plan.write(path))


@pytest.mark.thorough
def test_a_long_name_prints_over_no_other_text(sheets):
    """Before, the yellow cell and the figure used ran into each other."""
    place = layout().entered["claim_name"]
    row, start = place.row + 1, sheets[START]
    assert start.cell(row, place.column + 1).value == NAME
    assert start.cell(row, USED + 1).value is None


@pytest.mark.thorough
def test_the_line_above_a_sheet_ends_with_the_name(libreoffice, tmp_path):
    """Before, a long name pushed the failed check off the page."""
    crowded = pw.example().change(job="claim", crew=1.0)
    path, typed = tmp_path / "book.xlsx", tmp_path / "typed.xlsx"
    crowded.change(claim_name=NAME).write(path)
    told = stored_cells(path)
    failed = "failed check: Operators required are at most operators per shift"
    ends = f"pays, but 1 check failed; {failed}"
    assert told["Answer"]["A3"] == f"{ends}. {NAME}"
    assert told["Cash flow"]["A3"] == ends
    short = crowded.write(tmp_path / "short.xlsx")
    libreoffice.save_changed(short, typed, {"Claim_name_entered": NAME})
    told = stored_cells(typed)
    assert told["Answer"]["A3"] == f"{ends}. {NAME}"


@pytest.mark.thorough
def test_large_amounts_shrink_to_their_cell(sheets):
    """Before, #### from -$100 million on the sheet Cash flow."""
    for name in ("cash_after_tax", "closing_cash", "net_present_value"):
        place = layout().places[name]
        cell = sheets[place.sheet].cell(place.row + 1, place.column + 1)
        assert cell.alignment.shrink_to_fit, name


def test_the_failed_check_has_room_for_the_longest(sheets):
    """Before, it ended at "A quarter of the generator"."""
    place = layout().places["checks_flag"]
    sheet = sheets[place.sheet]
    cell = sheet.cell(place.row + 1, place.column + 1)
    longest = max(len(c) for n in CHECKS for c in MODEL.axes[n].values)
    letters = sheet.column_dimensions[cell.column_letter].width
    high = sheet.row_dimensions[cell.row].height
    assert cell.alignment.wrap_text
    assert high >= ROW_HEIGHT * math.ceil(longest / letters)
