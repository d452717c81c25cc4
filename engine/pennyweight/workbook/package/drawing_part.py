"""Drawings of a sheet: charts, pictures, shapes, and their macros and links."""

from dataclasses import dataclass

from ...errors import WorkbookError
from .sheet_appearance import is_on
from .style_part import color_of
from .xml_events import Handler

KINDS = {
    "graphicFrame": "chart",
    "pic": "picture",
    "sp": "text box or shape",
    "cxnSp": "line",
    "contentPart": "ink",
}
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


class DrawingPart(Handler):
    """Handler of a drawing's part.

    Attributes
    ----------
    shapes : list of Shape
    """

    def __init__(self):
        self.shapes, self._corners = [], []

    def start(self, name, attributes):
        """An element begins."""
        if name.endswith("Anchor"):
            self._corners = []
        elif name in KINDS:
            actions = (attributes.get("macro", ""), attributes.get("textlink", ""))
            self.shapes.append(Shape(KINDS[name], tuple(self._corners), "", *actions))
        elif name == "graphicData" and self.shapes:
            self.shapes[-1].graphic = attributes.get("uri", "")
        elif name in CORNER or name == "t":
            self._keep = []

    def end(self, name):
        """An element ends."""
        if self._keep is None or (name not in CORNER and name != "t"):
            return
        text = self.kept().strip()
        if name == "t" and self.shapes:
            self.shapes[-1].text += text
        elif name in CORNER and text.isdecimal() and len(text) < 9:
            self._corners.append(int(text))


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
KEPT = ("numCache", "strCache", "lvl", "dlblRangeCache", "numLit", "strLit")
"""Elements with cached points; the last two have no cells."""
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


class ChartPart(Handler):
    """Handler of a chart's part: ranges of its series, texts, axes.

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

    def __init__(self):
        self.formulas, self.texts = [], []
        self.titles, self.axis_titles = set(), set()
        self.scales, self._axis = set(), False
        self.points, self._points, self._at = [], None, 0
        self._letters = ""

    def start(self, name, attributes):
        """An element begins."""
        name = name or self.raw.rpartition(" ")[2]
        if name in ("f", "t", "v"):
            self._keep = []
        elif name in KEPT:
            if len(self.points) >= MOST_SERIES:
                raise WorkbookError(f"A chart has more than {MOST_SERIES:,} series.")
            self._points = {}
            self.points.append((len(self.formulas) - 1, name, self._points))
        elif name == "pt":
            at = attributes.get("idx", "")
            self._at = int(at) if at.isdecimal() and len(at) < 7 else -1
        elif name in AXES:
            self._axis = True
        elif name in LETTERS or (self._letters and name == "ln"):
            self._letters = name
        if self._letters and self._letters != "ln" and _is_faint(name, attributes):
            self.scales.add(("letters", "out of sight"))
        elif name == "numFmt" and not is_on(attributes.get("sourceLinked")):
            code = attributes.get("formatCode", "").lower()
            if code != "general":
                self.scales.add(("number format", code))
        elif self._axis and name in SCALES:
            value = attributes.get("val", "1" if name == "delete" else "")
            value = {"false": "0", "true": "1"}.get(value, value)
            if value != SCALES[name]:
                self.scales.add((name, value))

    def end(self, name):
        """An element ends."""
        name = name or self.raw.rpartition(" ")[2]
        if name in AXES:
            self._axis = False
        elif name in KEPT:
            self._points = None
        elif name in LETTERS:
            self._letters = ""
        elif name == "ln" and self._letters:
            self._letters = LETTERS[0]
        if self._keep is None or name not in ("f", "t", "v"):
            return
        text = self.kept()
        if name == "f":
            self._formula(text)
        elif name == "v" and self._points is not None:
            # If two points have the same number, programs show one or the other.
            twice = self._points.get(self._at)
            self._points[self._at] = text if twice is None else f"{twice} {text}"
        else:
            self.texts.append(text)
            if name == "t":
                (self.axis_titles if self._axis else self.titles).add(text)

    def _formula(self, text):
        """Keep a formula; a quoted text in it is the name of a series."""
        self.formulas.append(text)
        if text.startswith('"'):
            self.texts.append(text[1:-1].replace('""', '"'))
