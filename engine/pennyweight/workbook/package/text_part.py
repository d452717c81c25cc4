"""Shared texts, texts with several fonts, and the format's escapes."""

import re

from ...errors import WorkbookError, plain
from .xml_events import Handler

MOST_TEXTS = 400_000
_ESCAPED = re.compile("_x([0-9A-Fa-f]{4})_")


def readable(text):
    """Decode the format's escapes in a stored text: ``_x0041_`` is A.

    Examples
    --------
    >>> readable("a_x000A_b_x005F_x")
    'a\\nb_x'
    """
    if "_x" not in text:
        return text
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), text)


def csv_text(text):
    """A text that a spreadsheet program does not read from CSV as a formula.

    Examples
    --------
    >>> csv_text("=1+1"), csv_text("Tamsel Draw")
    ("'=1+1", 'Tamsel Draw')
    """
    text = plain(text)
    return "'" + text if text.lstrip()[:1] in tuple("=+-@|%") and text else text


class RichText(Handler):
    """Handler of one text, and of its parts with another font.

    Attributes
    ----------
    whole : str or None
    pieces : list of (str, dict of str to dict)
        A part, and the attributes of its font: colour, size and name.
    """

    def __init__(self):
        self.whole, self.pieces = None, []
        self._font = None
        self._phonetic = False

    def start(self, name, attributes):
        """An element begins."""
        if name == "rPh":
            self._phonetic = True
        elif name == "r":
            self._font = {}
        elif name in ("color", "sz", "rFont") and self._font is not None:
            self._font[name] = attributes
        elif name == "t" and not self._phonetic:
            self._keep = []

    def end(self, name):
        """An element ends."""
        if name == "rPh":
            self._phonetic = False
        elif name == "r":
            self._font = None
        elif name == "t" and self._keep is not None:
            letters = self.kept()
            self.whole = (self.whole or "") + letters
            if self._font:
                self.pieces.append((letters, self._font))


class Texts(Handler):
    """The shared texts, in order; `pieces` of those with several fonts."""

    def __init__(self):
        self.texts, self.pieces, self._text = [], {}, None

    def start(self, name, attributes):
        """An element begins."""
        if name == "si":
            if len(self.texts) >= MOST_TEXTS:
                raise WorkbookError(f"The file has more than {MOST_TEXTS} texts.")
            self._text = RichText()
        elif self._text is not None:
            self._text.start(name, attributes)

    def text(self, text):
        """Text between the tags."""
        if self._text is not None:
            self._text.text(text)

    def end(self, name):
        """An element ends."""
        if name == "si" and self._text is not None:
            if self._text.pieces:
                self.pieces[len(self.texts)] = self._text.pieces
            self.texts.append(self._text.whole or "")
            self._text = None
        elif self._text is not None:
            self._text.end(name)

    def at(self, number, where):
        """The text with a number."""
        if number >= len(self.texts):
            raise WorkbookError(f"{where} is damaged: its text {number} is missing.")
        return self.texts[number]
