"""Writing values into cells of an existing workbook file.

Only the bytes of these cells and the cached values of charts change. Formulas, styles,
every other cell and every other part (macros, pictures, a partner's sheets) stay the
same, byte for byte.
"""

import io
import math
import posixpath
import re
import zipfile
from collections import defaultdict
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from xml.parsers import expat
from xml.sax.saxutils import escape

from xlsxwriter.utility import xl_rowcol_to_cell

from ...errors import WorkbookError, plain
from ..files import refuse_changed, refuse_if_open, stamp_of, write_whole
from .chart_cache import with_fresh_points
from .contents import contents_of
from .sheet_part import place_of
from .validation import as_utf8, opened
from .xml_tree import SPACES

LONGEST = 32_767
"""Most characters in a cell."""
CHART = "drawingml.chart+xml"
SIGNED = "_xmlsignatures/"
HIDDEN = re.compile(rb"""\s+hidden\s*=\s*("[^"]*"|'[^']*')""")
DRAWING = re.compile(r'Target="([^"]*/drawing\d*\.xml)"')
ANCHOR = re.compile(rb"<(?:\w+:)?from>.*?</(?:\w+:)?to>", re.DOTALL)
ROW = re.compile(rb"<(?:\w+:)?row>(\d+)</")
_UNFIT = dict.fromkeys((*range(9), 11, 12, *range(14, 32), 0xFFFE, 0xFFFF))


def patch_values(path, out, values, stamp=None, show_rows=None):
    """Write values into cells of a workbook file; change nothing else.

    A formula stays: the value becomes its stored value.

    Parameters
    ----------
    path : str or Path
    out : str or Path
        May be ``path`` itself.
    values : mapping of (str, str) to float, bool, str or None
        By the sheet's name and the cell's address. None empties a cell.
    stamp : Stamp, optional
        State of the file for which the values were calculated; the present one when
        left out.
    show_rows : mapping of str to (sequence of (int, int), set of int), optional
        Sheets whose hidden rows are shown, with the first and last row of each chart,
        and the rows that stay hidden.

    Returns
    -------
    path : Path

    Raises
    ------
    WorkbookError
        When the file is not a workbook, is signed, is open or was saved elsewhere,
        has no such sheet, or cannot be written. Nothing is changed then.
    """
    stamp = stamp or stamp_of(path)
    path, out = Path(path), Path(out)
    refuse_if_open(path)
    wanted = {}
    for (sheet, address), value in values.items():
        place = place_of(address, f"The call to write {sheet}!{address}")
        wanted.setdefault(sheet, {})[place] = value
    with opened(path) as package:
        content = _patched(package, path, wanted, show_rows or {})
    return write_whole(out, content, True, lambda: refuse_changed(path, stamp))


def refuse_signed(package, path):
    """Raise for a signed workbook."""
    if any(name.startswith(SIGNED) for name in package.namelist()):
        raise WorkbookError(
            f"{path} is signed, and writing into it would break the signature: "
            "save it without its signature first."
        )


def _patched(package, path, wanted, show_rows):
    refuse_signed(package, path)
    target, before = io.BytesIO(), contents_of(package, path)
    for sheet in wanted.keys() - before.sheet_parts.keys():
        raise WorkbookError(f"{path} has no sheet {sheet!r}.")
    changes = _changes(package, before, wanted, show_rows)
    with zipfile.ZipFile(target, "w") as copy:
        copy.comment = package.comment
        for item in package.infolist():
            content = package.read(item)
            for change in changes.get(item.filename.lower(), ()):
                content = change(content)
            copy.writestr(item, content)
    with zipfile.ZipFile(target) as copy:
        _read_back(before, contents_of(copy, path), wanted)
    return target.getvalue()


def _changes(package, before, wanted, show_rows):
    """Functions that change the bytes of each part, by its name in lower case."""
    parts, changes = before.sheet_parts, defaultdict(list)

    def value_at(sheet, place):
        there = wanted.get(sheet, {})
        return there[place] if place in there else before.stored(sheet, place)

    for sheet, cells in wanted.items():
        changes[parts[sheet].lower()].append(partial(patch_sheet, values=cells))
    for sheet, (rows, hidden) in show_rows.items():
        show = partial(with_rows_shown, hidden=hidden)
        changes[parts[sheet].lower()].append(show)
        drawing = drawing_of(package, parts[sheet])
        changes[drawing].append(partial(with_chart_rows, rows=rows))
    for name, kind in before.structure.types.items():
        if CHART in kind:
            change = partial(with_fresh_points, value_at=value_at)
            changes[name.lower()].append(change)
    return changes


def _read_back(before, after, wanted):
    """Raise unless the changed cells have their values and all others are as before."""
    for sheet, cells in before.sheets.items():
        own, there = wanted.get(sheet, {}), after.sheets.get(sheet, {})
        for place in cells.keys() | there.keys() | own.keys():
            old, new = cells.get(place), there.get(place)
            if place in own:
                value = None if new is None else new.value
                formulas = [cell.formula if cell else "" for cell in (old, new)]
                same = _same(own[place], value) and formulas[0] == formulas[1]
            else:
                same = old == new
            if not same:
                raise WorkbookError(
                    f"{before.path}: {sheet}!{xl_rowcol_to_cell(*place)} cannot be "
                    "written so that it is read back the same. Nothing was written. "
                    "Open and save the workbook in a spreadsheet program, then try "
                    "again."
                )


def _same(wanted, there):
    """Whether a value was read back; XML may change line ends and escapes."""
    if isinstance(wanted, str) and isinstance(there, str):
        return "_x" in wanted or plain(_fit(wanted)) == plain(there)
    return (wanted in (None, "") and there in (None, "")) or wanted == there


@dataclass
class _Span:
    """Positions of an element in the bytes: its tags, and its attributes."""

    start: int
    inner: int
    close: int
    end: int
    attributes: dict
    empty: bool = False


class _Finder:
    """Finds rows, wanted cells and their formulas in the bytes of a sheet."""

    def __init__(self, content, wanted):
        self.content, self.wanted = content, wanted
        self.rows, self.cells, self.formulas = {}, {}, {}
        self.data = self.prefix = None
        self._stack = []
        self._row, self._column = -1, -1
        self._orders = {}
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.namespace_prefixes = True
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.Parse(content, True)

    def _start(self, name, attributes):
        here = self.parser.CurrentByteIndex
        words = name.split(" ")
        ours = len(words) == 1 or words[0] in SPACES
        local = words[:2][-1] if ours else ""
        place = None
        if local == "sheetData":
            self.prefix = words[2] + ":" if len(words) > 2 else ""
        elif local == "row":
            self._row = int(attributes.get("r", self._row + 2)) - 1
            self._column = -1
            place = self._row
        elif local == "c":
            address = attributes.get("r")
            place = place_of(address) if address else (self._row, self._column + 1)
            self._column = place[1]
            self._orders.setdefault(place[0], []).append((place[1], here))
        inner = _tag_end(self.content, here)
        empty = self.content[inner - 2 : inner] == b"/>"
        self._stack.append((local, place, _Span(here, inner, 0, 0, attributes, empty)))

    def _end(self, _name):
        local, place, span = self._stack.pop()
        here = self.parser.CurrentByteIndex
        span.close = span.inner if span.empty else here
        span.end = span.inner if span.empty else _tag_end(self.content, here)
        if local == "sheetData":
            self.data = span
        elif local == "row":
            self.rows[place] = span
        elif local == "c" and place in self.wanted:
            self.cells[place] = span
        elif local == "f" and self._stack[-1][1] in self.wanted:
            self.formulas[self._stack[-1][1]] = span

    def next_cell(self, row, column):
        """Position of the first cell to the right of a column, or None."""
        return min(
            (start for at, start in self._orders.get(row, ()) if at > column),
            default=None,
        )


def _tag_end(content, start):
    """The position after a tag; the sign > may occur in a quoted attribute."""
    place, quote = start, 0
    while True:
        byte = content[place]
        if quote:
            quote = 0 if byte == quote else quote
        elif byte in b"\"'":
            quote = byte
        elif byte == 0x3E:
            return place + 1
        place += 1


def patch_sheet(content, values):
    """Write values into the bytes of a sheet's part.

    Parameters
    ----------
    content : bytes
    values : mapping of (int, int) to float, bool, str or None
        By (row, column), from 0.

    Returns
    -------
    content : bytes
    """
    content = as_utf8(content, "A sheet")
    found = _Finder(content, values)
    if found.data is None:
        raise WorkbookError("A sheet has no element for cells.")
    edits, rows = [], {}
    for place, value in sorted(values.items()):
        if place in found.cells:
            edits.append(_changed_cell(content, found, place, value))
        elif value is not None:
            rows.setdefault(place[0], []).append((place, value))
    for row, cells in rows.items():
        edits += _new_cells(content, found, row, cells)
    return _spliced(content, edits)


def with_rows_shown(content, hidden=()):
    """The bytes of a sheet's part with all rows shown, except those to hide."""
    content = as_utf8(content, "A sheet")
    edits = []
    for row, span in _Finder(content, {}).rows.items():
        if "hidden" in span.attributes and row not in hidden:
            tag = content[span.start : span.inner]
            edits.append((span.start, span.inner, HIDDEN.sub(b"", tag, count=1)))
    return _spliced(content, edits)


def drawing_of(package, part):
    """Name of the drawing part of a sheet's part, in lower case, or None."""
    folder, _, name = part.rpartition("/")
    relations = f"{folder}/_rels/{name}.rels"
    if relations not in package.namelist():
        return None
    found = DRAWING.search(package.read(relations).decode("utf-8", "replace"))
    if found is None:
        return None
    return posixpath.normpath(posixpath.join("/", folder, found[1]))[1:].lower()


def with_chart_rows(content, rows):
    """Restore the rows of charts: LibreOffice saves hidden charts without height."""
    flat = [
        numbers
        for anchor in ANCHOR.finditer(content)
        if len(numbers := list(ROW.finditer(content, *anchor.span()))) == 2
        and numbers[0][1] == numbers[1][1]
    ]
    if len(flat) != len(rows):
        return content
    edits = [
        (*found.span(1), str(row).encode())
        for numbers, ends in zip(flat, rows, strict=True)
        for found, row in zip(numbers, ends, strict=True)
    ]
    return _spliced(content, edits)


def _spliced(content, edits):
    pieces, at = [], 0
    for start, end, new in sorted(edits, key=lambda edit: edit[:2]):
        pieces += [content[at:start], new]
        at = end
    return b"".join([*pieces, content[at:]])


def _changed_cell(content, found, place, value):
    span, prefix = found.cells[place], found.prefix
    formula = found.formulas.get(place)
    kept = content[formula.start : formula.end].decode() if formula else ""
    others = {key: text for key, text in span.attributes.items() if key != "t"}
    others.setdefault("r", xl_rowcol_to_cell(*place))
    new = _cell(prefix, others, kept, value)
    return span.start, span.end, new.encode()


def _cell(prefix, attributes, formula, value):
    kind, inner = _stored(prefix, value, bool(formula))
    written = "".join(
        f' {key}="{escape(text, {chr(34): "&quot;"})}"'
        for key, text in attributes.items()
        if " " not in key
    )
    if kind:
        written += f' t="{kind}"'
    if not formula and not inner:
        return f"<{prefix}c{written}/>"
    return f"<{prefix}c{written}>{formula}{inner}</{prefix}c>"


def _stored(prefix, value, calculated):
    """Type and inner text of a cell's value."""
    if value is None:
        return "", ""
    if isinstance(value, str):
        text = escape(_fit(value))
        if calculated:
            return "str", f"<{prefix}v>{text}</{prefix}v>"
        inner = f'<{prefix}t xml:space="preserve">{text}</{prefix}t>'
        return "inlineStr", f"<{prefix}is>{inner}</{prefix}is>"
    if isinstance(value, bool):
        return "b", f"<{prefix}v>{int(value)}</{prefix}v>"
    number = float(value)
    if not math.isfinite(number):
        raise WorkbookError(f"A cell cannot hold the number {number}.")
    return "", f"<{prefix}v>{number!r}</{prefix}v>"


def _fit(text):
    """A text without characters that XML forbids, cut to the length of a cell."""
    return text.translate(_UNFIT).encode("utf-8", "ignore").decode()[:LONGEST]


def _new_cells(content, found, row, cells):
    """Insert cells that are not in the file: programs omit empty ones."""
    prefix, span = found.prefix, found.rows.get(row)
    made = [
        (place, _cell(prefix, {"r": xl_rowcol_to_cell(*place)}, "", value))
        for place, value in cells
    ]
    whole = "".join(text for _, text in made)
    if span is None:
        new = f'<{prefix}row r="{row + 1}">{whole}</{prefix}row>'
        later = [other.start for at, other in found.rows.items() if at > row]
        before = min(later, default=None)
        return [_inserted(content, found.data, f"{prefix}sheetData", before, new)]
    tag = f"{prefix}row"
    if span.empty:
        return [_inserted(content, span, tag, None, whole)]
    return [
        _inserted(content, span, tag, found.next_cell(*place), text)
        for place, text in made
    ]


def _inserted(content, span, tag, before, new):
    """The edit that inserts text into an element before a position, or at its end."""
    if span.empty:
        opened = content[span.start : span.end - 2].rstrip() + b">"
        return span.start, span.end, opened + f"{new}</{tag}>".encode()
    at = span.close if before is None else before
    return at, at, new.encode()
