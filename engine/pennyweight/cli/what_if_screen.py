"""What the terminal shows of cases and break-even."""

import math

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from ..model.inputs import INPUTS, amount
from ..model.mill import MODEL
from .judge_screen import result_text, result_unit

NONE = "n/a"
"""Shown for a result that is not-a-number."""


def show_cases(found, named, reading, notes):
    """Print cases side by side: the inputs that differ, then the results.

    Parameters
    ----------
    found : dict of str to dict
        By `risk.cases.compare_cases`.
    named : dict of str to dict
        The inputs that differ in each case.
    reading : workbook.read.Reading
    notes : dict of str to list of str
        By `risk.cases.case_notes`.
    """
    table = Table(box=None, pad_edge=False, padding=(0, 2))
    table.add_column("")
    for case in found:
        table.add_column(escape(case), justify="right")
    differing = dict.fromkeys(name for case in named.values() for name in case)
    for name in differing:
        values = [named.get(case, {}).get(name, reading.inputs[name]) for case in found]
        label = INPUTS[name].label
        table.add_row(escape(label), *(_input(v, name, reading.units) for v in values))
    table.add_section()
    for name in next(iter(found.values())):
        line = MODEL.lines[name]
        unit = result_unit(line.unit, reading.units)
        label = f"{line.label}, {unit}" if unit else line.label
        table.add_row(label, *(_result(found[case][name], line) for case in found))
    console = Console(highlight=False)
    console.print(table)
    for case, sentences in notes.items():
        for sentence in sentences:
            console.print(escape(f"Case {case}: {sentence}"))


def _input(value, name, units):
    entry = INPUTS[name]
    return amount(value, entry, units) if entry.numeric else escape(str(value))


def _result(value, line):
    if isinstance(value, str):
        return escape(value)
    return NONE if math.isnan(value) else result_text(value, line.unit)


def show_break_even(found, units):
    """Print the break-even values of an input.

    Parameters
    ----------
    found : risk.solver.BreakEven
    units : {"us", "metric"}
    """
    entry, line = INPUTS[found.name], MODEL.lines[found.result]
    now = _result(found.result_now, line)
    if now != NONE:
        now = f"{now} {result_unit(line.unit, units)}".strip()
    planned = amount(found.now, entry, units)
    console = Console(highlight=False)
    console.print(escape(found.sentence(units)))
    if found.without_effect:
        console.print(f"The plan does not use {escape(entry.label)} for this result.")
    if found.note:
        console.print(escape(found.note))
    console.print(f"Base case: {line.label} is {now} at {planned}.")
