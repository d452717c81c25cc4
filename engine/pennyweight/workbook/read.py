"""Reading the inputs of a workbook, of this version or an earlier one."""

from dataclasses import dataclass

from .. import __version__
from ..errors import BadValue, WorkbookError, plain
from ..model.allowed import check
from ..model.currency import foreign
from ..model.entries import needed
from ..model.inputs import BEFORE, INPUTS, SAME_AS, families, inputs_in
from ..model.rules import check_rules
from ..model.units import SYSTEMS
from .book import Figures
from .entry_cells import BASIS, STATUS
from .layout import START, defined_name, layout_mark, listed
from .named_cells import NamedCells, cell_names, spelt, spot_of, take_over
from .package.contents import read_closed

MARKS = ("Book_units", "Book_currency", "Book_version", "Book_layout")
MOST_SHOWN = 30
"""The most invalid inputs that a message names."""
MOST_LABELS = 10
"""The most missing inputs that a note names."""


@dataclass(kw_only=True)
class Reading(Figures):
    """What was read from a workbook.

    Attributes
    ----------
    version : str
        Version that wrote the workbook.
    places : dict of str to str
        Sheet and cell of each input; empty for one that the workbook does not have.
    missing : tuple of str
        Inputs that the workbook does not have.
    mark : str
        Digest of its layout.
    answer : str
        The answer that it shows; empty if another version wrote it, or if no program
        has calculated it.
    """

    version: str
    places: dict
    missing: tuple
    mark: str
    answer: str

    @property
    def current(self):
        """Whether this version wrote it, with its cells in the same places."""
        return _is_current(self.version, self.mark)

    @property
    def note(self):
        """Sentence on the inputs that keep their estimates; empty if there are none."""
        missing = [name for name in self.missing if INPUTS[name].estimate != ""]
        labels = dict.fromkeys(map(_shared_label, missing))
        if not labels:
            return ""
        lines = list(labels)[:MOST_LABELS]
        if len(labels) > len(lines):
            lines.append(f"and {len(labels) - len(lines)} more")
        one = len(missing) == 1
        return (
            f"This workbook was written by version {self.version}; "
            f"{len(missing)} input{'' if one else 's'} that it does not have "
            f"{'keeps its estimate' if one else 'keep their estimates'}: "
            f"{'; '.join(lines)}."
        )


def _shared_label(name):
    """Label of an input; for an entry of a table that of the table's column."""
    entry = INPUTS[name]
    return entry.label.rpartition(", ")[0] if entry.over else entry.label


def _is_current(version, mark):
    """Whether a workbook has the layout of this version."""
    return version == __version__ and mark == layout_mark()


def read_book(path):
    """Read the inputs of a workbook of this version or an earlier one.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    reading : Reading

    Raises
    ------
    WorkbookError
        When the file is not a workbook of pennyweight, is open elsewhere, or an input
        cell is empty, text, an error value or out of bounds. Every such cell is named.
    """
    return reading_of(read_closed(path, input_sheets))


def input_sheets(names):
    """Sheets with inputs or the answer; half of all cells are on others.

    Parameters
    ----------
    names : mapping of str to str
        Defined names in lower case, with their references.

    Returns
    -------
    sheets : set of str
    """
    wanted = (*MARKS, "Answer", *cell_names())
    targets = (names.get(name.lower(), "") for name in wanted)
    return {START, "Inputs", *(spot[0] for spot in map(spot_of, targets) if spot)}


def reading_of(contents, unusable=None):
    """Read the inputs from a workbook's contents.

    Parameters
    ----------
    contents : Contents
    unusable : list, optional
        Gets the inputs whose entry cannot be used, which are then read as empty.

    Returns
    -------
    reading : Reading

    Raises
    ------
    WorkbookError
        As for `read_book`.
    """
    cells = NamedCells(contents)
    units = units_of(cells)
    version = plain(cells.value_or("Book_version", "unknown"))
    mark, same = cells.value_or("Book_layout", ""), version == __version__
    spots = {name: cells.named(name) for name in INPUTS}
    if not (same and all(spots.values())):
        find = cells.named_spot if _is_current(version, mark) else cells.find
        spots = {name: find(name) for name in INPUTS}
    _check_order(cells, spots)
    places = {name: spelt(spot) if spot else "" for name, spot in spots.items()}
    given = _given(cells, spots, units, unusable)
    missing = tuple(name for name, spot in spots.items() if spot is None)
    inputs = {
        name: given.get(name, cells.estimate(entry, units, same))
        for name, entry in inputs_in(given).items()
    }
    known = unused_entries(missing) | meant_before(missing, inputs)
    inputs, given = inputs | known, given | known
    try:
        check_rules(inputs, places, units)
    except BadValue as error:
        raise _not_judged(cells, [error]) from None
    return Reading(
        inputs=inputs,
        units=units,
        version=version,
        statuses={n: cells.beside(n, STATUS, e.status) for n, e in listed()},
        bases={n: cells.beside(n, BASIS, e.basis) for n, e in listed()},
        places=places,
        given=given,
        ranges=_ranges(cells, units, inputs),
        missing=tuple(name for name in missing if name not in {**BEFORE, **SAME_AS}),
        currency=cells.value_or("Book_currency", None),
        mark=mark,
        answer=plain(cells.value_or("Answer", "")) if same else "",
    )


def current_reading(contents):
    """Read the inputs of a workbook with the layout of this version.

    Parameters
    ----------
    contents : Contents

    Returns
    -------
    reading : Reading

    Raises
    ------
    WorkbookError
        As for `read_book`, and when another version wrote it.
    """
    reading = reading_of(contents)
    if not reading.current:
        raise WorkbookError(f"{contents.path}: {other_layout(contents, reading)}")
    return reading


def other_layout(contents, reading):
    """Why the cells of a workbook cannot be compared, and what to do."""
    return (
        f"This workbook was written by a version ({reading.version}) with cells in "
        "other places. Its inputs can be read. Its cells cannot be checked or changed. "
        f"{take_over(contents.path)}"
    )


PAPERS = {
    "Milling quote": "milling quote for a customer",
    "Settlement statement": "settlement statement",
    "Provisional statement": "provisional statement",
    "Test lot report": "report of a test lot",
    "Ledger": "ledger of lots",
    "Charges": "table of what to charge",
    "Comparison": "comparison of two workbooks",
    "Season": "season's plan",
    "Plan and actual": "comparison of actuals with a plan",
}
"""Other files that pennyweight writes: sheet, and kind of file."""
CHECKED = tuple(PAPERS)[:4]
"""Those that `inspect` checks against their workbook."""


def units_of(cells):
    """Unit system of a workbook.

    Parameters
    ----------
    cells : NamedCells

    Returns
    -------
    units : {"us", "metric"}

    Raises
    ------
    WorkbookError
        When it has none, so that it is not a workbook of pennyweight.
    """
    units = cells.value_or("Book_units", None)
    if units in SYSTEMS:
        return units
    for sheet, what in PAPERS.items():
        if units is None and sheet in cells.contents.states:
            raise WorkbookError(
                f"{cells.path} is a {what} that pennyweight wrote. Give the workbook "
                "that it was written from"
                + f", or check it: 'pennyweight inspect {cells.path} --book WORKBOOK'"
                * (sheet in CHECKED)
                + "."
            )
    if units is None:
        raise WorkbookError(
            f"{cells.path} does not say its unit system (name Book_units): it is not a "
            "pennyweight workbook, or the name or its sheet was deleted."
        )
    raise WorkbookError(
        f"{cells.path}: the unit system (name Book_units) is {plain(units)!r}; it must "
        "be us or metric."
    )


def meant_before(missing, inputs):
    """Values of inputs that did not exist when a workbook was written."""
    same = {new: inputs[old] for new, old in SAME_AS.items() if old in inputs}
    found = {name: it for name, it in {**BEFORE, **same}.items() if name in missing}
    if foreign(inputs.get("currency", "")):
        found.pop("exchange_rate", None)  # it was never asked for
    return found


def unused_entries(missing):
    """Entries that a shorter table does not have: 0 if that means unused.

    Parameters
    ----------
    missing : collection of str

    Returns
    -------
    inputs : dict of str to float
    """
    found = {}
    for names in families().values():
        gone = [name for name in names if name in missing]
        entry = INPUTS[names[0]]
        if len(gone) < len(names) and entry.numeric and entry.minimum <= 0:
            found |= dict.fromkeys(gone, 0.0)
    return found


def _given(cells, spots, units, unusable):
    """The user's figures, checked; the error names every invalid one."""
    problems, found, empty = [], {}, []
    for name, spot in spots.items():
        if spot is None:
            continue
        entry, place = inputs_in(found)[name], spelt(spot)
        if cells.is_not_given(name, spot, units):
            empty.append(name)
            if cells.unlabelled(name, spot):
                problems.append(
                    f"{entry.label} ({place}): the cell is empty, and so is the "
                    "label beside it. Put the sheet back, or enter the figure."
                )
            continue
        try:
            value = check(entry, cells.value_at(spot, entry), units, place)
            if not cells.is_filled_in(entry, spot, units, value):
                found[name] = value
        except BadValue as error:
            if unusable is None:
                problems.append(str(error))
            else:
                unusable.append(name)
    if problems:
        raise _not_judged(cells, problems, _missing(empty, found, units))
    return found


def _missing(empty, found, units):
    """Sentence on the empty cells that are must-haves; empty if there are none."""
    inputs = {
        n: found.get(n, entry.value(units, "estimate"))
        for n, entry in inputs_in(found).items()
    }
    labels = [INPUTS[name].label for name in empty if needed(name, inputs)]
    return f"Missing, too: {'; '.join(labels)}." if labels else ""


def _not_judged(cells, problems, more=""):
    """The error for a workbook whose figures cannot be used, with the first reasons."""
    lines = [f"{cells.path} cannot be judged:", *map(str, problems[:MOST_SHOWN])]
    if len(problems) > MOST_SHOWN:
        lines.append(f"and {len(problems) - MOST_SHOWN} more.")
    lines += [more] if more else []
    return WorkbookError("\n  ".join(lines))


def _ranges(cells, units, inputs):
    """The user's own low and high of each input that has them."""
    found = {}
    for name, _ in listed():
        entry = inputs_in(inputs)[name]
        try:
            own = cells.own_range(entry, units) if entry.numeric else None
        except BadValue as error:
            raise _not_judged(cells, [error]) from None
        if own:
            found[name] = own
    return found


def _check_order(cells, spots):
    """Refuse a sheet of inputs whose rows were sorted, since names stay in place."""
    for name, _ in listed():
        label = spots[name] and cells.beside_other(name, spots[name])
        if label:
            raise WorkbookError(
                f"{cells.path}: the cell named {defined_name(name)} "
                f"({spelt(spots[name])}) is beside {label!r}. Rows of its sheet were "
                "sorted or moved, and names do not follow that. Undo it, or go by the "
                f"labels. {take_over(cells.path)}"
            )
