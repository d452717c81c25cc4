"""What lies over the cells of a sheet: charts, pictures, shapes, and what they do."""

from dataclasses import dataclass

from .events import Handler

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
        self.shapes, self._corners, self._keep = [], [], None

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

    def text(self, text):
        """Text between the tags."""
        if self._keep is not None:
            self._keep.append(text)

    def end(self, name):
        """An element ends."""
        if self._keep is None or (name not in CORNER and name != "t"):
            return
        told, self._keep = "".join(self._keep).strip(), None
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


class ChartPart(Handler):
    """Takes in a chart's part: what its series read, its texts, its axes.

    Attributes
    ----------
    formulas, texts : list of str
    scales : set of (str, str)
        What axes say of their scales, other than what is usual.
    """

    def __init__(self):
        self.formulas, self.texts, self._keep = [], [], None
        self.scales, self._axis = set(), False

    def start(self, name, attributes):
        """An element begins."""
        if name in ("f", "t"):
            self._keep = []
        elif name in AXES:
            self._axis = True
        elif self._axis and name in SCALES:
            value = attributes.get("val", "1" if name == "delete" else "")
            value = {"false": "0", "true": "1"}.get(value, value)
            if value != SCALES[name]:
                self.scales.add((name, value))

    def text(self, text):
        """Text between the tags."""
        if self._keep is not None:
            self._keep.append(text)

    def end(self, name):
        """An element ends."""
        if name in ("f", "t") and self._keep is not None:
            found = self.formulas if name == "f" else self.texts
            found.append("".join(self._keep))
            self._keep = None
        elif name in AXES:
            self._axis = False
