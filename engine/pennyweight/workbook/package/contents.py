"""Contents of a package: every cell with its formula and stored value, and the rest.

Each sheet's part is read in one pass, for files of any program: shared formulas, shared
and inline texts, omitted empty cells, the strict and the transitional format. Limits on
what is read keep a hostile file from using much time or memory.
"""

import functools
from dataclasses import dataclass, field
from pathlib import Path

from ...errors import WorkbookError
from ..files import refuse_if_open, stamp_of
from .book_part import (
    BookPart,
    Relation,
    owner_of,
    read_comments,
    read_relations,
    read_types,
    resolve,
)
from .drawing_part import ChartPart, read_shapes
from .sheet_appearance import is_on
from .sheet_part import SheetPart
from .style_part import Styles, theme_colors
from .text_part import Texts
from .validation import as_utf8, inspect_xml, is_xml, opened, part_content

MOST_CELLS = 400_000
LARGEST_KEPT = 4_000_000
"""Largest part, in bytes, that is cached when read."""
HERE = "\0"
"""Stands for the file and part in messages: the same part may be in several files."""
BOOK = "xl/workbook.xml"
MAIN = "officeDocument"
"""Kind of the relation that leads to the main part."""


@dataclass
class Structure:
    """Parts and relations of a package, and everything beside its cells.

    Attributes
    ----------
    types : dict of str to str
        Content type of each part.
    beginnings : dict of str to bytes
        First bytes of each part that is not XML.
    relations : list of Relation
    elements : dict of str to set of str
        Local names of all elements of the workbook's part and of each sheet's part.
    settings : dict of str to dict
        Of the workbook: view, calculation, protection.
    starting : set of str
        Defined names of macros.
    appearances : dict of str to SheetAppearance
    styles : Styles or None
    drawings : dict of str to list of Shape
        By sheet.
    charts : dict of str to list of ChartPart
        By sheet.
    notes_drawn : dict of str to bytes
        Old drawings (VML) of each sheet: boxes of comments, and controls.
    pieces, note_pieces : dict of str to dict
        Texts with several fonts, in cells and comments of each sheet, by place.
    """

    types: dict = field(default_factory=dict)
    beginnings: dict = field(default_factory=dict)
    relations: list = field(default_factory=list)
    elements: dict = field(default_factory=dict)
    settings: dict = field(default_factory=dict)
    starting: set = field(default_factory=set)
    appearances: dict = field(default_factory=dict)
    styles: object = None
    drawings: dict = field(default_factory=dict)
    charts: dict = field(default_factory=dict)
    notes_drawn: dict = field(default_factory=dict)
    pieces: dict = field(default_factory=dict)
    note_pieces: dict = field(default_factory=dict)

    @property
    def since_1904(self):
        """Whether dates count from 1904."""
        return is_on(self.settings.get("workbookPr", {}).get("date1904"))


@dataclass
class Contents:
    """A package's contents.

    Attributes
    ----------
    path : Path or str
    sheets : dict of str to dict
        For each worksheet the `StoredCell` at (row, column), counted from 0.
    states : dict of str to str
        ``visible``, ``hidden`` or ``veryHidden`` of every sheet.
    names : dict of str to str
        Defined names of the workbook in lower case, with their references.
    spelt : dict of str to str
        The same names as spelt in the file.
    hidden_names : set of str
    parts : list of str
        Every part's name.
    links : list of (str, str, str)
        Part, kind and target of each relation that leads outside the file.
    notes : dict of (str, (int, int)) to str
        Comments by sheet and cell.
    hidden_lines : dict of str to list of str
        Hidden rows and columns of each sheet.
    stamp : Stamp or None
        State of the file when it was read.
    structure : Structure
        Parts and relations, and everything beside the cells.
    """

    path: object
    sheets: dict = field(default_factory=dict)
    states: dict = field(default_factory=dict)
    names: dict = field(default_factory=dict)
    spelt: dict = field(default_factory=dict)
    hidden_names: set = field(default_factory=set)
    parts: list = field(default_factory=list)
    links: list = field(default_factory=list)
    notes: dict = field(default_factory=dict)
    hidden_lines: dict = field(default_factory=dict)
    sheet_parts: dict = field(default_factory=dict)
    stamp: object = None
    structure: Structure = field(default_factory=Structure)

    def cell(self, sheet, place):
        """The cell at (row, column) of a sheet, or None."""
        return self.sheets.get(sheet, {}).get(place)

    def stored(self, sheet, place):
        """The value stored in a cell; ``...`` for a formula without one."""
        cell = self.cell(sheet, place)
        if cell is None:
            return None
        return ... if cell.kind == "none" else cell.value

    def shows_date(self, cell):
        """Whether a cell shows its number as a date."""
        styles = self.structure.styles
        numbered = styles and cell.kind == "n" and cell.style
        return bool(numbered and styles.is_date(cell.style))


def read_contents(path, choose=None):
    """Read a workbook file of any origin.

    Parameters
    ----------
    path : str or Path
    choose : callable, optional
        Called with the defined names and their references; gives the sheets to read.
        All are read when it is left out.

    Returns
    -------
    contents : Contents

    Raises
    ------
    WorkbookError
        When the file is not a workbook, is damaged, or is too large for one.
    """
    with opened(path) as package:
        stamp = stamp_of(path)
        found = contents_of(package, Path(path), choose)
    found.stamp = stamp
    return found


def read_closed(path, choose=None):
    """Read a workbook file as `read_contents`; raise if another program has it open."""
    found = read_contents(path, choose)
    refuse_if_open(found.path)
    return found


def contents_of(package, path, choose=None):
    """Read an open package that has passed `inspect_package`.

    Parameters
    ----------
    package : zipfile.ZipFile
    path : Path or str
    choose : callable, optional
        As for `read_contents`.

    Returns
    -------
    contents : Contents
    """
    parts = _Parts(package, path)
    _refuse_decoys(parts)
    book = parts.read(BOOK, BookPart, where=path)
    relations = read_relations(parts.content("xl/_rels/workbook.xml.rels"), path)
    found = Contents(path, parts=list(parts.names.values()))
    found.names, found.spelt, found.hidden_names = book.names, book.spelt, book.hidden
    structure = found.structure
    structure.settings, structure.starting = book.settings, book.starting
    structure.elements[BOOK] = book.elements
    texts = _optional(parts, relations, "sharedStrings", Texts)
    theme = _optional(parts, relations, "theme", theme_colors)
    structure.styles = _optional(parts, relations, "styles", Styles, theme)
    chosen = choose(book.names) if choose else book.sheets
    _sheets(found, parts, book, relations, texts, chosen)
    _outside(found, parts)
    types = parts.content("[Content_Types].xml")
    structure.types = read_types(types, path, found.parts)
    for name in found.parts:
        if not is_xml(name) and not name.endswith("/"):
            with package.open(name) as stream:
                structure.beginnings[name] = stream.read(8)
    _drawings(found, parts)
    return found


class _Parts:
    """The parts of an open package, by name without regard to case."""

    def __init__(self, package, path):
        self.package, self.path = package, path
        self.names = {name.lower(): name for name in package.namelist()}

    def __contains__(self, part):
        return part.lower() in self.names

    def content(self, part):
        """Unpack a part."""
        if part not in self:
            raise WorkbookError(f"{self.path} is damaged: its part {part} is missing.")
        name = self.names[part.lower()]
        content = part_content(self.package, name, self.path)
        if not is_xml(name):
            inspect_xml(content, name, self.path)
        return content

    def read(self, part, reader, *more, where=""):
        """What a reader makes of a part; the same bytes are read once."""
        content = self.content(part)
        read = _kept if len(content) < LARGEST_KEPT else _kept.__wrapped__
        try:
            return read(reader, content, HERE, *more)
        except WorkbookError as error:
            told = str(error).replace(HERE, str(where) or f"{self.path}, {part}")
            raise WorkbookError(told) from None


@functools.lru_cache(maxsize=128)
def _kept(reader, *arguments):
    return reader(*arguments)


def _sheets(found, parts, book, relations, texts, chosen):
    """Read the chosen worksheets."""
    count, structure = 0, found.structure
    for name, (state, relation) in book.sheets.items():
        found.states[name] = state
        kind, target, _ = relations.get(relation, ("", "", ""))
        if kind != "worksheet" or name not in chosen:
            continue
        part = resolve(BOOK, target)
        where = f"{parts.path}, sheet {name}"
        sheet = parts.read(part, SheetPart, where=where)
        count += len(sheet.cells)
        if count > MOST_CELLS:
            raise WorkbookError(
                f"{parts.path} has more than {MOST_CELLS} filled cells."
            )
        shared = {p: c.value for p, c in sheet.cells.items() if c.kind == "s"}
        found.sheets[name] = sheet.cells | {
            place: sheet.cells[place]._replace(kind="text", value=texts.at(n, where))
            for place, n in shared.items()
        }
        structure.pieces[name] = sheet.pieces | {
            place: texts.pieces[n] for place, n in shared.items() if n in texts.pieces
        }
        found.sheet_parts[name] = part
        structure.appearances[name] = sheet.appearance
        structure.elements[part] = sheet.elements
        if sheet.hidden:
            found.hidden_lines[name] = sheet.hidden


def _refuse_decoys(parts):
    """Refuse a file whose parts other programs may choose otherwise."""
    path = parts.path
    relations = read_relations(parts.content("_rels/.rels"), path).values()
    main = [resolve("", target) for kind, target, _ in relations if kind == MAIN]
    if [part.lower() for part in main] != [BOOK]:
        raise WorkbookError(
            f"{path} is not a plain workbook: its main part is "
            f"{' and '.join(main) or 'missing'} and not xl/workbook.xml. Do not use "
            "it, or open and save it in a spreadsheet program."
        )
    types = as_utf8(parts.content("[Content_Types].xml"), f"{path}, content types")
    if types.count(b"sharedStrings+xml") > 1:
        raise WorkbookError(
            f"{path} has a second part of shared texts: programs may show other texts. "
            "Do not use it."
        )


def _optional(parts, relations, kind, reader, *more):
    """Read a part found by its relation, not by its name, or an empty one."""
    targets = [target for found, target, _ in relations.values() if found == kind]
    if len(targets) > 1:
        raise WorkbookError(
            f"{parts.path} has two parts of the kind {kind}: programs may show other "
            "values. Do not use it."
        )
    for part in (resolve(BOOK, target) for target in targets):
        if part in parts:
            return parts.read(part, reader, *more)
    return reader(b"<none/>", "", *more)


def _outside(found, parts):
    """Read the relations of all parts, and the comments of the sheets."""
    sheet_of = {part.lower(): sheet for sheet, part in found.sheet_parts.items()}
    for name in parts.names.values():
        if not name.lower().endswith(".rels"):
            continue
        owner = owner_of(name)
        relations = read_relations(parts.content(name), parts.path)
        for kind, target, outside in relations.values():
            found.structure.relations.append(Relation(owner, kind, target, outside))
            if outside:
                found.links.append((owner, kind, target))
            elif kind == "comments" and owner.lower() in sheet_of:
                sheet = sheet_of[owner.lower()]
                part = resolve(owner, target)
                if part in parts:
                    notes = parts.read(part, read_comments)
                    for place, (text, _) in notes.items():
                        found.notes[sheet, place] = text or ""
                    pieces = {place: pieces for place, (_, pieces) in notes.items()}
                    found.structure.note_pieces.setdefault(sheet, {}).update(pieces)


def _drawings(found, parts):
    """Read the shapes and charts of each sheet."""
    targets = {}
    for relation in found.structure.relations:
        target = resolve(relation.owner, relation.target).lower()
        if not relation.outside and target in parts:
            key = relation.owner.lower(), relation.kind.lower()
            targets.setdefault(key, []).append(target)

    def led_to(owner, kind):
        return targets.get((owner, kind), ())

    for sheet, part in found.sheet_parts.items():
        for drawing in led_to(part.lower(), "vmldrawing"):
            found.structure.notes_drawn.setdefault(sheet, b"")
            found.structure.notes_drawn[sheet] += parts.content(drawing)
        for drawing in led_to(part.lower(), "drawing"):
            shapes = parts.read(drawing, read_shapes)
            found.structure.drawings.setdefault(sheet, []).extend(shapes)
            charts = [
                parts.read(chart, ChartPart) for chart in led_to(drawing, "chart")
            ]
            found.structure.charts.setdefault(sheet, []).extend(charts)
