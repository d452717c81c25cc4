"""Entering the results of a risk analysis into the risk sheet of a workbook.

Only cells of that sheet change inside the file. The workbook may have a partner's own
sheets, macros and charts.
"""

import numpy as np
from xlsxwriter.utility import xl_rowcol_to_cell

from ...errors import WorkbookError
from ...model.currency import in_currency
from ...risk.sentences import distribution_name
from ..book import Before
from ..entry_cells import own_ends
from ..inspection.expected import Expected
from ..inspection.inspect import sheet_findings
from ..job_view import hidden_rows
from ..layout import START
from ..package.contents import read_closed
from ..package.patch import patch_values
from ..read import current_reading
from .checksum import DIGITS, checksum_of
from .layout import (
    CHART_ROWS,
    CHECKSUM,
    DRAWN,
    OWN_ENDS,
    SHEET,
    TRIALS,
    VALUE,
    chart_places,
    figure_places,
    placed,
    recorded,
)

ANSWER = "Answer"


def fill_risk_sheet(path, report, plan, out=None):
    """Enter a report into the risk sheet of a workbook.

    Parameters
    ----------
    path : str or Path
    report : risk.report.Report
    plan : Plan or Reading
        The workbook when it was read; the status cell compares with its inputs and
        ranges.
    out : str or Path, optional
        Default: the workbook itself.

    Returns
    -------
    path : Path

    Raises
    ------
    WorkbookError
        If the workbook is open elsewhere or signed, or its risk sheet is not as
        issued. Nothing is changed then.
    """
    contents = read_closed(path)
    reading = current_reading(contents)
    figures = sheet_figures(report, plan, reading.currency)
    before = Before(reading.inputs, figures)
    expected = Expected(reading, reading.inputs, contents, (), before)
    _refuse_altered(contents, expected)
    values = {(SHEET, xl_rowcol_to_cell(*p)): v for p, v in figures.items()}
    for sheet in (SHEET, START, ANSWER):
        for place, cell in expected.cells[sheet].items():
            if cell.formula and (sheet == SHEET or "Risk_trials" in cell.formula):
                values[sheet, xl_rowcol_to_cell(*place)] = expected.value(sheet, place)
    charts = [
        (row, row + CHART_ROWS - 1) for _, row, _ in chart_places(report.study.units)
    ]
    shown = {SHEET: (charts, hidden_rows(plan.inputs["job"])[SHEET])}
    return patch_values(path, out or path, values, contents.stamp, shown)


def _refuse_altered(contents, expected):
    again = "make a fresh workbook with 'pennyweight new --from' and run risk on that."
    if SHEET not in contents.sheets:
        raise WorkbookError(f"{contents.path}: the sheet {SHEET} is missing; {again}")
    for found in sheet_findings(SHEET, contents, expected):
        if found.kind != "stored value" and found.kind != "no stored value":
            raise WorkbookError(
                f"{contents.path}: {SHEET}!{found.cell} is not as issued "
                f"({found.kind}), so no results were entered. To have them in a "
                f"workbook, {again}"
            )


def sheet_figures(report, plan, currency=None):
    """Values of the risk sheet for a report.

    Parameters
    ----------
    report : risk.report.Report
    plan : Plan or Reading
    currency : str, optional
        Whose sign the sheet shows; default: that of the inputs.

    Returns
    -------
    figures : dict of (int, int) to float, str or None
        For every cell for results; None for an empty one.
    """
    inputs = plan.inputs
    currency = inputs["currency"] if currency is None else currency
    units, hidden = report.study.units, hidden_rows(inputs["job"])[SHEET]
    tables, record = placed(units)
    figures = dict.fromkeys(figure_places(units))
    for at in tables.values():
        if at.top in hidden:
            continue
        for row, values in enumerate(at.table.values(report), at.top):
            for column, value in zip(at.table.columns, values, strict=False):
                text = isinstance(value, str)
                value = in_currency(value, currency) if text else value
                figures[row, column] = _figure(value)
    for row, name in enumerate(recorded(), record + 1):
        entered = inputs[name]
        figures[row, VALUE] = entered if isinstance(entered, str) else float(entered)
        ends = zip(OWN_ENDS, own_ends(name, plan.ranges), strict=True)
        figures |= {(row, column): end for column, end in ends}
        how = report.study.distributions.get(name)
        if how is not None:
            ends = how.quantile(np.array([0.1, 0.5, 0.9]))
            for column, value in enumerate((distribution_name(how), *ends), DRAWN):
                figures[row, column] = _figure(value)
    figures[TRIALS, VALUE] = float(report.risk.trials)
    figures[CHECKSUM, VALUE] = checksum_of(figures)
    return figures


def _figure(value):
    """A value for a cell: nine significant digits; ``n/a`` for not-a-number."""
    if value is None or isinstance(value, str):
        return value or None
    if not np.isfinite(value):
        return "n/a"
    return float(f"{value:.{DIGITS}g}")
