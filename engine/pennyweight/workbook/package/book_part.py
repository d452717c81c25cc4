"""Small parts of a package: workbook part, content types, relations, comments."""

import posixpath
from dataclasses import dataclass, field

from ...errors import WorkbookError
from .sheet_appearance import is_on
from .sheet_part import place_of
from .text_part import RichText
from .xml_events import Handler, parse, relation_id

MOST_NAMES = 5_000
BUILT_IN = "_xlnm."
ONE_SHEET = " (sheet "
"""Separates a name that is valid on one sheet only from the sheet's number."""
PRINTING = ("Print_Titles", "Print_Area")
SETTINGS = ("workbookPr", "calcPr", "workbookView", "workbookProtection")
STARTING = ("function", "vbProcedure", "xlm")
"""Attributes of a defined name of a macro."""
FILTER = ("_xlnm._FilterDatabase", "_FilterDatabase")


@dataclass
class BookPart(Handler):
    """Sheets (state and relation of each) and defined names of the workbook."""

    where: str
    sheets: dict = field(default_factory=dict)
    names: dict = field(default_factory=dict)
    spelt: dict = field(default_factory=dict)
    hidden: set = field(default_factory=set)
    starting: set = field(default_factory=set)
    settings: dict = field(default_factory=dict)
    since_1904: bool = False
    _name: dict = None
    _count: int = 0

    def start(self, name, attributes):
        """An element begins."""
        if name == "sheet":
            title = attributes.get("name", "")
            if title in self.sheets:
                raise WorkbookError(f"{self.where} has two sheets named {title!r}.")
            state = attributes.get("state", "visible")
            self.sheets[title] = (state, relation_id(attributes))
        elif name == "definedName":
            self._count += 1
            if self._count > MOST_NAMES:
                raise WorkbookError(
                    f"{self.where} has more than {MOST_NAMES} defined names: delete "
                    "those that do not belong to it."
                )
            self._name, self._keep = attributes, []
        elif name in SETTINGS:
            self.settings.setdefault(name, attributes)
            if name == "workbookPr":
                self.since_1904 = is_on(attributes.get("date1904"))

    def end(self, name):
        """An element ends."""
        if name == "definedName" and self._name is not None:
            self._enter(self.kept())
            self._name = None

    def _enter(self, text):
        spelt = self._name.get("name", "")
        name = spelt.lower()
        if "localSheetId" in self._name:
            # A name of one sheet only; those that programs add are left out.
            if spelt.removeprefix(BUILT_IN) in PRINTING or spelt in FILTER:
                return
            name = f"{name}{ONE_SHEET}{self._name['localSheetId']})"
        elif name in self.names:
            raise WorkbookError(f"{self.where} defines the name {spelt} twice.")
        self.names[name], self.spelt[name] = text, spelt
        if is_on(self._name.get("hidden")):
            self.hidden.add(name)
        if any(is_on(self._name.get(flag)) for flag in STARTING):
            self.starting.add(name)


def read_book_part(content, path):
    """Read the list of sheets and names."""
    found = parse(content, BookPart(str(path)), f"{path}, workbook.xml")
    if not found.sheets:
        raise WorkbookError(f"{path} has no sheet.")
    return found


class _Elements(Handler):
    """Name and attributes of each element."""

    def __init__(self):
        self.found = []

    def start(self, name, attributes):
        self.found.append((name, attributes))


def read_types(content, path, parts):
    """Content type of each part; empty if none is declared."""
    own, by_ending = {}, {}
    for name, given in parse(content, _Elements(), f"{path}, content types").found:
        kind = given.get("ContentType", "")
        if name == "Override":
            own[given.get("PartName", "").lstrip("/").lower()] = kind
        elif name == "Default":
            by_ending[given.get("Extension", "").lower()] = kind
    endings = {part: part.lower().rpartition(".")[2] for part in parts}
    return {
        part: own.get(part.lower(), by_ending.get(ending, ""))
        for part, ending in endings.items()
    }


@dataclass(frozen=True)
class Relation:
    """A relation of a part to another, or to something outside the file."""

    owner: str
    kind: str
    target: str
    outside: bool


def owner_of(name):
    """The part whose relations a part has; empty for the package."""
    folder, _, last = name.rpartition("_rels/")
    return folder + last.removesuffix(".rels")


def read_relations(content, path):
    """Kind, target and whether it leads outside, by the relation's identifier."""
    found = {}
    for name, given in parse(content, _Elements(), f"{path}, relations").found:
        if name != "Relationship":
            continue
        if given.get("Id", "") in found:
            raise WorkbookError(
                f"{path} has two relations with the same name: programs may show "
                "other cells. Do not use it."
            )
        kind = given.get("Type", "").rpartition("/")[2]
        outside = given.get("TargetMode", "").lower() == "external"
        found[given.get("Id", "")] = (kind, given.get("Target", ""), outside)
    return found


def resolve(owner, target):
    """The part that a relation of another part points to.

    Examples
    --------
    >>> resolve("xl/workbook.xml", "worksheets/sheet1.xml")
    'xl/worksheets/sheet1.xml'
    """
    base = posixpath.dirname("/" + owner)
    return posixpath.normpath(posixpath.join(base, target)).lstrip("/")


class _Comments(Handler):
    def __init__(self, where):
        self.where, self.found, self._note = where, {}, None

    def start(self, name, attributes):
        if name == "comment":
            place = place_of(attributes.get("ref", ""), self.where)
            self._note = self.found[place] = RichText()
        elif self._note is not None:
            self._note.start(name, attributes)

    def text(self, text):
        if self._note is not None:
            self._note.text(text)

    def end(self, name):
        if self._note is not None:
            self._note.end(name)


def read_comments(content, where):
    """The `RichText` of each comment, by its cell."""
    return parse(content, _Comments(where), where).found
