"""Cells with a formula and its value."""

import math

from ..formulas.writing import NO_ANSWER


def stored(value):
    """The engine's value as stored with a formula."""
    value = value.item() if hasattr(value, "item") else value
    if isinstance(value, float) and math.isnan(value):
        return NO_ANSWER
    return value


def write_live(sheet, row, column, live, look):
    """Write the formula of a cell, with its value."""
    sheet.write_formula(row, column, live.formula, look, stored(live.value))
