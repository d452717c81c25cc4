"""Sums, products and look-ups over ranges, in spreadsheets against NumPy."""

import numpy as np
import pytest
from scipy import special

from pennyweight.formulas import Reference, formula, lookup, smallest

UP = [3.0, -1.5, 0.0, 8.25]
DOWN = [2.0, 4.0, 0.5, 1.0]
WORDS = ["mill", "tables", "pump", "furnace"]
CELLS = {
    **{f"{column}1": value for column, value in zip("ABCD", UP, strict=True)},
    **{f"{column}2": value for column, value in zip("ABCD", DOWN, strict=True)},
    **{f"F{row}": value for row, value in enumerate(UP, 1)},
    **{f"G{row}": value for row, value in enumerate(WORDS, 1)},
    "H1": 0.1,
}
ROW, OTHER, COLUMN, RATE = np.array(UP), np.array(DOWN), np.array(UP), 0.1


def discounted(row, other, column, words, rate):
    return np.sum(row / (1 + rate) ** other, axis=0)


def counted(row, other, column, words, rate):
    return np.sum((row > 0) * other, axis=0)


def product(row, other, column, words, rate):
    return np.sum(row * other, axis=0)


def squared(row, other, column, words, rate):
    return np.sum((column - np.mean(column, axis=0)) ** 2, axis=0)


def extremes(row, other, column, words, rate):
    return np.max(row, axis=0) - np.min(other, axis=0) * np.prod(other, axis=0)


def found_across(row, other, column, words, rate):
    return lookup(np.min(row, axis=0), row, other)


def found_word(row, other, column, words, rate):
    return lookup(np.max(column, axis=0), column, words)


def chosen(row, other, column, words, rate):
    text = lookup(np.min(column, axis=0), column, words)
    return np.where(text == "tables", rate, np.nan)


LINES = (
    discounted,
    counted,
    product,
    squared,
    extremes,
    found_across,
    found_word,
    chosen,
)


@pytest.mark.parametrize("oracle", ["libreoffice", "gnumeric", "iron"])
def test_ranges_agree(oracle, request):
    references = (
        Reference("A1:D1", spread=True, across=True),
        Reference("A2:D2", spread=True, across=True),
        Reference("F1:F4", spread=True),
        Reference("G1:G4", "text", spread=True),
        Reference("H1"),
    )
    texts = [formula(line(*references)) for line in LINES]
    found = request.getfixturevalue(oracle).evaluate(texts, CELLS)
    wanted = [line(ROW, OTHER, COLUMN, WORDS, RATE) for line in LINES]
    for line, value, answer in zip(LINES, wanted, found, strict=True):
        expected = value if isinstance(value, str) else pytest.approx(value, rel=1e-12)
        assert answer == expected, line.__name__
    assert wanted[6] == "furnace" and wanted[7] == 0.1


@pytest.mark.parametrize("oracle", ["libreoffice", "gnumeric", "iron"])
def test_texts_with_quotes_and_no_answer_arrive_whole(oracle, request):
    a = Reference("H1")
    said = 'a 6" "mill"'
    texts = [formula(np.where(a > 0, said, "")), formula(np.where(a < 0, a, np.nan))]
    found = request.getfixturevalue(oracle).evaluate(texts, CELLS)
    assert found == [said, "n/a"]


@pytest.mark.parametrize("oracle", ["libreoffice", "gnumeric", "iron"])
def test_quantiles_agree(oracle, request):
    shares, freedom = [0.001, 0.2, 0.5, 0.9, 0.9999], [1.0, 2.0, 11.0, 59.0, 400.0]
    upper = [0.501, 0.6, 0.9, 0.975, 0.9995]
    cells = {f"A{row}": value for row, value in enumerate(shares, 1)}
    cells |= {f"B{row}": value for row, value in enumerate(freedom, 1)}
    cells |= {f"C{row}": value for row, value in enumerate(upper, 1)}
    texts = [formula(special.ndtri(Reference(f"A{row}"))) for row in range(1, 6)]
    texts += [
        formula(special.stdtrit(Reference(f"B{row}"), Reference(f"C{row}")))
        for row in range(1, 6)
    ]
    found = request.getfixturevalue(oracle).evaluate(texts, cells)
    wanted = [*special.ndtri(shares), *special.stdtrit(freedom, upper)]
    assert found == pytest.approx(wanted, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("oracle", ["libreoffice", "gnumeric", "iron"])
def test_smallest_agrees(oracle, request):
    column = Reference("F1:F4", spread=True)
    texts = [formula(smallest(column, place)) for place in (1, 2, 3, 4)]
    assert request.getfixturevalue(oracle).evaluate(texts, CELLS) == sorted(UP)
