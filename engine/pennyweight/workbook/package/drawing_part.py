"""What lies over the cells of a sheet: charts, pictures, shapes, and what they do."""

from dataclasses import dataclass

from ...errors import WorkbookError
from .events import Handler
from .sheet_look import is_on
from .style_part import color_of

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
    """One object: what it is, the cells from its first to its last, what it does."""

    kind: str
    corners: tuple
    text: str = ""
    macro: str = ""
    link: str = ""
    graphic: str = ""


class DrawingPart(Handler):
    """Takes in a drawing's part.

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
            told = (attributes.get("macro", ""), attributes.get("textlink", ""))
            self.shapes.append(Shape(KINDS[name], tuple(self._corners), "", *told))
        elif name == "graphicData" and self.shapes:
            self.shapes[-1].graphic = attributes.get("uri", "")
        elif name in CORNER or name == "t":
            self._keep = []

    def end(self, name):
        """An element ends."""
        if self._keep is None or (name not in CORNER and name != "t"):
            return
        told = self.kept().strip()
        if name == "t" and self.shapes:
            self.shapes[-1].text += told
        elif name in CORNER and told.isdecimal() and len(told) < 9:
            self._corners.append(int(told))


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
"""What an axis says of its scale, and what it is when nothing is said."""
KEPT = ("numCache", "strCache", "lvl", "dlblRangeCache", "numLit", "strLit")
"""Elements with points; the last two have no cells."""
MOST_SERIES = 1_000
LETTERS = ("rPr", "defRPr")
WHITEST, FAINTEST, SMALLEST = 215, 40_000, 400
"""Least of red, green and blue; opacity of 100,000; hundredths of a point."""


def _is_faint(name, attributes):
    """Whether letters are as white as the ground, seen through, or very small."""
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
    """Takes in a chart's part: what its series read, its texts, its axes.

    Attributes
    ----------
    formulas, texts : list of str
    titles, axis_titles : set of str
        Which of the texts are those.
    points : list of (int, str, dict of int to str)
        Which formula, the kind, and the points kept of its cells.
    scales : set of (str, str)
        What axes say of their scales, other than what is usual; number formats;
        letters that nobody can read.
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
        told = self.kept()
        if name == "f":
            self._formula(told)
        elif name == "v" and self._points is not None:
            # Of two points with one number, programs show either.
            twice = self._points.get(self._at)
            self._points[self._at] = told if twice is None else f"{twice} {told}"
        else:
            self.texts.append(told)
            if name == "t":
                (self.axis_titles if self._axis else self.titles).add(told)

    def _formula(self, told):
        """Programs spell the name of a series as a formula in quotes, too."""
        self.formulas.append(told)
        if told.startswith('"'):
            self.texts.append(told[1:-1].replace('""', '"'))
