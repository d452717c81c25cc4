"""What a sheet's part says beside its cells: sizes, rules, views, protection."""

from dataclasses import dataclass, field

from ...errors import WorkbookError
from .events import Handler

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
"""Of each list; a sheet of people has less."""


def is_on(text):
    """Whether a flag of the format is set."""
    return text in ("1", "true", "on")


@dataclass
class Rule:
    """A validation or a conditional format: cells, attributes, and its formulas."""

    cells: str
    attributes: dict
    formulas: list = field(default_factory=list)


class SheetLook(Handler):
    """Takes in what stands beside the cells.

    Attributes
    ----------
    flat_rows : set of int
        Rows from 0 that are too low to be seen; hidden ones are not among them.
    narrow : list of (int, int)
        First and last of columns that are too narrow to be seen.
    merges : list of str
    validations, conditions : list of Rule
    settings : dict of str to dict
        Attributes of the elements for view, protection and sizes.
    page_texts : dict of str to str
        Headers and footers.
    formulas : list of str
        Of rules and of small charts in cells.
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
        told = self.kept().strip()
        if name in PAGE_TEXTS and told:
            self.page_texts[name] = told
        elif name == "sqref" and self._rule is not None:
            self._rule.cells = told
        elif name in FORMULAS and told:
            self._add(self.formulas, told)
            if self._rule is not None:
                self._rule.formulas.append(told)

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
    """A number of the format; None for anything else."""
    try:
        return float(text) if text and len(text) < 40 else None
    except ValueError:
        return None
