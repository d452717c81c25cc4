"""Charts that show other than they say, held against the workbook as written."""

import re

from openpyxl.utils.cell import get_column_letter

from ..layout import layout
from ..package.chart_cache import cells_of, stale_point
from .findings import Finding, value_shown
from .formula_equality import plain_reference

CHANGED_TEXT = "text of a chart changed"
TITLES = {"chart title missing": "titles", "axis title missing": "axis_titles"}
UNTITLED = {"None"}
"""What some programs write for a title that is missing."""
ROW_PART = re.compile(r"([a-z]+(\d+)):[a-z]+\2$")


def chart_looks(sheet, contents, pristine, moved, before):
    """Charts that read other cells, say something else, or are gone.

    A chart that reads none of the cells of ours is the partner's own.
    """
    there, ours = contents.structure, pristine.structure
    mine = ours.charts.get(sheet, ())
    wanted = _references(mine, moved)
    known = {_beginning(formula) for formula in wanted}
    theirs = [
        chart
        for chart in there.charts.get(sheet, ())
        if known & set(map(_beginning, _references([chart], moved)))
    ]
    found = _references(theirs, moved)
    other = found - wanted
    if other and before is not None:
        other -= _references(before().structure.charts.get(sheet, ()), moved)
    for formula in sorted(other):
        # A workbook that was renewed has the charts of its first issue.
        longer = _beginning(formula) in known
        if longer and _to_the_end(formula):
            continue
        kind = "chart of another length" if longer else "chart of other cells"
        told = ("cells of the issue", formula)
        yield Finding(sheet, "", kind, *told, grave=not longer)
    lost = sorted(known - set(map(_beginning, found)))
    drawn = [
        sum(shape.kind == "chart" for shape in s.drawings.get(sheet, ()))
        for s in (ours, there)
    ]
    if lost or drawn[1] < drawn[0]:
        told = (f"{drawn[0]} charts", f"{drawn[1]}, none of " + ", ".join(lost[:5]))
        yield Finding(sheet, "", "chart missing", *told)
    texts = _texts(mine), _texts(theirs)
    if theirs and texts[0] != texts[1]:
        lost, added = texts[0] - texts[1], texts[1] - texts[0]
        kind = _text_kind(lost, added, [*mine, *theirs])
        added = added if kind == CHANGED_TEXT else ()
        told = (", ".join(sorted(some)) for some in (lost, added))
        yield Finding(sheet, "", kind, *told)
    yield from _axes(sheet, theirs, mine, moved, before)
    for chart in theirs:
        yield from _points(sheet, chart, contents)


def _points(sheet, chart, contents):
    """Points that are not those of the cells: no program asks before it shows them."""
    for number, kind, points in chart.points:
        if "Lit" in kind or number < 0:
            told = ", ".join(list(points.values())[:10])
            yield Finding(sheet, "", "chart of other cells", "cells", told)
            continue
        formula = chart.formulas[number]
        stale = stale_point(formula, kind, points, contents.stored)
        if stale is not None:
            place, told = stale
            read = cells_of(formula)[0]
            was = f"{formula}: {value_shown(contents.stored(read, place))}"
            kept = told or "nothing"
            yield Finding(sheet, "", "figures kept by a chart", was, kept)


def _axes(sheet, charts, ours, moved, before):
    """Axes turned round, cut off or gone; other formats; letters out of sight."""
    for chart in charts:
        mine = _same_chart(chart, ours, moved)
        wanted = mine.scales
        if chart.scales <= wanted:
            continue
        if before is not None:
            issued = _same_chart(chart, before().structure.charts[sheet], moved)
            if chart.scales <= issued.scales:
                continue
        # The months that a chart shows are those of its first issue.
        renewed = _references([chart], moved) != _references([mine], moved)
        grave = {name for name, _ in chart.scales - wanted} != {"max"} or not renewed
        told = _scales(wanted), _scales(chart.scales)
        yield Finding(sheet, "", "look of a chart changed", *told, grave=grave)


def _same_chart(chart, charts, moved):
    """The one of the charts that reads most of the same cells."""
    read = set(map(_beginning, _references([chart], moved)))
    return max(
        charts,
        key=lambda one: len(read & set(map(_beginning, _references([one], moved)))),
    )


def _scales(scales):
    """What axes say of their scales, in words."""
    return ", ".join(sorted(f"{name} {value}" for name, value in scales)) or "automatic"


def _to_the_end(formula):
    """Whether a row of months is read to the last: no month is left out."""
    months = layout().axes["month"]
    last = get_column_letter(months.at(months.lengths[0] - 1)[1] + 1).lower()
    ends = formula.rpartition(":")[2].rstrip("0123456789") == last
    return ends and formula.startswith(months.sheet.lower())


def _text_kind(lost, added, charts):
    """Whether titles are gone, or texts are other ones."""
    if added <= UNTITLED:
        for kind, part in TITLES.items():
            titles = {_plain(t) for chart in charts for t in getattr(chart, part)}
            if lost | added <= titles:
                return kind
    return CHANGED_TEXT


def _plain(text):
    return " ".join(text.split())


def _texts(charts):
    return {_plain(text) for chart in charts for text in chart.texts} - {""}


def _references(charts, moved):
    """The cells that charts read, but for those of sheets on which rows moved."""
    found = {plain_reference(f) for chart in charts for f in chart.formulas}
    return {f for f in found if "!" in f and f.rpartition("!")[0] not in moved}


def _beginning(formula):
    """A range without the column in which it ends, if it is a part of one row."""
    return ROW_PART.sub(r"\1:\2", formula)
