"""Foreign content of a workbook: active, linked, added or hidden."""

from ...errors import plain
from ...model.inputs import INPUTS
from ...model.mill_model import MODEL
from ...model.units import CONSTANTS
from ..job_view import hidden_rows
from ..layout import SHEETS, defined_name
from ..package.book_part import ONE_SHEET
from ..package.sheet_part import address_of
from ..risk_sheet.layout import SHEET as RISK
from ..risk_sheet.layout import is_filled
from .active_content import acting, reaching, starts_macro
from .findings import Finding

FUNCTIONS = "dwt_"
"""Prefix of the names of worksheet functions, in lower case."""


def foreign_content(contents, pristine, job, moved=()):
    """List the foreign content of a workbook.

    Parameters
    ----------
    contents, pristine : Contents
        Of the workbook, and of the one written anew from its inputs.
    job : str
        What the workbook was written for.
    moved : collection of str, optional
        Sheets with moved rows; hidden rows are found there by their labels.

    Yields
    ------
    finding : Finding
    """
    yield from acting(contents, pristine)
    yield from _sheets(contents, pristine)
    yield from _names(contents, pristine.names)
    yield from _hidden_lines(contents, pristine, job, moved)
    for (sheet, place), text in contents.notes.items():
        where = address_of(place)
        yield Finding(sheet, where, "note", "", text, grave=False)


def _hidden_lines(contents, pristine, job, moved):
    filled = [f"row {row + 1}" for row in hidden_rows(job)[RISK]]
    for sheet, lines in contents.hidden_lines.items():
        # An empty risk sheet is issued with its rows hidden.
        if sheet in SHEETS and (sheet != RISK or is_filled(contents)):
            issued = filled if sheet == RISK else pristine.hidden_lines.get(sheet, ())
            if sheet in moved:
                issued = {_label(pristine, sheet, line) for line in issued}
                lines = [n for n in lines if _label(contents, sheet, n) not in issued]
            else:
                lines = [line for line in lines if line not in issued]
            if not lines:
                continue
            description = ", ".join(lines[:10])
            yield Finding(sheet, "", "hidden rows or columns", "", description)


def _label(contents, sheet, line):
    """The first text of a row; columns are their own label."""
    what, _, number = line.partition(" ")
    if what != "row":
        return line
    row = int(number) - 1
    cells = ((c, cell) for (r, c), cell in contents.sheets[sheet].items() if r == row)
    texts = [cell.value for _, cell in sorted(cells) if isinstance(cell.value, str)]
    return next(filter(None, texts), "")


def _sheets(contents, pristine):
    for sheet in SHEETS:
        if sheet not in contents.sheets:
            yield Finding(sheet, "", "sheet missing", sheet)
    for sheet, state in contents.states.items():
        if sheet not in SHEETS:
            yield Finding(sheet, "", "sheet added", "", sheet, grave=False)
        if state not in ("visible", pristine.states.get(sheet)):
            yield Finding(sheet, "", "hidden sheet", "", state)


def _names(contents, expected):
    for name in expected.keys() - contents.names.keys():
        yield Finding("", "", "name missing", _spelt(name))
    names = {name.partition(ONE_SHEET)[0] for name in contents.names}
    functions = 0
    for name, text in contents.names.items():
        spelling = contents.spelt[name]
        if starts_macro(contents, name):
            yield Finding("", "", "name that starts a macro", "", spelling)
            continue
        if name in expected or name.startswith(("_xlnm.", "_xlchart", "_xlfn")):
            continue
        if name.partition(ONE_SHEET)[0] in expected:
            description = f"{spelling} stands for {text} on one sheet"
            yield Finding("", "", "name defined again for one sheet", "", description)
            continue
        hidden = name in contents.hidden_names
        grave = hidden or reaching(text, names)
        if not grave and name.startswith(FUNCTIONS):
            functions += 1
            continue
        kind = "hidden name" if hidden else "name added"
        description = f"{spelling} stands for {text}"
        yield Finding("", "", kind, "", description, grave=bool(grave))
    if functions:
        description = f"{functions} functions with names beginning {FUNCTIONS.upper()}"
        fix = "Functions without Python; pennyweight's formulas do not read them."
        yield Finding("", "", "name added", "", description, fix, grave=False)


def _spelt(name):
    known = {
        defined_name(own).lower(): own for own in (*INPUTS, *CONSTANTS, *MODEL.lines)
    }
    return defined_name(known[name]) if name in known else plain(name)
