"""Inputs read from cells, the model run on them, and its figures as cells."""

import numpy as np

from ..model.allowed import complete
from ..model.entries import UNUSUAL, answer, doubted, entry_of, needed
from ..model.figures import input_text
from ..model.inputs import INPUTS, input_called, inputs_in
from ..model.judgement import REASONS_OF
from ..model.lookup import called
from ..model.mill_model import MODEL
from ..model.results import result_called
from ..model.run import run
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
    """Name of a single figure of the model, from its name or label."""
    return result_called(text(cell, "results"))


def line_along(cell):
    """Name of a line that runs along an axis, of which it may have two."""
    lines = {name: line for name, line in MODEL.lines.items() if line.over}
    return called(text(cell, "name"), lines, "line along an axis")


def run_model(cases, units, wanted=None):
    """Run the model; inputs not given are estimates, which a reason reports."""
    inputs = complete(cases, units, "estimate")
    message = input_warnings(cases, units)
    if message:
        reasons.note(reasons.Reason("DWT_JUDGE", "", message))
    return run(inputs, units, wanted)


def missing(cases, units):
    """Labels of the must-haves that are not given."""
    inputs = {n: case_value(v) for n, v in complete(cases, units, "estimate").items()}
    return [
        entry.label
        for name, entry in INPUTS.items()
        if name not in cases and needed(name, inputs)
    ]


def unusual(cases, units, place=0):
    """Figures of a case that are far beyond any usual range: labels with values."""
    given = {name: case_value(value, place) for name, value in cases.items()}
    inputs = complete(given, units, "estimate")
    table = inputs_in(inputs)
    found = [entry_of(table[name], given, {}, inputs, units) for name in given]
    return [f"{one.label} {_text(one, units)}" for one in found if one.state == UNUSUAL]


def _text(one, units):
    entry = INPUTS[one.name]
    return input_text(one.value, entry.unit, entry.kind, units)


def case_value(value, place=0):
    """A value of one case; single values are those of every case."""
    if isinstance(value, np.ndarray) and value.size > 1:
        return value[place].item()
    return value.item() if isinstance(value, np.ndarray) else value


def case_count(cases):
    """Number of cases in a block of inputs."""
    return max((np.size(value) for value in cases.values()), default=1)


def input_warnings(cases, units):
    """Warnings about the inputs, in a sentence each; empty if there are none."""
    absent, parts = missing(cases, units), []
    strange = {o: 0 for n in range(case_count(cases)) for o in unusual(cases, units, n)}
    if strange:
        parts.append(f"Unusual, check the unit and the digits: {', '.join(strange)}.")
    if absent:
        parts.append(f"Missing, left at the estimate: {', '.join(absent)}.")
    return " ".join(parts)


def verdicts(values, cases, units):
    """The verdict of each case, or the reason for a missing verdict."""
    count = np.size(values["verdict"])
    absent = len(missing(cases, units))

    def told(verdict, odd):
        return str(answer(doubted(verdict, len(odd), "; ".join(odd), 0), absent, 0))

    return [
        told(str(verdict), unusual(cases, units, place))
        for place, verdict in enumerate(np.broadcast_to(values["verdict"], (count,)))
    ]


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
    """A figure as a cell; a missing one gives #N/A, with the reason."""
    value = value.item() if hasattr(value, "item") else value
    if not isinstance(value, float) or value == value:
        return float(value) if type(value) is int else value
    message = f"{name} has no figure here"
    if name in REASONS_OF:
        message += f"; {REASONS_OF[name]} says why"
    reasons.note(reasons.Reason("DWT_JUDGE", "#N/A", f"{message}."))
    return CellError("#N/A")
