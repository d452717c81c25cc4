"""Values written into an existing file: nothing else changes by a byte."""

import functools
import io
import random
import re
import zipfile

import numpy as np
import openpyxl
import pytest
from xlsxwriter.utility import xl_rowcol_to_cell

from pennyweight.errors import WorkbookError
from pennyweight.model.run import run
from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.layout import SHEETS, layout
from pennyweight.workbook.package import patch
from pennyweight.workbook.package.chart_cache import with_fresh_points
from pennyweight.workbook.package.contents import read_contents
from pennyweight.workbook.package.drawing_part import ChartPart
from pennyweight.workbook.package.patch import patch_sheet, patch_values
from pennyweight.workbook.renew import renew_book
from pennyweight.workbook.start_sheet import CHANGE_OF_NPV
from pennyweight.workbook.write import book_bytes
from tests.books import made_book
from tests.thorough import sampled

from ..fuzz.files import issued, packed, unpacked
from ..fuzz.quick import workbook
from ..oracles.package import stored_cells, write_changed
from .resaved import CHANGED, in_units, typed_into

PRICE = layout().entered["gold_price"]
WORTH = layout().places["net_present_value"]
THEIRS = {
    "xl/vbaProject.bin": b"\x00macro\xff",
    "xl/media/photo.jpeg": bytes(range(256)),
    "customXml/item1.xml": b"<theirs a='1'  b=\"2\"/>",
}
"""Parts that no library keeps: macros, a picture, data of theirs."""


@pytest.fixture
def book(tmp_path):
    """A book with parts of theirs."""
    path = tmp_path / "book.xlsx"
    content = io.BytesIO(issued("us"))
    with zipfile.ZipFile(content, "a") as package:
        for name, part in THEIRS.items():
            package.writestr(name, part)
    path.write_bytes(content.getvalue())
    return path


def parts(path):
    with zipfile.ZipFile(path) as package:
        return [(name, package.read(name)) for name in package.namelist()]


def test_only_the_cells_named_change(book, tmp_path):
    out = tmp_path / "out.xlsx"
    before = stored_cells(book)
    values = {
        (WORTH.sheet, WORTH.cell()): -1234.5,
        (PRICE.sheet, PRICE.cell()): 2950.0,
        ("About", "B900"): "below everything",
        ("Answer", "ZZ5"): True,
    }
    patch_values(book, out, values)
    after = stored_cells(out)
    for (sheet, cell), value in values.items():
        assert after[sheet].pop(cell) == value
        before[sheet].pop(cell, None)
    assert before == after
    changed = [
        n for (n, a), (_, b) in zip(parts(book), parts(out), strict=True) if a != b
    ]
    assert len(changed) == len({sheet for sheet, _ in values})
    assert all(name.startswith("xl/worksheets/") for name in changed)
    assert [name for name, _ in parts(book)] == [name for name, _ in parts(out)]


def test_a_formula_keeps_its_place(book, tmp_path):
    out = tmp_path / "out.xlsx"
    patch_values(book, out, {(WORTH.sheet, WORTH.cell()): 7.0})
    place = (WORTH.row, WORTH.column)
    cells = [read_contents(path).cell(WORTH.sheet, place) for path in (book, out)]
    assert cells[0].formula == cells[1].formula and cells[1].value == 7.0
    assert cells[0].style == cells[1].style


@pytest.mark.parametrize("seed", sampled(range(4), 4))
def test_outside_the_cells_the_sheet_keeps_its_bytes(seed):
    """Random cells of a sheet, put back one by one, give the sheet's own bytes."""
    with zipfile.ZipFile(io.BytesIO(issued("us"))) as package:
        content = package.read("xl/worksheets/sheet3.xml")
    generator = random.Random(seed)
    for _ in range(5):
        place = (generator.randrange(4, 120), generator.randrange(12))
        changed = patch_sheet(content, {place: 12345.5})
        assert b"12345.5" in changed
        start = same_at_the_start(content, changed)
        end = same_at_the_start(content[::-1], changed[::-1])
        own = rb'<c r="%b"[^>]*?(?:/>|>.*?</c>)' % xl_rowcol_to_cell(*place).encode()
        (cell,) = re.findall(own, changed)
        assert len(changed) - start - end <= len(cell)


def same_at_the_start(one, other):
    """How many bytes are the same."""
    shorter = min(len(one), len(other))
    first, second = (np.frombuffer(part, "u1", shorter) for part in (one, other))
    return int(np.argmax(first != second))


ROWS = b'<sheetData><row r="2"/><row r="4"><c r="C4"><v>1</v></c></row></sheetData>'
SHEET = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">%s</worksheet>'


@pytest.mark.parametrize(
    ("inner", "place", "expected"),
    [
        (ROWS, (3, 0), b'<row r="4"><c r="A4"><v>5.0</v></c><c r="C4">'),
        (ROWS, (3, 5), b'<c r="C4"><v>1</v></c><c r="F4"><v>5.0</v></c></row>'),
        (ROWS, (1, 1), b'<row r="2"><c r="B2"><v>5.0</v></c></row><row r="4">'),
        (ROWS, (2, 0), b'<row r="2"/><row r="3"><c r="A3"><v>5.0</v></c></row><row'),
        (ROWS, (9, 0), b'</row><row r="10"><c r="A10"><v>5.0</v></c></row></sheetD'),
        (b"<sheetData/>", (0, 0), b'<sheetData><row r="1"><c r="A1"><v>5.0</v></c>'),
        (
            b'<sheetData><row r="1"><c r="A1" t="s" s="4"><v>9</v></c></row>'
            b"</sheetData>",
            (0, 0),
            b'<row r="1"><c r="A1" s="4"><v>5.0</v></c></row>',
        ),
        (
            b'<sheetData><row><c s="4"><f>1+1</f><v>9</v></c></row></sheetData>',
            (0, 0),
            b'<row><c s="4" r="A1"><f>1+1</f><v>5.0</v></c></row>',
        ),
    ],
)
def test_cells_that_a_program_left_out(inner, place, expected):
    assert expected in patch_sheet(SHEET % inner, {place: 5.0})


def test_a_prefix_is_kept():
    content = (
        b'<x:worksheet xmlns:x="http://purl.oclc.org/ooxml/spreadsheetml/main">'
        b'<x:sheetData><x:row r="1"/></x:sheetData></x:worksheet>'
    )
    changed = patch_sheet(content, {(0, 0): "a"})
    assert b'<x:c r="A1" t="inlineStr"><x:is><x:t xml:space' in changed


def test_text_stays_text(book, tmp_path):
    out = tmp_path / "out.xlsx"
    texts = ["=1+1", "<b>&\"'", "@sum", "a\x07b", "x" * 40_000, "\ud800", "]]>"]
    places = [f"B{row}" for row in range(200, 200 + len(texts))]
    given = {("Answer", p): t for p, t in zip(places, texts, strict=True)}
    patch_values(book, out, given)
    sheet = openpyxl.load_workbook(out, read_only=True)["Answer"]
    column = sheet.iter_rows(200, 199 + len(texts), 2, 2)
    for (cell,), text in zip(column, texts, strict=True):
        assert cell.data_type == "s"
        kept = text.replace("\x07", "").replace("\ud800", "")[:32_767]
        assert (cell.value or "") == kept


def test_what_cannot_be_written_changes_nothing(book):
    before = book.read_bytes()
    for values in (
        {("Nowhere", "A1"): 1.0},
        {("Answer", "A0"): 1.0},
        {("Answer", "B9"): float("nan")},
    ):
        with pytest.raises(WorkbookError):
            patch_values(book, book, values)
        assert book.read_bytes() == before


@pytest.mark.parametrize("lock", ["~$book.xlsx", ".~lock.book.xlsx#"])
def test_an_open_book_is_left_alone(book, lock):
    book.with_name(lock).write_text("someone")
    with pytest.raises(WorkbookError, match="open in another program"):
        patch_values(book, book, {("Answer", "B9"): 1.0})


def test_a_signed_book_is_left_alone(book):
    with zipfile.ZipFile(book, "a") as package:
        package.writestr("_xmlsignatures/sig1.xml", "<Signature/>")
    with pytest.raises(WorkbookError, match="signed"):
        patch_values(book, book, {("Answer", "B9"): 1.0})


def their_sheet(package, formats):
    """What a partner adds beside ours: a sheet with figures, a chart, a note."""
    sheet = package.add_worksheet("Our bank")
    sheet.write_column("A1", [3.0, 5.0, 4.0], formats(bold=True))
    sheet.write_formula("B1", "=Net_present_value*A1", None, 1.0)
    sheet.write_comment("A2", "as agreed in May")
    chart = package.add_chart({"type": "line"})
    chart.add_series({"values": "='Our bank'!$A$1:$A$3"})
    sheet.insert_chart("D2", chart)


@pytest.fixture(scope="module", params=sampled(["us", "metric"], 2))
def renewed(request, tmp_path_factory):
    """A book whose inputs changed without calculating, and the same book renewed."""
    folder = tmp_path_factory.mktemp(request.param)
    path, stale = folder / "book.xlsx", folder / "stale.xlsx"
    path.write_bytes(book_bytes(made_book(units=request.param), their_sheet))
    with zipfile.ZipFile(path, "a") as package:
        for name, content in THEIRS.items():
            package.writestr(name, content)
    changes = in_units(CHANGED, request.param)
    write_changed(path, stale, {typed_into(n): value for n, value in changes.items()})
    out = folder / "out.xlsx"
    assert renew_book(stale, out) > 500
    return stale, out


def test_renewing_a_book_makes_it_sound(renewed):
    """Afterwards every value is the engine's."""
    stale, out = renewed
    told = inspect_book(stale, strict=True).findings
    grave = {f.kind for f in told if f.grave}
    assert grave == {"values of earlier inputs", "foreign part"}
    left = inspect_book(out, strict=True).findings
    assert {f.kind for f in left if f.grave} == {"foreign part"}
    assert renew_book(out) == 0


def test_renewing_leaves_every_other_part_byte_for_byte(renewed):
    """Macros, charts, pictures, notes, styles, texts, and a sheet that reads ours."""
    before, after = map(parts, renewed)
    contents = read_contents(renewed[0])
    assert [name for name, _ in before] == [name for name, _ in after]
    changed = {n for (n, a), (_, b) in zip(before, after, strict=True) if a != b}
    charts = {name for name in changed if name.startswith("xl/charts/")}
    drawn = [name for name, _ in before if name.startswith("xl/charts/chart")]
    theirs = max(drawn, key=lambda name: (len(name), name))
    ours = {contents.sheet_parts[sheet] for sheet in SHEETS}
    assert changed - charts <= ours and contents.sheet_parts["Our bank"] not in ours
    assert charts and theirs not in charts and changed.isdisjoint(THEIRS)
    assert len(before) - len(changed) > 20
    assert any("charts/" in name for name, _ in before)


@pytest.mark.thorough
def test_renewing_agrees_with_another_program(book, tmp_path, gnumeric):
    stale = tmp_path / "stale.xlsx"
    write_changed(book, stale, {(PRICE.sheet, PRICE.cell()): 2100.0})
    start = gnumeric.recalculate(stale)["Start"]
    (label,) = [at for at, v in start.items() if v == CHANGE_OF_NPV]
    worth = run({"gold_price": np.array([3440.0, 2100.0])})["net_present_value"]
    moved = start[label.replace("G", "H")]
    assert moved == pytest.approx(worth[1] - worth[0], rel=1e-9)
    renew_book(stale)
    shown = stored_cells(stale)[WORTH.sheet][WORTH.cell()]
    found = gnumeric.recalculate(stale)[WORTH.sheet][WORTH.cell()]
    assert shown == pytest.approx(found, rel=1e-9)


def test_a_book_with_altered_formulas_is_not_renewed(book, tmp_path):
    out = tmp_path / "out.xlsx"
    write_changed(book, out, {(WORTH.sheet, WORTH.cell()): 1.0e6})
    before = out.read_bytes()
    with pytest.raises(WorkbookError, match="cannot be renewed"):
        renew_book(out)
    assert out.read_bytes() == before


ENCODINGS = {
    "utf-16": lambda t: t.encode("utf-16"),
    "us-ascii": lambda t: t.encode("us-ascii", "xmlcharrefreplace"),
    "iso-8859-1": lambda t: t.encode("iso-8859-1", "xmlcharrefreplace"),
}


@pytest.mark.thorough
@pytest.mark.parametrize("encoding", sampled(ENCODINGS, 3))
def test_a_part_in_another_encoding_stays_readable(encoding, tmp_path):
    """ElementTree declares us-ascii when it writes; others write UTF-16."""
    parts = unpacked(issued("us"))
    for name in [n for n in parts if n.startswith("xl/worksheets/sheet")]:
        text = parts[name].decode().replace('"UTF-8"', f'"{encoding}"', 1)
        assert encoding in text
        parts[name] = ENCODINGS[encoding](text)
    path, out = tmp_path / "book.xlsx", tmp_path / "out.xlsx"
    path.write_bytes(packed(parts))
    patch_values(path, out, {("Answer", "B200"): "Söhne – µm", ("About", "B9"): 5.0})
    found = read_contents(out)
    assert found.cell("Answer", (199, 1)).value == "Söhne – µm"
    with zipfile.ZipFile(io.BytesIO(issued("us"))) as package:
        assert set(found.parts) == set(package.namelist())
    assert renew_book(out) >= 0


@functools.cache
def another():
    """The same workbook, packed by another program."""
    return packed(unpacked(issued("us")))


def test_a_save_made_meanwhile_is_not_overwritten(book, monkeypatch):
    before = patch.patch_sheet

    def saved_meanwhile(content, values):
        other = book.with_name("other.xlsx")
        other.write_bytes(another())
        other.replace(book)
        return before(content, values)

    monkeypatch.setattr(patch, "patch_sheet", saved_meanwhile)
    with pytest.raises(WorkbookError, match="saved by another program"):
        patch_values(book, book, {("Answer", "B9"): 1.0})
    assert book.read_bytes() == another()


def test_a_save_made_since_it_was_read_is_not_overwritten(book):
    contents = read_contents(book)
    book.write_bytes(another())
    with pytest.raises(WorkbookError, match="saved by another program"):
        patch_values(book, book, {("Answer", "B9"): 1.0}, contents.stamp)
    assert book.read_bytes() == another()


def test_what_is_not_read_back_the_same_is_not_written(book, monkeypatch):
    before = book.read_bytes()
    monkeypatch.setattr(patch, "patch_sheet", lambda content, values: content)
    with pytest.raises(WorkbookError, match="Nothing was written"):
        patch_values(book, book, {("Answer", "B9"): 1.0})
    assert book.read_bytes() == before


def figures_of(chart):
    """The figures that a chart keeps, series by series."""
    kept = ChartPart(chart, "").points
    numbers = [points for _, kind, points in kept if kind == "numCache"]
    return [{at: float(text) for at, text in points.items()} for points in numbers]


def test_figures_that_a_chart_keeps_are_those_of_its_cells_again():
    parts, stored = workbook().parts, workbook().contents.stored
    charts = [c for name, c in parts.items() if name.startswith("xl/charts/chart")]
    assert all(with_fresh_points(chart, stored) == chart for chart in charts)
    for chart in charts[:4]:
        wrong = re.sub(rb'(idx="3"><c:v>)[^<]*', rb"\g<1>77.5", chart)
        wrong = re.sub(rb'<c:pt idx="2">.*?</c:pt>', b"", wrong, count=1)
        fresh = with_fresh_points(wrong, stored)
        assert figures_of(wrong) != figures_of(chart) == figures_of(fresh)
