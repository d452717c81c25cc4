"""What hides or changes a figure on screen, held against the workbook as written."""

import itertools
import re
from collections import defaultdict, namedtuple

from openpyxl.utils.cell import get_column_letter, range_boundaries

from ..layout import SHEETS
from ..package.sheet_look import FLAT, NARROW, is_on, number_of
from ..package.sheet_part import address_of
from ..package.style_part import BLACK, WHITE, RuleStyle
from ..risk_sheet.layout import SHEET as RISK
from ..risk_sheet.layout import is_filled
from .chart_looks import chart_looks
from .findings import Finding
from .formula_equality import same_formula

LEAST_CONTRAST = 1.5
"""Of letters on their ground, as `_contrast` has it; our figures have more than 3, and
1 is no contrast at all."""
LEAST_SIZE, LEAST_ZOOM = 4.0, 25.0
"""Points of a font, and per cent of a view, below which nobody reads a figure."""
CODES = re.compile(r'&(?:"[^"]*"|K[0-9A-Fa-f]{6}|[0-9]+|[KkSsUuEeXxYyBbIi]|[LCR])')
LITERAL = re.compile(r'"([^"]*)"')
SIGNS = re.compile("dings|symbol|marlett|barcode|blank", re.I)
SEEN = "text in the colour of its ground"
NOTE = (255, 255, 225)
"""Ground of a comment."""
LARGE = 20_000
"""Cells of an area that are looked at one by one."""
EDGE = 1
"""Rows and columns by which programs move the corner of a chart."""


def looks(contents, pristine, moved=(), before=None):
    """List what hides or changes a figure on screen.

    Parameters
    ----------
    contents, pristine : Contents
        Of the workbook, and of the one written again from its inputs.
    moved : collection of str, optional
        Sheets whose cells stand elsewhere, so that they cannot be compared.
    before : callable, optional
        Gives the contents written for the inputs of the issue, where they differ: how
        many months a chart shows follows them.

    Yields
    ------
    finding : Finding
    """
    yield from _settings(contents.structure)
    yield from _over_charts(contents.structure)
    for sheet in SHEETS:
        if sheet not in contents.sheets or sheet in moved:
            continue
        there, ours = contents.structure, pristine.structure
        filled = pristine.sheets[sheet]
        yield from _styles(sheet, contents, pristine)
        yield from _pieces(sheet, contents, filled)
        if sheet in there.looks:
            pair = there.looks[sheet], ours.looks[sheet]
            yield from _sizes(sheet, *pair, filled)
            yield from _merges(sheet, *pair, filled)
            yield from _view(sheet, *pair)
            yield from _validations(sheet, *pair, filled)
            yield from _conditions(sheet, *pair, there.styles, ours.styles)
        yield from _objects(sheet, there, ours, filled)
        if sheet != RISK or is_filled(contents):
            names = {name.lower() for name in moved}
            yield from chart_looks(sheet, contents, pristine, names, before)


def _settings(structure):
    """Settings of the whole workbook."""
    book = structure.settings.get("workbookPr", {})
    view = structure.settings.get("workbookView", {})
    if is_on(book.get("date1904")):
        yield Finding("", "", "dates from 1904", "from 1900", "from 1904")
    if is_on(structure.settings.get("calcPr", {}).get("iterate")):
        # Gnumeric always writes this; it acts on a formula that reads itself only.
        yield Finding("", "", "iteration", "off", "on", grave=False)
    shown = view.get("visibility", "visible") == "visible"
    if not shown or not is_on(view.get("showSheetTabs", "1")):
        yield Finding("", "", "window hidden", "shown", "hidden")


def _over_charts(structure):
    for relation in structure.relations:
        if relation.kind.lower() == "chartusershapes":
            told = f"a shape in a chart ({relation.owner})"
            mend = "Delete it, unless it is yours."
            yield Finding("", "", "object over figures", "", told, mend)


def _styles(sheet, contents, pristine):
    """Number formats, colours, sizes and protection of the cells of ours."""
    there, ours = contents.structure.styles, pristine.structure.styles
    cells, known = contents.sheets[sheet], {}
    told = defaultdict(list)
    for place, cell in pristine.sheets[sheet].items():
        if place in cells:
            pair = cell.style, cells[place].style, bool(cell.formula)
            if pair not in known:
                known[pair] = list(_style(*pair, ours, there))
            for difference in known[pair]:
                told[difference].append(place)
    yield from _by_difference(sheet, told)


def _by_difference(sheet, told):
    """One finding for each difference, at the first of its cells."""
    for (kind, was, now), places in told.items():
        more = f" in {len(places)} cells" if len(places) > 1 else ""
        yield Finding(sheet, address_of(min(places)), kind, was, f"{now}{more}")


def _style(one, other, calculated, ours, theirs):
    formats = ours.format(one), theirs.format(other)
    if len(set(map(plain_format, formats))) > 1:
        yield "number format changed", *formats
    pair = (
        (ours.font(one), ours.ground(one)),
        (theirs.font(other), theirs.ground(other)),
    )
    for was, now in zip(*(_legibility(*told) for told in pair), strict=True):
        if was.fine and not now.fine:
            yield now.kind, was.told, now.told
    before, after = ours.style(one), theirs.style(other)
    if after.placing and not before.placing:
        yield "figure placed otherwise", "in the cell", after.placing
    if not calculated:
        return
    if before.locked and not after.locked:
        yield "cell unlocked", "locked", "not locked"
    if after.formula_hidden and not before.formula_hidden:
        yield "formula out of sight", "shown", "hidden"


Legibility = namedtuple("Legibility", "kind fine told")


def _legibility(font, ground):
    """What in a font can keep a reader from reading it, and whether it does."""
    color, size = font.color or BLACK, font.size or LEAST_SIZE
    told = " on ".join("#" + bytes(one).hex() for one in (color, ground))
    yield Legibility(SEEN, _seen(color, ground), told)
    large = size >= LEAST_SIZE
    yield Legibility("text too small to read", large, f"{size:g} points")
    yield Legibility("font of signs", not SIGNS.search(font.name), font.name)


def _pieces(sheet, contents, filled):
    """Pieces of our texts, and of comments, that nobody can read."""
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
                    told = f"{text.strip()!r}: {found.told}"
                    where = address_of(place)
                    yield Finding(sheet, where, found.kind, "", told)


def plain_format(code):
    """A number format without what programs spell in several ways.

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


def _sizes(sheet, look, ours, filled):
    """Rows and columns too small to be seen."""
    rows, columns = {r for r, _ in filled}, {c for _, c in filled}
    flat = sorted((look.flat_rows - ours.flat_rows) & rows)
    narrow = [
        column
        for first, last in look.narrow
        for column in sorted(columns)
        if first <= column <= last
    ]
    plain = look.settings.get("sheetFormatPr", {})
    if is_on(plain.get("zeroHeight")) or _below(plain.get("defaultRowHeight"), FLAT):
        flat = flat or sorted(rows)[:1]
    if _below(plain.get("defaultColWidth"), NARROW):
        narrow = narrow or sorted(columns)[:1]
    if flat:
        told = ", ".join(f"row {row + 1}" for row in flat[:10])
        yield Finding(sheet, f"A{flat[0] + 1}", "row too low", "", told)
    if narrow:
        letters = [get_column_letter(column + 1) for column in narrow[:10]]
        told = f"column {', '.join(letters)}"
        where = f"{letters[0]}1"
        yield Finding(sheet, where, "column too narrow", "", told)


def _below(text, least):
    value = number_of(text)
    return value is not None and value < least


def _merges(sheet, look, ours, filled):
    """Merges that hide cells of ours."""
    for ref in dict.fromkeys(look.merges):
        area = _area(ref)
        if ref in ours.merges or area is None:
            continue
        hidden = [
            (row, column)
            for row, column in filled
            if _within((row, column), area) and (row, column) != area[:2]
        ]
        if hidden:
            where = address_of(min(hidden))
            told = f"{ref} is one cell, over {len(hidden)} cells"
            yield Finding(sheet, where, "cells merged", "", told)


def _area(ref):
    """Top, left, bottom and right of a range, from 0; None for no range."""
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


def _view(sheet, look, ours):
    """Views in which figures do not show, protection, headers and footers."""
    view = look.settings.get("sheetView", {})
    if not is_on(view.get("showZeros", "1")):
        yield Finding(sheet, "", "zeros hidden", "shown", "hidden")
    if is_on(view.get("showFormulas")):
        yield Finding(sheet, "", "formulas shown", "values", "formulas")
    if _below(view.get("zoomScale"), LEAST_ZOOM):
        told = f"zoom of {view['zoomScale']}%"
        yield Finding(sheet, "", "text too small to read", "100%", told, "Zoom in.")
    protected = [
        is_on(one.settings.get("sheetProtection", {}).get("sheet", "0"))
        for one in (ours, look)
    ]
    if protected == [True, False]:
        told = ("protected", "not protected")
        yield Finding(sheet, "", "protection removed", *told)
    for which in {**ours.page_texts, **look.page_texts}:
        texts = [one.page_texts.get(which, "") for one in (ours, look)]
        if len({_plain_page(text) for text in texts}) > 1:
            yield Finding(sheet, "", "header or footer changed", *texts)


def _plain_page(text):
    return "".join(CODES.sub("", text).split())


def _by_cell(rules, filled):
    """The rule of each cell; of a large area only for the cells of ours."""
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


def _validations(sheet, look, ours, filled):
    """Validations that are gone, wider, weaker or say something else."""
    there, told = _by_cell(look.validations, filled), defaultdict(list)
    known = _by_cell(ours.validations, filled)
    for place in (there.keys() - known.keys()) & filled.keys():
        if prompt := there[place].attributes.get("prompt"):
            told["validation text changed", "", prompt].append(place)
    for place, rule in known.items():
        for difference in _rule(rule, there.get(place), sheet):
            told[difference].append(place)
    yield from _by_difference(sheet, told)


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


def _conditions(sheet, look, ours, styles, our_styles):
    """Conditional formats of ours that are gone or changed, and those that hide."""
    there = {_condition(rule, styles) for rule in look.conditions}
    for rule in ours.conditions:
        if _condition(rule, our_styles) not in there:
            where, told = _rule_told(rule)
            kind = "conditional format changed"
            yield Finding(sheet, where, kind, told, "another or none")
    known = {_condition(rule, our_styles) for rule in ours.conditions}
    for rule in look.conditions:
        if _condition(rule, styles) not in known and _hides(rule, styles):
            where, told = _rule_told(rule)
            yield Finding(sheet, where, "conditional format that hides", "", told)


def _rule_told(rule):
    """The first cell of a rule, and its cells and formulas."""
    where = rule.cells.split(" ")[0].split(":")[0]
    return where, f"{rule.cells}: {' '.join(rule.formulas)}"


def _hides(rule, styles):
    """Whether a rule can put a number out of sight, or show another one."""
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
    """A rule by where it holds, the words it looks for, and what it shows."""
    words = {w for formula in rule.formulas for w in LITERAL.findall(formula)}
    style = _rule_style(rule, styles)
    shown = (style.color, style.ground) if style else ()
    bare = () if words else tuple("".join(f.split()).lower() for f in rule.formulas)
    return _areas(rule.cells), frozenset(words), bare, shown


def _objects(sheet, there, ours, filled):
    """Charts, pictures and shapes that lie over cells of ours."""
    mine = [shape.corners for shape in ours.drawings.get(sheet, ())]
    for shape in there.drawings.get(sheet, ()):
        if any(_near(shape.corners, corners) for corners in mine):
            continue
        under = [place for place in filled if _covers(shape.corners, place)]
        if under:
            told = f"{shape.kind} {shape.text}".strip()
            where = address_of(min(under))
            yield Finding(sheet, where, "object over figures", "", told)
    if b"<x:Visible" in there.notes_drawn.get(sheet, b""):
        told = "a comment that stays open"
        yield Finding(sheet, "", "object over figures", "", told, "Close it.", False)


def _near(one, other):
    pairs = zip(one, other, strict=False)
    return len(one) == len(other) and all(abs(a - b) <= EDGE for a, b in pairs)


def _covers(corners, place):
    """Corners are column and row of the first cell, then of the last."""
    if len(corners) < 2:
        return True
    last = corners[2:] if len(corners) >= 4 else (corners[0] + 3, corners[1] + 10)
    return corners[0] <= place[1] <= last[0] and corners[1] <= place[0] <= last[1]
