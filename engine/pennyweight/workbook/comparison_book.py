"""A comparison as a workbook: the table of changes, and a waterfall of the money."""

import io

import xlsxwriter

from ..model.line import LINES
from ..model.units import shown
from .compare import HEADLINES
from .files import write_whole
from .style import BAD, GOOD, SERIES, Formats
from .write import CREATED

HEADS = (
    "Changed",
    "Cell",
    "Before",
    "After",
    "Unit",
    "Status",
    "NPV, alone",
    "NPV, fair share",
    "Start",
    "Rise",
    "Fall",
)
STEPS = 8, 9, 10
"""Columns from which the waterfall is drawn."""


def write_comparison(comparison, path, force=False):
    """Write a comparison as an .xlsx file of values.

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
    last = _changes(sheet, formats, comparison)
    _results(sheet, formats, comparison, last + 2)
    if comparison.shares is not None:
        sheet.insert_chart(last + 13, 0, _waterfall(package, last))
    _findings(package.add_worksheet("Findings"), formats, comparison.inspection)
    package.close()
    return write_whole(path, target.getvalue(), force)


def _head(sheet, formats, comparison):
    sheet.hide_gridlines(2)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.set_column(0, 0, 46)
    sheet.set_column(1, 1, 16)
    sheet.set_column(2, len(HEADS), 15)
    sheet.write_string(0, 0, "What changed, and what it did", formats.title())
    before, after = comparison.verdicts
    sheet.write_string(1, 0, f"Before: {before}. After: {after}.", formats(bold=True))
    sheet.write_string(2, 0, "Values at the time of writing.", formats.note())
    for column, head in enumerate(HEADS):
        sheet.write_string(3, column, head, formats.head())


def _changes(sheet, formats, comparison):
    """Rows of the changes, between the present values before and after."""
    money = formats(num_format="#,##0;[Red]-#,##0")
    level = comparison.before["net_present_value"]
    _bar(sheet, money, 4, "Before", 0, level)
    row = 5
    for change in comparison.changes:
        alone, fair = comparison.effect(change.name, "net_present_value")
        texts = (change.label, change.place, change.before, change.after)
        for column, value in enumerate((*texts, change.unit, change.status)):
            if isinstance(value, str):
                sheet.write_string(row, column, value, formats())
            else:
                sheet.write_number(row, column, value, formats(num_format="#,##0.####"))
        if fair is not None:
            sheet.write_number(row, 6, alone, money)
            sheet.write_number(row, 7, fair, money)
            _bar(sheet, money, row, change.label, level, level + fair)
            level += fair
        row += 1
    _bar(sheet, money, row, "After", 0, level)
    return row


def _bar(sheet, money, row, label, start, end):
    """One step: an unseen base, and a rise or a fall upon it."""
    sheet.write_string(row, 0, label)
    sheet.write_number(row, STEPS[0], min(start, end) if start * end >= 0 else 0, money)
    sheet.write_number(row, STEPS[1], max(end - start, 0), money)
    sheet.write_number(row, STEPS[2], max(start - end, 0), money)


def _results(sheet, formats, comparison, row):
    for column, head in enumerate(("Result", "", "Before", "After", "Unit", "Change")):
        sheet.write_string(row, column, head, formats.head())
    for name in HEADLINES:
        row += 1
        before, after = comparison.before[name], comparison.after[name]
        sheet.write_string(row, 0, LINES[name].label, formats())
        for column, value in ((2, before), (3, after), (5, after - before)):
            sheet.write_number(row, column, value, formats(num_format="#,##0.00##"))
        unit = shown(LINES[name].unit, comparison.units)
        sheet.write_string(row, 4, unit, formats())


def _waterfall(package, last):
    chart = package.add_chart({"type": "column", "subtype": "stacked"})
    for column, colour in zip(STEPS, (None, GOOD, BAD), strict=True):
        chart.add_series(
            {
                "name": HEADS[column],
                "categories": ["Comparison", 4, 0, last, 0],
                "values": ["Comparison", 4, column, last, column],
                "fill": {"color": colour} if colour else {"none": True},
                "gap": 40,
            }
        )
    chart.set_title({"name": "From the net present value before to the one after"})
    chart.set_legend({"none": True})
    chart.set_y_axis({"num_format": "#,##0", "major_gridlines": {"visible": True}})
    chart.set_x_axis({"label_position": "low", "num_font": {"color": SERIES[1]}})
    chart.set_size({"width": 900, "height": 380})
    return chart


def _findings(sheet, formats, inspection):
    sheet.set_column(0, 5, 28)
    sheet.write_string(0, 0, f"The book is {inspection.outcome}", formats.title())
    heads = ("sheet", "cell", "kind", "expected", "found", "mend")
    for column, head in enumerate(heads):
        sheet.write_string(2, column, head, formats.head())
    for row, finding in enumerate(inspection.findings, 3):
        for column, head in enumerate(heads):
            sheet.write_string(row, column, str(getattr(finding, head)), formats())
