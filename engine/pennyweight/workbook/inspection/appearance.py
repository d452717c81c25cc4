"""Formats, rules and objects that hide or change figures on screen."""

import itertools
import re
from collections import defaultdict, namedtuple

from openpyxl.utils.cell import get_column_letter, range_boundaries

from ..layout import SHEETS
from ..package.sheet_appearance import FLAT, NARROW, is_on, number_of
from ..package.sheet_part import address_of
from ..package.style_part import BLACK, WHITE, RuleStyle
from ..risk_sheet.layout import SHEET as RISK
from ..risk_sheet.layout import is_filled
from .chart_appearance import chart_appearance
from .findings import Finding
from .formula_equality import same_formula

LEAST_CONTRAST = 1.5
"""Least contrast ratio of letters and background; as issued it is above 3, and 1 is no
contrast."""
LEAST_SIZE, LEAST_ZOOM = 4.0, 25.0
"""Font size in points, and zoom in percent, below which figures are illegible."""
CODES = re.compile(r'&(?:"[^"]*"|K[0-9A-Fa-f]{6}|[0-9]+|[KkSsUuEeXxYyBbIi]|[LCR])')
LITERAL = re.compile(r'"([^"]*)"')
SIGNS = re.compile("dings|symbol|marlett|barcode|blank", re.I)
SEEN = "text in the colour of its background"
NOTE = (255, 255, 225)
"""Background colour of a comment."""
LARGE = 20_000
"""Most cells of an area that are compared one by one."""
EDGE = 1
"""Rows and columns by which programs may move the corner of a chart."""


def appearance(contents, pristine, moved=(), before=None):
    """List what hides or changes a figure on screen.

    Parameters
    ----------
    contents, pristine : Contents
        Of the workbook, and of the one written anew from its inputs.
    moved : collection of str, optional
        Sheets with moved cells, which cannot be compared.
    before : callable, optional
        Gives the contents for the inputs of the issue if they differ: they determine
        how many months a chart shows.

    Yields
    ------
    finding : Finding
    """
    yield from _settings(contents.structure)
    yield from _over_charts(contents.structure)
    for sheet in SHEETS:
        if sheet not in contents.sheets or sheet in moved:
            continue
        yield from sheet_appearance(sheet, contents, pristine, before)
        if sheet != RISK or is_filled(contents):
            names = {name.lower() for name in moved}
            yield from chart_appearance(sheet, contents, pristine, names, before)


def sheet_appearance(sheet, contents, pristine, before=None):
    """List what hides or changes a figure of one sheet, its charts left out.

    Parameters
    ----------
    sheet : str
    contents, pristine : Contents
    before : callable, optional
        As for `appearance`; validations name amounts in the currency of the issue.

    Yields
    ------
    finding : Finding
    """
    there, expected = contents.structure, pristine.structure
    filled = pristine.sheets[sheet]
    yield from _styles(sheet, contents, pristine)
    yield from _pieces(sheet, contents, filled)
    if sheet in there.appearances:
        pair = there.appearances[sheet], expected.appearances[sheet]
        yield from _sizes(sheet, *pair, filled)
        yield from _merges(sheet, *pair, filled)
        yield from _view(sheet, *pair)
        changed = [*_validations(sheet, *pair, filled)]
        if changed and before is not None:
            issued = before().structure.appearances[sheet]
            changed = [*_validations(sheet, pair[0], issued, filled)]
        yield from changed
        yield from _conditions(sheet, *pair, there.styles, expected.styles)
    yield from _objects(sheet, there, expected, filled)


def _settings(structure):
    """Settings of the whole workbook."""
    book = structure.settings.get("workbookPr", {})
    view = structure.settings.get("workbookView", {})
    if is_on(book.get("date1904")):
        yield Finding("", "", "dates from 1904", "from 1900", "from 1904")
    if is_on(structure.settings.get("calcPr", {}).get("iterate")):
        # Gnumeric always writes this; it affects only formulas that read themselves.
        yield Finding("", "", "iteration", "off", "on", grave=False)
    shown = view.get("visibility", "visible") == "visible"
    if not shown or not is_on(view.get("showSheetTabs", "1")):
        yield Finding("", "", "window hidden", "shown", "hidden")


def _over_charts(structure):
    for relation in structure.relations:
        if relation.kind.lower() == "chartusershapes":
            found = f"a shape in a chart ({relation.owner})"
            fix = "Delete it, unless it is yours."
            yield Finding("", "", "object over figures", "", found, fix)


def _styles(sheet, contents, pristine):
    """Number formats, colours, font sizes and protection of the issued cells."""
    there, expected = contents.structure.styles, pristine.structure.styles
    cells, known = contents.sheets[sheet], {}
    found = defaultdict(list)
    for place, cell in pristine.sheets[sheet].items():
        if place in cells:
            pair = cell.style, cells[place].style, bool(cell.formula)
            if pair not in known:
                known[pair] = list(_style(*pair, expected, there))
            for difference in known[pair]:
                found[difference].append(place)
    yield from _by_difference(sheet, found)


def _by_difference(sheet, found):
    """One finding for each difference, at the first of its cells."""
    for (kind, was, now), places in found.items():
        more = f" in {len(places)} cells" if len(places) > 1 else ""
        yield Finding(sheet, address_of(min(places)), kind, was, f"{now}{more}")


def _style(one, other, calculated, expected, theirs):
    formats = expected.format(one), theirs.format(other)
    if len(set(map(plain_format, formats))) > 1:
        yield "number format changed", *formats
    pair = (
        (expected.font(one), expected.ground(one)),
        (theirs.font(other), theirs.ground(other)),
    )
    for was, now in zip(*(_legibility(*found) for found in pair), strict=True):
        if was.fine and not now.fine:
            yield now.kind, was.shown, now.shown
    before, after = expected.style(one), theirs.style(other)
    if after.placing not in ("", before.placing):
        yield "figure placed otherwise", before.placing or "in the cell", after.placing
    if not calculated:
        return
    if before.locked and not after.locked:
        yield "cell unlocked", "locked", "not locked"
    # Gnumeric marks every unlocked cell so.
    if before.locked and after.formula_hidden and not before.formula_hidden:
        yield "formula out of sight", "shown", "hidden"


Legibility = namedtuple("Legibility", "kind fine shown")


def _legibility(font, ground):
    """Contrast, size and name of a font, and whether each can be read."""
    color, size = font.color or BLACK, font.size or LEAST_SIZE
    colors = " on ".join("#" + bytes(one).hex() for one in (color, ground))
    yield Legibility(SEEN, _seen(color, ground), colors)
    large = size >= LEAST_SIZE
    yield Legibility("text too small to read", large, f"{size:g} points")
    yield Legibility("font of signs", not SIGNS.search(font.name), font.name)


def _pieces(sheet, contents, filled):
    """Illegible parts of issued texts and of comments."""
    structure, cells = contents.structure, contents.sheets[sheet]
    styles = structure.styles
    texts = [
        (place, styles.ground(cells[place].style), pieces)
        for place, pieces in structure.pieces.get(sheet, {}).items()
        if place in filled
    ]
    notes = structure.note_pieces.get(sheet, {}).items()
    texts += [(place, NOTE, pieces) for place, pieces in notes]
    for place, ground, pieces in texts:
        for text, font in pieces:
            for found in _legibility(styles.piece(font), ground):
                if text.strip() and not found.fine:
                    detail = f"{text.strip()!r}: {found.shown}"
                    where = address_of(place)
                    yield Finding(sheet, where, found.kind, "", detail)


def plain_format(code):
    """A number format in one spelling.

    Examples
    --------
    >>> plain_format(r"0.00;[RED]\\-0.00") == plain_format("0.00;[Red]-0.00")
    True
    """
    code = code.replace("\\", "").lower()
    return code.removesuffix(";@").replace("_-", "").strip()


def _seen(color, ground):
    return _contrast(color, ground) >= LEAST_CONTRAST


def _contrast(one, other):
    """Contrast ratio of two colours, 1 to 21 (W3C, WCAG 2.2, success criterion 1.4.3).

    Examples
    --------
    >>> round(_contrast((255, 255, 255), (0, 0, 0)), 6)
    21.0
    """
    darker, lighter = sorted(map(_luminance, (one, other)))
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(color):
    shares = (value / 255 for value in color)
    linear = (
        share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4
        for share in shares
    )
    return sum(w * v for w, v in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def _sizes(sheet, actual, expected, filled):
    """Rows and columns too small to show anything."""
    rows, columns = {r for r, _ in filled}, {c for _, c in filled}
    flat = sorted((actual.flat_rows - expected.flat_rows) & rows)
    narrow = [
        column
        for first, last in actual.narrow
        for column in sorted(columns)
        if first <= column <= last
    ]
    plain = actual.settings.get("sheetFormatPr", {})
    if is_on(plain.get("zeroHeight")) or _below(plain.get("defaultRowHeight"), FLAT):
        flat = flat or sorted(rows)[:1]
    if _below(plain.get("defaultColWidth"), NARROW):
        narrow = narrow or sorted(columns)[:1]
    if flat:
        found = ", ".join(f"row {row + 1}" for row in flat[:10])
        yield Finding(sheet, f"A{flat[0] + 1}", "row too low", "", found)
    if narrow:
        letters = [get_column_letter(column + 1) for column in narrow[:10]]
        found = f"column {', '.join(letters)}"
        where = f"{letters[0]}1"
        yield Finding(sheet, where, "column too narrow", "", found)


def _below(text, least):
    value = number_of(text)
    return value is not None and value < least


def _merges(sheet, actual, expected, filled):
    """Merged cells that hide issued cells."""
    for ref in dict.fromkeys(actual.merges):
        area = _area(ref)
        if ref in expected.merges or area is None:
            continue
        hidden = [
            (row, column)
            for row, column in filled
            if _within((row, column), area) and (row, column) != area[:2]
        ]
        if hidden:
            where = address_of(min(hidden))
            found = f"{ref} is one cell, over {len(hidden)} cells"
            yield Finding(sheet, where, "cells merged", "", found)


def _area(ref):
    """Top, left, bottom and right of a range, from 0; None if it is not a range."""
    try:
        left, top, right, bottom = range_boundaries(ref.replace("$", ""))
    except (ValueError, TypeError):
        return None
    ends = (top or 1, left or 1, bottom or 1_048_576, right or 16_384)
    return tuple(end - 1 for end in ends)


def _areas(refs):
    return frozenset(area for ref in refs.split() if (area := _area(ref)))


def _within(place, area):
    return area[0] <= place[0] <= area[2] and area[1] <= place[1] <= area[3]


def _view(sheet, actual, expected):
    """View settings that hide figures, protection, headers and footers."""
    view = actual.settings.get("sheetView", {})
    if not is_on(view.get("showZeros", "1")):
        yield Finding(sheet, "", "zeros hidden", "shown", "hidden")
    if is_on(view.get("showFormulas")):
        yield Finding(sheet, "", "formulas shown", "values", "formulas")
    if _below(view.get("zoomScale"), LEAST_ZOOM):
        found = f"zoom of {view['zoomScale']}%"
        yield Finding(sheet, "", "text too small to read", "100%", found, "Zoom in.")
    protected = [
        is_on(one.settings.get("sheetProtection", {}).get("sheet", "0"))
        for one in (expected, actual)
    ]
    if protected == [True, False]:
        found = ("protected", "not protected")
        yield Finding(sheet, "", "protection removed", *found)
    for which in {**expected.page_texts, **actual.page_texts}:
        texts = [one.page_texts.get(which, "") for one in (expected, actual)]
        if len({_plain_page(text) for text in texts}) > 1:
            yield Finding(sheet, "", "header or footer changed", *texts)


def _plain_page(text):
    return "".join(CODES.sub("", text).split())


def _by_cell(rules, filled):
    """The rule of each cell; in a large area only for issued cells."""
    found = {}
    for rule in rules:
        for area in _areas(rule.cells):
            for place in _places(area, filled):
                found.setdefault(place, rule)
    return found


def _places(area, filled):
    top, left, bottom, right = area
    if (bottom - top + 1) * (right - left + 1) > LARGE:
        return [place for place in filled if _within(place, area)]
    return itertools.product(range(top, bottom + 1), range(left, right + 1))


def _validations(sheet, actual, expected, filled):
    """Validations that are missing, wider, weaker or have another text."""
    there, found = _by_cell(actual.validations, filled), defaultdict(list)
    known = _by_cell(expected.validations, filled)
    for place in (there.keys() - known.keys()) & filled.keys():
        if prompt := there[place].attributes.get("prompt"):
            found["validation text changed", "", prompt].append(place)
    for place, rule in known.items():
        for difference in _rule(rule, there.get(place), sheet):
            found[difference].append(place)
    yield from _by_difference(sheet, found)


def _rule(rule, found, sheet):
    if found is None:
        yield "validation removed", _bounds(rule), "none"
        return
    if not _same_bounds(rule, found, sheet):
        yield "validation changed", _bounds(rule), _bounds(found)
    elif not is_on(found.attributes.get("showErrorMessage", "0")) or (
        found.attributes.get("errorStyle", "stop") != "stop"
    ):
        yield "validation changed", "a wrong entry is refused", "it is let in"
    for text in ("error", "prompt"):
        texts = [one.attributes.get(text, "") for one in (rule, found)]
        if texts[1] and len({" ".join(t.split()) for t in texts}) > 1:
            yield "validation text changed", *texts


def _same_bounds(rule, there, sheet):
    kinds = [
        (r.attributes.get("type", "none"), r.attributes.get("operator", "between"))
        for r in (rule, there)
    ]
    if kinds[0] != kinds[1] and not kinds[0][0] == kinds[1][0] == "list":
        return False
    if len(rule.formulas) > len(there.formulas):
        return False
    pairs = zip(rule.formulas, there.formulas, strict=False)
    return all(same_formula(f"={one}", f"={other}", sheet) for one, other in pairs)


def _bounds(rule):
    kind = rule.attributes.get("type", "any")
    return f"{kind} {' to '.join(rule.formulas)}".strip()


def _conditions(sheet, actual, expected, styles, our_styles):
    """Issued conditional formats that are missing or changed, and those that hide."""
    there = {_condition(rule, styles) for rule in actual.conditions}
    for rule in expected.conditions:
        if _condition(rule, our_styles) not in there:
            where, found = _rule_words(rule)
            kind = "conditional format changed"
            yield Finding(sheet, where, kind, found, "another or none")
    known = {_condition(rule, our_styles) for rule in expected.conditions}
    for rule in actual.conditions:
        if _condition(rule, styles) not in known and _hides(rule, styles):
            where, found = _rule_words(rule)
            yield Finding(sheet, where, "conditional format that hides", "", found)


def _rule_words(rule):
    """The first cell of a rule, and its cells and formulas."""
    where = rule.cells.split(" ")[0].split(":")[0]
    return where, f"{rule.cells}: {' '.join(rule.formulas)}"


def _hides(rule, styles):
    """Whether a rule can hide a number or show another one."""
    style = _rule_style(rule, styles) or RuleStyle()
    seen = _seen(style.color or BLACK, style.ground or WHITE)
    bare = not is_on(rule.attributes.get("showValue", "1"))
    return bare or not seen or style.format is not None


def _rule_style(rule, styles):
    number = rule.attributes.get("dxfId", "")
    fit = number.isdecimal() and len(number) < 7
    known = fit and int(number) < len(styles.rule_styles)
    return styles.rule_styles[int(number)] if known else None


def _condition(rule, styles):
    """A rule as its cells, the words it looks for, its formulas and its colours."""
    words = {w for formula in rule.formulas for w in LITERAL.findall(formula)}
    style = _rule_style(rule, styles)
    shown = (style.color, style.ground) if style else ()
    bare = () if words else tuple("".join(f.split()).lower() for f in rule.formulas)
    return _areas(rule.cells), frozenset(words), bare, shown


def _objects(sheet, there, expected, filled):
    """Charts, pictures and shapes over issued cells."""
    mine = [shape.corners for shape in expected.drawings.get(sheet, ())]
    for shape in there.drawings.get(sheet, ()):
        if any(_near(shape.corners, corners) for corners in mine):
            continue
        under = [place for place in filled if _covers(shape.corners, place)]
        if under:
            found = f"{shape.kind} {shape.text}".strip()
            where = address_of(min(under))
            yield Finding(sheet, where, "object over figures", "", found)
    if b"<x:Visible" in there.notes_drawn.get(sheet, b""):
        found = "a comment that stays open"
        yield Finding(sheet, "", "object over figures", "", found, "Close it.", False)


def _near(one, other):
    pairs = zip(one, other, strict=False)
    return len(one) == len(other) and all(abs(a - b) <= EDGE for a, b in pairs)


def _covers(corners, place):
    """Whether a shape covers a cell; corners are column and row, first and last."""
    if len(corners) < 2:
        return True
    last = corners[2:] if len(corners) >= 4 else (corners[0] + 3, corners[1] + 10)
    return corners[0] <= place[1] <= last[0] and corners[1] <= place[0] <= last[1]
