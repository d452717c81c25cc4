"""Entering figures of inputs in a user's workbook; nothing else changes."""

from pathlib import Path

from xlsxwriter.utility import xl_rowcol_to_cell

from ..errors import WorkbookError
from .entry_cells import BASIS, OWN_HIGH, OWN_LOW, STATUS
from .files import refuse_changed, scratch_folder, write_whole
from .layout import defined_name
from .named_cells import NamedCells
from .package.contents import read_closed, read_contents
from .package.patch import patch_values
from .read import current_reading
from .renew import renew_book


def enter_inputs(path, figures, choices, out=None):
    """Enter measured figures with low, high and basis, and renew the results.

    Parameters
    ----------
    path : str or Path
    figures : mapping of str to (float, float, float, str)
        For each input: value, low, high, and basis.
    choices : mapping of str to str
        Further inputs, without range.
    out : str or Path, optional
        Default: the workbook itself.

    Returns
    -------
    path : Path

    Raises
    ------
    WorkbookError
        When the workbook cannot be read, is open elsewhere, or has altered formulas.
        Nothing is written then.
    """
    contents = read_closed(path)
    current_reading(contents)
    cells, values = NamedCells(contents), {}
    for name, (value, low, high, basis) in figures.items():
        values |= _row(cells, name, value)
        beside = {OWN_LOW: low, OWN_HIGH: high, BASIS: basis, STATUS: "measured"}
        values |= _beside(cells, name, beside)
    for name, value in choices.items():
        values |= _row(cells, name, value)
    with scratch_folder() as folder:
        copy = folder / Path(path).name
        patch_values(path, copy, values, contents.stamp)
        renew_book(copy)
        _read_back(copy, {n: f[0] for n, f in figures.items()} | dict(choices))
        content = copy.read_bytes()
    return write_whole(
        Path(out or path), content, True, lambda: refuse_changed(path, contents.stamp)
    )


def _row(cells, name, value):
    sheet, place = cells.named_spot(name)
    return {(sheet, xl_rowcol_to_cell(*place)): value}


def _beside(cells, name, values):
    """Cells in other columns of an input's row."""
    sheet, (row, _) = cells.spot(defined_name(name))
    return {
        (sheet, xl_rowcol_to_cell(row, cells.column(sheet, column))): value
        for column, value in values.items()
    }


def _read_back(copy, wanted):
    given = current_reading(read_contents(copy)).given
    for name, value in wanted.items():
        if given.get(name) != value:
            raise WorkbookError(
                f"{name} cannot be entered so that it is read back the same. Nothing "
                "was written."
            )
