"""Taking inputs over from another workbook, also of another layout."""

import math
from dataclasses import dataclass, field

from ..errors import BadValue, WorkbookError, plain
from ..model.allowed import check, complete
from ..model.entries import needed
from ..model.inputs import BEFORE, INPUTS, SAME_AS, families, inputs_in
from ..model.rules import check_rules
from ..model.units import CONSTANTS, convert
from .book import Figures
from .entry_cells import BASIS, STATUS
from .layout import SHEETS, defined_name
from .named_cells import NamedCells, cell_names, spelt, spot_of
from .package.contents import read_closed
from .read import current_reading, meant_before, units_of, unused_entries
from .renamed_sheets import FORMER

MOST_NOTES = 40
"""The most notes and added cells that are listed one by one."""
MOST_CELLS = 6
"""The most altered formulas that are named."""


@dataclass(kw_only=True)
class Carried(Figures):
    """Inputs taken over from a workbook; the others are left out.

    Attributes
    ----------
    left_behind : list of str
        What was not taken over, and why: inputs, sheets, notes, names.
    """

    left_behind: list = field(default_factory=list)

    @property
    def complete(self):
        """Every input: those taken over, and estimates of the others."""
        return complete(self.inputs, self.units, "estimate")


def carry_from(path, units=None):
    """Read the inputs that a workbook has, by their names, else by their labels.

    Parameters
    ----------
    path : str or Path
    units : {"us", "metric"}, optional
        Unit system wanted; that of the workbook when left out.

    Returns
    -------
    carried : Carried

    Raises
    ------
    WorkbookError
        When the file is not a workbook, has no known input, or its inputs contradict
        one another.
    """
    contents = read_closed(path)
    cells = NamedCells(contents)
    own = units_of(cells)
    carried = Carried(inputs={}, units=own)
    spots = {name: cells.find(name) for name in INPUTS}
    for name, spot in spots.items():
        _carry(name, spot, cells, carried)
        _tell_dragged(INPUTS[name], spot, cells, carried)
    if not carried.inputs:
        raise WorkbookError(
            f"{path} has no input under a name or label that pennyweight knows: it is "
            "not a pennyweight workbook."
        )
    _missing_entries({name for name, spot in spots.items() if spot is None}, carried)
    _check_rules(carried, path)
    carried.left_behind += _theirs(contents)
    return _converted(carried, units or own)


def _left(entry, carried):
    """What becomes of an input that is not taken over."""
    if entry.estimate == "" or needed(entry.name, carried.complete):
        return "stays empty"
    return f"keeps its {'usual choice' if entry.kind == 'choice' else 'estimate'}"


def _carry(name, spot, cells, carried):
    entry = inputs_in(carried.inputs)[name]
    if spot is None:
        if not entry.over and name not in {**BEFORE, **SAME_AS}:
            carried.left_behind.append(
                f"{entry.label}: not in that book; it {_left(entry, carried)}."
            )
        return
    if cells.is_not_given(name, spot, carried.units):
        return
    try:
        value = cells.value_at(spot, entry)
        carried.inputs[name] = check(entry, value, carried.units, spelt(spot))
    except BadValue as error:
        carried.left_behind.append(f"{error} It {_left(entry, carried)}.")
        return
    cell = cells.contents.cell(*spot)
    if cell is not None and cell.formula:
        carried.left_behind.append(
            f"{entry.label} ({spelt(spot)}): its formula {plain(cell.formula)}; the "
            "new workbook has the value."
        )
    if not entry.over:
        carried.statuses[name] = cells.beside(name, STATUS, entry.status)
        carried.bases[name] = cells.beside(name, BASIS, entry.basis)
        if entry.numeric and (own := _own_range(entry, cells, carried)):
            carried.ranges[name] = own


def _tell_dragged(entry, spot, cells, carried):
    """Say where the name of an input and its label stand in different rows."""
    home = cells.named(entry.name)
    if entry.over or home == spot:
        return
    taken = entry.name in carried.inputs
    if home:
        then = f"{spelt(spot)}, beside its label, was taken" if taken else "enter it"
        carried.left_behind.append(
            f"{entry.label}: its name stands at {spelt(home)}, in the row of another "
            f"input; {then}."
        )
    elif taken and cells.lost(entry.name):
        carried.left_behind.append(
            f"{entry.label}: its name is lost; {spelt(spot)} was taken, beside its "
            "label. Look at the figure."
        )


def _own_range(entry, cells, carried):
    try:
        return cells.own_range(entry, carried.units)
    except BadValue as error:
        carried.left_behind.append(f"{error} The estimate's range is used.")
        return None


def _missing_entries(missing, carried):
    """Set the entries of tables that were shorter in that workbook as unused."""
    unused = unused_entries(missing)
    carried.inputs |= unused | meant_before(missing, carried.inputs)
    for names in families().values():
        gone = [name for name in names if name in missing]
        if gone:
            label = INPUTS[gone[0]].label.rpartition(", ")[0]
            what = "the others keep their estimates"
            what = "the others are 0" if gone[0] in unused else what
            carried.left_behind.append(
                f"{label}: {len(names) - len(gone)} of {len(names)} entries are in "
                f"that book; {what}."
            )


def _check_rules(carried, path):
    try:
        check_rules(carried.complete, units=carried.units)
    except BadValue as error:
        raise WorkbookError(
            f"{path}: its inputs, with estimates for those it lacks, contradict "
            f"one another:\n  {error}"
        ) from None


def _theirs(contents):
    """Sheets, comments, names and cells of others, which are not taken over."""
    from .inspection.inspect import inspect_contents

    try:
        reading = current_reading(contents)
        found = inspect_contents(contents, reading, gathered=False).findings
    except WorkbookError:
        return _few(list(_by_themselves(contents)))
    kinds = ("sheet added", "note", "name added", "hidden name", "cell added")
    notes = [
        f"{'!'.join(filter(None, (f.sheet, f.cell))) or 'The file'}: {f.kind}"
        + (f" ({f.found})." if f.found and f.kind != "sheet added" else ".")
        for f in found
        if f.kind in kinds
    ]
    altered = [f"{f.sheet}!{f.cell}" for f in found if f.kind.startswith("formula")]
    if altered:
        more = f" and {len(altered) - MOST_CELLS} more" * (len(altered) > MOST_CELLS)
        named = f"{', '.join(altered[:MOST_CELLS])}{more}"
        notes.append(
            f"Altered formulas: {len(altered)}, {named}; the new workbook has those of "
            "pennyweight."
        )
    return _few(notes)


def _by_themselves(contents):
    """The same for a workbook of another layout: sheets, comments, other inputs."""
    for sheet in contents.states:
        if sheet not in SHEETS and sheet not in FORMER:
            yield f"{plain(sheet)}: sheet added."
    for (sheet, place), text in contents.notes.items():
        yield f"{spelt((sheet, place))}: note ({plain(text)[:200]})."
    known = {name.lower() for name in (*cell_names(), *map(defined_name, CONSTANTS))}
    for name, text in contents.names.items():
        spot = spot_of(text)
        figure = name.removesuffix("_low").removesuffix("_high")
        if spot is not None and spot[0] == "Inputs" and not {name, figure} & known:
            yield f"{plain(contents.spelt[name])}: not an input of this version."


def _few(notes):
    if len(notes) <= MOST_NOTES:
        return notes
    return [*notes[:MOST_NOTES], f"and {len(notes) - MOST_NOTES} more."]


def _converted(carried, units):
    if units != carried.units:
        for name, value in carried.inputs.items():
            entry = INPUTS[name]
            if entry.numeric:
                there = convert(value, entry.unit, carried.units, units)
                carried.inputs[name] = there
        carried.ranges = {
            name: tuple(
                convert(e, INPUTS[name].unit, carried.units, units) for e in own
            )
            for name, own in carried.ranges.items()
        }
        moved = [entry for name, entry in INPUTS.items() if name not in carried.inputs]
        other = sum(_is_other(entry, carried.units, units) for entry in moved)
        carried.units = units
        carried.left_behind += [
            f"{other} estimates as that book has them. In the new one they are the "
            "round figures of its own units, so results that depend on them change a "
            "little."
        ] * bool(other)
    return carried


def _is_other(entry, before, units):
    """Whether an estimate differs in other units by more than a thousandth."""
    if not entry.numeric or entry.over:
        return False
    there = convert(entry.value(before, "estimate"), entry.unit, before, units)
    return not math.isclose(there, entry.value(units, "estimate"), rel_tol=1e-3)
