"""Names, values and figures of the model as they stand in cells."""

import numpy as np

from ..errors import nearest
from ..model.inputs import INPUTS, input_called
from ..model.judgement import REASONS_OF
from ..model.mill import MODEL
from ..model.units import SYSTEMS
from . import reasons
from .cell_values import CellError, Refused, number, text


def unit_system(units):
    """One of the unit systems, from a block or a word."""
    word = units if isinstance(units, str) else text(units[0][0], "units").lower()
    if word not in SYSTEMS:
        raise Refused("#VALUE!", f"units is {word!r}; it must be us or metric.")
    return word


def input_name(cell):
    """Name of an input, from its name or label, present or former."""
    word = text(cell, "names")
    name = word.lower().replace(" ", "_")
    return name if name in INPUTS else input_called(word)


def line_name(cell):
    """Name of a single figure of the model."""
    return _line(cell, "results", "single figure", lambda line: not line.over)


def line_along(cell):
    """Name of a line that runs along an axis, of which it may have two."""
    return _line(cell, "name", "line along an axis", lambda line: line.over)


def _line(cell, argument, what, fits):
    name = text(cell, argument).lower().replace(" ", "_")
    if name in MODEL.lines and fits(MODEL.lines[name]):
        return name
    hint = nearest(name, [n for n in MODEL.lines if fits(MODEL.lines[n])])
    raise Refused("#VALUE!", f"there is no {what} named {name}.{hint}")


def inputs_from(names, values):
    """Inputs from a block of names and one of values, as the model takes them.

    A row of which both cells are blank is passed over.
    """
    if names is None and values is None:
        return {}
    if names is None or values is None:
        raise Refused("#N/A", "names and values go together; one of them is missing.")
    labels = [cell for row in names for cell in row]
    rows = list(values)
    if len(labels) != len(rows) and len(rows) == 1 and len(rows[0]) == len(labels):
        rows = [[cell] for cell in rows[0]]  # both were given as rows
    if len(labels) != len(rows):
        raise Refused(
            "#VALUE!", f"names has {len(labels)} cells and values {len(rows)} rows."
        )
    given = {}
    for label, row in zip(labels, rows, strict=True):
        if label is None and all(cell is None for cell in row):
            continue
        name = input_name(label)
        if name in given:
            raise Refused("#VALUE!", f"{name} is named twice.")
        cells = [_input(INPUTS[name], cell) for cell in row]
        given[name] = cells[0] if len(cells) == 1 else np.array(cells)
    return given


def _input(entry, cell):
    if entry.numeric:
        return number(cell, entry.name)
    if entry.kind == "text" and cell is None:
        return ""
    word = text(cell, entry.name)
    same = [choice for choice in entry.choices if choice.lower() == word.lower()]
    return same[0] if same else word


def number_list(block, name):
    if len(block) > 1 and len(block[0]) > 1:
        raise Refused("#VALUE!", f"the values of {name} must be one row or column.")
    return np.array([number(cell, name) for row in block for cell in row])


def figure(value, name):
    """A figure as a cell; one that there is none of gives #N/A, with the reason."""
    value = value.item() if hasattr(value, "item") else value
    if not isinstance(value, float) or value == value:
        return float(value) if type(value) is int else value
    said = f"{name} has no figure here"
    if name in REASONS_OF:
        said += f"; {REASONS_OF[name]} tells why"
    reasons.note(reasons.Reason("DWT_JUDGE", "#N/A", f"{said}."))
    return CellError("#N/A")
