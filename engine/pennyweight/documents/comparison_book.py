"""A comparison as a workbook: the table of changes, and a waterfall of the money."""

import io

import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell as _cell

from ..model.inputs import INPUTS
from ..model.mill import MODEL
from ..model.units import shown
from ..workbook.files import write_whole
from ..workbook.style import ACCENT, BAD, GOOD, Formats
from ..workbook.write import CREATED
from .comparison import HEADLINES

HEADS = (
    "Changed",
    "Cell",
    "Before",
    "After",
    "Unit",
    "Status",
    "NPV, alone",
    "NPV, fair share",
    "From",
    "To",
)
ALONE, SHARE, FROM, TO = 6, 7, 8, 9
BARS = (
    # what is drawn, its formula of From (a) and To (b), its colour
    ("Base", "MAX(MIN({a},{b}),0)+MIN(MAX({a},{b}),0)", None),
    ("Rise above zero", "IF({b}>{a},MAX({b},0)-MAX({a},0),0)", GOOD),
    ("Rise below zero", "IF({b}>{a},MIN({a},0)-MIN({b},0),0)", GOOD),
    ("Fall above zero", "IF({b}<{a},MAX({a},0)-MAX({b},0),0)", BAD),
    ("Fall below zero", "IF({b}<{a},MIN({b},0)-MIN({a},0),0)", BAD),
    ("Whole", "", ACCENT),
)
"""A step that crosses zero has a part on each side of it."""
FIRST_BAR = TO + 1
TOP = 4
"""Row of the figure before; the changes follow."""


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
    target = io.BytesIO()
    package = xlsxwriter.Workbook(target, {"in_memory": True})
    package.set_properties({"created": CREATED, "title": "Comparison of two books"})
    formats = Formats(package)
    sheet = package.add_worksheet("Comparison")
    _head(sheet, formats, comparison)
    last, row = _changes(sheet, formats, comparison)
    row = _results(sheet, formats, comparison, row + 2)
    if comparison.shares is not None:
        sheet.insert_chart(row + 2, 0, _waterfall(package, last))
        sheet.print_area(0, 0, row + 24, TO)
        _effects(package.add_worksheet("Effects"), formats, comparison)
    _remarks(package.add_worksheet("Remarks"), formats, comparison)
    _findings(package.add_worksheet("Findings"), formats, comparison.inspection)
    package.close()
    return write_whole(path, target.getvalue(), force)


def _head(sheet, formats, comparison):
    sheet.hide_gridlines(2)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.freeze_panes(TOP, 1)
    sheet.set_column(0, 0, 46)
    sheet.set_column(1, 1, 16)
    sheet.set_column(2, FIRST_BAR + len(BARS), 15)
    sheet.write_string(0, 0, "What changed, and what it did", formats.title())
    before, after = comparison.verdicts
    sheet.write_string(1, 0, f"Before: {before}. After: {after}.", formats(bold=True))
    told = f"Shares of the net present value (NPV) {comparison.basis}."
    sheet.write_string(2, 0, told if comparison.basis else "", formats.note())
    for column, head in enumerate((*HEADS, *(name for name, _, _ in BARS))):
        right = {"align": "right"} if column in (2, 3) or column >= ALONE else {}
        sheet.write_string(TOP - 1, column, head, formats.head(**right))


def _money(formats, **looks):
    return formats(num_format="#,##0;[Red]-#,##0;0", **looks)


def _changes(sheet, formats, comparison):
    """Rows of the changes, between the present values before and after.

    Below stands what has no share of its own: words, and what counts with another.
    """
    level = comparison.before["net_present_value"]
    worth = "net_present_value"
    effects = {c: comparison.effect(c.name, worth) for c in _rows(comparison)}
    _whole(sheet, formats, TOP, "Before", level)
    row = TOP + 1
    for change, (alone, fair) in effects.items():
        _change(sheet, formats, row, change, comparison.with_others(change.name))
        sheet.write_number(row, ALONE, alone, _money(formats))
        sheet.write_number(row, SHARE, fair, _money(formats))
        _step(sheet, formats, row, level, level + fair)
        level += fair
        row += 1
    _whole(sheet, formats, row, "After", comparison.after["net_present_value"])
    if effects:
        cells = f"{_cell(TOP + 1, SHARE)}:{_cell(row - 1, SHARE)}"
        total = level - comparison.before["net_present_value"]
        bold = _money(formats, bold=True)
        sheet.write_formula(row, SHARE, f"=SUM({cells})", bold, total)
    last = row
    for change in comparison.changes:
        if change not in effects:
            row += 1
            _change(sheet, formats, row, change)
            sheet.write_string(row, ALONE, "no share of its own", formats.note())
    return last, row


def _rows(comparison):
    """Changes that have a share."""
    if comparison.shares is None:
        return []
    return [c for c in comparison.changes if c.name in comparison.shares.names]


def _label(change, others):
    return " with ".join([change.label, *(INPUTS[name].label for name in others)])


def _change(sheet, formats, row, change, others=()):
    percent = INPUTS[change.name].kind == "share"
    number = formats(num_format="0.0###%" if percent else "#,##0.####")
    label = _label(change, others)
    values = (label, change.place, change.before, change.after)
    for column, value in enumerate((*values, change.unit, change.status)):
        if isinstance(value, str):
            align = {"align": "right"} if column in (2, 3) else {}
            sheet.write_string(row, column, value, formats(**align))
        else:
            sheet.write_number(row, column, value, number)


def _whole(sheet, formats, row, label, value):
    """The first and the last bar stand on zero."""
    sheet.write_string(row, 0, label, formats(bold=True))
    for column in (TO, FIRST_BAR + len(BARS) - 1):
        sheet.write_number(row, column, value, _money(formats, bold=True))


def _step(sheet, formats, row, start, end):
    """From the row above to this one, and its bars."""
    money = _money(formats)
    a, b = _cell(row, FROM), _cell(row, TO)
    sheet.write_formula(row, FROM, f"={_cell(row - 1, TO)}", money, start)
    sheet.write_formula(row, TO, f"={a}+{_cell(row, SHARE)}", money, end)
    for column, (_, formula, _) in enumerate(BARS[:-1], FIRST_BAR):
        value = _bar_value(formula, start, end)
        sheet.write_formula(row, column, "=" + formula.format(a=a, b=b), money, value)


def _bar_value(formula, start, end):
    """The value of a bar's formula, worked out from the same text."""
    from ..workbook.inspection.evaluate import evaluate

    written = "=" + formula.format(a="A1", b="B1")
    return evaluate(written, "", lambda _, place: (start, end)[place[1]], None)


def _results(sheet, formats, comparison, row):
    heads = ("Result", "", "Before", "After", "Unit", "Change", "Shown in theirs")
    for column, head in enumerate(heads):
        right = {"align": "right"} if head not in ("Result", "Unit") else {}
        sheet.write_string(row, column, head, formats.head(**right))
    for name in HEADLINES:
        row += 1
        sheet.write_string(row, 0, MODEL.lines[name].label, formats())
        look = formats(num_format=_format(name))
        before, after = comparison.before[name], comparison.after[name]
        for column, value in ((2, before), (3, after), (6, comparison.shown.get(name))):
            if value is not None:
                sheet.write_number(row, column, value, look)
            elif column < 6:
                sheet.write_string(row, column, "none", formats(align="right"))
        if None not in (before, after):
            there = f"={_cell(row, 3)}-{_cell(row, 2)}"
            sheet.write_formula(row, 5, there, look, after - before)
        unit = shown(MODEL.lines[name].unit, comparison.units)
        sheet.write_string(row, 4, unit, formats())
    return row


def _format(name):
    unit = MODEL.lines[name].unit
    known = {"1/year": "0.0%", "$": "#,##0", "month": "0", "grade": "0.000"}
    return known.get(unit, "#,##0.00")


def _waterfall(package, last):
    chart = package.add_chart({"type": "column", "subtype": "stacked"})
    for column, (name, _, colour) in enumerate(BARS, FIRST_BAR):
        chart.add_series(
            {
                "name": name,
                "categories": ["Comparison", TOP, 0, last, 0],
                "values": ["Comparison", TOP, column, last, column],
                "fill": {"color": colour} if colour else {"none": True},
                "border": {"none": True},
                "gap": 40,
            }
        )
    chart.set_title({"name": "From the net present value before to the one after"})
    chart.set_legend({"none": True})
    grid = {"visible": True, "line": {"color": "#D8DEE2", "width": 0.75}}
    chart.set_y_axis({"num_format": "#,##0", "major_gridlines": grid, "name": "$"})
    chart.set_x_axis({"label_position": "low"})
    chart.set_size({"width": 1100, "height": 400})
    return chart


def _effects(sheet, formats, comparison):
    """Every change on every headline result: alone, and its fair share."""
    sheet.set_column(0, 0, 46)
    sheet.set_column(1, 2 * len(HEADLINES), 16)
    sheet.freeze_panes(4, 1)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.write_string(0, 0, "Effect of each change on each result", formats.title())
    sheet.write_string(2, 0, "Changed", formats.head())
    sheet.write_string(3, 0, "", formats.head())
    for place, result in enumerate(HEADLINES):
        unit = shown(MODEL.lines[result].unit, comparison.units)
        label = (
            f"{MODEL.lines[result].label}, {unit}"
            if unit
            else MODEL.lines[result].label
        )
        for offset, word in enumerate(("alone", "fair share")):
            column = 1 + 2 * place + offset
            sheet.write_string(2, column, "" if offset else label, formats.head())
            sheet.write_string(3, column, word, formats.head(align="right"))
    for row, change in enumerate(_rows(comparison), 4):
        label = _label(change, comparison.with_others(change.name))
        sheet.write_string(row, 0, label, formats())
        for place, result in enumerate(HEADLINES):
            look = formats(num_format=_format(result))
            for offset, value in enumerate(comparison.effect(change.name, result)):
                column = 1 + 2 * place + offset
                if value is None:
                    sheet.write_string(row, column, "none", formats(align="right"))
                else:
                    sheet.write_number(row, column, value, look)


def _remarks(sheet, formats, comparison):
    """Status and basis of inputs that differ; and what else was noted."""
    sheet.set_column(0, 3, 40)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.write_string(0, 0, "What is said of the inputs", formats.title())
    for column, head in enumerate(("Input", "What", "Before", "After")):
        sheet.write_string(2, column, head, formats.head())
    row = 3
    for remark in comparison.remarks:
        texts = (remark.label, remark.what, remark.before, remark.after)
        for column, text in enumerate(texts):
            sheet.write_string(row, column, text, formats())
        row += 1
    for note in comparison.notes:
        sheet.write_string(row + 1, 0, note, formats())
        row += 1


def _findings(sheet, formats, inspection):
    sheet.set_column(0, 5, 28)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.write_string(0, 0, f"The book is {inspection.outcome}", formats.title())
    heads = ("sheet", "cell", "kind", "expected", "found", "mend")
    for column, head in enumerate(heads):
        sheet.write_string(2, column, head, formats.head())
    for row, finding in enumerate(inspection.findings, 3):
        for column, head in enumerate(heads):
            sheet.write_string(row, column, str(getattr(finding, head)), formats())
