"""The part of one sheet: its cells as stored in the file."""

import functools
import math
import re
from typing import NamedTuple

from xlsxwriter.utility import xl_cell_to_rowcol, xl_rowcol_to_cell

from ...errors import WorkbookError
from .sheet_appearance import SheetAppearance, is_on
from .text_part import RichText
from .xml_events import Handler

MOST_ROWS, MOST_COLUMNS = 1_048_576, 16_384
MOST_AREA = 20_000_000
"""Most cells of a sheet's declared area, or of a merged cell."""
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


class SheetPart(Handler):
    """Handler of a sheet's part.

    Attributes
    ----------
    cells : dict of (int, int) to StoredCell
    hidden : list of str
    pieces : dict of (int, int) to list
        Parts of texts with several fonts, as in `RichText`.
    appearance : SheetAppearance
        The elements outside the cells.
    """

    def __init__(self, where):
        self.where, self.cells, self.hidden, self.pieces = where, {}, [], {}
        self.appearance = SheetAppearance()
        self._row, self._column = -1, -1
        self._cell = None
        self._shared = {}

    def start(self, name, attributes):
        """An element begins."""
        if name == "c":
            self._start_cell(attributes)
        elif self._cell is not None:
            if name in ("v", "f"):
                self._keep = []
                if name == "f":
                    self._formula = attributes
            else:
                self._inline = self._inline or RichText()
                self._inline.start(name, attributes)
        else:
            self._start_other(name, attributes)

    def _start_other(self, name, attributes):
        if name == "row":
            self._start_row(attributes)
        elif name == "col" and is_on(attributes.get("hidden")):
            self._hide(f"columns {attributes.get('min')} to {attributes.get('max')}")
        elif name in ("dimension", "mergeCell"):
            self._area(attributes.get("ref", ""))
        # Newer rules have the same names in another namespace.
        self.appearance.start(name or self.raw.rpartition(" ")[2], attributes)

    def text(self, text):
        """Text between the tags."""
        if self._keep is not None:
            self._keep.append(text)
        elif self._cell is None:
            self.appearance.text(text)
        elif self._inline is not None:
            self._inline.text(text)

    def end(self, name):
        """An element ends."""
        if self._cell is None:
            self.appearance.end(name or self.raw.rpartition(" ")[2])
            return
        if name == "c":
            self._end_cell()
        elif self._keep is not None and name in ("v", "f"):
            if name in self._told:
                raise WorkbookError(
                    f"{self.where} holds a cell with two values or formulas: programs "
                    "may show either. Do not use it."
                )
            self._told[name] = self.kept()
        elif self._inline is not None:
            self._inline.end(name)

    def _start_row(self, attributes):
        given = attributes.get("r")
        self._row = _whole(given, self.where) - 1 if given else self._row + 1
        if not 0 <= self._row < MOST_ROWS:
            raise WorkbookError(f"{self.where} has a row {given!r}.")
        self._column = -1
        if is_on(attributes.get("hidden")):
            self._hide(f"row {self._row + 1}")

    def _start_cell(self, attributes):
        address = attributes.get("r")
        if address:
            self._place = place_of(address, self.where)
            self._row, self._column = self._place
        else:
            self._column += 1
            if self._column >= MOST_COLUMNS:
                raise WorkbookError(f"{self.where} has a cell that has no address.")
            self._place = (self._row, self._column)
        self._cell = attributes
        self._told = {}
        self._inline = self._formula = None

    def _end_cell(self):
        attributes, self._cell = self._cell, None
        kind, value = self._stored(attributes.get("t", "n"))
        formula = self._formula_text() if self._formula is not None else ""
        if not formula and (kind == "none" or value is None):
            return
        if self._place in self.cells:
            raise WorkbookError(f"{self.where} holds a cell twice.")
        style = attributes.get("s", "")
        style = int(style) if style.isdecimal() and len(style) < 7 else 0
        self.cells[self._place] = StoredCell(kind, value, formula, style)
        if attributes.get("t") == "inlineStr" and self._inline.pieces:
            self.pieces[self._place] = self._inline.pieces

    def _stored(self, kind):
        """Kind and value as stored; a malformed number counts as an error value."""
        text = self._told.get("v")
        if kind == "inlineStr":
            whole = self._inline and self._inline.whole
            return ("none", None) if whole is None else ("text", whole)
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

    def _formula_text(self):
        kind, written = self._formula.get("t"), self._told.get("f")
        if kind == "shared":
            number = self._formula.get("si", "")
            if written:
                self._shared[number] = (written, self._place)
            elif number in self._shared:
                first, place = self._shared[number]
                return _moved(first, place, self._place)
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

    def _hide(self, words):
        if len(self.hidden) < 1000:
            self.hidden.append(words)


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
