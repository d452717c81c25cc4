"""Tables: the sheet is as described, on screen and in print."""

import openpyxl
import pytest

from pennyweight.formulas import Reference
from pennyweight.workbook.table import Cell, Column, Table, live, table_bytes

from ..oracles.package import stored_cells

COLUMNS = (
    Column("Lot", width=20),
    Column("Metal, $", "#,##0.00", total=True),
    Column("Net, $", "#,##0.00;(#,##0.00)", total=True),
)


@pytest.fixture
def written(tmp_path):
    table = Table("Lots", COLUMNS, "metric", "Lots", ("Money is US dollars.",))
    table.heads()
    first = table.next_row
    for name, metal in (("A", 100.25), ("=1+1", 40.5)):
        cells = {"metal": Reference(table.place(1))}
        net = live(lambda metal: metal - 60, {"metal": metal}, cells, ("metal",))
        table.row(name, metal, net)
    table.total("All lots", first)
    table.heading("To change")
    table.row("Price", Cell(3000.0, name="price", bounds=(1, 5000)), None)
    path = tmp_path / "table.xlsx"
    path.write_bytes(table_bytes([table], "Lots", "A mill"))
    return path


def test_a_table_is_live_and_adds_up(written, libreoffice):
    stored, found = stored_cells(written)["Lots"], libreoffice.recalculate(written)
    for cell in ("C5", "C6", "B7", "C7"):
        assert found["Lots"][cell] == pytest.approx(stored[cell])
    assert [stored[cell] for cell in ("A4", "A7")] == ["Lot", "All lots"]
    assert (stored["B7"], stored["C7"]) == (140.75, 20.75)


def test_a_table_says_how_it_is_printed_and_what_may_be_entered(written):
    book = openpyxl.load_workbook(written)
    sheet = book["Lots"]
    assert sheet["A6"].data_type == "s"
    assert sheet["C6"].number_format == "#,##0.00;(#,##0.00)"
    assert (sheet.freeze_panes, sheet.print_title_rows) == ("B5", "$1:$4")
    assert sheet.page_setup.paperSize == 9
    assert book.defined_names["Price"].attr_text == "'Lots'!$B$9"
    (rule,) = sheet.data_validations.dataValidation
    assert (rule.formula1, rule.formula2) == ("1", "5000")
    assert rule.error == "Enter a number from 1 to 5,000."


def test_the_same_table_gives_the_same_bytes():
    table = Table("Lots", COLUMNS, "us", "Lots")
    table.row("A", 1.0, None)
    assert table_bytes([table], "Lots") == table_bytes([table], "Lots")
