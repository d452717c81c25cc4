"""Functions that alter a part of a workbook in one way."""

import re
from html import escape

from pennyweight.workbook.layout import layout

BOOK, STYLES, TYPES = "xl/workbook.xml", "xl/styles.xml", "[Content_Types].xml"
TEXTS, THEME = "xl/sharedStrings.xml", "xl/theme/theme1.xml"
BOOK_RELATIONS, ROOT = "xl/_rels/workbook.xml.rels", "_rels/.rels"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"
MICROSOFT = "http://schemas.microsoft.com/office/2006/relationships/"
KIND = "application/vnd.openxmlformats-officedocument."
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 500


def part_of(parts, sheet):
    """The part of a sheet."""
    names = re.findall(rb'<sheet name="([^"]+)"', parts[BOOK])
    return f"xl/worksheets/sheet{1 + names.index(sheet.encode())}.xml"


def sub(name, pattern, new, count=1):
    """Replace a pattern in a part; it must be there."""

    def change(parts):
        parts[name], number = re.subn(pattern, new, parts[name], count=count)
        assert number, pattern

    return change


def on(sheet, pattern, new, count=1):
    """Replace a pattern in the part of a sheet."""
    return lambda parts: sub(part_of(parts, sheet), pattern, new, count)(parts)


def both(*changes):
    """Several changes as one trick."""

    def change(parts):
        for one in changes:
            one(parts)

    return change


def within(sheet, tag, new):
    """Put something at the end of an element of a sheet."""
    return on(sheet, b"</%b>" % tag, b"%b</%b>" % (new, tag))


def behind(sheet, tag, new):
    """Put something behind an element of a sheet."""
    return on(sheet, b"</%b>" % tag, b"</%b>%b" % (tag, new))


def related(name, kind, target, outside=False, number=900):
    """Add a relation."""
    mode = ' TargetMode="External"' if outside else ""
    new = f'<Relationship Id="rId{number}" Type="{kind}" Target="{target}"{mode}/>'

    def change(parts):
        if name not in parts:
            parts[name] = (
                b'<Relationships xmlns="http://schemas.openxmlformats.org/package/'
                b'2006/relationships"></Relationships>'
            )
        end = b"</Relationships>"
        parts[name] = parts[name].replace(end, new.encode() + end)

    return change


def added(name, content, kind="", owner="", relation="", target=""):
    """Add a part, with its kind and the relation that leads to it."""

    def change(parts):
        parts[name] = content
        if kind:
            new = f'<Override PartName="/{name}" ContentType="{kind}"/></Types>'
            parts[TYPES] = parts[TYPES].replace(b"</Types>", new.encode())
        if owner:
            related(owner, relation, target or "/" + name)(parts)

    return change


def place_of(name):
    """Sheet and cell of a line of the model."""
    place = layout().places[name]
    return place.sheet, place.cell()


def at(name, pattern, new):
    """Change the cell of a line of the model."""
    sheet, cell = place_of(name)
    whole = rb'(<c r="%b"[^>]*>)(.*?)(</c>)' % cell.encode()

    def change(parts):
        part = part_of(parts, sheet)
        found = re.search(whole, parts[part], re.DOTALL)
        changed, number = re.subn(pattern, new, found[0], count=1, flags=re.DOTALL)
        assert number, (found[0], pattern)
        parts[part] = parts[part].replace(found[0], changed)

    return change


def new_cell(formula, sheet="Results", row=900):
    """A cell of the partner's with a formula."""
    told = escape(formula, quote=False)
    cell = f'<row r="{row}"><c r="A{row}"><f>{told}</f><v>1</v></c></row>'
    return within(sheet, b"sheetData", cell.encode())


def name(text, called="Mine", more=""):
    """A name of the partner's."""
    told = escape(text, quote=False)
    new = f'<definedName name="{called}"{more}>{told}</definedName></definedNames>'
    return sub(BOOK, b"</definedNames>", new.encode())


def styled(line="net_present_value", **style):
    """Give the cell of a line a style of its own."""
    return styled_at(*place_of(line), **style)


def styled_at(sheet, cell, number="", font="", fill="", protection=""):
    """Give a cell a style of its own."""

    def change(parts):
        styles = parts[STYLES]
        part = part_of(parts, sheet)
        found = re.search(rb'<c r="%b"[^>]* s="(\d+)"' % cell.encode(), parts[part])
        cells = styles[styles.index(b"<cellXfs") : styles.index(b"</cellXfs>")]
        xfs = re.findall(rb"<xf .*?(?:/>|</xf>)(?=<xf|$)", cells)
        old = re.match(rb"<xf [^>]*?/?>", xfs[int(found[1])])[0].rstrip(b"/>")
        if number:
            new = f'<numFmt numFmtId="900" formatCode="{escape(number)}"/></numFmts>'
            styles = styles.replace(b"</numFmts>", new.encode())
            old = re.sub(rb'numFmtId="\d+"', b'numFmtId="900"', old)
        for tag, made in ((b"font", font), (b"fill", fill)):
            if made:
                many = int(re.search(rb'<%bs count="(\d+)"' % tag, styles)[1])
                end = b"</%bs>" % tag
                styles = styles.replace(end, made.encode() + end)
                old = re.sub(tag + rb'Id="\d+"', b'%bId="%d"' % (tag, many), old)
        new = old + f">{protection}</xf></cellXfs>".encode()
        parts[STYLES] = styles.replace(b"</cellXfs>", new)
        start = found[0][: found.start(1) - found.start()]
        parts[part] = parts[part].replace(found[0], b'%b%d"' % (start, len(xfs)))

    return change


def font(color="", size=11):
    """A font."""
    return f'<font><sz val="{size}"/>{color}<name val="Calibri"/></font>'


def ground(color):
    """A fill."""
    fill = f'<patternFill patternType="solid"><fgColor {color}/></patternFill>'
    return f"<fill>{fill}</fill>"


def shape(inner, corners=(0, 4, 3, 12), frame='xdr:sp macro=""', sheet="Answer"):
    """Something that lies over cells of a sheet."""
    left, top, right, bottom = corners
    tag = frame.split(" ")[0]
    anchor = (
        f"<xdr:twoCellAnchor><xdr:from><xdr:col>{left}</xdr:col><xdr:colOff>0"
        f"</xdr:colOff><xdr:row>{top}</xdr:row><xdr:rowOff>0</xdr:rowOff></xdr:from>"
        f"<xdr:to><xdr:col>{right}</xdr:col><xdr:colOff>0</xdr:colOff><xdr:row>"
        f"{bottom}</xdr:row><xdr:rowOff>0</xdr:rowOff></xdr:to><{frame}>{inner}"
        f"</{tag}><xdr:clientData/></xdr:twoCellAnchor></xdr:wsDr>"
    )

    def change(parts):
        part = drawing_of(parts, sheet)
        parts[part] = parts[part].replace(b"</xdr:wsDr>", anchor.encode())

    return change


def drawing_of(parts, sheet):
    """The part with the charts of a sheet."""
    relations = part_of(parts, sheet).replace("sheets/", "sheets/_rels/") + ".rels"
    number = re.search(rb"drawing(\d+)\.xml", parts[relations])[1].decode()
    return f"xl/drawings/drawing{number}.xml"


def chart_of(parts, sheet):
    """The first chart of a sheet."""
    relations = drawing_of(parts, sheet).replace("drawings/", "drawings/_rels/")
    number = re.search(rb"chart(\d+)\.xml", parts[relations + ".rels"])[1].decode()
    return f"xl/charts/chart{number}.xml"


def in_chart(pattern, new, sheet="Answer", count=1):
    """Replace a pattern in the first chart of a sheet."""
    return lambda parts: sub(chart_of(parts, sheet), pattern, new, count)(parts)


def in_pieces(told, font, inline=False):
    """Give the last word of a text a font of its own."""
    head, _, last = told.rpartition(" ")
    own = f"<rPr>{font}</rPr>"
    new = f'<r><t xml:space="preserve">{head} </t></r><r>{own}<t>{last}</t></r>'

    def change(parts):
        whole = escape(told, quote=False).encode()
        texts = re.findall(rb"<si><t[^>]*>(.*?)</t></si>", parts[TEXTS], re.DOTALL)
        number = texts.index(whole)
        if not inline:
            sub(TEXTS, b"<si><t[^>]*>" + re.escape(whole) + b"</t>", b"<si>" + new)(
                parts
            )
            return
        cell = rb'(<c r="[A-Z0-9]+"[^>]*) t="s"><v>%d</v>' % number
        inner = rb'\1 t="inlineStr"><is>' + new + b"</is>"
        for part in [n for n in parts if n.startswith("xl/worksheets/sheet")]:
            parts[part] = re.sub(cell, inner, parts[part])

    new = new.encode()
    return change


def commented(inner):
    """A comment on the cell A7 of the second sheet."""
    relations = "xl/worksheets/_rels/sheet2.xml.rels"
    comments = (
        '<comments xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
        f'<commentList><comment ref="A7"><text>{inner}</text></comment>'
        "</commentList></comments>"
    )
    kind = KIND + "spreadsheetml.comments+xml"
    box = b'<xml><x:ClientData ObjectType="Note"><x:Row>6</x:Row></x:ClientData></xml>'
    drawing = "xl/drawings/vmlDrawing1.vml"
    return both(
        added(
            "xl/comments1.xml", comments.encode(), kind, relations, OFFICE + "comments"
        ),
        added(drawing, box, KIND + "vmlDrawing"),
        related(relations, OFFICE + "vmlDrawing", "/" + drawing, number=901),
    )


def rule(ref, inner, style=""):
    """A conditional format of somebody's own on the sheet Results."""
    number = ""

    def change(parts):
        nonlocal number
        if style:
            many = int(re.search(rb'<dxfs count="(\d+)"', parts[STYLES])[1])
            number = f' dxfId="{many}"'
            new = f"<dxf>{style}</dxf></dxfs>"
            parts[STYLES] = parts[STYLES].replace(b"</dxfs>", new.encode())
        told = inner.replace("{dxf}", number)
        new = f'<conditionalFormatting sqref="{ref}">{told}</conditionalFormatting>'
        pattern = b"<conditionalFormatting"
        on("Results", pattern, new.encode() + pattern)(parts)

    return change


def always(style, ref="A6:E12"):
    """A conditional format of somebody's own that always holds."""
    return rule(
        ref,
        '<cfRule type="expression" priority="99"{dxf}><formula>TRUE</formula></cfRule>',
        style,
    )
