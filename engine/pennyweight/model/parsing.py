"""Parse typed text: numbers, hints on number formats, column heads as names."""

import math
import re

NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)
COMMA = re.compile(r"[+-]?(\d+|[1-9]\d{0,2}(\.\d{3})+),\d+", re.ASCII)
THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(,\d{3})+(\.\d*)?", re.ASCII)


def hint(field, entered=False):
    """Hint on what to write instead of a number with commas; else empty.

    Parameters
    ----------
    field : str
    entered : bool
        Whether it was entered in a cell, where a number may be stored as text.

    Examples
    --------
    >>> hint("2,5"), hint("3,000")
    (' Write it with a decimal point: 2.5.', ' Write it without commas: 3000.')
    >>> hint("62%"), hint("62%", entered=True)
    ('', ' It was entered as text. Type it again as a number: 62%, or 0.62.')
    """
    plain = field.removesuffix("%").strip()
    if THOUSANDS.fullmatch(plain):
        return f" Write it without commas: {field.replace(',', '')}."
    if COMMA.fullmatch(plain):
        point = field.replace(".", "").replace(",", ".")
        return f" Write it with a decimal point: {point}."
    if not entered or not NUMBER.fullmatch(plain):
        return ""
    share = f", or {float(plain) / 100:.12g}" if field.endswith("%") else ""
    return f" It was entered as text. Type it again as a number: {field}{share}."


def number(text):
    """Parse a number in plain digits with a decimal point; None if it is not one.

    Examples
    --------
    >>> number("2.5"), number("2,5"), number("1_000"), number("٣")
    (2.5, None, None, None)
    """
    found = float(text) if NUMBER.fullmatch(text) else math.inf
    return found if math.isfinite(found) else None


def as_name(head):
    """A column head as a name: in lower case, words joined by underscores."""
    return head.strip().casefold().replace(" ", "_")
