"""What does not belong in a book: what can act, leads outside, or is out of sight."""

from ...model.inputs import INPUTS
from ...model.mill import MODEL
from ...model.units import CONSTANTS
from ..layout import SHEETS, defined_name
from ..package.book_part import ONE_SHEET
from ..package.sheet_part import address_of
from ..package.text_part import plain
from ..risk_sheet.layout import SHEET as RISK
from ..risk_sheet.layout import is_filled
from .acting import acting, reaching, starts_macro
from .findings import Finding

FUNCTIONS = "dwt_"
"""How the names of the functions for cells begin, in small letters."""


def foreign(contents, pristine):
    """List what is foreign to a book.

    Parameters
    ----------
    contents, pristine : Contents
        Of the workbook, and of the one written again from its inputs.

    Yields
    ------
    finding : Finding
    """
    yield from acting(contents, pristine)
    yield from _sheets(contents, pristine)
    yield from _names(contents, pristine.names)
    yield from _hidden_lines(contents, pristine)
    for (sheet, place), text in contents.notes.items():
        where = address_of(place)
        yield Finding(sheet, where, "note", "", text, "Read it.", grave=False)


def _hidden_lines(contents, pristine):
    for sheet, lines in contents.hidden_lines.items():
        # An empty risk sheet is issued with its rows hidden.
        if sheet in SHEETS and (sheet != RISK or is_filled(contents)):
            issued = () if sheet == RISK else pristine.hidden_lines.get(sheet, ())
            lines = [line for line in lines if line not in issued]
            if not lines:
                continue
            told = ", ".join(lines[:10])
            yield Finding(sheet, "", "hidden rows or columns", "", told, "Show them.")


def _sheets(contents, pristine):
    for sheet in SHEETS:
        if sheet not in contents.sheets:
            mend = "Start from an unspoilt copy, with new --from."
            yield Finding(sheet, "", "sheet missing", sheet, "", mend)
    for sheet, state in contents.states.items():
        if sheet not in SHEETS:
            mend = "Added by your partner; pennyweight ignores it."
            yield Finding(sheet, "", "sheet added", "", sheet, mend, grave=False)
        if state not in ("visible", pristine.states.get(sheet)):
            yield Finding(sheet, "", "hidden sheet", "", state, "Show it and look.")


def _names(contents, expected):
    for name in expected.keys() - contents.names.keys():
        mend = "Start from an unspoilt copy, with new --from."
        yield Finding("", "", "name missing", _spelt(name), "", mend)
    names = {name.partition(ONE_SHEET)[0] for name in contents.names}
    functions = 0
    for name, text in contents.names.items():
        spelt = contents.spelt[name]
        if starts_macro(contents, name):
            yield Finding("", "", "name that starts a macro", "", spelt, "Delete it.")
            continue
        if name in expected or name.startswith(("_xlnm.", "_xlchart", "_xlfn")):
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
        grave = hidden or reaching(text, names)
        if not grave and name.startswith(FUNCTIONS):
            functions += 1
            continue
        kind = "hidden name" if hidden else "name added"
        told = f"{spelt} stands for {text}"
        mend = "Delete it, unless you know what it is for."
        yield Finding("", "", kind, "", told, mend, grave=bool(grave))
    if functions:
        told = f"{functions} functions whose names begin with {FUNCTIONS.upper()}"
        mend = "Functions without Python; nothing of ours reads them."
        yield Finding("", "", "name added", "", told, mend, grave=False)


def _spelt(name):
    known = {
        defined_name(own).lower(): own for own in (*INPUTS, *CONSTANTS, *MODEL.lines)
    }
    return defined_name(known[name]) if name in known else plain(name)
