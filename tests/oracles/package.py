"""Read and change the parts of an .xlsx file, with no spreadsheet program at all.

What is read here is what some program stored; nothing is worked out.
"""

from __future__ import annotations

import math
import posixpath
import re
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.etree import ElementTree
from xml.sax.saxutils import escape

from xlsxwriter.utility import xl_cell_to_rowcol, xl_rowcol_to_cell

from tests.oracles.values import Cells, ErrorValue, OracleFailed, Value

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
AREA = re.compile(
    r"(?:'((?:[^']|'')+)'|([^'!]+))!(\$?[A-Z]+\$?\d+)(?::(\$?[A-Z]+\$?\d+))?"
)


@dataclass(frozen=True)
class Area:
    """The cells a defined name stands for; rows and columns count from 0."""

    sheet: str
    top: int
    left: int
    bottom: int
    right: int

    @classmethod
    def parse(cls, text: str) -> Area | None:
        """Give the area of text such as ``Sheet!$A$1:$B$2``, None of other text."""
        found = AREA.fullmatch(text.removeprefix("="))
        if not found:
            return None
        quoted, plain, first, last = found.groups()
        sheet = quoted.replace("''", "'") if quoted else plain
        return cls(sheet, *xl_cell_to_rowcol(first), *xl_cell_to_rowcol(last or first))

    @property
    def corner(self) -> str:
        """The address of the first cell."""
        return xl_rowcol_to_cell(self.top, self.left)

    @property
    def single(self) -> bool:
        """Whether the area is one cell."""
        return (self.top, self.left) == (self.bottom, self.right)


class Names:
    """The defined names of a book, in whatever case they are asked for."""

    def __init__(self, texts: Mapping[str, str]):
        """Take each name's text, as it stands in the file."""
        self._texts = {name.casefold(): text for name, text in texts.items()}

    def area(self, name: str) -> Area:
        """Give the cells ``name`` stands for."""
        text = self._texts.get(name.casefold())
        if text is None:
            raise OracleFailed(f"the book has no defined name {name!r}")
        area = Area.parse(text)
        if area is None:
            raise OracleFailed(f"{name!r} stands for {text!r} and not for cells")
        return area

    def cell(self, name: str) -> Area:
        """Give the one cell ``name`` stands for."""
        area = self.area(name)
        if not area.single:
            raise OracleFailed(f"{name!r} stands for several cells, not for one")
        return area

    def read(self, cells: Cells, name: str) -> Any:
        """Give the value of ``name`` among ``cells``: rows where it has several."""
        area = self.area(name)
        sheet = cells.get(area.sheet, {})
        rows = [
            [
                sheet.get(xl_rowcol_to_cell(row, column))
                for column in range(area.left, area.right + 1)
            ]
            for row in range(area.top, area.bottom + 1)
        ]
        return rows[0][0] if area.single else rows


def defined_names(path: Path | str) -> Names:
    """Give the names that hold for the whole book at ``path``."""
    with _open(path) as package:
        book = ElementTree.fromstring(package.read("xl/workbook.xml"))
    return Names(
        {
            name.get("name", ""): name.text or ""
            for name in book.iter(f"{MAIN}definedName")
            if name.get("localSheetId") is None
        }
    )


def stored_cells(path: Path | str) -> Cells:
    """Give every value stored in the book at ``path``, as its writer left it."""
    cells: Cells = {}
    with _open(path) as package:
        texts = _shared_texts(package)
        for sheet, part in _sheet_parts(package).items():
            found = ((c.get("r"), _value(c, texts)) for c in _cells(package, part))
            cells[sheet] = {a: value for a, value in found if value is not None}
    return cells


def formula_cells(path: Path | str) -> set[tuple[str, str]]:
    """Give the sheet and address of every cell that has a formula."""
    with _open(path) as package:
        return {
            (sheet, cell.get("r", ""))
            for sheet, part in _sheet_parts(package).items()
            for cell in _cells(package, part)
            if cell.find(f"{MAIN}f") is not None
        }


def write_changed(
    path: Path | str, out: Path, changes: Mapping[tuple[str, str], Value | None]
) -> None:
    """Copy a book with other values in some cells, all else byte for byte.

    ``changes`` has the sheet and address of each cell; the cell must be in the
    file already, if only as an empty one with a format.
    """
    with _open(path) as package, zipfile.ZipFile(out, "w") as changed:
        parts = _sheet_parts(package)
        sheets = {part: sheet for sheet, part in parts.items()}
        for item in package.infolist():
            content = package.read(item)
            sheet = sheets.get(item.filename)
            own = {cell: value for (on, cell), value in changes.items() if on == sheet}
            changed.writestr(item, _with_values(content, own) if own else content)


def write_named(
    path: Path | str, out: Path, places: Mapping[str, tuple[str, str]]
) -> None:
    """Copy a book with more defined names, so that a program can be asked for cells.

    ``places`` has the sheet and address that each name shall stand for.
    """
    defined = "".join(
        f"<definedName name=\"{name}\">'{sheet}'!{xl_cell_abs(address)}</definedName>"
        for name, (sheet, address) in places.items()
    )
    end = b"</definedNames>"
    with _open(path) as package, zipfile.ZipFile(out, "w") as changed:
        for item in package.infolist():
            content = package.read(item)
            if item.filename == "xl/workbook.xml":
                content = content.replace(end, defined.encode() + end)
            changed.writestr(item, content)


def xl_cell_abs(address: str) -> str:
    """Give an address with its dollars."""
    return xl_rowcol_to_cell(*xl_cell_to_rowcol(address), True, True)


def _open(path: Path | str) -> zipfile.ZipFile:
    try:
        return zipfile.ZipFile(path)
    except zipfile.BadZipFile as error:
        raise OracleFailed(f"{path} is not an .xlsx file: {error}") from error


def _with_values(content: bytes, changes: Mapping[str, Value | None]) -> bytes:
    """Put values in the text of a sheet part; parsing it would lose its prefixes."""
    text = content.decode("utf-8")
    for address, value in changes.items():
        cell = re.compile(rf'<c r="{address}"([^>]*?)(?:/>|>.*?</c>)', re.DOTALL)
        found = cell.search(text)
        if not found:
            raise OracleFailed(f"the file has no cell {address} to change")
        style = re.search(r' s="\d+"', found[1])
        new = _cell_text(address, style[0] if style else "", value)
        text = text[: found.start()] + new + text[found.end() :]
    return text.encode("utf-8")


def _cell_text(address: str, style: str, value: Value | None) -> str:
    """Write one cell; text goes in line, so that the shared texts stay as they are."""
    start = f'<c r="{address}"{style}'
    if value is None:
        return f"{start}/>"
    if isinstance(value, bool):
        return f'{start} t="b"><v>{int(value)}</v></c>'
    if isinstance(value, ErrorValue):
        return f'{start} t="e"><v>{value}</v></c>'
    if isinstance(value, str):
        text = f'<is><t xml:space="preserve">{escape(value)}</t></is>'
        return f'{start} t="inlineStr">{text}</c>'
    return f"{start}><v>{float(value)!r}</v></c>"


def _sheet_parts(package: zipfile.ZipFile) -> dict[str, str]:
    """Give the part of each worksheet, by the sheet's name; chart sheets have none."""
    relations = ElementTree.fromstring(package.read("xl/_rels/workbook.xml.rels"))
    targets = {
        relation.get("Id"): posixpath.join("/xl", relation.get("Target", ""))[1:]
        for relation in relations
        if relation.get("Type", "").endswith("/worksheet")
    }
    book = ElementTree.fromstring(package.read("xl/workbook.xml"))
    return {
        sheet.get("name", ""): targets[sheet.get(RELATION)]
        for sheet in book.iter(f"{MAIN}sheet")
        if sheet.get(RELATION) in targets
    }


def _cells(package: zipfile.ZipFile, part: str) -> Iterator[ElementTree.Element]:
    return ElementTree.fromstring(package.read(part)).iter(f"{MAIN}c")


def _shared_texts(package: zipfile.ZipFile) -> list[str]:
    if "xl/sharedStrings.xml" not in package.namelist():
        return []
    table = ElementTree.fromstring(package.read("xl/sharedStrings.xml"))
    return [_text(item) for item in table.iter(f"{MAIN}si")]


def _text(item: ElementTree.Element) -> str:
    """Join the runs of a text, which may have several formats in it."""
    return "".join(run.text or "" for run in item.iter(f"{MAIN}t"))


def _value(cell: ElementTree.Element, texts: list[str]) -> Value | None:
    """Give what is stored in a cell, None where there is nothing."""
    kind = cell.get("t", "n")
    if kind == "inlineStr":
        return _text(cell)
    stored = cell.findtext(f"{MAIN}v")
    if kind == "str":
        return stored or ""
    if not stored:
        return None
    if kind == "s":
        return texts[int(stored)]
    if kind == "b":
        return stored == "1"
    return ErrorValue(stored) if kind == "e" else _number(stored)


def _number(stored: str) -> Value:
    """Read a number; a program that counts in longer floats can exceed ours."""
    number = float(stored)
    return number if math.isfinite(number) else ErrorValue("#NUM!")
