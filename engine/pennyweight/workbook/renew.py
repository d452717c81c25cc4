"""Updating the results in a user's workbook for its present inputs."""

from dataclasses import replace

from ..errors import WorkbookError
from .inspection.expected import (
    Expected,
    beside_issued_places,
    issued_places,
    pristine,
    solved_places,
)
from .inspection.formula_equality import same_formula
from .inspection.inspect import inspect_contents
from .inspection.moved import MOVED
from .layout import SHEETS
from .package.contents import read_closed
from .package.patch import patch_values
from .package.sheet_part import address_of
from .read import current_reading
from .risk_sheet.layout import SHEET as RISK

ALTERED = (
    "formula altered",
    "formula overwritten",
    "formula missing",
    "sheet missing",
    "sheet renamed",
    MOVED,
)


def renew_book(path, out=None):
    """Update the stored values of a workbook and the figures that the engine solves.

    Nothing else in the file changes. From then on the present inputs count as issued.

    Parameters
    ----------
    path : str or Path
    out : str or Path, optional
        Default: the workbook itself.

    Returns
    -------
    count : int
        Cells whose value was out of date.

    Raises
    ------
    WorkbookError
        When the workbook cannot be read, or has altered formulas.
    """
    contents = read_closed(path)
    reading = current_reading(contents)
    findings = inspect_contents(contents, reading).findings
    altered = [finding for finding in findings if finding.kind in ALTERED]
    if altered:
        first = altered[0]
        more = f", and {len(altered) - 1} more" if len(altered) > 1 else ""
        where = "!".join(filter(None, (first.sheet, first.cell)))
        raise WorkbookError(
            f"{path} cannot be renewed: {where}, {first.kind}{more}. Run inspect, and "
            "put back what it names."
        )
    values = _values(contents, reading)
    patch_values(path, out or path, values, contents.stamp)
    return len(values)


def _values(contents, reading):
    """New value of every cell that is out of date, by sheet and address."""
    fresh = pristine(reading)
    # Flags of changed inputs compare with the column As issued, which is renewed, too.
    # The results of the risk analysis stay.
    kept = replace(fresh, sheets={**fresh.sheets, RISK: contents.sheets[RISK]})
    expected = Expected(reading, reading.inputs, kept, fresh=fresh)
    records = issued_places().keys() | beside_issued_places().keys()
    solved = solved_places() | records
    found = {}
    for sheet in SHEETS:
        new, present = fresh.sheets[sheet], contents.sheets[sheet]
        for place in new.keys() | {at for on, at in solved if on == sheet}:
            cell, there = new.get(place), present.get(place)
            wanted = None if cell is None else expected.value(sheet, place)
            if (sheet, place) in beside_issued_places():
                wanted = None if cell is None else cell.value
            if cell is not None and (sheet, place) in issued_places():
                # All digits: Gnumeric compares it with the figure entered.
                wanted = reading.inputs[issued_places()[sheet, place]]
            mine = (sheet, place) in solved
            if cell is not None and cell.formula:
                mine = same_formula(cell.formula, there.formula, sheet)
            if mine and not expected.same(wanted, there, (sheet, place)):
                found[sheet, address_of(place)] = wanted
    return found
