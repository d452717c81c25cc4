"""Renamed sheets, recognised by their title and purpose."""

from dataclasses import replace

from .inspection.findings import Finding
from .inspection.formula_tree import with_sheets
from .layout import SHEETS
from .sheets import REGISTRY, title_of

FORMER = {"Chance": "Risk"}
"""Names of sheets in earlier versions, with the present ones."""

TOP = 40
"""Rows from the top in which the title is looked for."""


def renamed_sheets(contents):
    """Find missing sheets that are probably there under another name.

    Parameters
    ----------
    contents : Contents

    Returns
    -------
    names : dict of str to str
        New name of each sheet, by the original one.
    """
    tops = {
        name: {
            cell.value
            for (row, _), cell in cells.items()
            if row < TOP and cell.kind == "text" and not cell.formula
        }
        for name, cells in contents.sheets.items()
        if name not in SHEETS
    }
    found = {}
    for sheet in SHEETS:
        marks = {title_of(sheet), REGISTRY[sheet].purpose}
        alike = [
            name
            for name, texts in tops.items()
            if marks <= texts or FORMER.get(name) == sheet
        ]
        if sheet not in contents.sheets and len(alike) == 1:
            found[sheet] = alike[0]
    return found


def with_own_names(contents, renamed):
    """The same contents with the original sheet names, also in formulas.

    Parameters
    ----------
    contents : Contents
    renamed : dict of str to str
        As given by `renamed_sheets`.

    Returns
    -------
    contents : Contents
    """
    if not renamed:
        return contents
    own = {new: sheet for sheet, new in renamed.items()}
    lower = {new.lower(): sheet for new, sheet in own.items()}

    def cell_of(cell):
        return cell._replace(formula=with_sheets(cell.formula, lower))

    def keyed(mapping):
        return {own.get(name, name): value for name, value in mapping.items()}

    structure = contents.structure
    for charts in structure.charts.values():
        for chart in charts:
            chart.formulas = [with_sheets(f"={f}", lower)[1:] for f in chart.formulas]
    keys = ("appearances", "drawings", "charts", "notes_drawn", "pieces", "note_pieces")
    return replace(
        contents,
        structure=replace(
            structure, **{what: keyed(getattr(structure, what)) for what in keys}
        ),
        sheets=keyed(
            {
                name: {
                    place: cell_of(cell) if cell.formula else cell
                    for place, cell in cells.items()
                }
                for name, cells in contents.sheets.items()
            }
        ),
        states=keyed(contents.states),
        hidden_lines=keyed(contents.hidden_lines),
        sheet_parts=keyed(contents.sheet_parts),
        notes={(own.get(s, s), place): t for (s, place), t in contents.notes.items()},
        names={
            name: with_sheets("=" + text.removeprefix("="), lower)[1:]
            for name, text in contents.names.items()
        },
    )


def renaming_findings(renamed):
    """One finding for each renamed sheet."""
    return [
        Finding(new, "", "sheet renamed", sheet, new) for sheet, new in renamed.items()
    ]
