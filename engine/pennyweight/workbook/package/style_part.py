"""Styles of cells: number formats, colours, sizes, protection."""

import re
from dataclasses import dataclass

from .sheet_appearance import is_on, number_of
from .xml_events import Handler

LONGEST_NUMBER = 7
"""Most digits of the number of a format or style."""
MOST_STYLES = 100_000
WHITE, BLACK = (255, 255, 255), (0, 0, 0)
SYSTEM = {64: BLACK, 65: WHITE}
FAINT = ("none", "gray125", "gray0625")
"""Fill patterns on which text stays legible."""
MOST_INDENT = 15
NUMBERS = frozenset(map(str, range(14)))
"""Built-in formats that are plain numbers (ECMA-376 part 1, 18.8.30)."""
WORDS = re.compile(r'"[^"]*"|\[Red\]')
DATE_LETTERS = re.compile("[dmhys]", re.IGNORECASE)
THEME = (WHITE, BLACK)
"""Default colours of window and text; the other theme colours contrast with both."""


@dataclass
class Font:
    """Colour, size and name of a font; None for the program's default."""

    color: tuple | None = None
    size: float | None = None
    name: str = ""


@dataclass
class Style:
    """The effects of a style on a cell."""

    number: str = "0"
    font: int = 0
    fill: int = 0
    locked: bool = True
    formula_hidden: bool = False
    placing: str = ""


@dataclass
class RuleStyle:
    """The effects of a conditional format on a cell; None for no effect."""

    color: tuple | None = None
    ground: tuple | None = None
    format: str | None = None


class Theme(Handler):
    """Colours of the window and of text, which a theme may set."""

    def __init__(self):
        self._found, self._within = {}, ""

    def start(self, name, attributes):
        """An element begins."""
        if name in ("lt1", "dk1"):
            self._within = name
        elif self._within and name in ("sysClr", "srgbClr"):
            text = attributes.get("lastClr", attributes.get("val", ""))
            self._found.setdefault(self._within, _from_hex(text))

    def end(self, name):
        """An element ends."""
        if name == self._within:
            self._within = ""

    @property
    def colors(self):
        """Window and text."""
        return self._found.get("lt1") or WHITE, self._found.get("dk1") or BLACK


class Styles(Handler):
    """The styles of a workbook.

    Attributes
    ----------
    styles : list of Style
    rule_styles : list of RuleStyle
    """

    def __init__(self, theme=THEME):
        self.theme, self.styles, self.rule_styles = theme, [], []
        self._formats, self._fonts, self._fills = {}, [], []
        self._within, self._dates, self._in_fill = "", {}, False

    def start(self, name, attributes):
        """An element begins."""
        if name in ("fonts", "fills", "cellXfs", "dxfs", "cellStyleXfs"):
            self._within = name
        elif name == "numFmt":
            self._number_format(attributes)
        elif self._within == "cellXfs":
            self._style(name, attributes)
        elif self._within == "fonts":
            self._font(name, attributes)
        elif self._within == "fills":
            self._fill(name, attributes)
        elif self._within == "dxfs":
            self._rule(name, attributes)

    def end(self, name):
        """An element ends."""
        if name == self._within:
            self._within = ""
        elif name == "fill":
            self._in_fill = False

    def _number_format(self, attributes):
        code = attributes.get("formatCode", "")
        if self._within == "dxfs" and self.rule_styles:
            self.rule_styles[-1].format = code
        else:
            self._formats[attributes.get("numFmtId")] = code

    def _style(self, name, attributes):
        if name == "xf" and len(self.styles) < MOST_STYLES:
            numbers = (_whole(attributes.get(key)) for key in ("fontId", "fillId"))
            self.styles.append(Style(attributes.get("numFmtId", "0"), *numbers))
        elif name == "protection" and self.styles:
            self.styles[-1].locked = is_on(attributes.get("locked", "1"))
            self.styles[-1].formula_hidden = is_on(attributes.get("hidden", "0"))
        elif name == "alignment" and self.styles:
            self.styles[-1].placing = _alignment_effect(attributes)

    def _font(self, name, attributes):
        if name == "font" and len(self._fonts) < MOST_STYLES:
            self._fonts.append(Font())
        elif name == "color" and self._fonts:
            self._fonts[-1].color = color_of(attributes, self.theme)
        elif name == "sz" and self._fonts:
            self._fonts[-1].size = number_of(attributes.get("val"))
        elif name == "name" and self._fonts:
            self._fonts[-1].name = attributes.get("val", "")[:100]

    def _fill(self, name, attributes):
        if name == "fill" and len(self._fills) < MOST_STYLES:
            self._fills.append(None)
        elif name == "patternFill":
            self._in_fill = attributes.get("patternType", "none") not in FAINT
        elif name == "gradientFill":
            self._in_fill = True
        elif name in ("fgColor", "color") and self._in_fill and self._fills:
            self._fills[-1] = color_of(attributes, self.theme)

    def _rule(self, name, attributes):
        if name == "dxf" and len(self.rule_styles) < MOST_STYLES:
            self.rule_styles.append(RuleStyle())
        elif not self.rule_styles:
            return
        elif name == "fill":
            self._in_fill = True
        elif name == "color" and not self._in_fill:
            self.rule_styles[-1].color = color_of(attributes, self.theme)
        elif name == "bgColor":
            self.rule_styles[-1].ground = color_of(attributes, self.theme)

    def style(self, number):
        """The style with a number; the plain style for a number that is not listed."""
        return self.styles[number] if number < len(self.styles) else Style()

    def format(self, number):
        """The number format of a style."""
        from openpyxl.styles.numbers import BUILTIN_FORMATS

        kind = self.style(number).number
        short = kind.isdecimal() and len(kind) < LONGEST_NUMBER
        known = BUILTIN_FORMATS.get(int(kind) if short else 0)
        return self._formats.get(kind, known) or "General"

    def ground(self, number):
        """Background colour of a style."""
        fill = self.style(number).fill
        return (self._fills[fill] if fill < len(self._fills) else None) or WHITE

    def font(self, number):
        """The font of a style."""
        font = self.style(number).font
        return self._fonts[font] if font < len(self._fonts) else Font()

    def piece(self, attributes):
        """The font of a part of a text, from the attributes in `RichText`."""
        color = attributes.get("color")
        size, name = (attributes.get(key, {}).get("val", "") for key in ("sz", "rFont"))
        color = None if color is None else color_of(color, self.theme)
        return Font(color, number_of(size), name[:100])

    def is_date(self, number):
        """Whether a style shows dates."""
        if number not in self._dates:
            self._dates[number] = self._shows_dates(number)
        return self._dates[number]

    def _shows_dates(self, number):
        kind = self.style(number).number
        code = self._formats.get(kind, "" if kind in NUMBERS else None)
        if code is not None and not DATE_LETTERS.search(WORDS.sub("", code)):
            return False  # the common case, without a library that loads slowly
        from openpyxl.styles.numbers import is_date_format

        return is_date_format(self.format(number)[:200])


def _alignment_effect(attributes):
    """How an alignment makes a cell hard to read; else empty."""
    if attributes.get("horizontal") == "fill":
        return "repeated over the width of the cell"
    if attributes.get("textRotation", "0") not in ("0", ""):
        return "turned"
    indent = attributes.get("indent", "0")
    far = (
        indent.isdecimal()
        and len(indent) < LONGEST_NUMBER
        and int(indent) > MOST_INDENT
    )
    return "moved out of the cell" if far else ""


def color_of(attributes, theme=THEME):
    """Red, green and blue of a colour; None for the program's default.

    Examples
    --------
    >>> color_of({"rgb": "FFB3372B"}), color_of({"theme": "0"})
    ((179, 55, 43), (255, 255, 255))
    """
    if "rgb" in attributes:
        return _from_hex(attributes["rgb"][-6:])
    if "theme" in attributes:
        number = _whole(attributes["theme"])
        base = theme[number] if number < len(theme) else None
        return _tinted(base, number_of(attributes.get("tint")) or 0.0)
    if "indexed" in attributes:
        from openpyxl.styles.colors import COLOR_INDEX

        number = _whole(attributes["indexed"])
        known = number < len(COLOR_INDEX)
        return _from_hex(COLOR_INDEX[number][-6:]) if known else SYSTEM.get(number)
    return None


def _tinted(color, tint):
    """A colour with a tint: 1 gives white, -1 black."""
    if color is None:
        return (WHITE if tint > 0 else BLACK) if abs(tint) > 0.9 else None
    end = 255 if tint > 0 else 0
    return tuple(round(c + (end - c) * min(abs(tint), 1)) for c in color)


def _from_hex(text):
    try:
        return tuple(bytes.fromhex(text)) if len(text) == 6 else None
    except ValueError:
        return None


def _whole(text):
    fit = text and text.isascii() and text.isdecimal() and len(text) < LONGEST_NUMBER
    return int(text) if fit else 0
