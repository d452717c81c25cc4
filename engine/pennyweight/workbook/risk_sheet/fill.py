"""Entering the figures of the draws into the chance sheet of a book.

Only cells of that sheet change inside the file; the book may be a partner's, with
sheets, macros and charts of its own.
"""

import numpy as np

from ...errors import WorkbookError
from ...risk.sentences import drawn_as
from ..files import refuse_if_open
from ..inspection.expected import Expected
from ..inspection.inspect import sheet_findings
from ..package.contents import read_contents
from ..package.patch import patch_values
from ..package.sheet_part import Cell
from ..read import reading_of
from .checksum import DIGITS, seal_of
from .layout import (
    DRAWN,
    SEAL,
    SHEET,
    TRIALS,
    VALUE,
    address,
    chance_places,
    placed,
    recorded,
)


def fill_chance(path, report, inputs, out=None):
    """Enter a report into the chance sheet of a book.

    Parameters
    ----------
    path : str or Path
    report : chance.report.Report
    inputs : mapping
        Those of the book when it was read; the live cell holds to them.
    out : str or Path, optional
        Instead of the book itself.

    Returns
    -------
    path : Path

    Raises
    ------
    WorkbookError
        When the book is open elsewhere, is signed, or its chance sheet is not as it
        was issued. Nothing is then changed.
    """
    contents = read_contents(path)
    refuse_if_open(contents.path)
    present, figures = reading_of(contents).inputs, chance_figures(report, inputs)
    _refuse_altered(contents, report.study.units, present)
    cells = contents.sheets[SHEET]
    for place, value in figures.items():
        cells.pop(place, None)
        if value is not None:
            cells[place] = Cell("text" if isinstance(value, str) else "n", value)
    expected = Expected(present, present, report.study.units, {}, {}, contents)
    formulas = [p for p, cell in expected.cells[SHEET].items() if cell.formula]
    live = {place: expected.value(SHEET, place) for place in formulas}
    values = {(SHEET, address(*p)): v for p, v in (figures | live).items()}
    return patch_values(path, out or path, values)


def _refuse_altered(contents, units, inputs):
    again = "make a fresh book with 'new --from' and run risk on that."
    if SHEET not in contents.sheets:
        raise WorkbookError(f"{contents.path} has no sheet {SHEET}: {again}")
    expected = Expected(inputs, inputs, units, {}, {}, contents)
    for found in sheet_findings(SHEET, contents, expected):
        if found.kind != "stored value" and found.kind != "no stored value":
            raise WorkbookError(
                f"{contents.path}: {SHEET}!{found.cell} is not as it was issued "
                f"({found.kind}); nothing was entered there. To have the figures, "
                f"{again}"
            )


def chance_figures(report, inputs):
    """What the chance sheet holds for a report.

    Parameters
    ----------
    report : chance.report.Report
    inputs : mapping

    Returns
    -------
    figures : dict of (int, int) to float, str or None
        Of every place that holds figures; None where there is none.
    """
    units = report.study.units
    tables, record = placed(units)
    figures = dict.fromkeys(chance_places(units))
    for at in tables.values():
        for row, values in enumerate(at.table.values(report), at.top):
            for column, value in zip(at.table.columns, values, strict=False):
                figures[row, column] = _figure(value)
    for row, name in enumerate(recorded(), record + 1):
        entered = inputs[name]
        figures[row, VALUE] = entered if isinstance(entered, str) else float(entered)
        how = report.study.spreads.get(name)
        if how is not None:
            ends = how.quantile(np.array([0.1, 0.5, 0.9]))
            for column, value in enumerate((drawn_as(how), *ends), DRAWN):
                figures[row, column] = _figure(value)
    figures[TRIALS, VALUE] = float(report.risk.trials)
    figures[SEAL, VALUE] = seal_of(figures)
    return figures


def _figure(value):
    """A value as a cell holds it: nine digits, ``none`` where there is no number."""
    if value is None or isinstance(value, str):
        return value or None
    if not np.isfinite(value):
        return "none"
    return float(f"{value:.{DIGITS}g}")
