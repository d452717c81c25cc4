"""Shared texts, texts with several fonts, and the format's escapes."""

import re

from ...errors import WorkbookError, plain
from .xml_tree import attributes_within, elements, text_of, within

MOST_TEXTS = 400_000
FONT = ("color", "sz", "rFont")
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


def rich_text(element):
    """The text of an element, and its parts with another font.

    Parameters
    ----------
    element : xml.etree.ElementTree.Element

    Returns
    -------
    whole : str or None
    pieces : list of (str, dict of str to dict)
        A part, and the attributes of its font: colour, size and name.
    """
    phonetic = within(element, "rPh")
    texts = {t: text_of(t) for t in element.iter("t") if t not in phonetic}
    pieces = []
    for run in element.iter("r"):
        given = attributes_within(run)
        font = {name: given[name] for name in FONT if name in given}
        pieces += [(texts[t], font) for t in run.iter("t") if font and t in texts]
    return "".join(texts.values()) if texts else None, pieces


class Texts:
    """The shared texts, in order; `pieces` of those with several fonts."""

    def __init__(self, content, where):
        self.texts, self.pieces = [], {}
        for element in elements(content, where, "si"):
            if element.tag == "si":
                self._add(element)

    def _add(self, element):
        if len(self.texts) >= MOST_TEXTS:
            raise WorkbookError(f"The file has more than {MOST_TEXTS} texts.")
        whole, pieces = rich_text(element)
        if pieces:
            self.pieces[len(self.texts)] = pieces
        self.texts.append(readable(whole or ""))

    def at(self, number, where):
        """The text with a number."""
        if number >= len(self.texts):
            raise WorkbookError(f"{where} is damaged: its text {number} is missing.")
        return self.texts[number]
