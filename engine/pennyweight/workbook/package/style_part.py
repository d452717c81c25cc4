"""Styles of cells: number formats, colours, sizes, protection."""

import itertools
import re
from dataclasses import dataclass

from .sheet_appearance import is_on, number_of
from .xml_tree import attributes_within, tree, within

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


def theme_colors(content, where):
    """Colours of the window and of text, which a theme may set."""
    root = tree(content, where)
    return _theme_color(root, "lt1") or WHITE, _theme_color(root, "dk1") or BLACK


def _theme_color(root, name):
    for element in (e for one in root.iter(name) for e in one.iter()):
        if element.tag in ("sysClr", "srgbClr"):
            return _from_hex(element.get("lastClr", element.get("val", "")))
    return None


class Styles:
    """The styles of a workbook.

    Attributes
    ----------
    styles : list of Style
    rule_styles : list of RuleStyle
    """

    def __init__(self, content, where, theme=THEME):
        root = tree(content, where)
        self.theme, self._dates = theme, {}
        of_rules = within(root, "dxfs")
        self._formats = {
            element.get("numFmtId"): element.get("formatCode", "")
            for element in root.iter("numFmt")
            if element not in of_rules
        }
        self.styles = [_style(e) for e in _listed(root, "cellXfs", "xf")]
        self.rule_styles = [self._rule(e) for e in _listed(root, "dxfs", "dxf")]
        fonts = _listed(root, "fonts", "font")
        self._fonts = [self._font(attributes_within(e)) for e in fonts]
        self._fills = [self._fill(e) for e in _listed(root, "fills", "fill")]

    def _font(self, given, name="name"):
        color, size, name = (given.get(key, {}) for key in ("color", "sz", name))
        size = number_of(size.get("val"))
        return Font(color_of(color, self.theme), size, name.get("val", "")[:100])

    def _fill(self, element):
        given = attributes_within(element)
        pattern = given.get("patternFill", {}).get("patternType", "none")
        if pattern in FAINT and "gradientFill" not in given:
            return None
        colors = [e.attrib for e in element.iter() if e.tag in ("fgColor", "color")]
        return color_of(colors[-1], self.theme) if colors else None

    def _rule(self, element):
        given, in_fill = attributes_within(element), within(element, "fill")
        colors = [e.attrib for e in element.iter("color") if e not in in_fill]
        return RuleStyle(
            color_of(colors[-1], self.theme) if colors else None,
            color_of(given.get("bgColor", {}), self.theme),
            given.get("numFmt", {}).get("formatCode"),
        )

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
        """The font of a part of a text, from the attributes of `rich_text`."""
        return self._font(attributes, "rFont")

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


def _listed(root, listing, name):
    """The elements of a list, at most `MOST_STYLES`."""
    found = (e for one in root.iter(listing) for e in one.iter(name))
    return itertools.islice(found, MOST_STYLES)


def _style(element):
    given = attributes_within(element)
    protection = given.get("protection", {})
    return Style(
        element.get("numFmtId", "0"),
        _whole(element.get("fontId")),
        _whole(element.get("fillId")),
        is_on(protection.get("locked", "1")),
        is_on(protection.get("hidden", "0")),
        _alignment_effect(given.get("alignment", {})),
    )


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
