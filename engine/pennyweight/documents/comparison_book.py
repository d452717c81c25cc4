"""A comparison as a workbook: table of changes, and waterfall chart."""

import numpy as np

from ..errors import plain
from ..formulas import Reference
from ..model.inputs import INPUTS
from ..model.mill_model import MODEL
from ..workbook.chart import GRID, NO_LEGEND, bars, draw
from ..workbook.files import write_whole
from ..workbook.style import ACCENT, BAD, GOOD, MONEY, number_format
from ..workbook.table import Cell, Column, Table, live, table_bytes

POINTS = '0.0" points";-0.0" points";0'
CHANGED = {"oz": "#,##0.00"}
"""Number formats of units whose own format is for amounts above zero."""
BOLD = {"bold": True}
RIGHT = {"align": "right"}
ALONE, SHARE, FROM, TO = 6, 7, 8, 9


def base(start, end):
    """Invisible part of a bar: from zero to its beginning."""
    low, high = np.minimum(start, end), np.maximum(start, end)
    return np.maximum(low, 0) + np.minimum(high, 0)


def rise_above(start, end):
    """Part of a rise that is above zero."""
    return np.maximum(np.maximum(end, 0) - np.maximum(start, 0), 0)


def rise_below(start, end):
    """Part of a rise that is below zero, as a negative number."""
    return np.minimum(np.minimum(start, 0) - np.minimum(end, 0), 0)


def fall_above(start, end):
    """Part of a fall that is above zero."""
    return rise_above(end, start)


def fall_below(start, end):
    """Part of a fall that is below zero, as a negative number."""
    return rise_below(end, start)


BARS = (
    # part of the bar, its equation, its colour
    ("Base", base, None),
    ("Rise above zero", rise_above, GOOD),
    ("Rise below zero", rise_below, GOOD),
    ("Fall above zero", fall_above, BAD),
    ("Fall below zero", fall_below, BAD),
    ("Total", None, ACCENT),
)
"""Parts of a bar; a step that crosses zero has one on each side."""
FIRST_BAR = TO + 1
COLUMNS = FIRST_BAR + len(BARS)


def _columns(short, main, comparison):
    unit, number = _unit(main, comparison), _format(main, comparison)
    return (
        Column("Changed input", width=40),
        Column("Cell", width=13),
        Column("Before", "#,##0.####", 13, looks=RIGHT),
        Column("After", "#,##0.####", 13, looks=RIGHT),
        Column("Unit", width=11),
        Column("Status", width=11),
        Column(f"{short} effect alone, {unit}", number),
        Column(f"Share of {short} change, {unit}", number, total=True),
        Column(f"From, {unit}", number),
        Column(f"To, {unit}", number),
        *(Column(name, number) for name, _, _ in BARS),
    )


def write_comparison(comparison, path, force=False):
    """Write a comparison as an .xlsx file; the steps of the waterfall are formulas.

    Parameters
    ----------
    comparison : Comparison
    path : str or Path
    force : bool

    Returns
    -------
    path : Path

    Raises
    ------
    CallError, WorkbookError
        As `files.write_whole`.
    """
    sheets = [_changes(comparison)]
    if comparison.remarks or comparison.notes:
        sheets.append(_remarks(comparison))
    if comparison.inspection is not None:
        sheets.append(_findings(comparison))
    if comparison.shares is not None:
        sheets.insert(1, _effects(comparison))
    content = table_bytes(sheets, "Comparison of two books")
    return write_whole(path, content, force)


def _changes(comparison):
    """Changes between the result before and after, all results, and the waterfall.

    Changes without a share of their own are below the result after.
    """
    basis = comparison.basis
    main, short = next(iter(comparison.money.items()))
    label = comparison.label(main)
    notes = (
        " ".join(map(_end, ("Before", "After"), comparison.files, comparison.verdicts)),
        f"Shares of the change: {basis}." if basis else "",
        *filter(None, [comparison.on_empty]),
    )
    title = f"{label}: effect of each change"
    columns = _columns(short, main, comparison)
    arguments = (title, columns, comparison.units, "Comparison", notes)
    table = Table(*arguments, top=1 + len(notes))
    table.heads()
    effects = {c: comparison.effect(c.name, main) for c in _shared(comparison)}
    effects = {c: found for c, found in effects.items() if found[1] is not None}
    top, level = table.next_row, comparison.before[main]
    _total_bar(table, "Before", level)
    for change, (alone, share) in effects.items():
        words = _label(change, comparison.with_others(change.name))
        _step(table, change, words, alone, share, level)
        level += share
    total = table.place(SHARE, top + 1), table.place(SHARE, table.next_row - 1)
    shares = sum(share for _, share in effects.values())
    gained = Cell(shares, f"=SUM({total[0]}:{total[1]})")
    last = table.next_row
    _total_bar(table, "After", comparison.after[main], gained if effects else None)
    for change in comparison.changes:
        if change not in effects:
            table.row(*_change_cells(change, change.label), "no share of its own")
    table.blank()
    _results(table, comparison)
    table.printed = (table.next_row, TO)
    if comparison.shares is not None:
        table.printed = (table.next_row + 24, TO)
        y = {"num_format": _format(main, comparison), "name": _unit(main, comparison)}
        table.charts.append(
            (table.next_row + 1, lambda p: _waterfall(p, label, y, top, last))
        )
    return table


def _end(word, file, verdict):
    """Sentence on one of the two workbooks: file and verdict."""
    named = f" ({plain(file)})" if file else ""
    return f"{word}{named}: {verdict}."


def _shared(comparison):
    """Changes that have a share."""
    if comparison.shares is None:
        return []
    return [c for c in comparison.changes if c.name in comparison.shares.names]


def _label(change, others):
    return " with ".join([change.label, *(INPUTS[name].label for name in others)])


def _change_cells(change, label):
    """The cells of a change, up to its status."""
    number = "0.0###%" if INPUTS[change.name].kind == "share" else "#,##0.####"
    ends = [_value_cell(*end, number) for end in change.ends]
    return label, change.place, *ends, change.unit, change.status


def _value_cell(value, estimated, number):
    """The cell of a value; the estimate for an empty cell is in brackets."""
    if estimated and isinstance(value, str):
        return f"empty ({value})"
    form = f'"empty ("{number}")"' if estimated else number
    return Cell(value, looks={"num_format": form})


def _total_bar(table, label, value, share=None):
    """Enter the first or the last bar, which begins at zero."""
    blank = [None] * (COLUMNS - 1)
    blank[SHARE - 1], blank[TO - 1], blank[-1] = share, value, value
    table.row(label, *blank, **BOLD)


def _step(table, change, label, alone, share, level):
    """Enter a step from the row above to this one, with its bars."""
    places = [table.place(at) for at in (FROM, TO, SHARE)]
    cells = dict(zip(("start", "end", "share"), map(Reference, places), strict=True))
    cells["above"] = Reference(table.place(TO, table.next_row - 1))
    values = {"above": level, "start": level, "share": share, "end": level + share}
    start = live(lambda above: above + 0, values, cells)
    end = live(lambda start, share: start + share, values, cells)
    bars = [live(equation, values, cells) for _, equation, _ in BARS[:-1]]
    table.row(*_change_cells(change, label), alone, share, start, end, *bars)


def _results(table, comparison):
    heads = ("Result", "", "Before", "After", "Unit", "", "Change")
    table.heads(*heads, "Shown in second workbook")
    for name in comparison.headlines:
        form = _format(name, comparison)
        looks = {"num_format": form, **RIGHT}
        ends = {"before": comparison.before[name], "after": comparison.after[name]}
        cells = {
            "before": Reference(table.place(2)),
            "after": Reference(table.place(3)),
        }
        change = None
        if None not in ends.values():
            points = MODEL.lines[name].unit in ("share", "1/year")
            equation, form = (_points, POINTS) if points else (_change, form)
            change = live(equation, ends, cells, looks={**looks, "num_format": form})
        there = Cell(comparison.shown.get(name), looks=looks)
        cells = (Cell(_or_na(value), looks=looks) for value in ends.values())
        unit = _unit(name, comparison)
        label = comparison.label(name)
        table.row(label, None, *cells, unit, None, change, there)


def _or_na(value):
    return "n/a" if value is None else value


def _unit(name, comparison):
    return comparison.unit(name).replace("1/year", "per year")


def _change(after, before):
    return after - before


def _points(after, before):
    """Difference of percentages, in points."""
    return (after - before) * 100


def _format(name, comparison):
    """Number format of a result and of its change, which may be below zero."""
    unit = MODEL.lines[name].unit
    return CHANGED.get(unit) or number_format(unit, comparison.units)


def _waterfall(package, label, y, top, last):
    labels, none = ["Comparison", top, 0, last, 0], {"none": True}
    series = [
        {
            **bars(name, labels, ["Comparison", top, column, last, column], colour),
            **({} if colour else {"fill": none}),
            "border": none,
            "gap": 40,
        }
        for column, (name, _, colour) in enumerate(BARS, FIRST_BAR)
    ]
    title = f"{label}, from before to after"
    return draw(
        *(package, "column", title, series, {"label_position": "low"}),
        {**y, "major_gridlines": GRID},
        legend=NO_LEGEND,
        size=(1100, 400),
        sub="stacked",
    )


def _effects(comparison):
    """Effect of every change on every headline result: alone, and its share."""
    columns = [
        Column("Result", width=46),
        Column("Effect alone", MONEY, 18),
        Column("Share of the change", MONEY, 18),
        Column("Unit"),
    ]
    title = "Effect of each changed input on each result"
    table = Table(title, columns, comparison.units, "Effects", top=2, landscape=False)
    table.heads()
    for change in _shared(comparison):
        table.heading(_label(change, comparison.with_others(change.name)))
        for result in comparison.headlines:
            looks = {"num_format": _format(result, comparison), **RIGHT}
            effects = comparison.effect(change.name, result)
            cells = (Cell(_or_na(value), looks=looks) for value in effects)
            unit = _unit(result, comparison)
            table.row(comparison.label(result), *cells, unit)
    return table


def _remarks(comparison):
    """Ranges, statuses and bases of inputs that differ, and notes."""
    columns = [Column(head, width=40) for head in ("Input", "What", "Before", "After")]
    title = "Changed ranges, statuses and bases of inputs"
    table = Table(title, columns, comparison.units, "Remarks", top=2)
    table.heads()
    for remark in comparison.remarks:
        table.row(remark.label, remark.what, remark.before, remark.after)
    for note in ("", *comparison.notes):
        table.row(note)
    return table


def _findings(comparison):
    inspection = comparison.inspection
    heads = ("sheet", "cell", "kind", "expected", "found", "effect", "mend")
    titles = ("Sheet", "Cell", "Kind", "Was", "Is", "Effect", "Fix")
    columns = [Column(head, width=28) for head in titles]
    title = f"Second workbook: {inspection.outcome}"
    table = Table(title, columns, comparison.units, "Findings", top=2)
    table.heads()
    for finding in inspection.findings:
        table.row(*(str(getattr(finding, head)) for head in heads))
    return table
