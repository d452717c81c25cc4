"""Cached values of charts: the figures and texts of the cells that they read."""

import itertools
import math
import re
from html import unescape
from xml.sax.saxutils import escape

from openpyxl.utils.cell import range_boundaries

from .validation import as_utf8

MOST_POINTS = 4_000
CLOSE, NOISE = 1e-9, 1e-6
SIGNS = re.compile("[^0-9.eE+-]")
CACHE = re.compile(
    rb"(<((?:\w+:)?)f>([^<]*)</\2f>\s*<\2(num|str)Cache>\s*"
    rb"(?:<\2formatCode>[^<]*</\2formatCode>\s*)?)<\2ptCount[^>]*>(?:</\2ptCount>)?"
    rb"((?:\s*<\2pt [^>]*>\s*<\2v>[^<]*</\2v>\s*</\2pt>)*)\s*(?=</\2\4Cache>)",
)
POINT = re.compile(rb'<(?:\w+:)?pt idx="(\d{1,6})"[^>]*>\s*<(?:\w+:)?v>([^<]*)<')


def cells_of(formula):
    """Sheet and places, in order, of a range of a chart; None if it is not a range.

    Examples
    --------
    >>> cells_of("'Cash flow'!$F$4:$G$4")
    ('Cash flow', [(3, 5), (3, 6)])
    """
    sheet, mark, area = formula.rpartition("!")
    if sheet.startswith("'") and sheet.endswith("'"):
        sheet = sheet[1:-1].replace("''", "'")
    try:
        left, top, right, bottom = range_boundaries(area.replace("$", ""))
        if not mark or (right - left + 1) * (bottom - top + 1) > MOST_POINTS:
            return None
    except (ValueError, TypeError):
        return None
    rows, columns = range(top - 1, bottom), range(left - 1, right)
    return sheet, list(itertools.product(rows, columns))


def stale_point(formula, kind, points, value_at):
    """The first cached point that differs from its cell: place and text, or None.

    Parameters
    ----------
    formula : str
    kind : str
        ``num...`` for figures; else texts, in which figures are as formatted.
    points : dict of int to str
    value_at : callable
        Value of a cell by sheet and place; ``...`` for one that is not calculated.

    Returns
    -------
    point : ((int, int), str) or None
        The text is empty if the point is missing.
    """
    sheet, places = cells_of(formula) or ("", [])
    shown = not kind.startswith("num")
    for number, place in enumerate(places):
        text, value = points.get(number, ""), value_at(sheet, place)
        if value is not ... and not _same(text, value, shown):
            return place, text
    more = [number for number in points if number >= len(places)]
    return ((0, 0), points[more[0]]) if places and more else None


def _same(text, value, shown):
    """Whether a point equals its cell; a text among figures may be 0 or missing."""
    if not isinstance(value, float):
        return text in ("", "0") or text.strip() == str(value or "").strip()
    bare, close = SIGNS.sub("", text) if shown else text, NOISE
    try:
        number = float(bare)
    except ValueError:
        return False
    if shown:
        scale = 0.01 if "%" in text else 1.0
        number *= scale
        close = max(NOISE, 0.5 * scale * 0.1 ** len(bare.partition(".")[2]))
    return math.isclose(number, value, rel_tol=CLOSE, abs_tol=close)


def with_fresh_points(content, value_at):
    """Update the cached points in the bytes of a chart's part.

    Parameters
    ----------
    content : bytes
    value_at : callable
        As `stale_point`.

    Returns
    -------
    content : bytes
        Unchanged if every point equals its cell.
    """
    text = as_utf8(content, "A chart")

    def fresh(found):
        head, prefix, formula, kind, points_xml = found.groups()
        formula = unescape(formula.decode())
        points = {int(n): unescape(v.decode()) for n, v in POINT.findall(points_xml)}
        if stale_point(formula, kind.decode(), points, value_at) is None:
            return found[0]
        sheet, places = cells_of(formula)
        values = [value_at(sheet, place) for place in places]
        prefix = prefix.decode()
        made = "".join(
            f'<{prefix}pt idx="{number}"><{prefix}v>{_spelt(value)}</{prefix}v>'
            f"</{prefix}pt>"
            for number, value in enumerate(values)
            if value not in (None, "", ...)
        )
        return head + f'<{prefix}ptCount val="{len(values)}"/>{made}'.encode()

    changed = CACHE.sub(fresh, text)
    return content if changed == text else changed


def _spelt(value):
    return escape(str(value)) if isinstance(value, str) else repr(float(value))
