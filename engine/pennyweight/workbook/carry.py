"""Carrying inputs from another book, also of another layout, into a fresh one."""

from dataclasses import dataclass, field

from ..errors import BadValue, WorkbookError
from ..model.inputs import INPUTS, check, families
from ..model.rules import check_rules
from ..model.units import CONSTANTS, SYSTEMS, convert
from .entry_cells import BASIS, STATUS
from .files import refuse_if_open
from .layout import SHEETS, defined_name
from .named_cells import NamedCells, spelt, spot_of
from .package.contents import read_contents
from .package.text_part import plain
from .sheet_names import FORMER

MOST_NOTES = 40
"""Notes and cells of theirs that are told, each by itself."""


@dataclass
class Carried:
    """What could be carried over from a book.

    Attributes
    ----------
    inputs, statuses, bases : dict
        In the units of ``units``.
    units : {"us", "metric"}
    left_behind : list of str
        What could not be, and why: inputs, sheets, notes, names.
    """

    inputs: dict
    units: str
    statuses: dict
    bases: dict
    left_behind: list = field(default_factory=list)


def carry_from(path, units=None):
    """Read whatever inputs a book has, by their names today, else by their labels.

    Parameters
    ----------
    path : str or Path
    units : {"us", "metric"}, optional
        Unit system wanted; that of the book when left out.

    Returns
    -------
    carried : Carried

    Raises
    ------
    WorkbookError
        When the file is no workbook, holds not one input of ours, or its inputs
        contradict one another.
    """
    contents = read_contents(path)
    refuse_if_open(contents.path)
    cells = _Source(contents)
    carried = Carried({}, cells.units, {}, {})
    for name, entry in INPUTS.items():
        _carry(name, entry, cells, carried)
    if not carried.inputs:
        raise WorkbookError(
            f"{path} holds not one input under a name or label of ours: it is not a "
            "pennyweight book."
        )
    _missing_entries(cells, carried)
    _hold_to_rules(carried, path)
    carried.left_behind += _theirs(contents)
    return _converted(carried, units or cells.units)


class _Source(NamedCells):
    """Where the inputs stand in a book that may be of another layout."""

    def __init__(self, contents):
        super().__init__(contents)
        self.units = self._units()

    def _units(self):
        try:
            units = self.value("Book_units")
        except (BadValue, WorkbookError):
            raise WorkbookError(
                f"{self.path} does not say its unit system (About, name Book_units): "
                "it is not a pennyweight book."
            ) from None
        if units not in SYSTEMS:
            raise WorkbookError(
                f"{self.path}: the unit system {plain(units)!r} is unknown; it must "
                "be us or metric."
            )
        return units

    def find(self, name, entry):
        """Place of an input, or None."""
        spot = spot_of(self.contents.names.get(defined_name(name).lower(), ""))
        here = spot is not None and spot[0] in self.contents.sheets
        if here and (entry.over or not self.beside_other(name, spot)):
            return spot
        same = [e for e in INPUTS.values() if e.label == entry.label]
        sheet = spot[0] if here and not entry.over else "Inputs"
        return self.labels(sheet).get(entry.label.lower()) if len(same) == 1 else None


def _carry(name, entry, cells, carried):
    spot = cells.find(name, entry)
    if spot is None:
        if not entry.over:
            carried.left_behind.append(
                f"{entry.label}: not in that book; the example's value stands, "
                "marked as example."
            )
            carried.statuses[name] = "example"
        return
    try:
        value = cells.value_at(spot, entry)
        carried.inputs[name] = check(entry, value, cells.units, spelt(spot))
    except BadValue as error:
        carried.left_behind.append(f"{error} The example's value stands.")
        return
    if not entry.over:
        carried.statuses[name] = cells.beside_at(spot, STATUS, entry.status)
        carried.bases[name] = cells.beside_at(spot, BASIS, entry.basis)


def _missing_entries(cells, carried):
    """Tables that were shorter in that book: rows that it lacks are not used."""
    for names in families().values():
        gone = [name for name in names if cells.find(name, INPUTS[name]) is None]
        if not gone:
            continue
        entry = INPUTS[gone[0]]
        what = "the example's values stand for the others"
        if len(gone) < len(names) and entry.numeric and entry.minimum <= 0:
            carried.inputs |= dict.fromkeys(gone, 0.0)
            what = "the others are 0"
        carried.left_behind.append(
            f"{entry.label.rpartition(', ')[0]}: {len(names) - len(gone)} of "
            f"{len(names)} entries are in that book; {what}."
        )


def _hold_to_rules(carried, path):
    example = {name: entry.value(carried.units) for name, entry in INPUTS.items()}
    try:
        check_rules({**example, **carried.inputs}, units=carried.units)
    except BadValue as error:
        raise WorkbookError(
            f"{path}: its inputs, with the example's for those it lacks, contradict "
            f"one another:\n  {error}"
        ) from None


def _theirs(contents):
    """Their own sheets, comments, names and cells, which stay behind."""
    from .inspection.inspect import inspect_contents
    from .read import reading_of

    try:
        found = inspect_contents(contents, reading_of(contents)).findings
    except WorkbookError:
        return _few(list(_by_themselves(contents)))
    kinds = ("sheet added", "note", "name added", "hidden name", "cell added")
    told = [
        f"{'!'.join(filter(None, (f.sheet, f.cell))) or 'The file'}: {f.kind}"
        + (f" ({f.found})." if f.found and f.kind != "sheet added" else ".")
        for f in found
        if f.kind in kinds
    ]
    spoilt = sum(f.kind.startswith("formula") for f in found)
    if spoilt:
        told.append(f"{spoilt} formulas altered in that book; ours stand in the new.")
    return _few(told)


def _by_themselves(contents):
    """What is theirs in a book of another layout: sheets, comments, other inputs."""
    for sheet in contents.states:
        if sheet not in SHEETS and sheet not in FORMER:
            yield f"{plain(sheet)}: sheet added."
    for (sheet, place), text in contents.notes.items():
        yield f"{spelt((sheet, place))}: note ({plain(text)[:200]})."
    known = {defined_name(name).lower() for name in (*INPUTS, *CONSTANTS)}
    for name, text in contents.names.items():
        spot = spot_of(text)
        if spot is not None and spot[0] == "Inputs" and name not in known:
            yield f"{plain(contents.spelt[name])}: an input that we do not have."


def _few(told):
    more = len(told) - MOST_NOTES
    return [*told[:MOST_NOTES], *([f"and {more} more of theirs."] if more > 0 else [])]


def _converted(carried, units):
    if units != carried.units:
        for name, value in carried.inputs.items():
            entry = INPUTS[name]
            if entry.numeric:
                there = convert(value, entry.unit, carried.units, units)
                carried.inputs[name] = there
        carried.units = units
    return carried
