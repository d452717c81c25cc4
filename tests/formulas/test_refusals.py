"""Python without a spreadsheet equivalent is refused, with advice."""

import numpy as np
import pytest

from pennyweight.errors import CannotTrace
from pennyweight.formulas import Reference, formula

A, B = Reference("a"), Reference("b")
WORD = Reference("word", kind="text")
ROW = Reference("D1:F1", spread=True, across=True)

REFUSED = {
    "if on a comparison": (lambda: 1 if A > 0 else 2, "use np.where"),
    "and between comparisons": (lambda: A > 0 and B > 0, "np.logical_and"),
    "chained comparison": (lambda: 0 < A < 1, "no truth value"),
    "float()": (lambda: float(A), "not a number yet"),
    "int()": (lambda: int(A), "not a number yet"),
    "complex()": (lambda: complex(A), "not a number yet"),
    "round()": (lambda: round(A), "not a number yet"),
    "as an index": (lambda: [1, 2][A], "not a number yet"),
    "len()": (lambda: len(ROW), "without float"),
    "iteration": (lambda: list(ROW), "iteration"),
    "indexing": (lambda: ROW[0], "indexing"),
    "an array beside a cell": (lambda: A + np.array([1.0, 2.0]), "ndarray cannot"),
    "a list beside a cell": (lambda: A * [1.0, 2.0], "list cannot stand"),
    "None beside a cell": (lambda: A + None, "NoneType cannot stand"),
    "an infinite number": (lambda: np.minimum(A, np.inf), "infinite number"),
    "np.rint": (lambda: np.rint(A), "use formulas.rounded"),
    "np.round": (lambda: np.round(A, 2), "use formulas.rounded"),
    "np.cumsum": (lambda: np.cumsum(ROW), "opening_"),
    "np.log1p": (lambda: np.log1p(A), r"write np.log\(1 \+ x\)"),
    "np.expm1": (lambda: np.expm1(A), r"write np.exp\(x\) - 1"),
    "np.isnan": (lambda: np.isnan(A), "np.isnan has no formula"),
    "np.median": (lambda: np.median(ROW), "np.median has no formula"),
    "np.stack": (lambda: np.stack([A, B]), "np.stack has no formula"),
    "np.add.reduce": (lambda: np.add.reduce(ROW), "reduce"),
    "out=": (lambda: np.add(A, 1, out=np.zeros(1)), "has no formula"),
    "sum of one value": (lambda: np.sum(A), "np.sum needs a range"),
    "extreme of one value": (lambda: np.max(A), "needs a whole range"),
    "extreme of a sum": (lambda: np.max(ROW + 1), "give the line its own row"),
    "element-wise extreme of a range": (lambda: np.maximum(ROW, 0), "not cell by cell"),
    "choice along a range": (lambda: np.where(ROW > 0, 1, 0), "multiply instead"),
    "and along a range": (lambda: np.logical_and(ROW > 0, A > 0), "cell by cell"),
    "np.all": (lambda: np.all(ROW > 0), "compare a sum with a count"),
    "np.any": (lambda: np.any(ROW > 0), "compare a sum with a count"),
    "text in arithmetic": (lambda: WORD + 1, "is text"),
    "text in an extreme": (lambda: np.maximum(WORD, 1), "is text"),
    "comparison in a sum": (lambda: (A > 0) + 1, "comparison cannot enter"),
    "product of comparisons": (lambda: (A > 0) * (B > 0), "np.logical_and"),
    "choice by a number": (lambda: np.where(A, 1, 0), "needs a comparison"),
    "and of numbers": (lambda: np.logical_and(A, B), "needs comparisons"),
    "a range in one cell": (lambda: formula(ROW), "whole range"),
    "a sum along a range in one cell": (lambda: formula(ROW * 2), "whole range"),
    "an array as a formula": (lambda: formula(np.array([1.0, 2.0])), "cannot stand"),
    "unhashable": (lambda: {A: 1}, "unhashable"),
}


@pytest.mark.parametrize("attempt", REFUSED)
def test_refused(attempt):
    call, words = REFUSED[attempt]
    error = TypeError if attempt == "unhashable" else CannotTrace
    with pytest.raises(error, match=words):
        call()


@pytest.mark.parametrize(
    "call",
    [
        lambda: np.sum(ROW, keepdims=True),
        lambda: np.sum(ROW, dtype=float),
        lambda: np.interp(A, [1, 2], [3, 4], left=0),
        lambda: np.clip(A, 0, 1, out=np.zeros(1)),
    ],
)
def test_options_without_an_equal_are_refused_as_well(call):
    with pytest.raises(CannotTrace):
        call()


def test_the_message_shows_the_expression():
    with pytest.raises(CannotTrace, match=r"a\+b>0 has no truth value"):
        bool(A + B > 0)


def test_decorated_functions_refuse_with_the_same_words():
    with pytest.raises(CannotTrace, match="no truth value"):
        max(A, B)


def test_a_formula_longer_than_a_cell_takes_is_refused():
    long = A
    for _ in range(12):
        long = long + long * B
    with pytest.raises(CannotTrace, match="a cell takes 8,192"):
        formula(long)
