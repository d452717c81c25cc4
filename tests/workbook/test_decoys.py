"""Files in which another program would show other figures than those read here."""

import re

import pytest

from pennyweight.errors import WorkbookError
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.read import read_book

from ..fuzz.files import issued, packed, unpacked

ROOT, BOOK = "_rels/.rels", "xl/workbook.xml"
RELATIONS, TYPES = "xl/_rels/workbook.xml.rels", "[Content_Types].xml"


def other_main_part(parts):
    parts["xl/other.xml"] = parts[BOOK]
    parts["xl/_rels/other.xml.rels"] = parts[RELATIONS]
    parts[ROOT] = parts[ROOT].replace(b"xl/workbook.xml", b"xl/other.xml")


def second_main_part(parts):
    found = re.search(rb"<Relationship [^>]*officeDocument\"[^>]*>", parts[ROOT])[0]
    again = re.sub(rb'Id="[^"]*"', b'Id="rId99"', found)
    parts[ROOT] = parts[ROOT].replace(found, found + again)


def duplicate_relation(parts):
    found = re.search(rb'<Relationship Id="rId1"[^>]*>', parts[RELATIONS])[0]
    again = found.replace(b"sheet1.xml", b"sheet2.xml")
    parts[RELATIONS] = parts[RELATIONS].replace(found, again + found)


def second_texts(parts):
    parts["xl/other.xml"] = parts["xl/sharedStrings.xml"]
    found = re.search(rb"<Relationship [^>]*sharedStrings.xml[^>]*>", parts[RELATIONS])
    again = re.sub(rb'Id="[^"]*"', b'Id="rId99"', found[0])
    again = again.replace(b"sharedStrings.xml", b"other.xml")
    parts[RELATIONS] = parts[RELATIONS].replace(found[0], again + found[0])


def second_texts_by_type(parts):
    parts["xl/other.xml"] = parts["xl/sharedStrings.xml"]
    found = re.search(rb"<Override [^>]*sharedStrings.xml[^>]*>", parts[TYPES])[0]
    again = found.replace(b"sharedStrings.xml", b"other.xml")
    parts[TYPES] = parts[TYPES].replace(found, again + found)


DECOYS = {
    other_main_part: "main part",
    second_main_part: "main part",
    duplicate_relation: "two relations",
    second_texts: "two parts of the kind sharedStrings",
    second_texts_by_type: "second part of shared texts",
}


@pytest.mark.parametrize("change", DECOYS)
def test_a_decoy_is_refused(change, tmp_path):
    parts = unpacked(issued("us"))
    before = dict(parts)
    change(parts)
    assert parts != before
    path = tmp_path / "book.xlsx"
    path.write_bytes(packed(parts))
    with pytest.raises(WorkbookError, match=DECOYS[change]):
        read_book(path)


def test_a_relation_under_a_foreign_name_is_not_followed(tmp_path):
    """Only the format's own attribute names the part of a sheet."""
    parts = unpacked(issued("us"))
    parts[BOOK] = parts[BOOK].replace(
        b'<sheet name="Start"',
        b'<sheet xmlns:x="http://example.org/relationships" x:id="rId2" name="Start"',
    )
    path = tmp_path / "book.xlsx"
    path.write_bytes(packed(parts))
    assert inspect_book(path).findings == []


def test_a_name_of_one_sheet_that_hides_ours_is_found(tmp_path):
    parts = unpacked(issued("us"))
    name = b'<definedName name="Gold_price" localSheetId="3">Inputs!$A$1</definedName>'
    parts[BOOK] = parts[BOOK].replace(b"</definedNames>", name + b"</definedNames>")
    path = tmp_path / "book.xlsx"
    path.write_bytes(packed(parts))
    (finding,) = inspect_book(path).findings
    assert finding.kind == "name defined again for one sheet" and finding.grave
    assert "Gold_price" in finding.found
