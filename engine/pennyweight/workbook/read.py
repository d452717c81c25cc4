"""Reading a book that came back: its inputs, each held to the table of inputs."""

import warnings
from dataclasses import dataclass

from openpyxl import load_workbook
from openpyxl.utils import coordinate_to_tuple

from ..errors import BadValue, PennyweightError, WorkbookError
from ..model.inputs import INPUTS, STATUSES, allowed, check
from ..model.rules import check_rules
from ..model.units import SYSTEMS
from .book import LAYOUT_VERSION
from .files import refuse_if_open
from .input_sheet import BASIS, STATUS
from .layout import defined_name, listed
from .package import inspect_package

MARKS = ("Book_units", "Book_version", "Book_layout")


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
    path = inspect_package(path)
    refuse_if_open(path)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            package = load_workbook(path, read_only=True, data_only=True)
            try:
                return _read(package, path)
            finally:
                package.close()
    except PennyweightError:
        raise
    except Exception as error:  # whatever a damaged file provokes becomes one class
        raise WorkbookError(
            f"{path} cannot be read as a workbook ({type(error).__name__}): it may be "
            "damaged. Open it in a spreadsheet program and save it again."
        ) from None


def _read(package, path):
    cells = NamedCells(package, path)
    marks = {name: cells.value(name) for name in MARKS}
    _check_marks(marks, path)
    units = marks["Book_units"]
    places = {name: cells.place(defined_name(name)) for name in INPUTS}
    problems, inputs = [], {}
    for name, entry in INPUTS.items():
        try:
            value = cells.value(defined_name(name), entry)
            inputs[name] = check(entry, value, units, places[name])
        except BadValue as error:
            problems.append(str(error))
    if problems:
        raise WorkbookError(f"{path} cannot be judged:\n  " + "\n  ".join(problems))
    _check_rules(inputs, places, units, path)
    return Reading(
        inputs,
        units,
        str(marks["Book_version"]),
        {name: cells.beside(name, STATUS, e.status) for name, e in listed()},
        {name: cells.beside(name, BASIS, e.basis) for name, e in listed()},
        places,
    )


def _check_rules(inputs, places, units, path):
    try:
        check_rules(inputs, places, units)
    except BadValue as error:
        raise WorkbookError(f"{path} cannot be judged:\n  {error}") from None


def _check_marks(marks, path):
    if marks["Book_layout"] != LAYOUT_VERSION:
        raise WorkbookError(
            f"{path} was written by pennyweight {marks['Book_version']} in layout "
            f"{marks['Book_layout']}; this program reads layout {LAYOUT_VERSION}. Make "
            "a fresh book with 'pennyweight new' and enter the inputs there."
        )
    if marks["Book_units"] not in SYSTEMS:
        raise WorkbookError(
            f"{path}: the unit system (About, name Book_units) is "
            f"{marks['Book_units']!r}; it must be us or metric."
        )


class NamedCells:
    """Named cells of a package, read sheet by sheet and only where needed."""

    def __init__(self, package, path):
        self.package, self.path, self.sheets = package, path, {}
        self.names = {
            name.lower(): text for name, text in package.defined_names.items()
        }

    def destination(self, name):
        """Sheet and address that a defined name points to."""
        found = self.names.get(name.lower())
        spots = list(found.destinations) if found is not None else []
        if len(spots) != 1 or ":" in spots[0][1]:
            raise WorkbookError(
                f"{self.path}: the defined name {name} is missing or points to no "
                "single cell. It is not a pennyweight book, or the name was deleted: "
                "start from an unspoilt copy."
            )
        sheet, address = spots[0][0], spots[0][1].replace("$", "")
        if sheet not in self.package.sheetnames:
            raise WorkbookError(
                f"{self.path}: the sheet {sheet!r}, which holds {name}, is missing: "
                "start from an unspoilt copy."
            )
        return sheet, address

    def place(self, name):
        """Sheet and cell, for people."""
        return "{}!{}".format(*self.destination(name))

    def value(self, name, entry=None):
        """Value of a named cell, as the kind of its input wants it."""
        sheet, address = self.destination(name)
        value, kind = self._sheet(sheet).get(coordinate_to_tuple(address), (None, "n"))
        if kind == "e":
            raise BadValue(
                f"{entry.label if entry else name} ({sheet}!{address}): the cell shows "
                f"the error {value}. {allowed(entry, 'us') if entry else ''}".strip()
            )
        return _as_kind(value, entry) if entry else value

    def beside(self, name, column, default):
        """Text in another column of an input's row; the table's own if empty."""
        sheet, address = self.destination(defined_name(name))
        row = coordinate_to_tuple(address)[0]
        value = self._sheet(sheet).get((row, column + 1), (None, "n"))[0]
        if column == STATUS and value not in STATUSES:
            return default
        return str(value) if value not in (None, "") else default

    def _sheet(self, name):
        if name not in self.sheets:
            rows = self.package[name].iter_rows(max_row=1000, max_col=16)
            self.sheets[name] = {
                (cell.row, cell.column): (cell.value, cell.data_type)
                for row in rows
                for cell in row
                if cell.value is not None
            }
        return self.sheets[name]


def _as_kind(value, entry):
    """Texts that a program stored as numbers, and choices in other letters."""
    if entry.kind == "text":
        return "" if value is None else f"{value:g}" if _number(value) else str(value)
    if entry.kind == "choice" and isinstance(value, str):
        same = [choice for choice in entry.choices if choice == value.lower()]
        return same[0] if same else value
    return value


def _number(value):
    return isinstance(value, int | float) and not isinstance(value, bool)
