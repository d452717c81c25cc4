"""Worksheet functions that run the whole model, one call for a block of cells.

Each takes its inputs as two blocks, names and values; what is left out is at its
estimate. A name is the input's own (gold_price) or its label (Gold price).
"""

import numpy as np

from ..model.allowed import complete
from ..model.entries import missing_words
from ..model.inputs import INPUTS
from ..model.judgement import RESULTS
from ..model.mill_model import MODEL
from ..model.switching_values import switching_values
from ..model.units import shown, worded
from . import reasons
from .cell_values import CellError, Refused, number, shown_cell
from .model_cells import (
    case_count,
    case_value,
    figure,
    input_name,
    input_warnings,
    inputs_from,
    line_along,
    line_name,
    missing,
    number_list,
    run_model,
    unit_system,
    unusual,
    verdicts,
)


def judge(names=None, values=None, results=None, units="us"):
    """Figures of a claim for a block of inputs; several columns of values are cases.

    Parameters
    ----------
    names : names, optional
        Names or labels of inputs, one below the other.
    values : values, optional
        Their values beside them; each column is a case of its own.
    results : names, optional
        Figures wanted, such as margin_per_ton or verdict; all when left out.
    units : {"us", "metric"}, optional
        Unit system of the inputs and figures.

    Returns
    -------
    block : table
    """
    units = unit_system(units)
    cases = inputs_from(names, values)
    computed = run_model(cases, units)
    computed["verdict"] = np.array(verdicts(computed, cases, units))
    if case_count(cases) == 1:
        computed["verdict"] = computed["verdict"][0]
    if results is None:
        return [*_all_results(computed, units), *_input_counts(cases, units)]
    wanted = [[line_name(cell) for cell in row] for row in results]
    single = all(np.ndim(computed[name]) == 0 for row in wanted for name in row)
    if single:
        return [[figure(computed[name], name) for name in row] for row in wanted]
    count = max(np.size(computed[name]) for row in wanted for name in row)
    return [
        [figure(value, name) for value in np.broadcast_to(computed[name], (count,))]
        for row in wanted
        for name in row
    ]


def _input_counts(cases, units):
    """How many figures are missing, unusual, or estimates."""
    absent, count = missing(cases, units), case_count(cases)
    estimated = [n for n, e in INPUTS.items() if not e.over and n not in cases]
    rows = {
        "Must-have figures missing": [len(absent)] * count,
        "Unusual figures": [len(unusual(cases, units, n)) for n in range(count)],
        "Inputs at the estimate": [len(estimated)] * count,
    }
    return [[label, *map(float, cells), ""] for label, cells in rows.items()]


def warnings(names=None, values=None, units="us"):
    """What is missing or unusual among the inputs, in words; empty if all is well.

    Parameters
    ----------
    names : names, optional
        Names or labels of inputs, one below the other.
    values : values, optional
        Their values beside them; each column is a case of its own.
    units : {"us", "metric"}, optional
        Unit system of the inputs.

    Returns
    -------
    words : text
    """
    return input_warnings(inputs_from(names, values), unit_system(units))


def risk(names=None, values=None, units="us", trials=None, seed=None):
    """Monte Carlo risk analysis: probability that it pays; P10, median and P90.

    Inputs vary between low and high. The same seed gives the same figures. The first
    row says how many must-haves are missing, for which estimates stand in.

    Parameters
    ----------
    names : names, optional
        Names or labels of inputs, one below the other.
    values : values, optional
        Their values beside them, one column.
    units : {"us", "metric"}, optional
        Unit system of the inputs and figures.
    trials : values, optional
        Sets of inputs drawn; 4096 when left out.
    seed : values, optional
        Any whole number; 0 when left out.

    Returns
    -------
    block : table
    """
    from ..plan import Plan
    from ..risk.figures import MONEY

    units, given = unit_system(units), inputs_from(names, values)
    if case_count(given) > 1:
        raise Refused("#VALUE!", "values has several columns; give one case.")
    count, start = (
        default if block is None else int(number(block[0][0], name))
        for block, name, default in ((trials, "trials", TRIALS), (seed, "seed", 0))
    )
    plan = Plan({n: case_value(v) for n, v in given.items()}, units=units)
    figures = plan.risk(count, start).risk.figures
    absent = len(plan.must_haves())
    note = str(missing_words(absent)) if absent else ""
    rows = [["Probability that it pays", figures["pays"].value, note, ""]]
    for name in MONEY:
        cells = [figures[f"{name}_p{p}"].value for p in (10, 50, 90)]
        label = worded(MODEL.lines[name].label, units)
        rows.append([label, *(figure(c, name) for c in cells)])
    return rows


TRIALS = 4096


def _all_results(computed, units):
    names = ("verdict", *RESULTS)
    rows = []
    for name in names:
        values = np.atleast_1d(computed[name])
        unit = shown(MODEL.lines[name].unit, units)
        cells = [figure(value, name) for value in values]
        label = worded(MODEL.lines[name].label, units)
        rows.append([label, *cells, "" if unit == "-" else unit])
    return rows


def margin_table(prices, grades, results=None, names=None, values=None, units="us"):
    """A figure, by default the margin of a ton, over gold prices and grades of ore.

    Parameters
    ----------
    prices : values
        Gold prices, per ounce; a column runs down, a row across.
    grades : values
        Grades of the ore, in the book's unit; a column runs down, a row across.
    results : names, optional
        The figure wanted; margin_per_ton when left out.
    names : names, optional
        Names of other inputs.
    values : values, optional
        Their values, one column.
    units : {"us", "metric"}, optional
        Unit system of the inputs and figures.

    Returns
    -------
    block : table
    """
    first, second = [["gold_price"]], [["ore_grade"]]
    return two_inputs(first, prices, second, grades, results, names, values, units)


def two_inputs(
    first,
    first_values,
    second,
    second_values,
    results=None,
    names=None,
    values=None,
    units="us",
):
    """A figure over the values of any two inputs.

    Parameters
    ----------
    first : names
        Name of an input.
    first_values : values
        Its values; a column runs down, a row across.
    second : names
        Name of another input.
    second_values : values
        Its values; across where the first run down, and the other way round.
    results : names, optional
        The figure wanted; margin_per_ton when left out.
    names : names, optional
        Names of other inputs.
    values : values, optional
        Their values, one column.
    units : {"us", "metric"}, optional
        Unit system of the inputs and figures.

    Returns
    -------
    block : table
    """
    units = unit_system(units)
    result = "margin_per_ton" if results is None else line_name(results[0][0])
    one, other = (input_name(block[0][0]) for block in (first, second))
    if one == other:
        raise Refused("#VALUE!", f"{one} is given twice; name two inputs.")
    across_first = len(first_values) == 1 and len(first_values[0]) > 1
    down, across = [number_list(first_values, one), number_list(second_values, other)][
        :: -1 if across_first else 1
    ]
    below, beside = (other, one) if across_first else (one, other)
    grid = np.meshgrid(down, across, indexing="ij")
    cases = {below: grid[0].ravel(), beside: grid[1].ravel()}
    fixed = inputs_from(names, values)
    computed = run_model({**fixed, **cases}, units, (result,))[result]
    cells = [figure(value, result) for value in np.broadcast_to(computed, grid[0].size)]
    width = len(across)
    return [cells[place : place + width] for place in range(0, len(cells), width)]


def line(name, names=None, values=None, units="us"):
    """A line of the model along its axis: months, years, contracts and the like.

    Parameters
    ----------
    name : names
        Name of the line, such as cash_after_tax; `DWT_LINES` lists them.
    names : names, optional
        Names or labels of inputs, one below the other.
    values : values, optional
        Their values beside them; each column is a case of its own.
    units : {"us", "metric"}, optional
        Unit system of the inputs and figures.

    Returns
    -------
    block : table
    """
    units = unit_system(units)
    wanted = line_along(name[0][0])
    computed = run_model(inputs_from(names, values), units, (wanted,))[wanted]
    down = MODEL.axes[MODEL.lines[wanted].over[0]].values
    across = computed.reshape(len(down), -1)
    return [
        [shown_cell(label), *(figure(value, wanted) for value in row)]
        for label, row in zip(down, across, strict=True)
    ]


def lines():
    """Every line that runs along months, years and the like: name, label, unit, along.

    Returns
    -------
    block : table
    """
    return [
        [line.name, line.label, line.unit, ", ".join(line.over)]
        for line in MODEL.lines.values()
        if line.over
    ]


def turning(names=None, values=None, units="us"):
    """Switching values: input, value now, and the value that turns the verdict.

    Parameters
    ----------
    names : names, optional
        Names or labels of inputs, one below the other.
    values : values, optional
        Their values, one column.
    units : {"us", "metric"}, optional
        Unit system of the inputs.

    Returns
    -------
    block : table
    """
    units = unit_system(units)
    given = complete(inputs_from(names, values), units, "estimate")
    found = switching_values(given, units)
    return [
        [INPUTS[point.name].label, point.now, figure(point.needed, point.name)]
        for point in found
    ]


def inputs(units="us"):
    """Every input of the model: name, label, unit, estimate, low and high.

    Parameters
    ----------
    units : {"us", "metric"}, optional
        Unit system of the values.

    Returns
    -------
    block : table
    """
    units = unit_system(units)
    rows = []
    for name, entry in INPUTS.items():
        figures = (entry.value(units, which) for which in ("estimate", "low", "high"))
        unit = shown(entry.unit, units)
        rows.append([name, entry.label, "" if unit == "-" else unit, *figures])
    return rows


def figures(units="us"):
    """Every single figure that the model gives: name, label and unit.

    Parameters
    ----------
    units : {"us", "metric"}, optional
        Unit system of the figures.

    Returns
    -------
    block : table
    """
    units = unit_system(units)
    single = [line for line in MODEL.lines.values() if not line.over]
    return [
        [line.name, worded(line.label, units), shown(line.unit, units)]
        for line in single
    ]


def reason(cell=None):
    """Why a cell shows an error: of that cell in Excel, else the last one.

    Parameters
    ----------
    cell : cell, optional
        The cell in question, or the name of a function.

    Returns
    -------
    words : text
    """
    asked = cell[0][0] if cell else None
    if isinstance(asked, CellError):
        asked = ""
    if asked is not None and not isinstance(asked, str):
        return ""
    place = asked if asked and "!" in asked else ""
    found = reasons.last("" if place else asked or "", place)
    return str(found) if found else ""


def version():
    """Version of the engine that answers.

    Returns
    -------
    version : text
    """
    from .. import __version__

    return __version__


FUNCTIONS = (
    judge,
    margin_table,
    two_inputs,
    turning,
    line,
    lines,
    inputs,
    figures,
    warnings,
    risk,
    reason,
    version,
)
"""What enters the registry, in the order of its list."""
