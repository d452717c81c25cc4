"""What a partner moved, undone for the inspection and told in a few words.

Spreadsheet programs rewrite every reference to what moves. So the moves are found by
what stays recognisable and undone in what was read, references and all; whatever then
still differs was altered besides.
"""

from dataclasses import dataclass, field, replace

from xlsxwriter.utility import xl_col_to_name, xl_rowcol_to_cell

from ..layout import HEAD, LABEL, SHEETS
from ..package.sheet_part import place_of
from .expected import free_places, input_places
from .findings import Finding
from .formula_tree import readdressed
from .moves import moves_of

FRESH = "Make a fresh book with 'new --from' and this one."
OR_FRESH = "Or make a fresh book with 'new --from' and this one."
KINDS = (
    "rows inserted",
    "columns inserted",
    "rows deleted",
    "columns deleted",
    "block moved",
    "rows in another order",
)


@dataclass
class Straightened:
    """Contents with the moves undone.

    Attributes
    ----------
    contents : Contents
    moves : dict of str to Moves
        Of the sheets on which something moved.
    findings : list of Finding
        One for each move.
    """

    contents: object
    moves: dict
    findings: list = field(default_factory=list)

    def told(self, findings, original):
        """The moves, then the findings at the cells where they stand in the file.

        Parameters
        ----------
        findings : list of Finding
            From the straightened contents.
        original : Contents

        Returns
        -------
        findings : list of Finding
            Without those that follow from a move alone.
        """
        there = [self._there(finding, original) for finding in findings]
        return [*self.findings, *filter(None, there)]

    def _there(self, finding, original):
        moves = self.moves.get(finding.sheet)
        if moves is None or not finding.cell:
            return finding
        place = place_of(finding.cell)
        if moves.unordered:
            first, last = moves.unordered
            return None if first <= place[0] <= last else finding
        now = moves.forward(place)
        if now is None:  # in what was deleted
            return None
        cell = original.cell(finding.sheet, now)
        shows_formula = cell is not None and cell.formula and finding.found[:1] == "="
        found = cell.formula if shows_formula else finding.found
        return replace(finding, cell=xl_rowcol_to_cell(*now), found=found)


def straightened(contents, pristine, units):
    """Undo what was moved in a book.

    Parameters
    ----------
    contents, pristine : Contents
        Of the book, and of the one that ought to be there.
    units : {"us", "metric"}

    Returns
    -------
    straightened : Straightened
    """
    free = input_places().keys() | free_places(units)
    moves = {}
    for sheet in SHEETS:
        if sheet in contents.sheets:
            cells = pristine.sheets[sheet].items()
            ours = {at: cell for at, cell in cells if (sheet, at) not in free}
            found = moves_of(ours, contents.sheets[sheet])
            if found.any:
                moves[sheet] = found
    if not moves:
        return Straightened(contents, {})
    findings = [
        finding
        for sheet, found in moves.items()
        for finding in (
            *_shifted(sheet, found, pristine.sheets[sheet]),
            *_otherwise(sheet, found),
            *_theirs(sheet, found, contents.sheets[sheet]),
        )
    ]
    return Straightened(_undone(contents, moves), moves, findings)


def _undone(contents, moves):
    lower = {sheet.lower(): (sheet, found) for sheet, found in moves.items()}

    def back(sheet, row, column):
        if sheet not in lower:
            return sheet, row, column
        name, found = lower[sheet]
        place = found.back((row, column))
        return place and (name, *place)

    sheets = dict(contents.sheets)
    for sheet, cells in contents.sheets.items():
        if sheet in SHEETS:
            found = moves.get(sheet)
            placed = cells.items()
            if found:
                placed = [(found.back(at), cell) for at, cell in placed]
            sheets[sheet] = {
                at: replace(cell, formula=readdressed(cell.formula, sheet, back))
                if cell.formula
                else cell
                for at, cell in placed
                if at is not None
            }
    names = {
        name: readdressed("=" + text.removeprefix("="), "", back)[1:]
        for name, text in contents.names.items()
    }
    return replace(contents, sheets=sheets, names=names)


def _shifted(sheet, moves, ours):
    """Rows and columns that were inserted or deleted."""
    for word, shift, name in (
        ("row", moves.rows, lambda line: str(line + 1)),
        ("column", moves.columns, xl_col_to_name),
    ):
        inserted, deleted = shift.changes()
        for first, last, before in inserted:
            lines = f"{name(first)}:{name(last)}"
            told = _counted(last - first + 1, word)
            told += _beside(word, before, ours)
            mend = (
                f"Move what is theirs in {word}s {lines} to a sheet of their own, and "
                f"delete these {word}s: the formulas then are as they were. {OR_FRESH}"
            )
            yield Finding(sheet, lines, f"{word}s inserted", "", told, mend)
        for first, last in deleted:
            told = _counted(last - first + 1, word) + _beside(word, first, ours, "from")
            lines = f"{name(first)}:{name(last)}"
            yield Finding(sheet, lines, f"{word}s deleted", told, "", FRESH)


def _counted(count, word):
    return f"{count} {word}" + ("s" if count > 1 else "")


def _beside(word, line, ours, preposition="above"):
    """The label of the row, or the head of the column, from which it happened."""
    if word == "row":
        texts = [(r, c.value) for (r, k), c in ours.items() if k == LABEL and r >= line]
    else:
        preposition = {"above": "left of"}.get(preposition, preposition)
        texts = [(k, c.value) for (r, k), c in ours.items() if r == HEAD and k >= line]
    text = min(texts, default=(0, None), key=lambda pair: pair[0])[1]
    return f", {preposition} {text!r}" if isinstance(text, str) and text else ""


def _otherwise(sheet, moves):
    """Blocks elsewhere, and rows in another order."""
    for block in moves.blocks:
        mend = "Cut it and paste it where it was. " + OR_FRESH
        there = f"moved to {block.address(block.step)}"
        was = block.address()
        yield Finding(sheet, was, "block moved", f"{was} here", there, mend)
    if moves.unordered:
        first, last = (row + 1 for row in moves.unordered)
        mend = "Undo the sorting; names and formulas do not follow it. " + OR_FRESH
        told = f"rows {first} to {last} sorted, or moved one by one"
        lines = f"{first}:{last}"
        yield Finding(sheet, lines, "rows in another order", "", told, mend)


def _theirs(sheet, moves, cells):
    """What stands in rows and columns that were inserted."""
    for place, cell in sorted(cells.items()):
        told = cell.formula or cell.value
        if moves.back(place) is None and told not in (None, ""):
            mend = "Theirs; nothing of ours reads it."
            at = xl_rowcol_to_cell(*place)
            yield Finding(sheet, at, "cell added", "", str(told), mend, grave=False)
