"""Appearance of a sheet: row and column sizes, merges, rules, view, protection."""

from dataclasses import dataclass, field

from ...errors import WorkbookError

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
SETTINGS = ("sheetView", "pane", "sheetProtection", "sheetFormatPr")
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


class SheetAppearance:
    """A sheet's elements outside its cells.

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

    def read(self, root):
        """Read everything but the rows.

        Parameters
        ----------
        root : xml.etree.ElementTree.Element
            Names are local names in all namespaces: newer rules have the same names.
        """
        for element in root.iter():
            name, given = element.tag, element.attrib
            if name == "col":
                self._column(given)
            elif name == "mergeCell":
                self._add(self.merges, given.get("ref", ""))
            elif name == "conditionalFormatting":
                for rule in element.iter("cfRule"):
                    self._add(self.conditions, _rule(rule, given.get("sqref", "")))
            elif name == "dataValidation":
                rule = _rule(element, given.get("sqref", ""))
                self._add(self.validations, rule)
            elif name in SETTINGS:
                self.settings.setdefault(name, given)
            elif text := (element.text or "").strip():
                if name in PAGE_TEXTS:
                    self.page_texts[name] = text
                elif name in FORMULAS:
                    self._add(self.formulas, text)

    def read_row(self, row, attributes):
        """Keep a row that is too low to show anything."""
        height = number_of(attributes.get("ht"))
        if height is not None and height < FLAT and not is_on(attributes.get("hidden")):
            self.flat_rows.add(row)

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


def _rule(element, cells):
    """A rule, from its element or one of a newer version, which has the cells in it."""
    rule = Rule(cells, element.attrib)
    for one in element.iter():
        text = (one.text or "").strip()
        if one.tag in ("dataBar", "iconSet"):
            shown = one.get("showValue", "1")
            rule.attributes = {**rule.attributes, "showValue": shown}
        elif one.tag == "sqref":
            rule.cells = text
        elif one.tag in FORMULAS and text:
            rule.formulas.append(text)
    return rule


def number_of(text):
    """An attribute as a number; None if it is not one."""
    try:
        return float(text) if text and len(text) < 40 else None
    except ValueError:
        return None
