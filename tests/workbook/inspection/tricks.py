"""Tricks by which a workbook may deceive or harm a reader: one row each.

Each row alters the parts of one written workbook. `TRICKS` has the outcome and the kind
of finding of each; `ALLOWED` are changes without a grave finding.
"""

import re
from dataclasses import dataclass

from ...fuzz.altering import (
    BOOK,
    BOOK_RELATIONS,
    KIND,
    MICROSOFT,
    OFFICE,
    OLE,
    ROOT,
    STYLES,
    TEXTS,
    THEME,
    TYPES,
    added,
    always,
    at,
    behind,
    both,
    commented,
    drawing_of,
    font,
    ground,
    in_chart,
    in_pieces,
    name,
    new_cell,
    on,
    part_of,
    related,
    rule,
    shape,
    styled,
    sub,
    within,
)

ELSE, UNUSABLE = "something else changed", "cannot be used"


@dataclass(frozen=True)
class Trick:
    """One alteration and what is said of it."""

    change: object
    kind: str = ""
    outcome: str = ELSE


WHITE, BOLD = '<color rgb="FFFFFFFF"/>', "<b/>"
VALUE = "Net present value"
NET = "net_present_value"
ACTS, PART = "formula that reaches outside", "foreign part"
CALLS = (
    'WEBSERVICE("http://example.org")',
    '_xlfn.IMAGE("http://example.org/a.png")',
    '_xlfn.STOCKHISTORY("ABC",1)',
    'IMPORTRANGE("x","A1")',
    'SQL.REQUEST("dsn",,2,"select 1")',
    'CUBEVALUE("c","m")',
    'RTD("prog",,"t")',
    'HYPERLINK("http://example.org")',
    'CALL("kernel32","WinExec","JCJ","calc",0)',
    'REGISTER.ID("a","b")',
    "cmd|'/c calc'!A0",
    "[1]Sheet1!A1",
    "'C:\\\\x\\\\[b.xlsx]S'!A1",
    "'file:///tmp/b.ods'#$S.A1",
)

CELLS = {
    "a formula typed over": Trick(
        at(NET, rb"<f>.*?</f><v>[^<]*</v>", b"<v>9999999</v>"), "formula overwritten"
    ),
    "a formula gone, its value kept": Trick(
        at(NET, rb"<f>.*?</f>", b""), "formula overwritten"
    ),
    "a formula with a factor": Trick(
        at(NET, rb"</f>", b"*1.01</f>"), "formula altered"
    ),
    "a formula around it": Trick(
        at(NET, rb"<f>(.*?)</f>", rb"<f>MAX(0,\1)</f>"), "formula altered"
    ),
    "a stored value": Trick(
        at(NET, rb"<v>[^<]*</v>", b"<v>9999999</v>"), "stored value"
    ),
    "a stored error": Trick(
        at(NET, rb">(<f>.*?</f>)<v>[^<]*", rb' t="e">\1<v>#REF!'), "stored value"
    ),
    "a stored text": Trick(
        at(NET, rb">(<f>.*?</f>)<v>[^<]*", rb' t="str">\1<v>9,999,999'), "stored value"
    ),
    "a label": Trick(
        sub(TEXTS, rb"<t>Net present value</t>", b"<t>Net pleasant value</t>"),
        "text changed",
    ),
    "an array over a cell": Trick(
        at(NET, rb"<f>(.*?)</f>", rb'<f t="array" ref="A1:A9">\1+1</f>'),
        "formula altered",
    ),
    "a number beside ours": Trick(
        within("Answer", b"sheetData", b'<row r="90"><c r="B90"><v>7</v></c></row>'),
        "cell added",
        "as issued",
    ),
}
NAMES = {
    "a name that stands for another cell": Trick(
        sub(BOOK, rb'(name="Gold_price">[^<]*\$)\d+', rb"\g<1>7"), "name moved"
    ),
    "a name that is a number": Trick(
        sub(BOOK, rb'(name="Gold_price">)[^<]*', rb"\g<1>9999"), "name moved"
    ),
    "a name gone": Trick(
        sub(BOOK, rb'<definedName name="Gold_price">[^<]*</definedName>', b""),
        "name missing",
    ),
    "a name of one sheet that shadows ours": Trick(
        name("9999", "Gold_price", ' localSheetId="3"'),
        "name defined again for one sheet",
    ),
    "a hidden name": Trick(name("5", "Rate", ' hidden="1"'), "hidden name"),
    "a name that runs on opening": Trick(
        name("Sheet!$A$1", "Auto_Open"), "name that starts a macro"
    ),
    "a built-in name that runs": Trick(
        name("x", "_xlnm.Auto_Close"), "name that starts a macro"
    ),
    "a name that is a macro": Trick(
        name("x", "Go", ' vbProcedure="1"'), "name that starts a macro"
    ),
    "a name of an old macro": Trick(
        name("x", "Go", ' function="1" xlm="1"'), "name that starts a macro"
    ),
    "a name that fetches": Trick(name('WEBSERVICE("http://x")'), "name added"),
    "a name of a program": Trick(name("cmd|'/c calc'!A0"), "name added"),
    "a name of another workbook": Trick(name("[2]Prices!$A$1"), "name added"),
}
FORMULAS = {
    **{f"{call}, in a cell": Trick(new_cell(call), ACTS) for call in CALLS},
    "a function of an add-in": Trick(new_cell("STEAL(A1)"), "unknown function"),
    "a fetching formula in a validation": Trick(
        on("Inputs", rb"<formula1>[^<]*", b"<formula1>WEBSERVICE(A1)"), ACTS
    ),
    "a fetching formula in a conditional format": Trick(
        on("Start", rb"<formula>[^<]*", b"<formula>WEBSERVICE(A1)=1"), ACTS
    ),
    "a small chart of another workbook": Trick(
        within(
            "Results",
            b"worksheet",
            b'<extLst><ext xmlns:x14="http://schemas.microsoft.com/office/'
            b'spreadsheetml/2009/9/main" uri="{05C60535-1F16-4fd2-B633-F4F36F0B64E0}">'
            b'<x14:sparklineGroups xmlns:xm="http://schemas.microsoft.com/office/excel/'
            b'2006/main"><x14:sparklineGroup><x14:sparklines><x14:sparkline><xm:f>'
            b"[1]S!A1:A9</xm:f><xm:sqref>Z1</xm:sqref></x14:sparkline></x14:sparklines>"
            b"</x14:sparklineGroup></x14:sparklineGroups></ext></extLst>",
        ),
        ACTS,
    ),
    "a chart of another workbook": Trick(
        in_chart(rb"<c:f>[^<]*", b"<c:f>[1]S!$A$1:$A$9"), ACTS
    ),
}
VBA = "application/vnd.ms-office.vbaProject"
PARTS = {
    "macros": Trick(
        added("xl/vbaProject.bin", OLE, VBA, BOOK_RELATIONS, MICROSOFT + "vbaProject"),
        PART,
    ),
    "macros under another name": Trick(
        added("xl/notes.bin", OLE, VBA, BOOK_RELATIONS, MICROSOFT + "vbaProject"), PART
    ),
    "macros called a printer setting": Trick(
        added(
            "xl/printerSettings/printerSettings1.bin",
            OLE,
            KIND + "spreadsheetml.printerSettings",
            "xl/worksheets/_rels/sheet2.xml.rels",
            OFFICE + "printerSettings",
        ),
        PART,
    ),
    "macros called a picture": Trick(
        added(
            "xl/media/image1.png",
            OLE,
            "image/png",
            "xl/drawings/_rels/drawing1.xml.rels",
            OFFICE + "image",
        ),
        PART,
    ),
    "a program called a picture": Trick(
        added(
            "xl/media/image1.png",
            b"MZ" + b"\0" * 99,
            "image/png",
            "xl/drawings/_rels/drawing1.xml.rels",
            OFFICE + "image",
        ),
        PART,
    ),
    "a workbook that says it has macros": Trick(
        sub(
            TYPES,
            rb"application/vnd\.openxmlformats-officedocument\.spreadsheetml\.sheet\.main",
            b"application/vnd.ms-excel.sheet.macroEnabled.main",
        ),
        PART,
    ),
    "an old macro sheet": Trick(
        added(
            "xl/pages/page1.xml",
            b"<a/>",
            "application/vnd.ms-excel.macrosheet+xml",
            BOOK_RELATIONS,
            MICROSOFT + "xlMacrosheet",
        ),
        PART,
    ),
    "a dialog sheet": Trick(
        added(
            "xl/pages/page1.xml",
            b"<a/>",
            KIND + "spreadsheetml.dialogsheet+xml",
            BOOK_RELATIONS,
            OFFICE + "dialogsheet",
        ),
        PART,
    ),
    "a link to another workbook": Trick(
        added(
            "xl/others/other1.xml",
            b"<a/>",
            KIND + "spreadsheetml.externalLink+xml",
            BOOK_RELATIONS,
            OFFICE + "externalLink",
        ),
        PART,
    ),
    "a data connection": Trick(
        added(
            "xl/x.xml",
            b"<a/>",
            KIND + "spreadsheetml.connections+xml",
            BOOK_RELATIONS,
            OFFICE + "connections",
        ),
        PART,
    ),
    "a query": Trick(
        added(
            "xl/x.xml",
            b"<a/>",
            KIND + "spreadsheetml.queryTable+xml",
            "xl/worksheets/_rels/sheet2.xml.rels",
            OFFICE + "queryTable",
        ),
        PART,
    ),
    "live data": Trick(
        added(
            "xl/x.xml",
            b"<a/>",
            KIND + "spreadsheetml.volatileDependencies+xml",
            BOOK_RELATIONS,
            OFFICE + "volatileDependencies",
        ),
        PART,
    ),
    "an embedded file": Trick(
        added(
            "xl/x.bin",
            OLE,
            KIND + "oleObject",
            "xl/worksheets/_rels/sheet2.xml.rels",
            OFFICE + "oleObject",
        ),
        PART,
    ),
    "an embedded workbook": Trick(
        added(
            "xl/x.xlsx",
            b"PK\x03\x04",
            KIND + "spreadsheetml.sheet",
            "xl/worksheets/_rels/sheet2.xml.rels",
            OFFICE + "package",
        ),
        PART,
    ),
    "a control": Trick(
        added(
            "xl/x.xml",
            b"<a/>",
            "application/vnd.ms-office.activeX+xml",
            "xl/worksheets/_rels/sheet2.xml.rels",
            OFFICE + "control",
        ),
        PART,
    ),
    "buttons of its own": Trick(
        added(
            "x/x.xml",
            b"<a/>",
            "application/xml",
            ROOT,
            "http://schemas.microsoft.com/office/2007/relationships/ui/extensibility",
        ),
        PART,
    ),
    "a web add-in": Trick(
        added(
            "xl/x.xml",
            b"<a/>",
            "application/vnd.ms-office.webextension+xml",
            ROOT,
            "http://schemas.microsoft.com/office/2011/relationships/webextension",
        ),
        PART,
    ),
    "a data model": Trick(
        added(
            "xl/x.data",
            b"\0" * 9,
            KIND + "model+data",
            BOOK_RELATIONS,
            "http://schemas.microsoft.com/office/2007/relationships/powerPivotData",
        ),
        PART,
    ),
    "data types that fetch": Trick(
        added(
            "xl/x.xml",
            b"<a/>",
            "application/vnd.ms-excel.rdrichvalue+xml",
            BOOK_RELATIONS,
            "http://schemas.microsoft.com/office/2017/06/relationships/rdRichValue",
        ),
        PART,
    ),
    "a kind that nobody knows": Trick(
        added("xl/x.xml", b"<a/>", "application/x-new", BOOK_RELATIONS, OFFICE + "new"),
        PART,
    ),
    "a file that nothing leads to": Trick(added("xl/x.bin", OLE), PART),
    "a picture from outside": Trick(
        related(
            "xl/drawings/_rels/drawing1.xml.rels",
            OFFICE + "image",
            "http://example.org/a.png",
            True,
        ),
        "link to the outside",
    ),
    "a template from outside": Trick(
        related(BOOK_RELATIONS, OFFICE + "attachedTemplate", "http://x/a.xltm", True),
        "link to the outside",
    ),
    "embedded objects in a sheet": Trick(
        behind("Results", b"sheetData", b"<oleObjects><oleObject/></oleObjects>"), PART
    ),
    "controls in a sheet": Trick(
        behind("Results", b"sheetData", b"<controls><control/></controls>"), PART
    ),
    "references to other workbooks": Trick(
        sub(BOOK, b"<calcPr", b"<externalReferences/><calcPr"), PART
    ),
    "a shape that starts a macro": Trick(
        shape("", (40, 0, 42, 3), 'xdr:sp macro="[0]!Go"'), "shape that starts a macro"
    ),
    "a comment that starts a macro": Trick(
        added(
            "xl/drawings/vmlDrawing1.vml",
            b'<xml><x:ClientData ObjectType="Button"><x:FmlaMacro>Go</x:FmlaMacro>'
            b"</x:ClientData></xml>",
            KIND + "vmlDrawing",
            "xl/worksheets/_rels/sheet2.xml.rels",
            OFFICE + "vmlDrawing",
        ),
        "shape that starts a macro",
    ),
}
SETTINGS = {
    "manual calculation": Trick(
        sub(BOOK, b"<calcPr", b'<calcPr calcMode="manual"'), "manual calculation"
    ),
    "no calculation of tables": Trick(
        sub(BOOK, b"<calcPr", b'<calcPr calcMode="autoNoTable"'), "manual calculation"
    ),
    "precision as displayed": Trick(
        sub(BOOK, b"<calcPr", b'<calcPr fullPrecision="0"'), "precision as displayed"
    ),
    "iteration": Trick(
        sub(BOOK, b"<calcPr", b'<calcPr iterate="1"'), "iteration", "as issued"
    ),
    "dates from 1904": Trick(
        sub(BOOK, b"<workbookPr", b'<workbookPr date1904="1"'), "dates from 1904"
    ),
    "no tabs": Trick(
        sub(BOOK, b"<workbookView", b'<workbookView showSheetTabs="0"'), "window hidden"
    ),
    "a hidden window": Trick(
        sub(BOOK, b"<workbookView", b'<workbookView visibility="veryHidden"'),
        "window hidden",
    ),
    "a hidden sheet": Trick(
        sub(BOOK, b'<sheet name="Plant"', b'<sheet state="hidden" name="Plant"'),
        "hidden sheet",
    ),
    "a very hidden sheet": Trick(
        sub(BOOK, b'<sheet name="Plant"', b'<sheet state="veryHidden" name="Plant"'),
        "hidden sheet",
    ),
    "a sheet gone": Trick(
        sub(BOOK, rb'<sheet name="Capital"[^>]*>', b""), "sheet missing"
    ),
    "protection taken off": Trick(
        on("Results", rb"<sheetProtection[^>]*>", b""), "protection removed"
    ),
    "zeros hidden": Trick(
        on("Results", b"<sheetView ", b'<sheetView showZeros="0" '), "zeros hidden"
    ),
    "formulas shown": Trick(
        on("Results", b"<sheetView ", b'<sheetView showFormulas="1" '), "formulas shown"
    ),
    "a view of 10%": Trick(
        on("Results", b"<sheetView ", b'<sheetView zoomScale="10" '),
        "text too small to read",
    ),
    "another footer": Trick(
        on("Answer", b"not a mineral reserve", b"a mineral reserve"),
        "header or footer changed",
    ),
    "a header of their own": Trick(
        on("Answer", b"<oddFooter>", b"<oddHeader>Audited</oddHeader><oddFooter>"),
        "header or footer changed",
    ),
}
NUMBER, SEEN = "number format changed", "text in the colour of its background"
SIGHT = {
    "a format that shows nothing": Trick(styled(number=";;;"), NUMBER),
    "a format that is a number": Trick(styled(number='"9,999,999"'), NUMBER),
    "a format in thousands": Trick(styled(number="#,##0,"), NUMBER),
    "a format without the sign": Trick(styled(number="#,##0;#,##0"), NUMBER),
    "a format in per cent": Trick(styled(number="0%"), NUMBER),
    "a format in white": Trick(styled(number="[White]#,##0"), NUMBER),
    "a format by a condition": Trick(styled(number='[<1]"9999";0'), NUMBER),
    "white on white": Trick(styled(font=font(WHITE)), SEEN),
    "nearly white on white": Trick(styled(font=font('<color rgb="FFFAFAFA"/>')), SEEN),
    "yellow on white": Trick(styled(font=font('<color rgb="FFFFFF00"/>')), SEEN),
    "white by the theme": Trick(styled(font=font('<color theme="0"/>')), SEEN),
    "white by number": Trick(styled(font=font('<color indexed="9"/>')), SEEN),
    "black on black": Trick(
        styled(font=font('<color rgb="FF000000"/>'), fill=ground('rgb="FF000000"')),
        SEEN,
    ),
    "a theme whose text is white": Trick(
        both(
            styled(font=font('<color theme="1"/>')),
            sub(
                THEME,
                rb"<a:dk1>.*?</a:dk1>",
                b'<a:dk1><a:srgbClr val="FFFFFF"/></a:dk1>',
            ),
        ),
        SEEN,
    ),
    "letters of one point": Trick(
        styled(font=font('<color rgb="FF000000"/>', 1)), "text too small to read"
    ),
    "white letters within a text": Trick(in_pieces(VALUE, WHITE), SEEN),
    "white letters by the theme": Trick(
        in_pieces(VALUE, '<color theme="0"/>', True), SEEN
    ),
    "letters of one point within a text": Trick(
        in_pieces(VALUE, '<sz val="1"/>'), "text too small to read"
    ),
    "signs within a text": Trick(
        in_pieces(VALUE, '<rFont val="Wingdings"/>'), "font of signs"
    ),
    "white letters in a comment": Trick(
        commented(f"<r><rPr>{WHITE}</rPr><t>not audited</t></r>"), SEEN
    ),
    "a cell unlocked": Trick(
        styled(protection='<protection locked="0"/>'), "cell unlocked"
    ),
    "a formula out of sight": Trick(
        styled(protection='<protection hidden="1"/>'), "formula out of sight"
    ),
    "nearly white by a tint": Trick(
        styled(font=font('<color theme="1" tint="0.98"/>')), SEEN
    ),
    "white of the window": Trick(styled(font=font('<color indexed="65"/>')), SEEN),
    "black on a black gradient": Trick(
        styled(
            font=font('<color rgb="FF000000"/>'),
            fill='<fill><gradientFill><stop position="0"><color rgb="FF000000"/>'
            "</stop></gradientFill></fill>",
        ),
        SEEN,
    ),
    "a figure repeated": Trick(
        styled(protection='<alignment horizontal="fill"/>'), "figure placed otherwise"
    ),
    "a figure out of its cell": Trick(
        styled(protection='<alignment indent="200"/>'), "figure placed otherwise"
    ),
    "digits as signs": Trick(
        styled(font=font().replace("Calibri", "Wingdings")), "font of signs"
    ),
    "a row without height": Trick(
        on(
            "Results",
            rb'(<row r="8" spans="[^"]*" ht=)"[^"]*"',
            rb'\1"0"',
        ),
        "row too low",
    ),
    "all rows without height": Trick(
        on("Results", b"<sheetFormatPr", b'<sheetFormatPr zeroHeight="1"'),
        "row too low",
    ),
    "a hidden row": Trick(
        on("Results", b'<row r="8"', b'<row hidden="1" r="8"'), "hidden rows or columns"
    ),
    "a column without width": Trick(
        on("Results", rb'(<col min="2"[^>]*?) width="[^"]*"', rb'\1 width="0"'),
        "column too narrow",
    ),
    "a hidden column": Trick(
        on("Results", rb'<col min="2"', rb'<col hidden="1" min="2"'),
        "hidden rows or columns",
    ),
    "cells merged over figures": Trick(
        within("Answer", b"mergeCells", b'<mergeCell ref="A14:F22"/>'), "cells merged"
    ),
}
OVER, KEPT = "object over figures", "figures kept by a chart"
OBJECTS = {
    "a text box over figures": Trick(
        shape(
            "<xdr:txBody><a:p><a:r><a:t>NPV 9,999,999</a:t></a:r></a:p></xdr:txBody>"
        ),
        OVER,
    ),
    "a picture over figures": Trick(shape("", frame="xdr:pic"), OVER),
    "a line over figures": Trick(shape("", frame="xdr:cxnSp"), OVER),
    "a chart over figures": Trick(shape("", frame="xdr:graphicFrame"), OVER),
    "a shape in a chart": Trick(
        added(
            "xl/drawings/drawing90.xml",
            b"<a/>",
            KIND + "drawingml.chartshapes+xml",
            "xl/charts/_rels/chart1.xml.rels",
            OFFICE + "chartUserShapes",
        ),
        OVER,
    ),
    "a chart of other cells": Trick(
        in_chart(rb"(<c:f>[^<]*?)\d+(?=<)", rb"\g<1>7"), "chart of other cells"
    ),
    "a chart gone": Trick(
        lambda parts: sub(
            drawing_of(parts, "Answer"),
            rb"(?s)<xdr:twoCellAnchor>.*?</xdr:twoCellAnchor>",
            b"",
        )(parts),
        "chart missing",
    ),
    "a text added to a chart": Trick(
        in_chart(rb"</c:title>", b"<a:t>Audited</a:t></c:title>"),
        "text of a chart changed",
    ),
    "an axis of a chart turned round": Trick(
        in_chart(rb"minMax", b"maxMin"), "look of a chart changed"
    ),
    "an axis of a chart cut off": Trick(
        in_chart(rb"(<c:orientation[^>]*>)", rb'\1<c:min val="250000"/>'),
        "look of a chart changed",
    ),
    "an axis of a chart taken away": Trick(
        in_chart(rb"(</c:scaling>)", rb'\1<c:delete val="1"/>'),
        "look of a chart changed",
    ),
    "a figure that a chart keeps": Trick(
        in_chart(rb'(?s)(<c:yVal>.*?idx="3"><c:v>)[^<]*', rb"\g<1>9999999"), KEPT
    ),
    "a figure that a chart keeps no longer": Trick(
        in_chart(rb'(?s)(<c:yVal>.*?)<c:pt idx="3">.*?</c:pt>', rb"\1"), KEPT
    ),
    "a figure that a chart keeps twice": Trick(
        in_chart(rb'<c:pt idx="3">', rb'<c:pt idx="3"><c:v>9</c:v></c:pt>\g<0>'), KEPT
    ),
    "a figure that a chart keeps too many": Trick(
        in_chart(rb"</c:numCache>", b'<c:pt idx="99"><c:v>9</c:v></c:pt>\\g<0>'), KEPT
    ),
    "a label that a chart keeps": Trick(
        in_chart(rb"(?s)(<c:strCache>.*?<c:v>)[^<]*", rb"\1Free", "Cost per ton"), KEPT
    ),
    "figures in a chart instead of cells": Trick(
        in_chart(
            rb"(?s)<c:numRef>.*?<c:numCache>(.*?)</c:numCache></c:numRef>",
            rb"<c:numLit>\1</c:numLit>",
        ),
        "chart of other cells",
    ),
    "the name of a curve": Trick(
        in_chart(rb"<c:tx><c:v>[^<]*", b"<c:tx><c:v>Audited"), "text of a chart changed"
    ),
    "white letters in a chart": Trick(
        in_chart(rb"2B3A42", b"FFFFFF"), "look of a chart changed"
    ),
    "numbers of an axis in thousands": Trick(
        in_chart(rb'formatCode="#,##0"', b'formatCode="#,##0,"'),
        "look of a chart changed",
    ),
    "a title of a chart": Trick(
        in_chart(rb"<a:t>[^<]*", b"<a:t>Proven by audit"), "text of a chart changed"
    ),
    "a title of a chart gone": Trick(
        in_chart(rb"(?s)<c:title>.*?</c:title>", b""), "chart title missing"
    ),
    "a title of a chart that a program writes as None": Trick(
        in_chart(rb"<a:t>[^<]*", b"<a:t>None"), "chart title missing"
    ),
    "a title of an axis gone": Trick(
        in_chart(rb"(?s)(<c:valAx>.*?)<c:title>.*?</c:title>", rb"\1"),
        "axis title missing",
    ),
}
GONE, CHANGED = "validation removed", "validation changed"
DECIMAL = rb'(<dataValidation type="decimal"[^>]*>)'
RULES = {
    "validations gone": Trick(
        on("Start", rb"(?s)<dataValidations.*</dataValidations>", b""), GONE
    ),
    "one validation gone": Trick(
        on("Start", rb"(?s)<dataValidation .*?</dataValidation>", b""), GONE
    ),
    "a validation widened": Trick(
        on(
            "Start",
            DECIMAL + rb"(<formula1>[^<]*</formula1>)<formula2>[^<]*",
            rb"\1\2<formula2>1000000000000",
        ),
        CHANGED,
    ),
    "a validation turned round": Trick(
        on("Start", rb'type="decimal"', rb'type="decimal" operator="notBetween"'),
        CHANGED,
    ),
    "a list with another choice": Trick(
        on("Start", rb"<formula1>\"", b'<formula1>"free,'), CHANGED
    ),
    "a validation that only warns": Trick(
        on("Start", rb'type="decimal"', rb'type="decimal" errorStyle="warning"'),
        CHANGED,
    ),
    "a validation that says nothing": Trick(
        on("Start", rb'(type="decimal"[^>]*) showErrorMessage="1"', rb"\1"), CHANGED
    ),
    "another text of a validation": Trick(
        on(
            "Start", rb'(type="decimal"[^>]*) prompt="[^"]*"', rb'\1 prompt="In cents."'
        ),
        "validation text changed",
    ),
    "a message over a figure": Trick(
        behind(
            "Results",
            b"sheetData",
            b'<dataValidations><dataValidation showInputMessage="1" sqref="A5:F9" '
            b'prompt="9,999,999"/></dataValidations>',
        ),
        "validation text changed",
    ),
    "a message over every figure": Trick(
        behind(
            "Results",
            b"sheetData",
            b'<dataValidations><dataValidation sqref="A1:XFD1048576" '
            b'prompt="9,999,999"/></dataValidations>',
        ),
        "validation text changed",
    ),
    "our warnings gone": Trick(
        on("Start", rb"(?s)<conditionalFormatting.*</conditionalFormatting>", b""),
        "conditional format changed",
    ),
    "a warning for another word": Trick(
        on("Start", b'"missing"', b'"never"'), "conditional format changed"
    ),
    "a warning in another colour": Trick(
        sub(STYLES, rb"(<dxfs.*?)FFB3372B", rb"\1FF2E7D4F"),
        "conditional format changed",
    ),
    "a rule that writes white": Trick(
        always(f"<font>{WHITE}</font>"), "conditional format that hides"
    ),
    "a rule that writes as the ground": Trick(
        always(
            '<font><color rgb="FF000000"/></font><fill><patternFill><bgColor '
            'rgb="FF000000"/></patternFill></fill>'
        ),
        "conditional format that hides",
    ),
    "a rule with a number format": Trick(
        always('<numFmt numFmtId="901" formatCode="&quot;9,999&quot;"/>'),
        "conditional format that hides",
    ),
    "a rule that blackens": Trick(
        always("<fill><patternFill><bgColor rgb='FF000000'/></patternFill></fill>"),
        "conditional format that hides",
    ),
    "a bar instead of the number": Trick(
        rule(
            "A6:E12",
            '<cfRule type="dataBar" priority="99"><dataBar showValue="0"><cfvo '
            'type="min"/><cfvo type="max"/><color rgb="FF000000"/></dataBar></cfRule>',
        ),
        "conditional format that hides",
    ),
}


def _twice(parts):
    part = part_of(parts, "Results")
    cell = re.search(rb"<c [^>]*>.*?</c>", parts[part])[0]
    parts[part] = parts[part].replace(cell, cell * 2, 1)


def _gone(parts):
    parts.pop(part_of(parts, "Results"))


PACKAGE = {
    "a cell twice": Trick(_twice, "holds a cell twice", UNUSABLE),
    "a value twice": Trick(
        at(NET, rb"<v>[^<]*</v>", rb"\g<0><v>9999999</v>"), "two values", UNUSABLE
    ),
    "a value in another namespace": Trick(
        at(
            NET,
            rb"<v>([^<]*)</v>",
            rb'<x:v xmlns:x="http://schemas.openxmlformats.org/x">\1</x:v>'
            rb"<v>9999999</v>",
        ),
        "stored value",
    ),
    "cells for some programs only": Trick(
        on(
            "Results",
            b"<sheetData>",
            b'<mc:AlternateContent xmlns:mc="http://schemas.openxmlformats.org/markup-'
            b'compatibility/2006"><mc:Choice Requires="x"/></mc:AlternateContent>'
            b"<sheetData>",
        ),
        PART,
    ),
    "a part gone": Trick(_gone, "is missing", UNUSABLE),
    "two sheets of a name": Trick(
        sub(BOOK, b'<sheet name="Plant"', b'<sheet name="Capital"'),
        "two sheets",
        UNUSABLE,
    ),
    "another main part": Trick(
        sub(ROOT, b"xl/workbook.xml", b"xl/other.xml"), "main part", UNUSABLE
    ),
    "two relations of a name": Trick(
        sub(BOOK_RELATIONS, b'Id="rId2"', b'Id="rId1"'), "two relations", UNUSABLE
    ),
    "two styles": Trick(
        related(BOOK_RELATIONS, OFFICE + "styles", "styles.xml"), "two parts", UNUSABLE
    ),
    "a name twice": Trick(name("1", "Gold_price"), "twice", UNUSABLE),
    "a text that is not there": Trick(
        on("Results", rb't="s"><v>\d+', b't="s"><v>99999'), "is missing", UNUSABLE
    ),
    "a chart of thousands of series": Trick(
        in_chart(b"</c:plotArea>", b"<c:numCache/>" * 1000 + b"</c:plotArea>"),
        "more than 1,000 series",
        UNUSABLE,
    ),
    "XML cut off": Trick(
        lambda parts: parts.update({BOOK: parts[BOOK][:-30]}), "damaged", UNUSABLE
    ),
}
TRICKS = {
    "cells": CELLS,
    "names": NAMES,
    "formulas": FORMULAS,
    "parts": PARTS,
    "settings": SETTINGS,
    "sight": SIGHT,
    "objects": OBJECTS,
    "rules": RULES,
    "package": PACKAGE,
}


def _reordered(parts):
    sheets = re.findall(rb"<sheet name=[^>]*>", parts[BOOK])
    for one, other in ((sheets[1], sheets[4]), (sheets[8], sheets[3])):
        mark = b"<sheet name='?'/>"
        parts[BOOK] = parts[BOOK].replace(one, mark).replace(other, one)
        parts[BOOK] = parts[BOOK].replace(mark, other)
    # Names of one sheet count the sheets.
    parts[BOOK] = re.sub(
        rb'<definedName name="_xlnm[^>]*>[^<]*</definedName>', b"", parts[BOOK]
    )


ALLOWED = {
    "a comment": commented("<t>why?</t>"),
    "a comment with fonts, as Excel writes it": commented(
        '<r><rPr><b/><sz val="9"/><color indexed="81"/><rFont val="Tahoma"/></rPr>'
        "<t>Owner:</t></r><r><rPr><sz val='9'/></rPr><t>why?</t></r>"
    ),
    "a word in red": in_pieces("Net present value", f'<color rgb="FFFF0000"/>{BOLD}'),
    "a bold word of an inline text": in_pieces("Net present value", BOLD, True),
    "charts that keep no figures, as Gnumeric saves": in_chart(
        rb"(?s)<c:(num|str)Cache>.*?</c:\1Cache>", b"", count=0
    ),
    "the name of a curve as a formula, as LibreOffice saves": in_chart(
        rb"<c:tx><c:v>(.*?)</c:v></c:tx>",
        rb'<c:tx><c:strRef><c:f>"\1"</c:f><c:strCache><c:ptCount val="1"/><c:pt '
        rb'idx="0"><c:v>\1</c:v></c:pt></c:strCache></c:strRef></c:tx>',
    ),
    "figures that a chart keeps with fewer digits": in_chart(
        rb"(<c:v>-?\d+\.\d{8})\d+", rb"\1", count=0
    ),
    "the window moved": both(
        on("Inputs", rb'topLeftCell="[^"]*"', b'topLeftCell="D90"'),
        sub(BOOK, b"<workbookView", b'<workbookView activeTab="5" firstSheet="2"'),
    ),
    "a larger view": on("Inputs", b"<sheetView ", b'<sheetView zoomScale="140" '),
    "panes let go": on("Inputs", rb"<pane [^>]*>", b""),
    "other sheets first": _reordered,
    "blanks and dollars in formulas": on("Plant", rb"<f>([^<\"]*)\*", rb"<f> \1 * ", 0),
    "no blank at the end of a calculated text, as LibreOffice saves": on(
        "Answer", rb"none\. +</v>", b"none.</v>"
    ),
    "wider columns": on(
        "Results", rb'(<col min="2"[^>]*?) width="[^"]*"', rb'\1 width="40"'
    ),
    "a higher row": on(
        "Results",
        rb'(<row r="7" spans="[^"]*" ht=)"[^"]*"',
        rb'\1"60"',
    ),
    "a name of their own": name("Results!$A$1"),
    "a cell of their own": new_cell("SUM(B5:B9)*2"),
    "a sheet with brackets in its name": new_cell("'Mill (old)'!A1"),
    "XML that nothing leads to": added("customXml/item1.xml", b"<a/>"),
    "Google's own record": added(
        "xl/metadata",
        b"\x08\x01",
        "application/binary",
        BOOK_RELATIONS,
        "http://customooxmlschemas.google.com/relationships/workbookmetadata",
    ),
    "newer functions of their own": new_cell("_xlfn._xlws.FILTER(A1:A3,A1:A3>0)"),
    "a link to a web page": related(
        "xl/worksheets/_rels/sheet2.xml.rels", OFFICE + "hyperlink", "http://x", True
    ),
    "a picture beside the cells": shape("", (60, 0, 64, 9), "xdr:pic"),
    "a chart of their own beside the cells": both(
        shape("", (60, 0, 64, 9), "xdr:graphicFrame"),
        added(
            "xl/charts/chart90.xml",
            b'<c:chartSpace xmlns:c="http://schemas.openxmlformats.org/drawingml/2006/'
            b'chart"><c:f>Mine!$A$1:$A$9</c:f></c:chartSpace>',
            KIND + "drawingml.chart+xml",
            "xl/drawings/_rels/drawing1.xml.rels",
            OFFICE + "chart",
        ),
    ),
    "a text box below the cells": shape("", (0, 900, 4, 909)),
    "a yellow mark": styled(fill=ground('rgb="FFFFFF00"')),
    "bold figures": styled(font=font("<b/>", 12)),
    "a rule that marks": always(
        "<fill><patternFill><bgColor rgb='FFFFFF00'/></patternFill></fill>"
    ),
    "another tab colour": on("Start", b"tabColor rgb", b'tabColor theme="4" rgb'),
    "another print scale": on("Results", rb'scale="\d+"', b'scale="60"'),
    "colours of formats in capitals": sub(STYLES, rb"\[Red\]", b"[RED]", 0),
    "properties of their own": added(
        "docProps/custom.xml",
        b"<a/>",
        KIND + "custom-properties+xml",
        ROOT,
        OFFICE + "custom-properties",
    ),
    "a printer's settings": added(
        "xl/printerSettings/printerSettings1.bin",
        b"\0P\0r\0i\0n\0t",
        KIND + "spreadsheetml.printerSettings",
        "xl/worksheets/_rels/sheet2.xml.rels",
        OFFICE + "printerSettings",
    ),
}
"""Changes that a partner, or a program that saves the workbook, may make."""
