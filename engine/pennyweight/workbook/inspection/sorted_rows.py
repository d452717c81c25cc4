"""Rows of the table of samples in another order: the same samples."""

from dataclasses import replace

from ...model.inputs import INPUTS, families
from ...model.mill_model import MODEL
from ..layout import layout

AXIS = "sample"
"""The axis of the only table whose order has no meaning."""


def sorted_entries(contents):
    """Where each entry of the table stood before its rows were sorted.

    Parameters
    ----------
    contents : Contents
        With the layout of this version.

    Returns
    -------
    origin : dict of str to str
        For each input, the one whose row it is now in by the number beside it; empty
        if the rows are in order, or if they are not those of the table.
    """
    place, numbers = layout().axes[AXIS], MODEL.axes[AXIS].values
    cells = (contents.cell(place.sheet, place.at(at)) for at in range(len(numbers)))
    there = [None if cell is None else cell.value for cell in cells]
    if there == [*numbers] or set(there) != set(numbers):
        return {}
    return {
        name: members[numbers.index(number)]
        for members in families().values()
        if INPUTS[members[0]].over == AXIS
        for name, number in zip(members, there, strict=True)
    }


def in_order(reading, origin):
    """A reading with each entry in the row in which it stood."""
    mappings = {
        which: {origin.get(n, n): value for n, value in getattr(reading, which).items()}
        for which in ("inputs", "given", "places")
    }
    return replace(reading, **mappings)
