"""What does not belong in a book: what can act, leads outside, or is out of sight."""

from ...model.inputs import INPUTS
from ...model.mill_model import MODEL
from ...model.units import CONSTANTS
from ..job_view import hidden_rows
from ..layout import SHEETS, defined_name
from ..package.book_part import ONE_SHEET
from ..package.sheet_part import address_of
from ..package.text_part import plain
from ..risk_sheet.layout import SHEET as RISK
from ..risk_sheet.layout import is_filled
from .active_content import acting, reaching, starts_macro
from .findings import Finding

FUNCTIONS = "dwt_"
"""How the names of the functions for cells begin, in small letters."""


def foreign(contents, pristine, job, moved=()):
    """List what is foreign to a book.

    Parameters
    ----------
    contents, pristine : Contents
        Of the workbook, and of the one written again from its inputs.
    job : str
        What the workbook was written for.
    moved : collection of str, optional
        Sheets whose rows stand elsewhere; they are known by their labels.

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
            told = ", ".join(lines[:10])
            yield Finding(sheet, "", "hidden rows or columns", "", told)


def _label(contents, sheet, line):
    """The first text of a row, wherever it stands; the words of columns themselves."""
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
        spelt = contents.spelt[name]
        if starts_macro(contents, name):
            yield Finding("", "", "name that starts a macro", "", spelt)
            continue
        if name in expected or name.startswith(("_xlnm.", "_xlchart", "_xlfn")):
            continue
        if name.partition(ONE_SHEET)[0] in expected:
            told = f"{spelt} stands for {text} on one sheet"
            yield Finding("", "", "name defined again for one sheet", "", told)
            continue
        hidden = name in contents.hidden_names
        grave = hidden or reaching(text, names)
        if not grave and name.startswith(FUNCTIONS):
            functions += 1
            continue
        kind = "hidden name" if hidden else "name added"
        told = f"{spelt} stands for {text}"
        yield Finding("", "", kind, "", told, grave=bool(grave))
    if functions:
        told = f"{functions} functions whose names begin with {FUNCTIONS.upper()}"
        mend = "Functions without Python; nothing of ours reads them."
        yield Finding("", "", "name added", "", told, mend, grave=False)


def _spelt(name):
    known = {
        defined_name(own).lower(): own for own in (*INPUTS, *CONSTANTS, *MODEL.lines)
    }
    return defined_name(known[name]) if name in known else plain(name)
