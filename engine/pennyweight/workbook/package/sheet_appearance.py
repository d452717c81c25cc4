"""Appearance of a sheet: row and column sizes, merges, rules, view, protection."""

from dataclasses import dataclass, field

from ...errors import WorkbookError
from .xml_events import Handler

FLAT, NARROW = 5.0, 0.9
"""Row height in points and column width in characters below which nothing shows."""
FORMULAS = ("formula", "formula1", "formula2", "f")
PAGE_TEXTS = (
    "oddHeader",
    "oddFooter",
    "evenHeader",
    "evenFooter",
    "firstHeader",
    "firstFooter",
)
MOST_KEPT = 50_000
"""Most rules or merged cells of a sheet."""


def is_on(text):
    """Whether a flag of the format is set."""
    return text in ("1", "true", "on")


@dataclass
class Rule:
    """A validation or a conditional format: cells, attributes, and its formulas."""

    cells: str
    attributes: dict
    formulas: list = field(default_factory=list)


class SheetAppearance(Handler):
    """Handler of a sheet's elements outside its cells.

    Attributes
    ----------
    flat_rows : set of int
        Rows, from 0, that are too low to show anything; not those that are hidden.
    narrow : list of (int, int)
        First and last of columns that are too narrow to show anything.
    merges : list of str
    validations, conditions : list of Rule
    settings : dict of str to dict
        Attributes of the elements for view, protection and sizes.
    page_texts : dict of str to str
        Headers and footers.
    formulas : list of str
        Of rules and sparklines.
    """

    def __init__(self):
        self.flat_rows, self.narrow, self.merges = set(), [], []
        self.validations, self.conditions = [], []
        self.settings, self.page_texts, self.formulas = {}, {}, []
        self._cells, self._rule = "", None

    def start(self, name, attributes):
        """An element that is not within a cell begins."""
        if name == "row":
            self._row(attributes)
        elif name == "col":
            self._column(attributes)
        elif name == "mergeCell":
            self._add(self.merges, attributes.get("ref", ""))
        elif name == "conditionalFormatting":
            self._cells = attributes.get("sqref", "")
        elif name == "cfRule":
            self._rule = Rule(self._cells, attributes)
            self._add(self.conditions, self._rule)
        elif name == "dataValidation":
            self._rule = Rule(attributes.get("sqref", ""), attributes)
            self._add(self.validations, self._rule)
        elif name in ("dataBar", "iconSet") and self._rule is not None:
            shown = attributes.get("showValue", "1")
            self._rule.attributes = {**self._rule.attributes, "showValue": shown}
        elif name in ("sheetView", "pane", "sheetProtection", "sheetFormatPr"):
            self.settings.setdefault(name, attributes)
        elif name in FORMULAS or name in PAGE_TEXTS or name == "sqref":
            self._keep = []

    def end(self, name):
        """An element that is not within a cell ends."""
        if name in ("cfRule", "dataValidation"):
            self._rule = None
        if self._keep is None:
            return
        text = self.kept().strip()
        if name in PAGE_TEXTS and text:
            self.page_texts[name] = text
        elif name == "sqref" and self._rule is not None:
            self._rule.cells = text
        elif name in FORMULAS and text:
            self._add(self.formulas, text)
            if self._rule is not None:
                self._rule.formulas.append(text)

    def _row(self, attributes):
        height = number_of(attributes.get("ht"))
        if height is not None and height < FLAT and not is_on(attributes.get("hidden")):
            row = attributes.get("r", "")
            if row.isdecimal() and len(row) < 9:
                self.flat_rows.add(int(row) - 1)

    def _column(self, attributes):
        width = number_of(attributes.get("width"))
        if width is not None and width < NARROW and not is_on(attributes.get("hidden")):
            ends = [number_of(attributes.get(end)) for end in ("min", "max")]
            if None not in ends:
                self._add(self.narrow, (int(ends[0]) - 1, int(ends[1]) - 1))

    def _add(self, found, what):
        if len(found) >= MOST_KEPT:
            raise WorkbookError(
                f"A sheet has more than {MOST_KEPT:,} rules or merged cells: delete "
                "those that do not belong to it."
            )
        found.append(what)


def number_of(text):
    """An attribute as a number; None if it is not one."""
    try:
        return float(text) if text and len(text) < 40 else None
    except ValueError:
        return None
