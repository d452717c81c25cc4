"""Cells of inputs found by their defined names, labels and column heads."""

import functools
import math
from collections import Counter

from ..errors import BadValue, WorkbookError, plain
from ..model.allowed import allowed, check
from ..model.inputs import (
    FORMER_UNITS,
    INPUTS,
    STATUSES,
    is_filled_in,
    mass_beside,
    weight_beside,
)
from ..model.lookup import names_of
from .entry_cells import OWN_HIGH, OWN_LOW, STATUS, estimate_formula
from .input_sheet import HEADS
from .layout import LABEL, START, UNIT, VALUE, defined_name
from .package.sheet_part import address_of, place_of

ENTERED = "_entered"
"""Suffix of the name of the cell for the user's own figure."""
FORMER_HEADS = {"Value": HEADS[VALUE]}
"""Heads of columns in earlier versions."""
TOP = 20
"""Rows from the top in which column heads are looked for."""


def spot_of(text):
    """Sheet and (row, column) of the single cell of a defined name, or None.

    Examples
    --------
    >>> spot_of("'Cash flow'!$B$7")
    ('Cash flow', (6, 1))
    """
    sheet, mark, cell = text.strip().removeprefix("=").rpartition("!")
    if sheet.startswith("'") and sheet.endswith("'"):
        sheet = sheet[1:-1].replace("''", "'")
    elif set(sheet) & set("'![]"):
        return None
    try:
        return (sheet, place_of(cell)) if mark and sheet else None
    except WorkbookError:
        return None


def take_over(path):
    """What to do with a workbook whose cells were moved."""
    name = getattr(path, "name", path)
    return (
        "Take the inputs over into a new workbook: "
        f"pennyweight new NEW.xlsx --from {name}"
    )


class NamedCells:
    """Named cells of a workbook's contents.

    Parameters
    ----------
    contents : Contents
    """

    def __init__(self, contents):
        self.contents, self.path = contents, contents.path
        self._columns, self._labels = {}, {}

    def _here(self, name):
        """Sheet and (row, column) that a defined name points to, or None."""
        found = spot_of(self.contents.names.get(name.lower(), ""))
        return found if found and found[0] in self.contents.sheets else None

    def spot(self, name):
        """Sheet and (row, column) that a defined name points to.

        Raises
        ------
        WorkbookError
            When it does not point to a single cell of a sheet that exists.
        """
        found = spot_of(self.contents.names.get(name.lower(), ""))
        if found is None:
            raise WorkbookError(
                f"{self.path}: the defined name {name} is missing or does not point to "
                f"a single cell. {take_over(self.path)}"
            )
        if found[0] not in self.contents.sheets:
            raise WorkbookError(
                f"{self.path}: the sheet {plain(found[0])!r}, which has {name}, is "
                f"missing. {take_over(self.path)}"
            )
        return found

    def named(self, name):
        """Place of an input's cell by its name, present or former; else None.

        If the workbook has separate cells for the user's figures, it is that cell.
        """
        ending = self._ending(name)
        words = [defined_name(known) + ending for known in names_of(name)]
        return next(filter(None, map(self._here, words)), None)

    def lost(self, name):
        """Whether an input has a name that points to no cell."""
        return not self.named(name) and any(
            (defined_name(known) + self._ending(name)).lower() in self.contents.names
            for known in names_of(name)
        )

    def _ending(self, name):
        """Suffix of the name of an input's cell."""
        return ENTERED if self._apart and not INPUTS[name].over else ""

    @functools.cached_property
    def _apart(self):
        """Whether the workbook has separate cells for the user's own figures."""
        return any(known.endswith(ENTERED) for known in self.contents.names)

    def named_spot(self, name):
        """Place of an input's cell by its name.

        Raises
        ------
        WorkbookError
            When the workbook has no such name.
        """
        return self.named(name) or self.spot(defined_name(name) + self._ending(name))

    def find(self, name):
        """Place of an input's cell by its name, else by its label, else None."""
        entry, spot = INPUTS[name], self.named(name)
        if spot and (entry.over or not self.beside_other(name, spot)):
            return spot
        sheets = (spot[0],) if spot and not entry.over else (START, "Inputs")
        words = [word for word in _labels(entry) if _times()[word] == 1]
        found = (self.labels(sheet).get(word) for sheet in sheets for word in words)
        return next(filter(None, found), None)

    def own_range(self, entry, units):
        """The user's own low and high of an input, NaN for one left out, or None."""
        spot = self._here(defined_name(entry.name))
        heads = self._heads(spot[0]) if spot else {}
        found = []
        for head in (HEADS[OWN_LOW], HEADS[OWN_HIGH]):
            place = (spot[1][0], heads[head]) if head in heads else None
            cell = place and self.contents.cell(spot[0], place)
            if cell is None or cell.kind == "none":
                found.append(math.nan)
            else:
                where = spelt((spot[0], place))
                value = self._in_present_unit(cell, entry, spot)
                found.append(check(entry, value, units, where))
        return None if all(map(math.isnan, found)) else tuple(found)

    def is_not_given(self, name, spot, units):
        """Whether a cell for the user's own figure is empty, or has the estimate."""
        cell = self.contents.cell(*spot)
        live = estimate_formula(INPUTS[name], units)
        if live and cell and cell.formula:
            from .inspection.formula_equality import same_formula

            return same_formula(live, cell.formula, spot[0])
        empty = cell is None or cell.kind == "none" or cell.value == ""
        if empty and self._has_figure(mass_beside(name)):
            return True
        return empty and self._apart and not INPUTS[name].over

    def is_filled_in(self, entry, spot, units, value):
        """Whether a table's cell is as a new workbook has it; a typed 0 is not."""
        cell = self.contents.cell(*spot)
        typed = value == 0 and cell is not None and cell.kind != "none"
        return self._apart and not typed and is_filled_in(entry, value, units)

    def unlabelled(self, name, spot):
        """Whether an input's row has no label, as on a blank sheet of the same name."""
        return not INPUTS[name].over and not self.beside_at(spot, LABEL, "").strip()

    def estimate(self, entry, units, same_version):
        """The estimate of an input that the user did not give.

        Another version may have another estimate; then it is in its workbook.
        """
        spot = None if same_version else self._here(defined_name(entry.name))
        if spot is not None:
            try:
                return check(entry, self.value_at(spot, entry), units)
            except BadValue:
                pass  # it has no value, or one that this version does not allow
        return entry.value(units, "estimate")

    def value_or(self, name, default):
        """Value of a named cell, or the default if there is none."""
        spot = self._here(name)
        cell = spot and self.contents.cell(*spot)
        return default if cell is None or cell.value is None else cell.value

    def place(self, name):
        """Sheet and cell, for people."""
        return spelt(self.spot(name))

    def value(self, name, entry=None):
        """Value of a named cell, converted to the kind of its input."""
        return self.value_at(self.spot(name), entry, name)

    def value_at(self, spot, entry=None, name=""):
        """Value of a cell at (sheet, (row, column))."""
        cell = self.contents.cell(*spot)
        if cell is None or cell.kind == "none":
            return self._empty(entry) if entry else None
        if cell.kind == "e":
            raise BadValue(
                f"{entry.label if entry else name} ({spelt(spot)}): the cell shows the "
                f"error {plain(cell.value)}. "
                f"{allowed(entry, 'us') if entry else ''}".strip()
            )
        if entry is not None and (
            entry.kind == "text" or self.contents.shows_date(cell)
        ):
            return self._text(cell)  # a date is not a number; the check will refuse it
        if entry is None:
            return cell.value
        return as_kind(self._in_present_unit(cell, entry, spot), entry)

    def _in_present_unit(self, cell, entry, spot):
        """The value of a cell, converted from the unit of an earlier version."""
        former = FORMER_UNITS.get(entry.name)
        if not former or cell.kind != "n":
            return cell.value
        return cell.value * former.get(self.beside_at(spot, UNIT, ""), 1.0)

    def _empty(self, entry):
        """Value of an empty cell: 0 in an unused row of a table."""
        unused = entry.over and entry.numeric and entry.minimum <= 0
        if unused and not self._has_figure(weight_beside(entry)):
            return 0.0
        return as_kind(None, entry)

    def _has_figure(self, name):
        """Whether an input's cell is neither empty nor 0."""
        spot = name and self.named(name)
        cell = spot and self.contents.cell(*spot)
        return bool(cell) and cell.value not in (None, 0.0)

    def beside(self, name, column, default):
        """Text in another column of an input's row; the default if it is empty."""
        spots = (self._here(defined_name(known)) for known in names_of(name))
        spot = next(filter(None, spots), None) or self.find(name)
        return self.beside_at(spot, column, default) if spot else default

    def _heads(self, sheet):
        """Columns of the sheet Inputs by their heads: some may be inserted."""
        if sheet not in self._columns:
            found = {}
            cells = self.contents.sheets.get(sheet, {})
            for (row, column), cell in sorted(cells.items()):
                head = FORMER_HEADS.get(cell.value, cell.value)
                if row < TOP and cell.kind == "text" and head in HEADS.values():
                    found.setdefault(head, column)
            self._columns[sheet] = found
        return self._columns[sheet]

    def labels(self, sheet):
        """Places of the values beside labels that occur once on a sheet."""
        if sheet not in self._labels:
            column, value = (self.column(sheet, at) for at in (LABEL, VALUE))
            found, twice = {}, set()
            for (row, at), cell in self.contents.sheets.get(sheet, {}).items():
                if at == column and cell.kind == "text":
                    label = _plain_label(cell.value)
                    twice |= {label} & found.keys()
                    found[label] = (sheet, (row, value))
            self._labels[sheet] = {k: v for k, v in found.items() if k not in twice}
        return self._labels[sheet]

    def beside_other(self, name, spot):
        """The label beside an input's cell if it is that of another input; else empty.

        Sorting moves the labels of rows, but not the names of their cells.
        """
        label = self.beside_at(spot, LABEL, "").strip()
        own = _labels(INPUTS[name])
        if _plain_label(label) in own:
            return ""
        elsewhere = any(word in self.labels(spot[0]) for word in own)
        return label or "nothing" if elsewhere or label in _known_labels() else ""

    def column(self, sheet, column):
        """Column of the sheet Inputs, found by its head."""
        return self._heads(sheet).get(HEADS[column], column)

    def beside_at(self, spot, column, default):
        """Text in another column of a place's row, found by the column's head."""
        sheet, (row, _) = spot
        cell = self.contents.cell(sheet, (row, self.column(sheet, column)))
        if cell is None or cell.kind in ("none", "e") or cell.value == "":
            return default
        if column == STATUS and cell.value not in STATUSES:
            return default
        return self._text(cell)

    def _text(self, cell):
        """The content of a cell as text: a number or a date may be meant as text."""
        if cell.kind == "b":
            return "TRUE" if cell.value else "FALSE"
        if cell.kind != "n":
            return plain(cell.value)
        return self._date(cell) or f"{cell.value:.15g}"

    def _date(self, cell):
        """The date that a cell shows, or None."""
        if not self.contents.shows_date(cell):
            return None
        from openpyxl.utils.datetime import MAC_EPOCH, WINDOWS_EPOCH, from_excel

        epoch = MAC_EPOCH if self.contents.structure.since_1904 else WINDOWS_EPOCH
        try:
            moment = from_excel(cell.value, epoch)
            return getattr(moment, "date", lambda: moment)().isoformat()
        except (ValueError, OverflowError, AttributeError):
            return None


@functools.cache
def _known_labels():
    return {entry.label for entry in INPUTS.values()}


def _labels(entry):
    """Labels of an input in lower case, present and former."""
    return [_plain_label(word) for word in (entry.label, *entry.formerly)]


@functools.cache
def _times():
    """How many inputs have or had each label."""
    return Counter(word for entry in INPUTS.values() for word in _labels(entry))


def cell_names():
    """Every defined name that a cell of an input may have."""
    for name in INPUTS:
        for known in names_of(name):
            yield from (defined_name(known), defined_name(known) + ENTERED)


def _plain_label(text):
    return plain(text).strip().lower()


def spelt(spot):
    """Sheet and cell of a place, for people."""
    sheet, place = spot
    return f"{plain(sheet)}!{address_of(place)}"


def as_kind(value, entry):
    """A value as its input takes it: choices in lower case, an empty text."""
    if entry.kind == "text" and value is None:
        return ""
    if entry.kind == "choice" and isinstance(value, str):
        same = [choice for choice in entry.choices if choice == value.lower().strip()]
        return same[0] if same else plain(value)
    return value
