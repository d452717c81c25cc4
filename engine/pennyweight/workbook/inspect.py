"""Is a book whole? Every cell against the one that belongs there."""

import functools
import io
import math
import warnings
import zipfile
from dataclasses import dataclass, field

from openpyxl import load_workbook

from ..errors import WorkbookError
from ..model.inputs import INPUTS
from .book import make_book
from .input_sheet import BASIS, CHANGED, ISSUED, STATUS
from .layout import SHEETS, layout
from .package import inspect_package
from .read import read_book
from .sameness import same_formula
from .write import book_bytes

SOUND, ALTERED, UNUSABLE = "sound", "altered", "unusable"

FOREIGN = {
    # part of a name in the package: (what it is, what to do)
    "externallinks": ("a link to another workbook", "break the link, paste values"),
    "vbaproject": ("macros", "save as .xlsx without them"),
    "connections": ("a data connection", "remove it"),
    "embeddings": ("an embedded file", "remove it"),
    "comments": ("notes on cells", "read them; nothing needs to be done"),
}


@dataclass(frozen=True)
class Finding:
    """One thing that is not as it was issued."""

    sheet: str
    cell: str
    kind: str
    expected: str
    found: str
    mend: str


@dataclass
class Inspection:
    """What was found in a book.

    Attributes
    ----------
    outcome : {"sound", "altered", "unusable"}
    findings : list of Finding
    reason : str
        Why it is unusable.
    reading : Reading or None
    """

    outcome: str
    findings: list = field(default_factory=list)
    reason: str = ""
    reading: object = None

    def as_json(self):
        """Give the inspection as plain values for programs."""
        return {
            "outcome": self.outcome,
            "reason": self.reason,
            "findings": [vars(finding) for finding in self.findings],
        }


def inspect_book(path):
    """Hold every cell of a book against the one that belongs there.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    inspection : Inspection
        Unusable books give a reason instead of raising.
    """
    try:
        reading = read_book(path)
        theirs = _cells(path)
    except WorkbookError as error:
        return Inspection(UNUSABLE, reason=str(error))
    issued = io.BytesIO(
        book_bytes(
            make_book(reading.inputs, reading.units, reading.statuses, reading.bases)
        )
    )
    ours = _cells(issued)
    findings = [*_sheets(theirs), *_foreign(path)]
    for sheet in SHEETS:
        if sheet in theirs:
            findings += _compare(sheet, ours[sheet], theirs[sheet])
    return Inspection(ALTERED if findings else SOUND, findings, reading=reading)


def _cells(source):
    """Formula or constant, and stored value, of every cell of every sheet."""
    found = {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for data_only in (False, True):
            if hasattr(source, "seek"):
                source.seek(0)
            try:
                book = load_workbook(source, read_only=True, data_only=data_only)
            except Exception as error:
                raise WorkbookError(
                    f"It cannot be read ({type(error).__name__})."
                ) from None
            for sheet in book:
                cells = found.setdefault(sheet.title, {})
                for row in sheet.iter_rows(max_row=2000, max_col=400):
                    for cell in row:
                        if cell.value is not None:
                            content = cells.setdefault(cell.coordinate, [None, None])
                            content[data_only] = cell.value
            book.close()
    return found


def _sheets(theirs):
    for sheet in SHEETS:
        if sheet not in theirs:
            yield Finding(sheet, "", "sheet missing", sheet, "", "use an unspoilt copy")
    for sheet in theirs:
        if sheet not in SHEETS:
            yield Finding(
                sheet, "", "sheet added", "", sheet, "theirs; it is not carried over"
            )


def _foreign(path):
    with zipfile.ZipFile(inspect_package(path)) as package:
        names = " ".join(package.namelist()).lower()
        book = package.read("xl/workbook.xml").decode("utf-8", "replace")
    for part, (what, mend) in FOREIGN.items():
        if part in names:
            yield Finding("", "", "foreign part", "", what, mend)
    if 'state="hidden"' in book or 'state="veryHidden"' in book:
        yield Finding("", "", "hidden sheet", "none", "hidden", "unhide it and look")


def _compare(sheet, ours, theirs):
    free = _free_cells(sheet)
    for cell, (content, value) in ours.items():
        if cell in free:
            continue
        given, stored = theirs.get(cell, (None, None))
        if isinstance(content, str) and content.startswith("="):
            finding = _formula(sheet, cell, content, value, given, stored)
            if finding:
                yield finding
        elif not _same(content, given):
            yield Finding(
                sheet,
                cell,
                "text or number changed",
                _shown(content),
                _shown(given),
                "put back what was there",
            )
    for cell in theirs.keys() - ours.keys() - free:
        yield Finding(
            sheet, cell, "cell added", "", _shown(theirs[cell][0]), "theirs; look at it"
        )


def _formula(sheet, cell, formula, value, given, stored):
    if not isinstance(given, str) or not given.startswith("="):
        mend = f"put back {formula}"
        return Finding(sheet, cell, "formula overwritten", formula, _shown(given), mend)
    if not same_formula(formula, given):
        return Finding(
            sheet, cell, "formula altered", formula, given, f"put back {formula}"
        )
    if (sheet, cell) in _moving() or _same(value, stored):
        return None
    mend = "recalculate and save it in a spreadsheet program"
    return Finding(sheet, cell, "stored value", _shown(value), _shown(stored), mend)


def _same(expected, found):
    if isinstance(expected, int | float) and isinstance(found, int | float):
        # Programs sum in their own order; money that cancels leaves such noise.
        return math.isclose(expected, found, rel_tol=1e-8, abs_tol=1e-4)
    return expected == found or (expected == "" and found is None)


@functools.cache
def _free_cells(sheet):
    """Cells that are the user's, or were true only when the book was issued."""
    places = [layout().places[name] for name in INPUTS]
    free = {place.cell() for place in places if place.sheet == sheet}
    if sheet == "Inputs":
        rows = {place.row + 1 for place in places if place.sheet == sheet}
        letters = ["ABCDEFGHIJKLMN"[column] for column in (BASIS, STATUS, ISSUED)]
        free |= {f"{letter}{row}" for letter in letters for row in rows}
    if sheet == "Answer":
        last = layout().rows["Answer"]
        free |= {f"{c}{r}" for c in "ABCD" for r in range(last + 1, last + 12)}
    return free


@functools.cache
def _moving():
    """Formulas whose value tells what changed since the book was issued."""
    letter = "ABCDEFGHIJKLMN"[CHANGED]
    inputs = {("Inputs", f"{letter}{row}") for row in range(1, 400)}
    last = layout().rows["Checks"]
    return inputs | {("Checks", f"B{row}") for row in range(last, last + 5)}


def _shown(value):
    return "" if value is None else f"{value:.10g}" if _number(value) else str(value)


def _number(value):
    return isinstance(value, int | float) and not isinstance(value, bool)
