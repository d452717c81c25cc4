"""Random expressions have the same values in NumPy and in spreadsheets."""

import functools

import numpy as np
import pytest

from pennyweight.formulas import Reference, formula
from tests.oracles.values import ErrorValue

from .expressions import CELLS, apply, chosen, fails

COUNT = 600


@functools.cache
def cases():
    """Give formulas and expected answers; None where a sheet must show an error."""
    references = {name: Reference(name) for name in CELLS}
    return {
        formula(apply(tree, references)): answer
        for tree, answer in chosen(COUNT, seed=20260101).items()
    }


def test_the_expressions_are_of_every_sort():
    text = " ".join(cases())
    for symbol in "+-*/^<>=(":
        assert symbol in text
    for word in ("IF", "MIN", "MAX", "AND", "OR", "NOT", "MOD", "ROUND", "INT", "LN"):
        assert f"{word}(" in text
    failing = sum(answer is None for answer in cases().values())
    assert 0.1 < failing / len(cases()) < 0.5


def test_an_error_in_the_branch_not_taken_does_not_count():
    with np.errstate(all="ignore"):
        assert not fails(("choose", ("greater", "A1", 0), "A1", ("log", "B1")), CELLS)
        assert fails(("choose", ("less", "A1", 0), "A1", ("log", "B1")), CELLS)


@pytest.mark.parametrize("oracle", ["libreoffice", "gnumeric"])
def test_random_expressions_agree(oracle, request):
    assert not disagreeing(request.getfixturevalue(oracle), cases())


def test_random_expressions_with_an_answer_agree_in_a_third_program(iron):
    # IronCalc 0.9 lets a root of a negative number through as a number.
    assert not disagreeing(iron, {t: v for t, v in cases().items() if v is not None})


def test_rounded_slopes_of_interpolation_stay_far_below_the_tolerance(libreoffice):
    points, values = [-3.0, 0.5, 4.0], [2.0, -1.0, 6.5]
    places = [-4.0, -3.0, -1.1, 0.5, 3.0, 4.0, 9.0]
    texts = [formula(np.interp(Reference(str(x)), points, values)) for x in places]
    found = libreoffice.evaluate(texts)
    assert found == pytest.approx(np.interp(places, points, values), rel=1e-11)


def disagreeing(program, cases):
    """Give formula, wanted and found wherever a program says otherwise."""
    answers = program.evaluate(list(cases), CELLS)
    return [
        (text, wanted, found)
        for (text, wanted), found in zip(cases.items(), answers, strict=True)
        if not _agrees(wanted, found)
    ]


def _agrees(wanted, found):
    if wanted is None:
        return isinstance(found, ErrorValue)
    return isinstance(found, float) and found == pytest.approx(
        wanted, rel=1e-12, abs=1e-300
    )
