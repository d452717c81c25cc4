"""Checksum of the values on the risk sheet, to find those overtyped."""

import hashlib

from xlsxwriter.utility import xl_rowcol_to_cell

from ..inspection.findings import Finding
from .layout import CHECKSUM, SHEET, VALUE, figure_places

DIGITS = 9
"""Significant digits that are compared; every program stores as many."""


def risk_sheet_findings(contents, units):
    """Find values that were overtyped.

    Parameters
    ----------
    contents : Contents
    units : {"us", "metric"}

    Yields
    ------
    finding : Finding
    """
    there, figures = contents.sheets.get(SHEET, {}), {}
    for place in figure_places(units):
        cell = there.get(place)
        if cell is not None and cell.formula:
            kind, ends = "value replaced by a formula", ("a value", cell.formula)
            yield Finding(SHEET, xl_rowcol_to_cell(*place), kind, *ends)
        figures[place] = None if cell is None else cell.value
    checksum = figures[CHECKSUM, VALUE]
    entered = any(value not in (None, "") for value in figures.values())
    if entered and checksum != checksum_of(figures):
        ends = ("the checksum of the values", "another" if checksum else "none")
        where = xl_rowcol_to_cell(CHECKSUM, VALUE)
        yield Finding(SHEET, where, "results of risk changed", *ends)


def checksum_of(figures):
    """Checksum of all values of the sheet.

    Parameters
    ----------
    figures : mapping of (int, int) to float, str or None
        The checksum itself is left out.

    Returns
    -------
    checksum : str
    """
    lines = []
    for place, value in sorted(figures.items()):
        if place != (CHECKSUM, VALUE) and value not in (None, ""):
            text = value if isinstance(value, str) else f"{float(value):.{DIGITS}g}"
            lines.append(f"{place[0]},{place[1]}={text}")
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()[:12]
