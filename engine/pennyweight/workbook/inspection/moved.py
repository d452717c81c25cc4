"""Detection of sheets with moved rows or columns, by texts in other cells.

Spreadsheet programs then rewrite every formula and name that reads the moved cells, so
cells cannot be compared one by one. Named figures are still found by their names.
"""

from collections import Counter

from ...model.mill_model import MODEL
from ..layout import SHEETS, defined_name
from ..live_cells import stored
from ..named_cells import spot_of, take_over
from ..package.sheet_part import address_of
from .expected import free_places, input_places
from .findings import Finding, value_shown

MOVED = "rows or columns moved"
LEAST = 4
"""Least number of texts or numbers in other cells that counts as a move."""


def moved_sheets(contents, pristine, units):
    """List the sheets on which rows or columns were moved.

    Parameters
    ----------
    contents, pristine : Contents
        Of the workbook, and of the one written anew from its inputs.
    units : {"us", "metric"}

    Returns
    -------
    sheets : list of str
    """
    free = input_places().keys() | free_places(units)
    return [
        sheet
        for sheet in SHEETS
        if sheet in contents.sheets
        and _moved(pristine.sheets[sheet], contents.sheets[sheet], sheet, free)
    ]


def _moved(wanted, actual, sheet, free):
    known = {at: cell for at, cell in wanted.items() if (sheet, at) not in free}
    known, there = _single(known), _single(actual)
    moved = sum(known[value] != there[value] for value in known.keys() & there.keys())
    return moved >= LEAST


def _single(cells):
    """The place of each text and number that occurs once on a sheet."""
    fixed = {
        at: cell.value
        for at, cell in cells.items()
        if not cell.formula and cell.value not in (None, "")
    }
    counts = Counter(fixed.values())
    return {value: at for at, value in fixed.items() if counts[value] == 1}


def moved_findings(sheets, contents, expected):
    """One finding for each sheet, then the named figures that are wrong.

    Parameters
    ----------
    sheets : list of str
        As given by `moved_sheets`.
    contents : Contents
    expected : Expected

    Yields
    ------
    finding : Finding
    """
    fix = take_over(contents.path)
    for sheet in sheets:
        yield Finding(sheet, "", MOVED, mend=fix)
    for line in MODEL.lines.values():
        spot = spot_of(contents.names.get(defined_name(line.name).lower(), ""))
        if line.over or spot is None or spot[0] not in contents.sheets:
            continue
        wanted, there = stored(expected.values[line.name]), contents.cell(*spot)
        formula = there is not None and there.formula
        if formula and expected.same(wanted, there, spot):
            continue
        kind = "stored value" if formula else "formula overwritten"
        found = value_shown(None if there is None else there.value)
        cell = address_of(spot[1])
        yield Finding(spot[0], cell, kind, value_shown(wanted), found, fix)
