"""Every input moved over its range: no answer moves against docs/directions.md."""

import functools
import re
import warnings
from pathlib import Path

import numpy as np
import pytest

from pennyweight.errors import BadValue
from pennyweight.model.allowed import complete
from pennyweight.model.inputs import INPUTS, families
from pennyweight.model.rules import check_rules
from pennyweight.model.run import run
from tests.thorough import sampled

from ..books import book_at
from .drawing import usual

PAGE = Path(__file__).parents[2] / "docs" / "directions.md"
ANSWERS = ("margin_per_ton", "planned_recovery", "tons_per_year")
STEPS, PLANS = 7, 4
LIMITS = {"water_supply": (2000.0, 20000.0)}
"""Inputs of which 0 stands for no limit."""

ALLOWED = {"+": (1,), "-": (-1,), "0": (), "±": (1, -1)}


@functools.cache
def table():
    """Directions by the label of an input, or of a column of a table of inputs."""
    rows = re.findall(
        r"^\| (?!input|---)(.+?) \| (\S) \| (\S) \| (\S) \| (.+) \|$",
        PAGE.read_text("utf-8"),
        re.MULTILINE,
    )
    return [
        (label, dict(zip(ANSWERS, signs, strict=True)))
        for labels, *signs, _ in rows
        for words in labels.split("; ")
        for label in _meant(words)
    ]


def _meant(words):
    """A label; or those of all sections that begin so, as in "All of Contract"."""
    begin = words.removeprefix("All of ")
    if begin == words:
        return [words]
    return [
        label
        for label, name in movable().items()
        if INPUTS[name].section.startswith(begin)
    ]


def movable():
    """Numeric inputs by label; of a table of inputs the first entry."""
    found = {}
    for name, entry in INPUTS.items():
        if not entry.numeric:
            continue
        if not entry.family:
            found[entry.label] = name
        elif name == families()[entry.family][0]:
            found[entry.label.rpartition(", ")[0]] = name
    return found


def test_the_table_has_every_input_once():
    labels = [label for label, _ in table()]
    assert sorted(labels) == sorted(movable())


@functools.cache
def plans():
    rng = np.random.default_rng(17)
    return [{}, *(usual(rng) for _ in range(PLANS))]


def reach(entry):
    """Low and high of an input, or half and one and a half times the example."""
    if entry.name in LIMITS:
        return LIMITS[entry.name]
    low, high = entry.low, entry.high
    if low == "":
        low, high = 0.5 * entry.example, 1.5 * entry.example
    low, high = max(low, entry.minimum), min(high, entry.maximum)
    return (low, high) if high > low else (entry.minimum, entry.minimum + 1)


def values_of(name, plan):
    """Values over the range that do not contradict the rest of the plan."""
    values = np.linspace(*reach(INPUTS[name]), STEPS)
    if INPUTS[name].kind == "whole":
        values = np.unique(np.round(values))
    if fits(plan, name, values):
        return values
    return np.array([value for value in values if fits(plan, name, value)])


def fits(plan, name, values):
    """Whether none of the values contradicts the rest of the plan."""
    try:
        check_rules({**plan, name: values})
    except BadValue:
        return False
    return True


def answers(plan, values):
    """Answers along the values of each input, the others as planned, in one run."""
    ends = np.cumsum([len(row) for row in values.values()])
    sets = {name: np.full(ends[-1], plan[name]) for name in values}
    parts = {}
    for (name, row), end in zip(values.items(), ends, strict=True):
        parts[name] = slice(end - len(row), end)
        sets[name][parts[name]] = row
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = run({**plan, **sets}, wanted=list(ANSWERS))
    return {
        name: {
            answer: np.broadcast_to(found[answer], ends[-1])[part] for answer in ANSWERS
        }
        for name, part in parts.items()
    }


def moves(values):
    """Signs of the steps between neighbours, without rounding."""
    steps = np.diff(values)
    noise = 1e-9 * max(np.max(np.abs(values)), 1e-9)
    return set(np.sign(steps[np.abs(steps) > noise]).astype(int))


@pytest.mark.parametrize("place", sampled(range(PLANS + 1), 6))
def test_no_input_moves_an_answer_against_the_table(place):
    plan, wrong = complete(plans()[place], "us"), []
    values = {name: values_of(name, plan) for name in movable().values()}
    found = answers(plan, {n: row for n, row in values.items() if len(row) > 1})
    for label, signs in table():
        for answer, row in found.get(movable()[label], {}).items():
            sign = signs[answer]
            if not moves(row) <= set(ALLOWED[sign]):
                wrong.append((label, answer, sign, row.tolist()))
    assert wrong == []


def test_a_wrong_direction_would_be_found():
    assert moves(np.array([1.0, 2.0, 1.5])) == {1, -1}
    assert moves(np.array([1.0, 1.0 + 1e-12])) == set()


@pytest.mark.thorough
def test_a_spreadsheet_program_moves_the_same_way(libreoffice, tmp_path):
    """A sample of the inputs that move something, from low to high.

    In every run `test_recalculation` holds its answers to the model's.
    """
    from ..workbook.test_recalculation import typed

    book_at(tmp_path / "book.xlsx", "us")
    moving = [pair for pair in table() if set(pair[1].values()) != {"0"}][::4]
    names = [movable()[label] for label, _ in moving]
    ends = [reach(INPUTS[name]) for name in names]
    given = [
        {typed(n): end[i]} for n, end in zip(names, ends, strict=True) for i in (0, 1)
    ]
    read = [answer.capitalize() for answer in ANSWERS]
    found = libreoffice.scenarios(tmp_path / "book.xlsx", given, read)
    for place, (label, signs) in enumerate(moving):
        low, high = found[2 * place : 2 * place + 2]
        for answer, cell in zip(ANSWERS, read, strict=True):
            step = moves(np.array([low[cell], high[cell]]))
            assert step <= set(ALLOWED[signs[answer]]), (label, answer)
