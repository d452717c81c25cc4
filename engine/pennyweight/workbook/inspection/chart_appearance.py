"""Changes of charts, compared with the workbook as issued."""

import re

from openpyxl.utils.cell import get_column_letter

from ..layout import layout
from ..package.chart_cache import cells_of, stale_point
from .findings import Finding, value_shown
from .formula_equality import plain_reference

CHANGED_TEXT = "text of a chart changed"
TITLES = {"chart title missing": "titles", "axis title missing": "axis_titles"}
UNTITLED = {"None"}
"""Texts that some programs write for a missing title."""
ROW_PART = re.compile(r"([a-z]+(\d+)):[a-z]+\2$")


def chart_appearance(sheet, contents, pristine, moved, before):
    """Charts with other cells, texts or axes, and missing charts.

    A chart that reads none of the cells of the issued charts is a partner's own.
    """
    actual, expected = contents.structure, pristine.structure
    reference = expected.charts.get(sheet, ())
    wanted = _references(reference, moved)
    known = {_beginning(formula) for formula in wanted}
    present = [
        chart
        for chart in actual.charts.get(sheet, ())
        if known & set(map(_beginning, _references([chart], moved)))
    ]
    found = _references(present, moved)
    other = found - wanted
    if other and before is not None:
        other -= _references(before().structure.charts.get(sheet, ()), moved)
    for formula in sorted(other):
        # A workbook that was renewed has the charts of its first issue.
        longer = _beginning(formula) in known
        if longer and _to_the_end(formula):
            continue
        kind = "chart of another length" if longer else "chart of other cells"
        ends = ("cells of the issue", formula)
        yield Finding(sheet, "", kind, *ends, grave=not longer)
    lost = sorted(known - set(map(_beginning, found)))
    drawn = [
        sum(shape.kind == "chart" for shape in s.drawings.get(sheet, ()))
        for s in (expected, actual)
    ]
    if lost or drawn[1] < drawn[0]:
        ends = (f"{drawn[0]} charts", f"{drawn[1]}, none of " + ", ".join(lost[:5]))
        yield Finding(sheet, "", "chart missing", *ends)
    texts = _texts(reference), _texts(present)
    if present and texts[0] != texts[1]:
        lost, added = texts[0] - texts[1], texts[1] - texts[0]
        kind = _text_kind(lost, added, [*reference, *present])
        added = added if kind == CHANGED_TEXT else ()
        ends = (", ".join(sorted(some)) for some in (lost, added))
        yield Finding(sheet, "", kind, *ends)
    yield from _axes(sheet, present, reference, moved, before)
    for chart in present:
        yield from _points(sheet, chart, contents)


def _points(sheet, chart, contents):
    """Stored points that differ from the cells; programs show them without asking."""
    for number, kind, points in chart.points:
        if "Lit" in kind or number < 0:
            values = ", ".join(list(points.values())[:10])
            yield Finding(sheet, "", "chart of other cells", "cells", values)
            continue
        formula = chart.formulas[number]
        stale = stale_point(formula, kind, points, contents.stored)
        if stale is not None:
            place, text = stale
            read = cells_of(formula)[0]
            was = f"{formula}: {value_shown(contents.stored(read, place))}"
            kept = text or "nothing"
            yield Finding(sheet, "", "figures kept by a chart", was, kept)


def _axes(sheet, charts, expected, moved, before):
    """Axes reversed, cut or deleted, other number formats, invisible letters."""
    for chart in charts:
        reference = _same_chart(chart, expected, moved)
        wanted = reference.scales
        if chart.scales <= wanted:
            continue
        if before is not None:
            issued = _same_chart(chart, before().structure.charts[sheet], moved)
            if chart.scales <= issued.scales:
                continue
        # The months that a chart shows are those of its first issue.
        renewed = _references([chart], moved) != _references([reference], moved)
        grave = {name for name, _ in chart.scales - wanted} != {"max"} or not renewed
        ends = _scales(wanted), _scales(chart.scales)
        yield Finding(sheet, "", "look of a chart changed", *ends, grave=grave)


def _same_chart(chart, charts, moved):
    """The chart that has most cells in common with this one."""
    read = set(map(_beginning, _references([chart], moved)))
    return max(
        charts,
        key=lambda one: len(read & set(map(_beginning, _references([one], moved)))),
    )


def _scales(scales):
    """Settings of the axes, in words."""
    return ", ".join(sorted(f"{name} {value}" for name, value in scales)) or "automatic"


def _to_the_end(formula):
    """Whether a range of months ends with the last month."""
    months = layout().axes["month"]
    last = get_column_letter(months.at(months.lengths[0] - 1)[1] + 1).lower()
    ends = formula.rpartition(":")[2].rstrip("0123456789") == last
    return ends and formula.startswith(months.sheet.lower())


def _text_kind(lost, added, charts):
    """The kind of finding: a title is missing, or a text changed."""
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
    """The cells that charts read, except on sheets with moved rows."""
    found = {plain_reference(f) for chart in charts for f in chart.formulas}
    return {f for f in found if "!" in f and f.rpartition("!")[0] not in moved}


def _beginning(formula):
    """A range in one row without its last column; other references unchanged."""
    return ROW_PART.sub(r"\1:\2", formula)
