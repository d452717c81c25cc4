"""Cells that a book names, wherever they have been moved to."""

import functools

from openpyxl.utils.datetime import MAC_EPOCH, WINDOWS_EPOCH, from_excel

from ..errors import BadValue, WorkbookError
from ..model.inputs import INPUTS, STATUSES, allowed
from .entry_cells import STATUS
from .input_sheet import HEADS
from .layout import LABEL, VALUE, defined_name
from .package.sheet_part import place_of
from .package.text_part import plain

TOP = 20
"""Rows from the top in which the heads of columns stand."""


def spot_of(text):
    """Sheet and (row, column) of the single cell that a name stands for, or None.

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


class NamedCells:
    """Named cells of a book's contents.

    Parameters
    ----------
    contents : Contents
    """

    def __init__(self, contents):
        self.contents, self.path = contents, contents.path
        self._columns, self._labels = {}, {}

    def spot(self, name):
        """Sheet and (row, column) that a defined name points to.

        Raises
        ------
        WorkbookError
            When it points to no single cell of a sheet that is there.
        """
        found = spot_of(self.contents.names.get(name.lower(), ""))
        if found is None:
            raise WorkbookError(
                f"{self.path}: the defined name {name} is missing or points to no "
                "single cell. It is not a pennyweight book, or the name was deleted, "
                "or another version wrote it: start from an unspoilt copy, or take its "
                "inputs over with 'pennyweight new FRESH.xlsx --from' and this book."
            )
        if found[0] not in self.contents.sheets:
            raise WorkbookError(
                f"{self.path}: the sheet {plain(found[0])!r}, which holds {name}, is "
                "missing: start from an unspoilt copy."
            )
        return found

    def place(self, name):
        """Sheet and cell, for people."""
        return spelt(self.spot(name))

    def value(self, name, entry=None):
        """Value of a named cell, as the kind of its input wants it."""
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
        if entry is not None and (entry.kind == "text" or cell.date):
            return _text(cell)  # a date is no number; the check will say so
        return as_kind(cell.value, entry) if entry else cell.value

    def _empty(self, entry):
        """What an empty cell means: in a table's unused row 0, as for its formulas."""
        unused = entry.over and entry.numeric and entry.minimum <= 0
        if unused and not self._counts(entry):
            return 0.0
        return as_kind(None, entry)

    def _counts(self, entry):
        """Whether an empty assay stands in a row that has a weight."""
        if entry.family != "sample_grade":
            return False
        weight = entry.name.replace(entry.family, "sample_weight")
        cell = self.contents.cell(*self.spot(defined_name(weight)))
        return cell is not None and cell.value not in (None, 0.0)

    def beside(self, name, column, default):
        """Text in another column of an input's row; the table's own if empty."""
        return self.beside_at(self.spot(defined_name(name)), column, default)

    def _heads(self, sheet):
        """Columns of the sheet of inputs by their heads: some may be inserted."""
        if sheet not in self._columns:
            found = {}
            cells = self.contents.sheets.get(sheet, {})
            for (row, column), cell in sorted(cells.items()):
                if row < TOP and cell.kind == "text" and cell.value in HEADS.values():
                    found.setdefault(cell.value, column)
            self._columns[sheet] = found
        return self._columns[sheet]

    def labels(self, sheet):
        """Places of the values beside labels that stand only once on a sheet."""
        if sheet not in self._labels:
            column, value = (self._column(sheet, at) for at in (LABEL, VALUE))
            found, twice = {}, set()
            for (row, at), cell in self.contents.sheets.get(sheet, {}).items():
                if at == column and cell.kind == "text":
                    label = _plain_label(cell.value)
                    twice |= {label} & found.keys()
                    found[label] = (sheet, (row, value))
            self._labels[sheet] = {k: v for k, v in found.items() if k not in twice}
        return self._labels[sheet]

    def beside_other(self, name, spot):
        """The label beside an input's cell, when its own stands elsewhere; else empty.

        Rows that are sorted take their labels along, but not the names of their cells.
        """
        label = self.beside_at(spot, LABEL, "").strip()
        own = _plain_label(INPUTS[name].label)
        if _plain_label(label) == own:
            return ""
        elsewhere = own in self.labels(spot[0])
        return label or "nothing" if elsewhere or label in _known_labels() else ""

    def _column(self, sheet, column):
        return self._heads(sheet).get(HEADS[column], column)

    def beside_at(self, spot, column, default):
        """Text in another column of a place's row, found by the column's head."""
        sheet, (row, _) = spot
        cell = self.contents.cell(sheet, (row, self._column(sheet, column)))
        if cell is None or cell.kind in ("none", "e") or cell.value == "":
            return default
        if column == STATUS and cell.value not in STATUSES:
            return default
        return _text(cell)


@functools.cache
def _known_labels():
    return {entry.label for entry in INPUTS.values()}


def _plain_label(text):
    return plain(text).strip().lower()


def spelt(spot):
    """Sheet and cell of a place, for people."""
    from .line_sheets import cell_name

    sheet, (row, column) = spot
    return cell_name(plain(sheet), row, column)


def _text(cell):
    """A text, or what a person meant as one and a program took for a number."""
    if cell.kind == "b":
        return "TRUE" if cell.value else "FALSE"
    if cell.kind != "n":
        return plain(cell.value)
    if cell.date:
        epoch = MAC_EPOCH if cell.date[0] else WINDOWS_EPOCH
        try:
            moment = from_excel(cell.value, epoch)
            return getattr(moment, "date", lambda: moment)().isoformat()
        except (ValueError, OverflowError, AttributeError):
            pass
    return f"{cell.value:.15g}"


def as_kind(value, entry):
    """Choices in other letters; an empty text."""
    if entry.kind == "text" and value is None:
        return ""
    if entry.kind == "choice" and isinstance(value, str):
        same = [choice for choice in entry.choices if choice == value.lower().strip()]
        return same[0] if same else plain(value)
    return value
