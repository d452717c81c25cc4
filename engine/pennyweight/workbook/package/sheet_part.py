"""The part of one sheet: its cells as stored in the file."""

import functools
import math
import re
from typing import NamedTuple

from xlsxwriter.utility import xl_cell_to_rowcol, xl_rowcol_to_cell

from ...errors import WorkbookError
from .sheet_appearance import SheetAppearance, is_on
from .text_part import readable, rich_text
from .xml_tree import LocalNames, drop_namespaces, elements

MOST_ROWS, MOST_COLUMNS = 1_048_576, 16_384
MOST_AREA = 20_000_000
"""Most cells of a sheet's declared area, or of a merged cell."""
MOST_HIDDEN = 1000
LONGEST_ADDRESS = len("$XFD$1048576")
ADDRESS = re.compile(r"\$?([A-Za-z]{1,3})\$?([1-9][0-9]{0,6})")
LONGEST_FORMULA = 8_192
"""Characters that a spreadsheet program allows in a formula."""


class StoredCell(NamedTuple):
    """One cell that is not empty.

    Attributes
    ----------
    kind : {"n", "text", "b", "e", "none"}
        A number, a text, a truth value, an error value, or a formula without a
        stored value. While a sheet is being read, also ``s``, a shared text.
    value : float, str, bool or None
    formula : str
        With its equals sign; empty if there is none.
    style : int
    """

    kind: str
    value: object
    formula: str = ""
    style: int = 0


def cell_of(value):
    """A cell with a text or a number."""
    return StoredCell("text" if isinstance(value, str) else "n", value)


def address_of(place):
    """Address such as ``B7`` of a row and column, from 0."""
    return xl_rowcol_to_cell(*place)


def place_of(address, where="the file"):
    """Row and column, from 0, of an address such as ``B7``.

    Examples
    --------
    >>> place_of("B7")
    (6, 1)
    """
    found = _read_address(address) if len(address) <= LONGEST_ADDRESS else None
    if found is None:
        raise WorkbookError(
            f"{where} has a cell at {address[:20]!r}, which is not an address."
        )
    return found


@functools.lru_cache(maxsize=100_000)
def _read_address(address):
    found = ADDRESS.fullmatch(address)
    if found is None:
        return None
    row, column = int(found[2]) - 1, _column(found[1].upper())
    return (row, column) if row < MOST_ROWS and column < MOST_COLUMNS else None


@functools.cache
def _column(letters):
    return xl_cell_to_rowcol(f"{letters}1")[1]


class SheetPart:
    """A sheet's part.

    Attributes
    ----------
    cells : dict of (int, int) to StoredCell
    hidden : list of str
    pieces : dict of (int, int) to list
        Parts of texts with several fonts, as of `rich_text`.
    appearance : SheetAppearance
        The elements outside the cells.
    elements : set of str
        Names of all elements without their namespaces.
    """

    def __init__(self, content, where):
        self.where, self.cells, self.hidden, self.pieces = where, {}, [], {}
        self.appearance, names = SheetAppearance(), LocalNames()
        self._row, self._shared = -1, {}
        for element in elements(content, where, "row", names):
            if element.tag == "row":
                self._read_row(element)
            else:
                self._read_others(element)
        self.elements = names.bare()

    def _read_others(self, root):
        columns = [
            f"columns {element.get('min')} to {element.get('max')}"
            for element in root.iter("col")
            if is_on(element.get("hidden"))
        ]
        self.hidden = [*columns, *self.hidden][:MOST_HIDDEN]
        for name in ("dimension", "mergeCell"):
            for element in root.iter(name):
                self._area(element.get("ref", ""))
        drop_namespaces(root)
        self.appearance.read(root)

    def _read_row(self, row):
        given = row.get("r")
        self._row = _whole(given, self.where) - 1 if given else self._row + 1
        if not 0 <= self._row < MOST_ROWS:
            raise WorkbookError(f"{self.where} has a row {given!r}.")
        if is_on(row.get("hidden")) and len(self.hidden) < MOST_HIDDEN:
            self.hidden.append(f"row {self._row + 1}")
        self.appearance.read_row(self._row, row.attrib)
        place = self._row, -1
        for cell in row.iter("c"):
            address = cell.get("r")
            place = place_of(address, self.where) if address else self._next_to(place)
            self._read_cell(cell, place)
        self._row = place[0]

    def _next_to(self, place):
        row, column = place
        if column + 1 >= MOST_COLUMNS:
            raise WorkbookError(f"{self.where} has a cell that has no address.")
        return row, column + 1

    def _read_cell(self, cell, place):
        told, kind, pieces = self._told(cell), cell.get("t", "n"), ()
        if kind == "inlineStr":
            value, pieces = rich_text(cell)
            kind = "none" if value is None else "text"
        else:
            text = (told["v"].text or "") if "v" in told else None
            kind, value = self._stored(kind, text)
        formula = self._formula(told["f"], place) if "f" in told else ""
        if not formula and kind == "none":
            return
        if place in self.cells:
            raise WorkbookError(f"{self.where} holds a cell twice.")
        if kind == "text" and not formula:
            value = readable(value)
        style = cell.get("s", "")
        style = int(style) if style.isdecimal() and len(style) < 7 else 0
        self.cells[place] = StoredCell(kind, value, formula, style)
        if pieces:
            self.pieces[place] = pieces

    def _told(self, cell):
        """The elements of a cell's value and of its formula."""
        told = {}
        for part in cell.iter():
            name = part.tag
            if name in ("v", "f"):
                if name in told or len(part):
                    raise WorkbookError(
                        f"{self.where} holds a cell with two values or formulas: "
                        "programs may show either. Do not use it."
                    )
                told[name] = part
        return told

    def _stored(self, kind, text):
        """Kind and value as stored; a malformed number counts as an error value."""
        if kind == "str":
            return ("none", None) if text is None else ("text", text)
        if text is None or text.strip() == "":
            return "none", None
        if kind == "s":
            return "s", _whole(text, self.where)
        if kind == "b":
            return "b", text.strip() in ("1", "true")
        if kind in ("e", "d"):
            return ("e" if kind == "e" else "text"), text
        try:
            number = float(text)
        except ValueError:
            return "e", text[:40]
        # Text such as 1e999 or nan is not a number that a cell can hold.
        return ("n", number) if math.isfinite(number) else ("e", text[:40])

    def _formula(self, element, place):
        kind, written = element.get("t"), element.text
        if kind == "shared":
            number = element.get("si", "")
            if written:
                self._shared[number] = (written, place)
            elif number in self._shared:
                return _moved(*self._shared[number], place)
        if kind == "dataTable":
            return "=TABLE()"
        return "=" + (written or "").strip()

    def _area(self, ref):
        """Refuse a declared area that is too large."""
        first, _, last = ref.partition(":")
        try:
            top, left = place_of(first, self.where)
            bottom, right = place_of(last or first, self.where)
        except WorkbookError:
            return
        if (abs(bottom - top) + 1) * (abs(right - left) + 1) > MOST_AREA:
            raise WorkbookError(
                f"{self.where} claims the cells {ref}: delete the empty rows and "
                "columns at its end, and save it again."
            )


def _moved(formula, start, here):
    """A shared formula translated to another cell; unchanged if it is malformed."""
    if len(formula) > LONGEST_FORMULA:
        return "=" + formula
    from openpyxl.formula.tokenizer import TokenizerError
    from openpyxl.formula.translate import Translator

    try:
        translator = Translator("=" + formula, xl_rowcol_to_cell(*start))
        return translator.translate_formula(xl_rowcol_to_cell(*here))
    except (TokenizerError, IndexError, ValueError):
        return "=" + formula


def _whole(text, where):
    text = text.strip()
    if not text.isascii() or not text.isdecimal() or len(text) > 9:
        raise WorkbookError(f"{where} is damaged: {text[:20]!r} is not a whole number.")
    return int(text)
