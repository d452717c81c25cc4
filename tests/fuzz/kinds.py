"""Random alterations of a workbook, by kind, and the outcome that each must have.

A kind draws one alteration and returns whether it must be found, must not be called a
change, or must only do no harm. The draws are seeded, so that each can be repeated.
"""

import io
import os
import re
from html import escape
from pathlib import Path

from xlsxwriter.utility import xl_rowcol_to_cell

from pennyweight.errors import CallError
from pennyweight.workbook.csv_file import read_csv
from pennyweight.workbook.files import refuse_inputs
from pennyweight.workbook.inspection.expected import free_places, input_places

from .altering import (
    BOOK,
    BOOK_RELATIONS,
    KIND,
    OFFICE,
    OLE,
    STYLES,
    TYPES,
    added,
    always,
    chart_of,
    drawing_of,
    font,
    ground,
    name,
    new_cell,
    on,
    part_of,
    related,
    shape,
    styled_at,
    sub,
    within,
)
from .files import PART, SHEET, WHOLE

FOUND, ALLOWED, HARMLESS = "found", "allowed", "harmless"
CHARTED = ("Answer", "Results", "Mills", "Cost per ton", "Contract")
WHITES = ("FFFFFFFF", "FFFEFEFE", "FFF4F4F4", "FFFFFFF0", "FFF0FFFF")
HIDING = (";;;", '"1,234"', "#,##0,", "0.0000000%", "[White]0", '[<9]"9";0')
REACHING = ("WEBSERVICE", "IMAGE", "RTD", "CUBEVALUE", "SQL.REQUEST", "CALL")


class Drawing:
    """Draws alterations of one workbook.

    Parameters
    ----------
    workbook : Workbook
    generator : random.Random
    """

    def __init__(self, workbook, generator):
        self.workbook, self.generator = workbook, generator
        self.contents = workbook.contents
        self.free = input_places().keys() | free_places("us")

    def choice(self, *options):
        return self.generator.choice(options)

    def cell(self, formula=None, sheets=()):
        """Sheet, address and cell of one of ours that shows something."""
        while True:
            sheet = self.generator.choice(list(sheets or self.contents.sheets))
            cells = self.contents.sheets[sheet]
            if sheet == "Risk" or not cells:
                continue
            place = self.generator.choice(list(cells))
            cell = cells[place]
            shown = cell.value not in (None, "") and (sheet, place) not in self.free
            if shown and formula in (None, bool(cell.formula)):
                return sheet, xl_rowcol_to_cell(*place), cell

    def sheet(self):
        return self.generator.choice([s for s in self.contents.sheets if s != "Risk"])


def in_cell(sheet, address, pattern, new):
    """Replace a pattern in one cell."""
    whole = rb'<c r="%b"[^>]*>.*?</c>' % address.encode()

    def change(parts):
        part = part_of(parts, sheet)
        found = re.search(whole, parts[part], re.DOTALL)
        changed, number = re.subn(pattern, new, found[0], count=1, flags=re.DOTALL)
        assert number, (found[0], pattern)
        start, end = found.span()
        parts[part] = parts[part][:start] + changed + parts[part][end:]

    return change


def formulas(draw):
    sheet, cell, _ = draw.cell(formula=True)
    factor = draw.generator.randrange(1, 10**6)
    new = draw.choice(
        rb"<f>\1*1.%06d</f>" % factor,
        rb"<f>\1+%d</f>" % factor,
        rb"<f>IF(1=1,\1,%d)</f>" % factor,
        rb"<f>%d</f>" % factor,
        b"",
    )
    return in_cell(sheet, cell, rb"<f>(.*?)</f>", new), FOUND


def values(draw):
    while True:
        sheet, address, cell = draw.cell(formula=True)
        if cell.kind == "n":
            break
    wrong = cell.value + max(1e-3, abs(cell.value) * draw.choice(1e-6, 0.01, 1, 50))
    new = b"<v>%b</v>" % repr(wrong).encode()
    return in_cell(sheet, address, rb"<v>[^<]*</v>", new), FOUND


def texts(draw):
    sheet, address, _ = draw.cell(formula=False)
    told = f"As agreed {draw.generator.randrange(10**6)}"
    cell = f'<c r="{address}" t="inlineStr"><is><t>{told}</t></is></c>'
    return in_cell(sheet, address, rb"<c .*</c>", cell.encode()), FOUND


def names(draw):
    known = [n for n in draw.contents.names if "(sheet" not in n and "." not in n]
    spelt = draw.contents.spelt[draw.generator.choice(known)]
    number = draw.generator.randrange(2, 900)
    own = rb'(<definedName name="%b">)[^<]*(</definedName>)' % spelt.encode()
    return (
        draw.choice(
            sub(BOOK, own, rb"\g<1>Sources!$Z$%d\2" % number),
            sub(BOOK, own, rb"\g<1>%d\2" % number),
            sub(BOOK, own, b""),
            name(str(number), spelt, f' localSheetId="{number % 20}"'),
            name(str(number), f"Own_{number}", ' hidden="1"'),
            name(f"[{number}]Prices!$A$1", f"Own_{number}"),
            name(str(number), draw.choice("Auto_Open", "auto_close")),
        ),
        FOUND,
    )


def styles(draw):
    sheet, address, cell = draw.cell()
    number = cell.kind == "n" and bool(cell.value)
    white = f'<color rgb="{draw.choice(*WHITES)}"/>'
    size = draw.generator.randrange(6, 30)
    ways = [
        {"font": font(white, size), "fill": ground('rgb="FFFFFFFF"')},
        {"font": font('<color rgb="FF102030"/>', draw.choice(0.5, 1, 2, 3))},
    ]
    if number:
        ways.append({"number": draw.choice(*HIDING)})
    return styled_at(sheet, address, **draw.choice(*ways)), FOUND


def sizes(draw):
    sheet, address, _ = draw.cell()
    row = re.sub(r"\D", "", address)
    height = draw.choice("0", "0.1", "0.75", "1.5")
    kind = draw.choice("ht", "hidden", "merge", "column")
    letters = address.removesuffix(row)
    if kind == "merge" and letters != "ZZ" and int(row) > 1:
        left = max(1, int(row) - draw.generator.randrange(1, 4))
        merge = f'<mergeCells><mergeCell ref="A{left}:{letters}{row}"/></mergeCells>'
        if letters == "A" and left == int(row):
            merge = merge.replace(f"A{left}", f"A{left - 1}")
        return on(sheet, b"</sheetData>", b"</sheetData>" + merge.encode()), FOUND
    if kind == "column":
        widths = rb'(<col [^>]*?) width="[^"]*"'
        return on(sheet, widths, rb'\1 width="0.%d"' % draw.choice(0, 1, 2)), FOUND
    flag = f'ht="{height}" customHeight="1"' if kind != "hidden" else 'hidden="1"'
    pattern = rb'<row r="%b"( spans="[^"]*")?[^>]*>' % row.encode()
    return on(sheet, pattern, b'<row r="%b" %b>' % (row.encode(), flag.encode())), FOUND


def rules(draw):
    sheet = draw.choice("Start", "Inputs", "Samples", "Test lot", "Mills")
    parts = draw.workbook.parts
    content = parts[part_of(parts, sheet)]
    whole = list(re.finditer(rb"<dataValidation .*?</dataValidation>", content))
    found = draw.generator.choice(whole)[0]
    number = draw.generator.randrange(10**9)
    ways = [
        b"",
        re.sub(
            rb"<formula1>.*?</formula1>", b"<formula1>-%d</formula1>" % number, found
        ),
        re.sub(rb' showErrorMessage="1"', b"", found),
        found.replace(b"<dataValidation ", b'<dataValidation errorStyle="warning" '),
    ]
    if b" error=" in found:
        wrong = b' error="Enter %d."' % number
        ways.append(re.sub(rb' error="[^"]*"', wrong, found))
    new = draw.choice(*[way for way in ways if way != found])
    if draw.generator.random() < 0.3:
        ref = f"A{number % 30 + 5}:E{number % 30 + 9}"
        return always('<font><color rgb="FFFFFFFF"/></font>', ref), FOUND
    return on(sheet, re.escape(found), new.replace(b"\\", rb"\\")), FOUND


def objects(draw):
    sheet = draw.choice(*CHARTED)
    number = draw.generator.randrange(5, 90)
    parts = draw.workbook.parts
    if draw.generator.random() < 0.5:
        _, address, _ = draw.cell(sheets=[sheet])
        row = int(re.sub(r"\D", "", address)) - 1
        frame = draw.choice('xdr:sp macro=""', "xdr:pic", "xdr:cxnSp")
        right = draw.generator.randrange(3, 60)
        return shape("", (0, max(0, row - 1), right, row + number), frame, sheet), FOUND
    if draw.generator.random() < 0.3:
        anchor = rb"(?s)<xdr:twoCellAnchor>.*?</xdr:twoCellAnchor>"
        return sub(drawing_of(parts, sheet), anchor, b""), FOUND
    chart = chart_of(parts, sheet)
    many = len(re.findall(b"<c:f>", parts[chart]))
    which, seen = draw.generator.randrange(many), iter(range(many))

    def other(found):
        if next(seen) != which:
            return found[0]
        return b"<c:f>Sources!$A$%d:$A$%d" % (number, number + 9)

    return sub(chart, rb"<c:f>[^<]*", other, 0), FOUND


def kept(draw):
    """A figure, a label or a name that a chart keeps, or how its letters look."""
    sheet, number = draw.choice(*CHARTED), draw.generator.randrange(10**6)
    chart = chart_of(draw.workbook.parts, sheet)
    points = re.findall(rb"<c:pt [^>]*>", draw.workbook.parts[chart])
    point = re.escape(draw.generator.choice(points))
    wrong = rb"\1<c:v>%d.5</c:v>" % number
    return (
        draw.choice(
            sub(chart, rb"(%b)<c:v>[^<]*</c:v>" % point, wrong),
            sub(chart, rb"<c:tx><c:v>[^<]*", b"<c:tx><c:v>As agreed %d" % number),
            sub(chart, rb"<a:t>[^<]*", b"<a:t>As agreed %d" % number),
            sub(chart, rb"2B3A42", b"FF%XFF" % (0xE0 + number % 0x20)),
            sub(chart, rb'formatCode="#,##0"', b'formatCode="%d"' % (number + 1)),
        ),
        FOUND,
    )


def pieces(draw):
    """A word of a text in a font that nobody can read."""
    while True:
        sheet, address, cell = draw.cell(formula=False)
        if " " in str(cell.value) and cell.kind == "text":
            break
    number = draw.generator.randrange(10)
    head, _, last = escape(cell.value, quote=False).rpartition(" ")
    way = draw.choice(
        f'<color rgb="FFF{number}FFFF"/>',
        f'<sz val="0.{number + 1}"/>',
        f'<rFont val="Wingdings {number}"/>',
    )
    told = (
        f'<c r="{address}" t="inlineStr"><is><r><t xml:space="preserve">{head} </t></r>'
        f"<r><rPr>{way}</rPr><t>{last}</t></r></is></c>"
    ).replace("\\", r"\\")
    return in_cell(sheet, address, rb"(?s)<c .*</c>", told.encode()), FOUND


def acting(draw):
    number = draw.generator.randrange(10**6)
    call = f"{draw.choice('', '_xlfn.')}{draw.choice(*REACHING)}({number})"
    kind = draw.choice(
        "application/vnd.ms-office.vbaProject",
        "application/vnd.ms-excel.macrosheet+xml",
        "application/vnd.ms-office.activeX+xml",
        KIND + "oleObject",
        KIND + "spreadsheetml.externalLink+xml",
        KIND + "spreadsheetml.connections+xml",
        f"application/x-{number}",
    )
    end = draw.choice("bin", "xml", "dat", "png")
    relation = OFFICE + draw.choice(
        "oleObject", "control", "externalLink", f"x{number}"
    )
    owner = draw.choice(BOOK_RELATIONS, "xl/worksheets/_rels/sheet2.xml.rels")
    content = b"<a/>" if end == "xml" else OLE
    part = added(f"xl/p{number}.{end}", content, kind, owner, relation)
    picture = OFFICE + "image"
    masked = added(f"xl/media/i{number}.png", OLE, "image/png", owner, picture)
    sheet = draw.sheet()
    return (
        draw.choice(
            part,
            masked,
            new_cell(call, sheet, 5000 + number % 900),
            new_cell(f"'[b{number}.xlsx]S'!A1", sheet, 5000),
            new_cell(f"OWN_{number}(A1)", sheet, 5000),
            added(f"xl/orphan{number}.bin", OLE),
            related(owner, picture, f"http://example.org/{number}.png", True),
            within(sheet, b"sheetData", b"<x%d/>" % number),
            shape("", (70, 0, 72, 3), f'xdr:sp macro="[0]!M{number}"'),
        ),
        FOUND,
    )


def settings(draw):
    number = draw.generator.randrange(10, 10**6)
    sheet = draw.sheet()
    calc, view = b"<calcPr", b"<sheetView "
    return (
        draw.choice(
            sub(BOOK, calc, b'<calcPr calcMode="manual" iterateCount="%d"' % number),
            sub(BOOK, calc, b'<calcPr fullPrecision="0" iterateCount="%d"' % number),
            sub(
                BOOK,
                b"<workbookPr",
                b'<workbookPr date1904="1" codeName="a%d"' % number,
            ),
            on(sheet, view, b'<sheetView showZeros="0" colorId="%d" ' % number),
            on(sheet, view, b'<sheetView showFormulas="1" colorId="%d" ' % number),
            on(sheet, view, b'<sheetView zoomScale="%d" ' % (number % 15 + 5)),
            on(sheet, rb"<sheetProtection[^>]*>", b""),
            on(sheet, b"<oddFooter>", b"<oddFooter>Audited %d " % number),
            sub(
                BOOK,
                b'<sheet name="%b"' % sheet.encode(),
                b'<sheet state="hidden" name="%b"' % sheet.encode(),
            ),
        ),
        FOUND,
    )


def encodings(draw):
    """A part in another encoding, or with other blanks, as libraries write them."""
    encoding = draw.choice("us-ascii", "utf-16", "iso-8859-1", "utf-8-sig")
    part = draw.generator.choice([n for n in draw.workbook.parts if n.endswith(".xml")])

    def change(parts):
        text = parts[part].decode()
        told = "UTF-8" if encoding == "utf-8-sig" else encoding
        text = re.sub(r'encoding="[^"]*"', f'encoding="{told}"', text, count=1)
        head, _, body = text.partition("?>")
        blanks = " " * draw.generator.randrange(1, 9)
        text = f"{head}?>\n<!--{blanks}-->{body}"
        parts[part] = text.encode(encoding, "xmlcharrefreplace")

    return change, ALLOWED


def allowed(draw):
    number = draw.generator.randrange(10, 10**6)
    sheet, address, _ = draw.cell()
    while b"<cols>" not in draw.workbook.parts[part_of(draw.workbook.parts, sheet)]:
        sheet, address, _ = draw.cell()
    yellow = f"<fill><patternFill><bgColor rgb='FFFF{number % 90 + 10}00'/>"
    return (
        draw.choice(
            on(
                sheet,
                b"<sheetView ",
                b'<sheetView zoomScale="%d" ' % (60 + number % 90),
            ),
            on(
                sheet, rb'topLeftCell="[^"]*"', b'topLeftCell="B%d"' % (number % 50 + 5)
            ),
            on(
                sheet,
                rb'(<col [^>]*?) width="[^"]*"',
                rb'\1 width="%d.5"' % (number % 60 + 9),
            ),
            on(sheet, rb"<pane [^>]*>", b"<!-- %d -->" % number),
            on(
                sheet,
                b"<pageSetup [^>]*>",
                b'<pageSetup scale="%d"/>' % (number % 300 + 50),
            ),
            styled_at(sheet, address, fill=ground(f'rgb="FFFFF{number % 900 + 100}"')),
            styled_at(sheet, address, font=font("<b/>", 8 + number % 20)),
            name(f"Results!$A${number}", f"Own_{number}"),
            new_cell(f"SUM(B5:B9)*{number}", sheet, 6000 + number % 900),
            new_cell(f"_xlfn.XLOOKUP({number},A1:A9,B1:B9)", sheet, 6000),
            related(
                "xl/worksheets/_rels/sheet2.xml.rels",
                OFFICE + "hyperlink",
                f"http://example.org/{number}",
                True,
            ),
            shape("", (60, number % 900, 64, number % 900 + 9), "xdr:pic"),
            always(yellow + "</patternFill></fill>", f"A{number % 30 + 5}:E40"),
            sub(BOOK, b"<workbookView", b'<workbookView tabRatio="%d"' % number),
            on(sheet, rb"<f>([^<\"]*)([+*])", rb"<f>\1 \2 " + b" " * (number % 9)),
            on(sheet, b"<sheetData>", b"<!-- %d --><sheetData>" % number),
            sub(STYLES, b"<styleSheet", b'<styleSheet a="%d"' % number),
            sub(
                TYPES,
                b"</Types>",
                b'<Default Extension="e%d" ContentType="image/png"/></Types>' % number,
            ),
        ),
        ALLOWED,
    )


def packages(draw):
    """Bytes, tags and parts at random: whatever is said, no harm is done."""
    way = draw.generator.choice([*SHEET, *PART, *WHOLE])

    def change(parts):
        xml = [n for n in parts if n.endswith((".xml", ".rels"))]
        sheets = [n for n in xml if n.startswith("xl/worksheets/sheet")]
        if way in WHOLE:
            WHOLE[way](parts, draw.generator)
            return
        table = SHEET if way in SHEET else PART
        part = draw.generator.choice(sheets if way in SHEET else xml)
        parts[part] = table[way](parts[part], draw.generator)

    return change, HARMLESS


KINDS = {
    "formulas": formulas,
    "values": values,
    "texts": texts,
    "names": names,
    "styles": styles,
    "sizes and merges": sizes,
    "validations and rules": rules,
    "charts and shapes": objects,
    "what charts keep": kept,
    "pieces of texts": pieces,
    "what can act": acting,
    "settings": settings,
    "encodings": encodings,
    "allowed changes": allowed,
    "packages": packages,
}
"""Kinds of alterations of a workbook."""


def csv_fault(generator, folder):
    """Read a table of random bytes or fields; what is wrong with the answer."""
    path = Path(folder) / "table.csv"
    fields = ["lot", "net", "2.5", "=1+1", '"', '""', "\0", "\u0663", "x" * 5000, ""]
    target = io.StringIO()
    for _ in range(generator.randrange(1, 30)):
        row = generator.choices(fields, k=generator.choice([1, 3, 9, 3000]))
        target.write(generator.choice(",;\t|").join(row) + generator.choice("\n\r"))
    content = target.getvalue().encode(generator.choice(["utf-8", "utf-16", "utf-7"]))
    if generator.random() < 0.3:
        content = generator.randbytes(generator.randrange(3000))
    path.write_bytes(content)
    try:
        rows = read_csv(path, "table")
    except CallError as error:
        return "" if str(error).endswith(".") else f"no sentence: {error}"
    return "" if isinstance(rows, list) else "no rows"


def alias_fault(generator, folder):
    """Name an input in another way, as output; what is wrong with the answer."""
    given = Path(folder) / f"book-{generator.randrange(10**9)}.xlsx"
    given.write_bytes(b"theirs")
    other = given.with_name(f"other-{given.name}")
    way = generator.choice(["same", "symbolic", "hard", "relative", "chain"])
    if way == "symbolic":
        other.symlink_to(given)
    elif way == "hard":
        os.link(given, other)
    elif way == "chain":
        middle = given.with_name(f"middle-{given.name}")
        middle.symlink_to(given)
        other.symlink_to(middle)
    else:
        other = given if way == "same" else given.parent / "." / given.name
    try:
        refuse_inputs([other], [given])
    except CallError:
        return ""
    return f"{way}: an input was taken for an output"


OTHERS = {"tables": csv_fault, "other names of an input": alias_fault}
"""Kinds that alter no workbook; each tells its fault."""
