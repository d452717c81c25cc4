"""Small parts of a package: workbook part, content types, relations, comments."""

import posixpath
from dataclasses import dataclass

from ...errors import WorkbookError
from .sheet_appearance import is_on
from .sheet_part import place_of
from .text_part import rich_text
from .xml_tree import LocalNames, relation_id, text_of, tree

MOST_NAMES = 5_000
BUILT_IN = "_xlnm."
ONE_SHEET = " (sheet "
"""Separates a name that is valid on one sheet only from the sheet's number."""
PRINTING = ("Print_Titles", "Print_Area")
SETTINGS = ("workbookPr", "calcPr", "workbookView", "workbookProtection")
STARTING = ("function", "vbProcedure", "xlm")
"""Attributes of a defined name of a macro."""
FILTER = ("_xlnm._FilterDatabase", "_FilterDatabase")


class BookPart:
    """Sheets (state and relation of each) and defined names of the workbook."""

    def __init__(self, content, path):
        names = LocalNames()
        root = tree(content, f"{path}, workbook.xml", names)
        self.path, self.elements = path, names.bare()
        self.sheets, self.names, self.spelt = {}, {}, {}
        self.hidden, self.starting = set(), set()
        self.settings = {}
        for element in root.iter("sheet"):
            self._enter_sheet(element.attrib)
        for number, element in enumerate(root.iter("definedName")):
            if number >= MOST_NAMES:
                raise WorkbookError(
                    f"{path} has more than {MOST_NAMES} defined names: delete "
                    "those that do not belong to it."
                )
            self._enter_name(element.attrib, text_of(element))
        for element in root.iter():
            if element.tag in SETTINGS:
                self.settings.setdefault(element.tag, element.attrib)
        if not self.sheets:
            raise WorkbookError(f"{path} has no sheet.")

    def _enter_sheet(self, given):
        title = given.get("name", "")
        if title in self.sheets:
            raise WorkbookError(f"{self.path} has two sheets named {title!r}.")
        self.sheets[title] = given.get("state", "visible"), relation_id(given)

    def _enter_name(self, given, text):
        spelt = given.get("name", "")
        name = spelt.lower()
        if "localSheetId" in given:
            # A name of one sheet only; those that programs add are left out.
            if spelt.removeprefix(BUILT_IN) in PRINTING or spelt in FILTER:
                return
            name = f"{name}{ONE_SHEET}{given['localSheetId']})"
        elif name in self.names:
            raise WorkbookError(f"{self.path} defines the name {spelt} twice.")
        self.names[name], self.spelt[name] = text, spelt
        if is_on(given.get("hidden")):
            self.hidden.add(name)
        if any(is_on(given.get(flag)) for flag in STARTING):
            self.starting.add(name)


def read_types(content, path, parts):
    """Content type of each part; empty if none is declared."""
    root = tree(content, f"{path}, content types")
    own = {
        given.get("PartName", "").lstrip("/").lower(): given.get("ContentType", "")
        for given in root.iter("Override")
    }
    by_ending = {
        given.get("Extension", "").lower(): given.get("ContentType", "")
        for given in root.iter("Default")
    }
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
    for given in tree(content, f"{path}, relations").iter("Relationship"):
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


def read_comments(content, where):
    """Text and parts with other fonts, as of `rich_text`, of each cell's comment."""
    return {
        place_of(element.get("ref", ""), where): rich_text(element)
        for element in tree(content, where).iter("comment")
    }
