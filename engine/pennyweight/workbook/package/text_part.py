"""Shared texts, and what is readable in a text."""

import re

from ...errors import WorkbookError
from ...errors import plain as plain
from .events import Handler

MOST_TEXTS = 400_000
_ESCAPED = re.compile("_x([0-9A-Fa-f]{4})_")


def readable(text):
    """A stored text with the format's escapes undone: ``_x0041_`` is A.

    Examples
    --------
    >>> readable("a_x000A_b_x005F_x")
    'a\\nb_x'
    """
    if "_x" not in text:
        return text
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), text)


def csv_text(text):
    """A text that a spreadsheet program, reading it from CSV, leaves a text.

    Examples
    --------
    >>> csv_text("=1+1"), csv_text("Tamsel Draw")
    ("'=1+1", 'Tamsel Draw')
    """
    text = plain(text)
    return "'" + text if text.lstrip()[:1] in tuple("=+-@|%") and text else text


class Texts(Handler):
    """The shared texts, in their order."""

    def __init__(self):
        self.texts, self._keep, self._phonetic = [], None, False

    def start(self, name, attributes):
        """An element begins."""
        if name == "si":
            if len(self.texts) >= MOST_TEXTS:
                raise WorkbookError(f"The file has more than {MOST_TEXTS} texts.")
            self.texts.append("")
        elif name == "rPh":
            self._phonetic = True
        elif name == "t" and self.texts and not self._phonetic:
            self._keep = []

    def text(self, text):
        """Text between the tags."""
        if self._keep is not None:
            self._keep.append(text)

    def end(self, name):
        """An element ends."""
        if name == "rPh":
            self._phonetic = False
        elif name == "t" and self._keep is not None:
            self.texts[-1] += "".join(self._keep)
            self._keep = None

    def at(self, number, where):
        """The text of a number."""
        if number >= len(self.texts):
            raise WorkbookError(f"{where} is damaged: its text {number} is missing.")
        return self.texts[number]
