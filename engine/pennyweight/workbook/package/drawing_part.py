"""Drawings of a sheet: charts, pictures, shapes, and their macros and links."""

import re
from dataclasses import dataclass

from ...errors import WorkbookError
from .sheet_appearance import is_on
from .style_part import color_of
from .xml_tree import attributes_within, drop_namespaces, text_of, tree, within

KINDS = {
    "graphicFrame": "chart",
    "pic": "picture",
    "sp": "text box or shape",
    "cxnSp": "line",
    "contentPart": "ink",
}
ANCHORS = ("absoluteAnchor", "oneCellAnchor", "twoCellAnchor")
CORNER = ("row", "col")


@dataclass
class Shape:
    """One object: its kind, its first and last cell, its text, macro and link."""

    kind: str
    corners: tuple
    text: str = ""
    macro: str = ""
    link: str = ""
    graphic: str = ""


def read_shapes(content, where):
    """The shapes of a drawing's part."""
    return [
        _shape(element, tuple(_corners(anchor)))
        for anchor in tree(content, where).iter()
        if anchor.tag in ANCHORS
        for element in anchor.iter()
        if element.tag in KINDS
    ]


def _corners(anchor):
    for element in anchor.iter():
        text = (element.text or "").strip()
        if element.tag in CORNER and text.isdecimal() and len(text) < 9:
            yield int(text)


def _shape(element, corners):
    return Shape(
        KINDS[element.tag],
        corners,
        "".join(text_of(text).strip() for text in element.iter("t")),
        element.get("macro", ""),
        element.get("textlink", ""),
        attributes_within(element).get("graphicData", {}).get("uri", ""),
    )


AXES = ("catAx", "valAx", "dateAx", "serAx")
SCALES = {
    "orientation": "minMax",
    "max": "",
    "min": "",
    "logBase": "",
    "builtInUnit": "",
    "custUnit": "",
    "delete": "0",
}
"""Settings of an axis, with their defaults."""
CACHES = ("numCache", "strCache", "lvl", "dlblRangeCache", "numLit", "strLit")
"""Elements with cached points; the last two have no cells."""
ONE_CELL = re.compile(r"(\$?[A-Z]{1,3}\$?\d+):\1(?![\d:])", re.IGNORECASE)
"""A cell as a range, which LibreOffice writes once a sheet was inserted before it."""
MOST_SERIES = 1_000
LETTERS = ("rPr", "defRPr")
WHITEST, FAINTEST, SMALLEST = 215, 40_000, 400
"""Least of red, green and blue; opacity in 1/100,000; size in 1/100 point."""


def _is_faint(name, attributes):
    """Whether letters are as white as the background, transparent, or very small."""
    value = attributes.get("val", "").lower()
    if name == "srgbClr":
        color = color_of({"rgb": value})
        return color is not None and min(color) > WHITEST
    if name == "alpha":
        return value.isdecimal() and int(value[:9]) < FAINTEST
    size = attributes.get("sz", "") if name in LETTERS else ""
    small = size.isdecimal() and int(size[:9]) < SMALLEST
    return small or name == "noFill" or value in ("bg1", "lt1", "window")


class ChartPart:
    """A chart's part: ranges of its series, texts, axes.

    Attributes
    ----------
    formulas, texts : list of str
    titles, axis_titles : set of str
        The texts that are titles.
    points : list of (int, str, dict of int to str)
        Number of the formula, kind, and the cached points.
    scales : set of (str, str)
        Settings of axes other than the defaults, number formats, illegible letters.
    """

    def __init__(self, content, where):
        self.formulas, self.texts, self.points = [], [], []
        self.titles, self.axis_titles, self.scales = set(), set(), set()
        root = tree(content, where)
        drop_namespaces(root)
        cached, axes = within(root, *CACHES), within(root, *AXES)
        letters = within(root, *LETTERS) - within(root, "ln")
        for element in root.iter():
            name = element.tag
            if name == "f":
                self._formula(text_of(element))
            elif name in CACHES:
                self._points(element)
            elif name == "t" or (name == "v" and element not in cached):
                self._text(element, element in axes)
            if element in letters and _is_faint(name, element.attrib):
                self.scales.add(("letters", "out of sight"))
            elif name == "numFmt":
                self._number_format(element)
            elif name in SCALES and element in axes:
                self._scale(name, element)

    def _formula(self, text):
        """Keep a formula; a quoted text in it is the name of a series."""
        self.formulas.append(ONE_CELL.sub(r"\1", text))
        if text.startswith('"'):
            self.texts.append(text[1:-1].replace('""', '"'))

    def _points(self, cache):
        if len(self.points) >= MOST_SERIES:
            raise WorkbookError(f"A chart has more than {MOST_SERIES:,} series.")
        found = {}
        for point in cache.iter("pt"):
            at = point.get("idx", "")
            at = int(at) if at.isdecimal() and len(at) < 7 else -1
            for value in point.iter("v"):
                # If two points have the same number, programs show one or the other.
                twice = [found[at]] if at in found else []
                found[at] = " ".join([*twice, text_of(value)])
        number = len(self.formulas) - 1
        if cache.tag == "lvl" and self.points and [*found] == [0]:
            last, kind, above = self.points[-1]
            if (last, kind) == (number, "lvl"):
                # LibreOffice may write a row of categories as levels, the last first.
                self.points[-1] = (
                    number,
                    kind,
                    dict(enumerate([found[0], *above.values()])),
                )
                return
        self.points.append((number, cache.tag, found))

    def _text(self, element, of_axis):
        text = text_of(element)
        self.texts.append(text)
        if element.tag == "t":
            (self.axis_titles if of_axis else self.titles).add(text)

    def _number_format(self, element):
        code = element.get("formatCode", "").lower()
        if code != "general" and not is_on(element.get("sourceLinked")):
            self.scales.add(("number format", code))

    def _scale(self, name, element):
        value = element.get("val", "1" if name == "delete" else "")
        value = {"false": "0", "true": "1"}.get(value, value)
        if value != SCALES[name]:
            self.scales.add((name, value))
