"""What does not belong in a book: what can act, leads outside, or is out of sight."""

import re

from ...model.inputs import INPUTS
from ...model.mill import MODEL
from ...model.units import CONSTANTS
from ..layout import SHEETS, defined_name
from ..line_sheets import cell_name
from ..package.book_part import ONE_SHEET
from ..package.text_part import plain
from ..risk_sheet.layout import SHEET as RISK
from ..risk_sheet.layout import is_filled
from .findings import Finding

PARTS = (
    # beginning or middle of a part's name, what it is, what to do
    ("xl/vbaproject", "macros", "Save it as .xlsx without macros."),
    ("xl/macrosheets/", "a sheet of old macros", "Delete it; do not let it run."),
    ("xl/dialogsheets/", "a dialog sheet", "Delete it."),
    ("xl/activex/", "a control that can act", "Delete the control."),
    ("xl/ctrlprops/", "a form control", "Delete it if it is not yours."),
    ("customui/", "buttons of its own", "Save it as .xlsx without macros."),
    ("xl/externallinks/", "a link to another workbook", "Break the link."),
    ("xl/connections.xml", "a data connection", "Delete the connection."),
    ("xl/querytables/", "a query to a data source", "Delete the query."),
    ("xl/model/", "a data model", "Delete it."),
    ("xl/pivotcache/", "a pivot table's copy of data", "Look at the pivot table."),
    ("xl/embeddings/", "an embedded file", "Delete it; do not open it."),
    ("xl/webextensions/", "a web add-in", "Delete it."),
    ("xl/taskpanes", "a web add-in", "Delete it."),
)
ACTING = re.compile(
    r"\[\d+\]|\[[^\]]*\.xl|\||\b(?:HYPERLINK|WEBSERVICE|RTD|CALL|REGISTER|EXEC|"
    r"DDE|IMPORTXML|IMPORTDATA)\s*\(",
    re.IGNORECASE,
)
"""Formulas that reach out of the book, or start something."""
OWN_RELATIONS = ("hyperlink",)


def foreign(contents, expected_names):
    """List what is foreign to a book.

    Parameters
    ----------
    contents : Contents
    expected_names : mapping of str to str
        Names that belong there, in small letters, and what they stand for.

    Yields
    ------
    finding : Finding
    """
    yield from _parts(contents)
    yield from _sheets(contents)
    yield from _names(contents, expected_names)
    for sheet, lines in contents.hidden_lines.items():
        # An empty risk sheet is issued with its rows hidden.
        if sheet in SHEETS and (sheet != RISK or is_filled(contents)):
            told = ", ".join(lines[:10])
            yield Finding(sheet, "", "hidden rows or columns", "", told, "Show them.")
    for (sheet, place), text in contents.notes.items():
        where = cell_name(sheet, *place).rpartition("!")[2]
        yield Finding(sheet, where, "note", "", text, "Read it.", grave=False)


def _parts(contents):
    seen = set()
    for name in contents.parts:
        for start, what, mend in PARTS:
            if name.lower().startswith(start) and what not in seen:
                seen.add(what)
                yield Finding("", "", "foreign part", "", f"{what} ({name})", mend)
    for owner, kind, target in contents.links:
        grave = kind not in OWN_RELATIONS
        told = f"{kind} to {target} (from {owner})"
        mend = "Do not follow it unless you know where it leads."
        yield Finding("", "", "link to the outside", "", told, mend, grave=grave)


def _sheets(contents):
    for sheet in SHEETS:
        if sheet not in contents.sheets:
            mend = "Start from an unspoilt copy, with new --from."
            yield Finding(sheet, "", "sheet missing", sheet, "", mend)
    for sheet, state in contents.states.items():
        if sheet not in SHEETS:
            mend = "Theirs; nothing of ours reads it."
            yield Finding(sheet, "", "sheet added", "", sheet, mend, grave=False)
        if state != "visible":
            yield Finding(sheet, "", "hidden sheet", "", state, "Show it and look.")
    for sheet, cells in contents.sheets.items():
        for place, cell in cells.items():
            if cell.formula and ACTING.search(cell.formula):
                where = cell_name(sheet, *place).rpartition("!")[2]
                yield Finding(
                    sheet,
                    where,
                    "formula that reaches outside",
                    "",
                    cell.formula,
                    "Delete it, unless you know what it does.",
                )


def _names(contents, expected):
    for name in expected.keys() - contents.names.keys():
        mend = "Start from an unspoilt copy, with new --from."
        yield Finding("", "", "name missing", _spelt(name), "", mend)
    for name, text in contents.names.items():
        spelt = contents.spelt[name]
        if name in expected or name.startswith(("_xlnm.", "_xlchart", "_xlfn")):
            if "auto_" in name:
                yield Finding(
                    "", "", "name that starts a macro", "", spelt, "Delete it."
                )
            continue
        if name.partition(ONE_SHEET)[0] in expected:
            yield Finding(
                "",
                "",
                "name defined again for one sheet",
                "",
                f"{spelt} stands for {text} on one sheet",
                "Delete the name that is valid on one sheet only.",
            )
            continue
        hidden = name in contents.hidden_names
        acting = ACTING.search(text) or hidden
        kind = "hidden name" if hidden else "name added"
        told = f"{spelt} stands for {text}"
        mend = "Delete it, unless you know what it is for."
        yield Finding("", "", kind, "", told, mend, grave=bool(acting))


def _spelt(name):
    known = {
        defined_name(own).lower(): own for own in (*INPUTS, *CONSTANTS, *MODEL.lines)
    }
    return defined_name(known[name]) if name in known else plain(name)
