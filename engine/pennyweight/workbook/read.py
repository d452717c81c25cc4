"""Reading a book that came back: its inputs, each held to the table of inputs."""

from dataclasses import dataclass

from ..errors import BadValue, WorkbookError
from ..model.inputs import INPUTS, check
from ..model.rules import check_rules
from ..model.units import SYSTEMS
from .entry_cells import BASIS, STATUS
from .files import refuse_if_open
from .layout import defined_name, layout_mark, listed
from .named_cells import NamedCells
from .package.contents import read_contents
from .package.text_part import plain

MARKS = ("Book_units", "Book_version", "Book_layout")
MOST_TOLD = 30
"""Bad inputs that a message names; a book that lacks them all has one fault."""


@dataclass
class Reading:
    """What was read from a book.

    Attributes
    ----------
    inputs : dict
        Every input under its name, in the book's units, checked.
    units : {"us", "metric"}
    version : str
        Version that wrote the book.
    statuses, bases : dict of str to str
    places : dict of str to str
        Sheet and cell of each input.
    """

    inputs: dict
    units: str
    version: str
    statuses: dict
    bases: dict
    places: dict


def read_book(path):
    """Read the inputs of a book.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    reading : Reading

    Raises
    ------
    WorkbookError
        When the file is no workbook of ours, is of another layout, open elsewhere,
        lacks a sheet or name, or an input cell is empty, text, an error value or out
        of bounds. Every such cell is named.
    """
    contents = read_contents(path)
    refuse_if_open(contents.path)
    return reading_of(contents)


def reading_of(contents):
    """Read the inputs from a book's contents.

    Parameters
    ----------
    contents : Contents

    Returns
    -------
    reading : Reading

    Raises
    ------
    WorkbookError
        As `read_book`.
    """
    cells, path = NamedCells(contents), contents.path
    marks = {name: cells.value(name) for name in MARKS}
    _check_marks(marks, path)
    units = marks["Book_units"]
    places = {name: cells.place(defined_name(name)) for name in INPUTS}
    _check_order(cells, places, path)
    problems, inputs = [], {}
    for name, entry in INPUTS.items():
        try:
            value = cells.value(defined_name(name), entry)
            inputs[name] = check(entry, value, units, places[name])
        except BadValue as error:
            problems.append(str(error))
    if problems:
        more = len(problems) - MOST_TOLD
        told = [*problems[:MOST_TOLD], *([f"and {more} more."] if more > 0 else [])]
        raise WorkbookError(f"{path} cannot be judged:\n  " + "\n  ".join(told))
    _check_rules(inputs, places, units, path)
    return Reading(
        inputs,
        units,
        plain(marks["Book_version"]),
        {name: cells.beside(name, STATUS, e.status) for name, e in listed()},
        {name: cells.beside(name, BASIS, e.basis) for name, e in listed()},
        places,
    )


def _check_order(cells, places, path):
    """Refuse a sheet of inputs whose rows were sorted away from their names."""
    for name, _ in listed():
        label = cells.beside_other(name, cells.spot(defined_name(name)))
        if label:
            raise WorkbookError(
                f"{path}: the cell named {defined_name(name)} ({places[name]}) stands "
                f"beside {label!r}: rows of its sheet were sorted or moved, and names "
                "do not follow that. Undo it; or take each value by its label into a "
                "fresh book: 'pennyweight new FRESH.xlsx --from' and this book."
            )


def _check_rules(inputs, places, units, path):
    try:
        check_rules(inputs, places, units)
    except BadValue as error:
        raise WorkbookError(f"{path} cannot be judged:\n  {error}") from None


def _check_marks(marks, path):
    if marks["Book_layout"] != layout_mark():
        raise WorkbookError(
            f"{path} was written by pennyweight {plain(marks['Book_version'])} in "
            f"layout {plain(marks['Book_layout'])}; this program reads layout "
            f"{layout_mark()}. Take its inputs over into a fresh book: "
            "'pennyweight new FRESH.xlsx --from' and this book."
        )
    if marks["Book_units"] not in SYSTEMS:
        raise WorkbookError(
            f"{path}: the unit system (About, name Book_units) is "
            f"{plain(marks['Book_units'])!r}; it must be us or metric."
        )
