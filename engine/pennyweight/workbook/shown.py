"""Figures of a workbook that are not those of the engine for its inputs."""

import math

from ..errors import plain
from ..model.jobs import HEADLINES
from .layout import START, defined_name
from .live_cells import stored
from .named_cells import spot_of
from .package.contents import read_contents
from .start_sheet import ANSWER, FIGURE

LEAST = 1e-4
"""Difference that no figure shows."""


def shown_otherwise(path, plan):
    """Headline figures that a workbook shows otherwise than the engine.

    Parameters
    ----------
    path : str or Path
    plan : Plan
        What was read from the workbook.

    Returns
    -------
    figures : dict of str to float or str
        Those of the sheet Start, else of the line's own cell.
    """
    names = {name: defined_name(name).lower() for name in HEADLINES[plan.inputs["job"]]}
    spots = {}

    def sheets(references):
        found = {n: spot_of(references.get(ref, "")) for n, ref in names.items()}
        spots.update((name, spot) for name, spot in found.items() if spot)
        return {START, *(sheet for sheet, _ in spots.values())}

    contents = read_contents(path, sheets)
    rows = {
        cell.value: row
        for (row, column), cell in contents.sheets.get(START, {}).items()
        if column == ANSWER
    }
    found = {}
    for name in names:
        wanted = stored(plan.values[name].item())
        places = spots.get(name), (START, (rows.get(plan.label(name)), FIGURE))
        for cell in (contents.cell(*place) for place in places if place):
            if cell is not None and cell.kind != "none" and _other(cell.value, wanted):
                is_text = isinstance(cell.value, str)
                found[name] = plain(cell.value) if is_text else cell.value
    return found


def _other(there, wanted):
    """Whether a figure in a cell is another than the engine's."""
    if isinstance(there, str) or isinstance(wanted, str):
        return there != wanted
    return not math.isclose(there, wanted, rel_tol=1e-6, abs_tol=LEAST)
