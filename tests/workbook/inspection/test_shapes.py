"""Files in the forms that other programs write are read and inspected alike.

Excel itself was not used: the forms are those of the published format, ECMA-376
(part 1: strict; part 4: transitional), and each is built here from a book of ours.
"""

import itertools
import re
from html import escape

import pytest

from pennyweight.workbook.inspection.appearance import plain_format
from pennyweight.workbook.inspection.inspect import inspect_contents
from pennyweight.workbook.layout import layout
from pennyweight.workbook.package.contents import read_contents
from pennyweight.workbook.read import read_book, reading_of
from pennyweight.workbook.style import _NUMBER
from tests.thorough import sampled

from ...fuzz.files import issued, packed, unpacked
from ...fuzz.quick import workbook

BOOK, SHARED = "xl/workbook.xml", "xl/sharedStrings.xml"


def everywhere(change, only=r"\.(xml|rels)$"):
    """A shape that every part of its kind is put through."""

    def shape(parts):
        return {n: change(c) if re.search(only, n) else c for n, c in parts.items()}

    return shape


def in_part(name, pattern, new, count=0):
    def shape(parts):
        changed, number = re.subn(pattern, new, parts[name], count=count)
        assert number, pattern
        return {**parts, name: changed}

    return shape


def sheets(pattern, new):
    return everywhere(
        lambda content: re.sub(pattern, new, content), r"worksheets/sheet\d+\.xml$"
    )


STRICT = (
    (
        b"http://schemas.openxmlformats.org/spreadsheetml/2006/main",
        b"http://purl.oclc.org/ooxml/spreadsheetml/main",
    ),
    (
        b"http://schemas.openxmlformats.org/officeDocument/2006/",
        b"http://purl.oclc.org/ooxml/officeDocument/",
    ),
)


def strict(content):
    for old, new in STRICT:
        content = content.replace(old, new)
    return content


def prefixed(content):
    """Every element of a sheet under a prefix, as some libraries write them."""
    content = re.sub(rb"<(/?)([A-Za-z])", rb"<\1x:\2", content)
    return content.replace(b'xmlns="', b'xmlns:x="', 1)


def shared_formulas(parts):
    """One formula a row, the others naming it, as Excel saves what was filled."""
    name = part_of(parts, "Cash flow")
    number = iter(range(10**6))

    def row(found):
        cells = re.findall(rb'<c r="([A-Z]+)(\d+)"([^>]*)><f>([^<]*)</f>', found[0])
        plain = [c for c in cells if c[3] == cells[-1][3]]
        if len(cells) < 100 or not plain:
            return found[0]
        return _shared(found[0], cells, next(number))

    changed = re.sub(rb"<row .*?</row>", row, parts[name], flags=re.DOTALL)
    assert changed.count(b't="shared"') > 5000
    return {**parts, name: changed}


def _shared(row, cells, number):
    from openpyxl.formula.translate import Translator

    first = None
    for letters, line, _, text in cells:
        address, formula = (letters + line).decode(), "=" + text.decode()
        written = b"<f>" + text + b"</f>"
        if first is not None:
            moved = Translator(first[1], first[0]).translate_formula(address)
            if moved == formula:
                cell = re.compile(
                    rb'(<c r="' + letters + line + rb'"[^>]*>)<f>[^<]*</f>'
                )
                row = cell.sub(rb'\1<f t="shared" si="%d"/>' % number, row)
            continue
        if letters != b"G":
            continue
        first = (address, formula)
        start = rb'<f t="shared" ref="G%b:DW%b" si="%d">' % (line, line, number)
        cell = re.compile(rb'(<c r="G' + line + rb'"[^>]*>)' + re.escape(written))
        row = cell.sub(lambda m, s=start, t=text: m[1] + s + t + b"</f>", row)
    return row


def part_of(parts, sheet):
    names = re.findall(rb'<sheet name="([^"]+)"', parts[BOOK])
    return f"xl/worksheets/sheet{1 + names.index(sheet.encode())}.xml"


def renamed(parts):
    """Sheets in parts of other names, reached by their relations from the root."""
    relations = "xl/_rels/workbook.xml.rels"
    moved = {}
    for name, content in parts.items():
        new = re.sub(r"worksheets/(_rels/)?sheet(\d+)", r"sheets/\1page_\2", name)
        moved[new] = content
    moved[relations] = re.sub(
        rb'Target="worksheets/sheet(\d+)',
        rb'Target="/xl/sheets/page_\1',
        parts[relations],
    )
    moved["[Content_Types].xml"] = parts["[Content_Types].xml"].replace(
        b"/xl/worksheets/sheet", b"/xl/sheets/page_"
    )
    return moved


def inline_texts(parts):
    """No shared texts: each stands in its cell."""
    texts = re.findall(rb"<si>(.*?)</si>", parts[SHARED], re.DOTALL)

    def cell(found):
        inner = texts[int(found[2])]
        return b"<c" + found[1] + b' t="inlineStr"><is>' + inner + b"</is></c>"

    pattern = rb'<c([^>]*) t="s"><v>(\d+)</v></c>'
    return sheets(pattern, cell)(parts)


def with_calculation_chain(parts):
    chain = b'<calcChain xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/'
    kind = b"application/vnd.openxmlformats-officedocument.spreadsheetml.calcChain+xml"
    override = b'<Override PartName="/xl/calcChain.xml" ContentType="%b"/>' % kind
    relation = (
        b'<Relationship Id="rId999" Type="http://schemas.openxmlformats.org/'
        b'officeDocument/2006/relationships/calcChain" Target="calcChain.xml"/>'
    )
    types, relations = "[Content_Types].xml", "xl/_rels/workbook.xml.rels"
    return {
        **parts,
        "xl/calcChain.xml": chain + b'main"><c r="B6" i="3"/></calcChain>',
        types: parts[types].replace(b"</Types>", override + b"</Types>"),
        relations: parts[relations].replace(
            b"</Relationships>", relation + b"</Relationships>"
        ),
    }


SHAPES = {
    "strict": everywhere(strict),
    "prefixed elements": everywhere(prefixed, r"worksheets/sheet\d+\.xml$"),
    "shared formulas": shared_formulas,
    "inline texts": inline_texts,
    "sheets renamed": renamed,
    "calculation chain": with_calculation_chain,
    "empty cells dropped": sheets(rb"<c [^>]*/>", b""),
    "no addresses of rows": sheets(rb'<row r="\d+" spans="[^"]*"', b"<row"),
    "styles numbered otherwise": sheets(rb' s="\d+"', b' s="1"'),
    "no styles": sheets(rb' s="\d+"', b""),
    "names in quotes": in_part(BOOK, rb">(Inputs|Answer)!\$", rb">'\1'!$"),
    "names without dollars": in_part(BOOK, rb"!\$B\$(\d+)<", rb"!B\1<"),
    "counted from 1904": in_part(BOOK, rb"<workbookPr", b'<workbookPr date1904="1"'),
    "runs and readings in texts": in_part(
        SHARED,
        rb"<si><t>Tamsel Draw</t></si>",
        b"<si><r><rPr><b/></rPr><t>Tamsel</t></r><r><t> Draw</t></r>"
        b"<rPh sb='0' eb='1'><t>tamsel</t></rPh></si>",
    ),
    "UTF-16": everywhere(
        lambda c: c.decode().replace("UTF-8", "UTF-16").encode("utf-16"),
        r"(sheet\d+|workbook|sharedStrings)\.xml$",
    ),
    "numbers with exponents": sheets(
        rb'(<c r="[A-Z0-9]+"(?: s="\d+")?>)<v>(\d)(\d\d\d)</v>',
        rb"\1<v>\2.\3E3</v>",
    ),
    "comments and instructions": sheets(
        rb"<sheetData>", b"<?mso here?><sheetData><!-- <c r='A1'/> -->"
    ),
    "lower case in names": in_part(BOOK, rb'name="Gold_price"', b'name="gold_PRICE"'),
    "formulas with spaces": sheets(rb"<f>([^<\"]*)\+", rb"<f>\1 + "),
    "formulas with a prefix": sheets(rb"<f>SQRT\(", rb"<f>_xlfn.SQRT("),
}


@pytest.mark.parametrize(
    ("shape", "units"),
    sampled(
        ((s, ("us", "metric", "us")[place % 3]) for place, s in enumerate(SHAPES)),
        every=6,
    ),
)
def test_a_shape_reads_the_same_and_is_sound(shape, units, tmp_path):
    path, plain = tmp_path / "book.xlsx", unpacked(issued(units))
    path.write_bytes(issued(units))
    before = read_book(path)
    parts = SHAPES[shape](plain)
    assert parts != plain
    path.write_bytes(packed(parts))
    contents = read_contents(path)
    reading = reading_of(contents)
    assert reading == before
    found = inspect_contents(contents, reading)
    assert (found.outcome, found.findings) == ("as issued", [])


@pytest.mark.parametrize(("since_1904", "day"), [(False, b"46174"), (True, b"44712")])
def test_a_date_typed_for_a_text_is_reported_as_a_date(since_1904, day, tmp_path):
    """1 June 2026 is day 46174 from 1900 and 44712 from 1904 (ECMA-376, 18.17.4)."""
    parts = unpacked(issued("us"))
    place = layout().entered["price_date"]
    name = part_of(parts, "Inputs")
    styles = parts["xl/styles.xml"].replace(
        b"</cellXfs>", b'<xf numFmtId="14" applyNumberFormat="1"/></cellXfs>'
    )
    number = int(re.search(rb'<cellXfs count="(\d+)"', styles)[1])
    cell = f'<c r="{place.cell()}" s="{number}"><v>{day.decode()}</v></c>'.encode()
    pattern = rf'<c r="{place.cell()}"[^>]*>.*?</c>'.encode()
    parts[name] = re.sub(pattern, cell, parts[name], flags=re.DOTALL)
    parts["xl/styles.xml"] = styles
    if since_1904:
        parts = SHAPES["counted from 1904"](parts)
    path = tmp_path / "book.xlsx"
    path.write_bytes(packed(parts))
    assert read_book(path).inputs["price_date"] == "2026-06-01"


def test_escapes_of_the_format_are_undone(tmp_path):
    """_x000A_ is a line break (ECMA-376, 22.9.2.19); on one line it is a space."""
    parts = in_part(SHARED, b"Tamsel Draw", b"Tamsel_x000A_Draw_x005F_1")(
        unpacked(issued("us"))
    )
    path = tmp_path / "book.xlsx"
    path.write_bytes(packed(parts))
    assert read_book(path).inputs["claim_name"] == "Tamsel Draw_1"
    place = layout().entered["claim_name"]
    cell = read_contents(path).cell(place.sheet, (place.row, place.column))
    assert cell.value == "Tamsel\nDraw_1"


NOT_FORMULAS = ["A1#", "A1)", "'", "{1", "[", "1_0", "@A1", ""]


@pytest.mark.parametrize(
    ("shared", "formula"),
    sampled(itertools.product((False, True), NOT_FORMULAS), every=5),
)
def test_what_is_not_a_formula_is_a_finding(shared, formula):
    """Newer programs write A1#, which the formula reader does not know."""
    parts = unpacked(issued("us"))
    name, place = part_of(parts, "Plant"), layout().places["feed_rate"]
    kind = ' t="shared" ref="A1:ZZ999" si="0"' if shared else ""
    new = rf"\1<f{kind}>{escape(formula)}</f>".encode()
    pattern = rf'(<c r="{place.cell()}"[^>]*>)<f>[^<]*</f>'.encode()
    parts[name], number = re.subn(pattern, new, parts[name])
    assert number == 1
    if shared:
        row = rb'<row r="900"><c r="A900"><f t="shared" si="0"/></c></row></sheetData>'
        parts[name] = parts[name].replace(b"</sheetData>", row)
    found = workbook().inspect(parts, strict=False)
    assert ("Plant", place.cell()) in {(f.sheet, f.cell) for f in found.findings}


def test_a_month_looks_the_same_after_libreoffice_saved_it():
    saved = r"mmm\ yyyy;;;"  # read in a file that LibreOffice wrote
    assert plain_format(saved) == plain_format(_NUMBER["date"])
