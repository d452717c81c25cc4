"""Workbooks changed and saved by another program, once for all tests that read them."""

import openpyxl

from pennyweight.model.inputs import INPUTS
from pennyweight.model.units import convert
from pennyweight.workbook.layout import defined_name, layout

CHANGED = {
    "gold_price": 2750.5,
    "ore_grade": 0.31,
    "crew": 2.0,
    "power_source": "grid",
    "mill_kind": "hammer mill",
    "sample_grade_02": 0.27,
    "choice_kind_02": "hammer mill",
    "claim_name": "Upper Draw & Söhne",
}
"""A text, choices, numbers, entries of tables; in US customary units."""


def in_units(inputs, units):
    """Inputs in US customary units in those of a workbook."""
    return {
        name: convert(float(value), INPUTS[name].unit, "us", units)
        if INPUTS[name].numeric
        else value
        for name, value in inputs.items()
    }


def save_changed(program, path, out, units):
    """Enter what is changed, as people type it, and save; with None by openpyxl."""
    changes = in_units(CHANGED, units)
    if program is None:
        _save_with_openpyxl(path, out, changes)
    else:
        named = {typed(name): value for name, value in changes.items()}
        program.save_changed(path, out, named)


def typed(name):
    """Name of the cell into which people type an input."""
    return defined_name(name) + ("" if INPUTS[name].over else "_entered")


def typed_into(name):
    """Sheet and address of that cell."""
    place = layout().entered.get(name) or layout().places[name]
    return place.sheet, place.cell()


def _save_with_openpyxl(path, out, changes):
    package = openpyxl.load_workbook(path)
    for name, value in changes.items():
        sheet, address = typed_into(name)
        package[sheet][address].value = value
    package.save(out)
