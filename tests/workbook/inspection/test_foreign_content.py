"""Foreign content of a workbook: active content is found, additions listed."""

import re

import openpyxl
import pytest
from xlsxwriter.utility import xl_rowcol_to_cell

from pennyweight.workbook.answer_sheet import FIRST_TURN, SOLVED
from pennyweight.workbook.carry import carry_from
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.layout import layout
from pennyweight.workbook.read import read_book
from pennyweight.workbook.renew import renew_book

from ...books import typed_at
from ...fuzz.altering import BOOK_RELATIONS, KIND, OFFICE, both, related
from ...fuzz.altering import added as added_part
from ...fuzz.files import issued, packed, unpacked
from ...fuzz.quick import workbook
from ...oracles.package import stored_cells, write_changed
from .tricks import ALLOWED

BOOK = "xl/workbook.xml"
SHEET = "xl/worksheets/sheet2.xml"
RELATIONS = "xl/worksheets/_rels/sheet2.xml.rels"


def inspected(change):
    """The issued book with its parts changed, inspected."""
    parts = dict(workbook().parts)
    assert change(parts) is None
    return workbook().inspect(parts, strict=False)


def substituted(name, pattern, new, count=1):
    def change(parts):
        parts[name], number = re.subn(pattern, new, parts[name], count=count)
        assert number

    return change


def added(name):
    def change(parts):
        parts[name] = b"<a/>"

    return change


ACTING = {
    "macros": (added("xl/vbaProject.bin"), "foreign part"),
    "old macros": (added("xl/macrosheets/sheet1.xml"), "foreign part"),
    "a control": (added("xl/activeX/activeX1.xml"), "foreign part"),
    "buttons": (added("customUI/customUI.xml"), "foreign part"),
    "a link to a workbook": (
        added("xl/externalLinks/externalLink1.xml"),
        "foreign part",
    ),
    "a data connection": (added("xl/connections.xml"), "foreign part"),
    "a query": (added("xl/queryTables/queryTable1.xml"), "foreign part"),
    "an embedded file": (added("xl/embeddings/oleObject1.bin"), "foreign part"),
    "a hidden sheet": (
        substituted(
            BOOK, rb"<sheet name=\"Plant\"", rb'<sheet name="Plant" state="hidden"'
        ),
        "hidden sheet",
    ),
    "a sheet hidden from the menu": (
        substituted(
            BOOK, rb"<sheet name=\"Plant\"", rb'<sheet name="Plant" state="veryHidden"'
        ),
        "hidden sheet",
    ),
    "a hidden name": (
        substituted(
            BOOK,
            rb"</definedNames>",
            rb'<definedName name="x" hidden="1">5</definedName></definedNames>',
        ),
        "hidden name",
    ),
    "a name that starts a program": (
        substituted(
            BOOK,
            rb"</definedNames>",
            rb"<definedName name='x'>cmd|'/c calc'!A0</definedName></definedNames>",
        ),
        "name added",
    ),
    "a name that starts a macro": (
        substituted(
            BOOK,
            rb"</definedNames>",
            rb'<definedName name="_xlnm.Auto_Open">x</definedName></definedNames>',
        ),
        "name that starts a macro",
    ),
    "a name that has moved": (
        substituted(BOOK, rb"(name=\"Net_present_value\">[^<]*B\$)\d+", rb"\g<1>999"),
        "name moved",
    ),
    "a name that is gone": (
        substituted(
            BOOK, rb'<definedName name="Net_present_value">[^<]*</def.*?>', b""
        ),
        "name missing",
    ),
    "a formula that fetches": (
        substituted(
            SHEET,
            rb"</sheetData>",
            rb'<row r="900"><c r="A900"><f>WEBSERVICE("http://x")</f></c></row></sheetData>',
        ),
        "formula that reaches outside",
    ),
    "a row out of sight": (
        substituted(SHEET, rb'<row r="9"', rb'<row r="9" hidden="1"'),
        "hidden rows or columns",
    ),
    "a column out of sight": (
        substituted(SHEET, rb'<col min="2"', rb'<col hidden="1" min="2"'),
        "hidden rows or columns",
    ),
    "a picture fetched from outside": (
        substituted(
            RELATIONS,
            rb"</Relationships>",
            rb'<Relationship Id="rId99" Type="http://schemas.openxmlformats.org/'
            rb'officeDocument/2006/relationships/image" Target="http://x/a.png" '
            rb'TargetMode="External"/></Relationships>',
        ),
        "link to the outside",
    ),
}


@pytest.mark.thorough  # test_tricks.py has a trick of each of these kinds every time
@pytest.mark.parametrize("name", ACTING)
def test_what_can_act_makes_a_book_altered(name):
    change, kind = ACTING[name]
    found = inspected(change)
    assert found.outcome == "something else changed"
    assert kind in {f.kind for f in found.findings if f.grave}
    assert all(f.mend for f in found.findings)


ROAD = (
    b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
    b'<sheetData><row r="2"><c r="A2"><v>2</v></c></row></sheetData></worksheet>'
)
"""A sheet of a partner's."""
ADDED = ("cell added", "link to the outside", "name added", "note", "sheet added")


def test_what_partners_add_is_reported_and_is_not_a_change():
    """A sheet, a note, a name, a cell and a link of theirs, in the issued book."""
    parts = dict(workbook().parts)
    both(
        ALLOWED["a comment"],
        ALLOWED["a name of their own"],
        ALLOWED["a cell of their own"],
        related(
            "xl/worksheets/_rels/sheet4.xml.rels",
            OFFICE + "hyperlink",
            "http://example.org",
            True,
        ),
        added_part(
            "xl/worksheets/sheet90.xml",
            ROAD,
            KIND + "spreadsheetml.worksheet+xml",
            BOOK_RELATIONS,
            OFFICE + "worksheet",
        ),
        substituted(
            BOOK,
            rb"</sheets>",
            rb'<sheet name="Road" sheetId="900" r:id="rId900"/></sheets>',
        ),
    )(parts)
    found = workbook().inspect(parts, strict=False)
    assert found.outcome == "as issued"
    assert {f.kind for f in found.findings} == set(ADDED)
    theirs = {(f.sheet, f.cell) for f in found.findings if f.cell}
    assert theirs == {("Answer", "A7"), ("Results", "A900")}


@pytest.fixture(scope="module")
def saved(tmp_path_factory):
    """Saved by openpyxl, with a partner's sheet, note, name, cells and link."""
    path = tmp_path_factory.mktemp("saved") / "book.xlsx"
    path.write_bytes(issued("us"))
    package = openpyxl.load_workbook(path)
    sheet = package.create_sheet("Road")
    sheet["A1"], sheet["A2"] = "=Gold_price*2", "our share"
    package["Answer"]["A7"].comment = openpyxl.comments.Comment("why?", "me")
    package["Answer"]["Z7"] = "seen"
    package["Answer"]["Z8"].hyperlink = "http://example.org"
    package.defined_names["Ours"] = openpyxl.workbook.defined_name.DefinedName(
        "Ours", attr_text="Road!$A$1"
    )
    package.save(path)
    return path


@pytest.mark.thorough  # test_resaved.py has one every time
def test_saved_by_openpyxl_it_lacks_values_and_nothing_else(saved):
    found = inspect_book(saved)
    assert {f.kind for f in found.findings} == {"no stored values", *ADDED}
    assert found.outcome == "not calculated"


@pytest.mark.thorough
def test_what_partners_add_stays_when_it_is_renewed(saved, tmp_path):
    renewed = tmp_path / "renewed.xlsx"
    renew_book(saved, renewed)
    found = inspect_book(renewed)
    assert found.outcome == "as issued"
    assert {f.kind for f in found.findings} == set(ADDED)
    theirs = {(f.sheet, f.cell) for f in found.findings if f.cell}
    assert theirs == {("Answer", "A7"), ("Answer", "Z7"), ("Answer", "Z8")}


def test_an_altered_record_of_the_issue(tmp_path):
    """The column As issued holds what no input could be."""
    place = layout().places["gold_price"]
    path, changed = tmp_path / "book.xlsx", tmp_path / "changed.xlsx"
    path.write_bytes(issued("us"))
    heads = stored_cells(path)[place.sheet].items()
    (head,) = (at for at, value in heads if value == "As issued")
    cell = head.replace("4", str(place.row + 1))
    write_changed(path, changed, {(place.sheet, cell): "soon"})
    kinds = {f.kind for f in inspect_book(changed).findings}
    assert "record of the issue" in kinds


def test_solved_figures_follow_the_inputs_of_their_issue(tmp_path):
    """A figure of the table below the answer is altered: found, though no formula."""
    path, changed = tmp_path / "book.xlsx", tmp_path / "changed.xlsx"
    path.write_bytes(issued("us"))
    cell = xl_rowcol_to_cell(FIRST_TURN, SOLVED)
    write_changed(path, changed, {("Answer", cell): 1234.0})
    found = inspect_book(changed).findings
    assert [(f.cell, f.kind) for f in found] == [(cell, "solved figure")]


def written(tmp_path, change):
    """The issued book with its parts changed, at a path."""
    path, parts = tmp_path / "changed.xlsx", unpacked(issued("us"))
    change(parts)
    path.write_bytes(packed(parts))
    return path


@pytest.mark.parametrize(
    ("formula", "kind"),
    [
        (b"1+2", "input typed as a calculation"),
        (b"Capital!B5+2", "input with a formula"),
        (b"RAND()*3", "input with a formula"),
    ],
)
def test_an_input_that_is_a_formula(formula, kind, tmp_path):
    """It is read by its value, and told; numbers alone cannot change by themselves."""
    place = layout().entered["crew"]
    cell = rf'(<c r="{place.cell()}"[^>]*>)<v>[^<]*'.encode()
    part = workbook().contents.sheet_parts[place.sheet]
    path = written(tmp_path, substituted(part, cell, rb"\1<f>%b</f><v>3" % formula))
    assert read_book(path).inputs["crew"] == 3
    found = inspect_book(path)
    assert [f.kind for f in found.findings if f.cell == place.cell()] == [kind]
    (told,) = (f for f in found.findings if f.kind == kind)
    assert told.grave == (kind == "input with a formula")
    (told,) = carry_from(path).left_behind
    assert f"={formula.decode()}; the new workbook has the value." in told


def test_a_missing_sheet_is_named(tmp_path):
    gone = substituted(BOOK, rb'<sheet name="Capital"[^>]*/>', b"")
    found = inspect_book(written(tmp_path, gone))
    assert ("sheet missing", "Capital") in {(f.kind, f.sheet) for f in found.findings}


@pytest.mark.thorough
def test_changes_of_texts_and_of_empty_cells_are_reported(tmp_path):
    """A name has no effect; an empty cell is not the figure of its estimate."""
    path = typed_at(tmp_path / "typed.xlsx", claim_name="Upper Draw", wage=None)
    found = {f.kind: f for f in inspect_book(path).inputs}
    assert found["text entered changed"].effect == "None on the results."
    assert found["input changed"].found == "empty (estimate 32)"
