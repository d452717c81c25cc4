"""Whether the figures on the chance sheet are still those that the engine entered."""

import hashlib

from ..inspection.findings import Finding
from .layout import SEAL, SHEET, TRIALS, VALUE, address, chance_places

DIGITS = 9
"""Digits of a figure that count: every program keeps them."""
AGAIN = "Run risk on the book again."


def chance_findings(contents, units):
    """Find figures that somebody typed over.

    Parameters
    ----------
    contents : Contents
    units : {"us", "metric"}

    Yields
    ------
    finding : Finding
    """
    there, figures = contents.sheets.get(SHEET, {}), {}
    for place in chance_places(units):
        cell = there.get(place)
        if cell is not None and cell.formula:
            kind, told = "figure with a formula", ("a value", cell.formula)
            yield Finding(SHEET, address(*place), kind, *told, AGAIN)
        figures[place] = None if cell is None else cell.value
    seal = figures[SEAL, VALUE]
    entered = any(value not in (None, "") for value in figures.values())
    if entered and seal != seal_of(figures):
        told = ("the seal of the figures there", "another seal" if seal else "none")
        where = address(SEAL, VALUE)
        yield Finding(SHEET, where, "figures of the draws changed", *told, AGAIN)


def is_filled(contents):
    """Whether the sheet holds figures."""
    return contents.cell(SHEET, (TRIALS, VALUE)) is not None


def seal_of(figures):
    """A short text that follows from every figure of the sheet.

    Parameters
    ----------
    figures : mapping of (int, int) to float, str or None
        The seal itself has no part in it.

    Returns
    -------
    seal : str
    """
    told = []
    for place, value in sorted(figures.items()):
        if place != (SEAL, VALUE) and value not in (None, ""):
            text = value if isinstance(value, str) else f"{float(value):.{DIGITS}g}"
            told.append(f"{place[0]},{place[1]}={text}")
    return hashlib.sha256("\n".join(told).encode()).hexdigest()[:12]
