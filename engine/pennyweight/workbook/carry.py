"""Carrying inputs from another book, also of another layout, into a fresh one."""

from dataclasses import dataclass, field

from ..errors import BadValue, PennyweightError, WorkbookError
from ..model.inputs import INPUTS, check
from ..model.units import SYSTEMS
from .contents import read_contents
from .input_sheet import BASIS, STATUS
from .layout import SHEETS, defined_name, listed
from .named_cells import NamedCells


@dataclass
class Carried:
    """What could be carried over from a book.

    Attributes
    ----------
    inputs, statuses, bases : dict
    units : {"us", "metric"}
    left_behind : list of str
        What could not be, and why; sheets and inputs alike.
    """

    inputs: dict
    units: str
    statuses: dict
    bases: dict
    left_behind: list = field(default_factory=list)


def carry_from(path):
    """Read whatever inputs a book has under the names that inputs have today.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    carried : Carried

    Raises
    ------
    WorkbookError
        When the file is no workbook, or holds not one of our names.
    """
    contents = read_contents(path)
    return _carry(NamedCells(contents), contents)


def _carry(cells, contents):
    units = cells.value("Book_units")
    if units not in SYSTEMS:
        raise WorkbookError(f"{cells.path}: the unit system {units!r} is unknown.")
    carried = Carried({}, units, {}, {})
    for name, entry in INPUTS.items():
        try:
            value = cells.value(defined_name(name), entry)
            place = cells.place(defined_name(name))
            carried.inputs[name] = check(entry, value, units, place)
        except BadValue as error:
            carried.left_behind.append(str(error))
        except PennyweightError:
            carried.left_behind.append(f"{entry.label}: not in that book.")
    for name, entry in listed():
        if name in carried.inputs:
            carried.statuses[name] = cells.beside(name, STATUS, entry.status)
            carried.bases[name] = cells.beside(name, BASIS, entry.basis)
    own = [sheet for sheet in contents.states if sheet not in SHEETS]
    carried.left_behind += [
        f"Sheet {sheet}: theirs, not carried over." for sheet in own
    ]
    return carried
