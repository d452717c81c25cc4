"""Putting the engine's results for the present inputs into a user's own book."""

from dataclasses import replace

from ..errors import WorkbookError
from .files import refuse_if_open
from .inspection.expected import Expected, issued_places, pristine, solved_places
from .inspection.formula_equality import same_formula
from .inspection.inspect import inspect_contents
from .inspection.moved import MOVED
from .layout import SHEETS
from .package.contents import read_contents
from .package.patch import patch_values
from .package.sheet_part import address_of
from .read import current_reading
from .risk_sheet.layout import SHEET as RISK

SPOILT = (
    "formula altered",
    "formula overwritten",
    "formula missing",
    "sheet missing",
    "sheet renamed",
    MOVED,
)


def renew_book(path, out=None):
    """Renew the stored values of a book and the figures that the engine solves.

    Nothing else in the file changes. The inputs count as issued from then on.

    Parameters
    ----------
    path : str or Path
    out : str or Path, optional
        Instead of the book itself.

    Returns
    -------
    count : int
        Cells whose value was not the engine's before.

    Raises
    ------
    WorkbookError
        When the book cannot be read, or formulas in it are no longer ours.
    """
    contents = read_contents(path)
    refuse_if_open(contents.path)
    reading = current_reading(contents)
    findings = inspect_contents(contents, reading).findings
    spoilt = [finding for finding in findings if finding.kind in SPOILT]
    if spoilt:
        first = spoilt[0]
        more = f", and {len(spoilt) - 1} more" if len(spoilt) > 1 else ""
        where = "!".join(filter(None, (first.sheet, first.cell)))
        raise WorkbookError(
            f"{path} cannot be renewed: {where}, {first.kind}{more}. Run inspect, and "
            "put back what it names."
        )
    values = _values(contents, reading)
    patch_values(path, out or path, values, contents.stamp)
    return len(values)


def _values(contents, reading):
    """Value of every cell of ours that is not up to date, under sheet and address."""
    told = (reading.units, reading.statuses, reading.bases)
    own = (reading.given, reading.ranges)
    fresh = pristine(reading.inputs, *told, *own)
    # Flags of change read the issue from the book; there it is what is written now.
    # The results of the risk analysis stay.
    kept = replace(fresh, sheets={**fresh.sheets, RISK: contents.sheets[RISK]})
    expected = Expected(reading.inputs, reading.inputs, *told, kept, *own, fresh=fresh)
    solved = solved_places() | issued_places().keys()
    found = {}
    for sheet in SHEETS:
        ours, theirs = fresh.sheets[sheet], contents.sheets[sheet]
        for place in ours.keys() | {at for on, at in solved if on == sheet}:
            cell, there = ours.get(place), theirs.get(place)
            wanted = None if cell is None else expected.value(sheet, place)
            if cell is not None and (sheet, place) in issued_places():
                # To its last digit: Gnumeric compares it with the figure entered.
                wanted = reading.inputs[issued_places()[sheet, place]]
            mine = (sheet, place) in solved
            if cell is not None and cell.formula:
                mine = same_formula(cell.formula, there.formula, sheet)
            if mine and not expected.same(wanted, there, (sheet, place)):
                found[sheet, address_of(place)] = wanted
    return found
