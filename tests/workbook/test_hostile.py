"""Hostile files: refused with a message, quickly, and not changed."""

import re
import shutil
import time
import zipfile

import pytest

from pennyweight.errors import WorkbookError
from pennyweight.workbook.layout import layout
from pennyweight.workbook.read import read_book
from tests.books import book_at, made_book

from ..oracles.package import write_changed

SECONDS = 10.0
BOMB = (
    b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "bbbbbbbbbb">'
    b'<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]>'
)


@pytest.fixture(scope="module")
def pristine(tmp_path_factory):
    path = tmp_path_factory.mktemp("pristine") / "book.xlsx"
    book_at(path)
    return path


@pytest.fixture
def book(pristine, tmp_path):
    return shutil.copy(pristine, tmp_path / "book.xlsx")


def refused(path, *words):
    """Refused within a time, in these words, and not a byte of it changes."""
    before, start = path.read_bytes(), time.monotonic()
    with pytest.raises(WorkbookError) as caught:
        read_book(path)
    assert time.monotonic() - start < SECONDS
    assert path.read_bytes() == before
    assert all(word in str(caught.value) for word in words), caught.value


def rewritten(book, change):
    """Put every part of a book through a change; None leaves it out."""
    parts = {}
    with zipfile.ZipFile(book) as package:
        for name in package.namelist():
            parts[name] = change(name, package.read(name))
    with zipfile.ZipFile(book, "w", zipfile.ZIP_DEFLATED) as package:
        for name, content in parts.items():
            if content is not None:
                package.writestr(name, content)
    return book


def part_of(book, sheet="Inputs"):
    with zipfile.ZipFile(book) as package:
        text = package.read("xl/workbook.xml").decode()
    order = re.findall(r'<sheet name="([^"]+)"', text)
    return f"xl/worksheets/sheet{order.index(sheet) + 1}.xml"


def test_a_date_is_not_a_number(book):
    """A number in the format of a date, as programs store one that is typed."""
    place = layout().entered["gold_price"]
    with zipfile.ZipFile(book) as package:
        styles = package.read("xl/styles.xml")
    look = int(re.search(rb'<cellXfs count="(\d+)"', styles)[1])
    date = b'<xf numFmtId="14" applyNumberFormat="1"/></cellXfs>'
    cell = f'<c r="{place.cell()}" s="{look}"><v>46174</v></c>'.encode()
    changed = {
        "xl/styles.xml": (rb"</cellXfs>", date),
        part_of(book, place.sheet): (rf'<c r="{place.cell()}".*?</c>'.encode(), cell),
    }

    def change(name, content):
        if name not in changed:
            return content
        content, count = re.subn(*changed[name], content)
        assert count == 1
        return content

    said = f"Gold price ({place.sheet}!{place.cell()})"
    refused(rewritten(book, change), said, "is not a number")


@pytest.mark.parametrize("stored", ["1e999", "-1e999", "NaN"])
def test_a_number_beyond_all_numbers(book, stored):
    place = layout().entered["gold_price"]
    part = part_of(book, place.sheet)

    def change(name, content):
        if name != part:
            return content
        cell = re.compile(rf'(<c r="{place.cell()}"[^>]*>)<v>[^<]*</v>'.encode())
        content, count = cell.subn(rb"\g<1><v>" + stored.encode() + rb"</v>", content)
        assert count == 1
        return content

    refused(rewritten(book, change))


@pytest.mark.parametrize(
    "value", [" ", "12,5", "1 000", "=1+1", "'3440", "\u0663", "x" * 32_000]
)
def test_text_in_a_number_cell(book, value, tmp_path):
    place = layout().entered["gold_price"]
    changed = tmp_path / "changed.xlsx"
    write_changed(book, changed, {(place.sheet, place.cell()): value})
    refused(changed, f"{place.sheet}!{place.cell()}")


def test_an_emptied_must_have_is_missing(book, tmp_path):
    place = layout().entered["gold_price"]
    changed = tmp_path / "changed.xlsx"
    write_changed(book, changed, {(place.sheet, place.cell()): ""})
    assert "gold_price" not in read_book(changed).given


def test_a_choice_that_is_none(book, tmp_path):
    place = layout().entered["power_source"]
    changed = tmp_path / "changed.xlsx"
    write_changed(book, changed, {(place.sheet, place.cell()): "wind"})
    refused(changed, "'wind' is not one of the choices", "grid, generator")


def test_parts_twice_over(book):
    part = part_of(book)
    with zipfile.ZipFile(book) as package:
        content = package.read(part)
    with (
        pytest.warns(UserWarning, match="Duplicate name"),
        zipfile.ZipFile(book, "a") as package,
    ):
        package.writestr(part, content)
    refused(book, "parts that no workbook has")


def test_a_part_that_climbs_out_of_the_package(book):
    with zipfile.ZipFile(book, "a") as package:
        package.writestr("../../outside.txt", "hello")
    refused(book, "parts that no workbook has")


@pytest.mark.parametrize("part", ["xl/workbook.xml", "xl/styles.xml", "sheet"])
def test_entities_that_swell(book, part):
    part = part_of(book) if part == "sheet" else part

    def change(name, content):
        return BOMB + content.split(b"?>", 1)[1] if name == part else content

    refused(rewritten(book, change))


@pytest.mark.parametrize("gone", ["xl/workbook.xml", "[Content_Types].xml"])
def test_a_part_that_is_missing(book, gone):
    refused(rewritten(book, lambda n, c: None if n == gone else c), "not an .xlsx")


@pytest.mark.parametrize("part", ["xl/workbook.xml", "xl/sharedStrings.xml", "sheet"])
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_a_part_that_breaks_off(book, part, share):
    part = part_of(book) if part == "sheet" else part

    def change(name, content):
        return content[: int(share * len(content))] if name == part else content

    refused(rewritten(book, change))


def test_a_cell_at_the_far_corner_takes_no_time(book):
    part = part_of(book)

    def change(name, content):
        last = b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>'
        return content.replace(b"</sheetData>", last) if name == part else content

    rewritten(book, change)
    start = time.monotonic()
    assert read_book(book).inputs["gold_price"] == made_book().inputs["gold_price"]
    assert time.monotonic() - start < SECONDS


@pytest.mark.parametrize(
    "target", ["'Inputs'!$B$1:$B$9", "#REF!", "3440", "[1]Other!$B$4", "Nowhere!$B$4"]
)
def test_a_name_that_points_elsewhere(book, target):
    def change(name, content):
        pattern = rb'(<definedName name="Gold_price_entered">)[^<]*'
        new = rb"\g<1>" + target.encode()
        return re.sub(pattern, new, content) if name == "xl/workbook.xml" else content

    refused(rewritten(book, change), "Gold_price" if "[" not in target else "")


def test_another_sheet_under_the_name_of_inputs(book):
    """It is empty; what was there stands under another name."""
    part, empty = part_of(book), part_of(book).replace("sheet3", "sheet99")
    assert part != empty
    sheet = b'<sheet name="Inputs" sheetId="99" r:id="rId99"/></sheets>'
    relation = (
        b'<Relationship Id="rId99" Target="worksheets/sheet99.xml" Type="http://schemas'
        b'.openxmlformats.org/officeDocument/2006/relationships/worksheet"/>'
        b"</Relationships>"
    )
    with zipfile.ZipFile(book) as package:
        content = package.read(part)
    bare = re.sub(rb"<sheetData>.*</sheetData>", b"<sheetData/>", content, flags=re.S)

    def change(name, content):
        if name == "xl/workbook.xml":
            content = content.replace(b'name="Inputs"', b'name="Old inputs"')
            return content.replace(b"</sheets>", sheet)
        if name == "xl/_rels/workbook.xml.rels":
            return content.replace(b"</Relationships>", relation)
        return content

    rewritten(book, change)
    with zipfile.ZipFile(book, "a") as package:
        package.writestr(empty, bare)
    refused(book, "Inputs!", "the cell is empty, and so is the label")


def test_a_folder_is_not_a_book(tmp_path):
    with pytest.raises(WorkbookError):
        read_book(tmp_path)


def test_an_empty_file(tmp_path):
    path = tmp_path / "book.xlsx"
    path.write_bytes(b"")
    refused(path, "not an .xlsx workbook")
