"""A formula and its stored value come from one function."""

import numpy as np
import pytest

from pennyweight.formulas import (
    Live,
    Reference,
    alike,
    appended,
    chosen,
    count_of,
    live,
)

ORE, GRADE = Live(Reference("Ore"), 200.0), Live(Reference("Grade"), 0.5)
NOTHING, ZERO = Live(Reference("B7"), None), Live(Reference("B7"), 0.0)
COLUMN = Reference("B2:B4", spread=True), np.array([1.0, 0.0, 3.0])
BESIDE = Reference("C2:C4", spread=True), np.array([0.0, 2.0, 0.0])

CELLS = {
    "number": (lambda a, b: a * b, (ORE, GRADE), "Ore*Grade", 100.0),
    "constant": (lambda a, b: a + b, (ORE, 1), "Ore+1", 201.0),
    "part of a formula": (
        lambda a, b: a / b,
        (ORE, (ORE.cell + GRADE.cell, 200.5)),
        "Ore/(Ore+Grade)",
        200 / 200.5,
    ),
    "nothing": (lambda a: a, (NOTHING,), "B7", 0.0),
    "number or text": (
        lambda a: chosen(a > 250, a, "none"),
        (ORE,),
        'IF(Ore>250,Ore,"none")',
        "none",
    ),
    "what cannot be worked out": (
        lambda a, b: chosen(b != 0, lambda: a / b, ""),
        (ORE, ZERO),
        'IF(B7<>0,Ore/B7,"")',
        "",
    ),
    "an empty cell": (
        lambda a: chosen(alike(a, ""), 1, 2),
        (NOTHING,),
        'IF(B7="",1,2)',
        1,
    ),
    "text": (
        lambda a, b: appended(a, " tons", b),
        (ORE, NOTHING),
        'Ore&" tons"&B7',
        "200 tons",
    ),
    "count": (lambda a: count_of(a, 0), (COLUMN,), "COUNTIF(B2:B4,0)", 1),
    "rows with one of two": (
        lambda a, b: np.sum((a > 0) * (b == 0)),
        (COLUMN, BESIDE),
        "SUMPRODUCT((B2:B4>0)*(C2:C4=0))",
        2,
    ),
}


@pytest.mark.parametrize("name", CELLS)
def test_formula_and_value(name):
    function, reads, written, value = CELLS[name]
    found = live(function, *reads)
    assert (found.formula, found.value) == (f"={written}", value)


def test_a_result_is_read_by_the_next():
    gold = live(lambda tons, grade: tons * grade, ORE, GRADE)
    shown = live(lambda gold: chosen(gold > 0, gold, "none"), gold)
    assert shown == Live(shown.cell, 100.0)
    assert shown.formula == '=IF(Ore*Grade>0,Ore*Grade,"none")'


def test_braces_in_a_text_stay():
    told = live(appended, "{0} ", ORE)
    assert (told.formula, told.value) == ('="{0} "&Ore', "{0} 200")
