"""Updating the results in a user's workbook for its present inputs."""

from ..errors import WorkbookError
from .book import Before
from .inspection.expected import (
    Expected,
    beside_issued_places,
    issued_places,
    kept_in,
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
    findings = inspect_contents(contents, reading, gathered=False).findings
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
    # The column As issued is renewed, too; the results of the risk analysis stay.
    before = Before(reading.inputs, kept_in(contents, reading.units).drawn)
    expected = Expected(reading, reading.inputs, contents, before=before)
    records = issued_places().keys() | beside_issued_places().keys()
    solved = solved_places() | records
    found = {}
    for sheet in SHEETS:
        new, present = expected.cells[sheet], contents.sheets[sheet]
        for place in new.keys() | {at for on, at in solved if on == sheet}:
            cell, there = new.get(place), present.get(place)
            wanted = cell and cell.value
            if cell and (sheet, place) in issued_places():
                # All digits: Gnumeric compares it with the figure entered.
                wanted = reading.inputs[issued_places()[sheet, place]]
            mine = (sheet, place) in solved
            if cell and cell.formula:
                wanted = expected.value(sheet, place)
                mine = same_formula(cell.formula, there.formula, sheet)
            if mine and not expected.same(wanted, there, (sheet, place)):
                found[sheet, address_of(place)] = wanted
    return found
