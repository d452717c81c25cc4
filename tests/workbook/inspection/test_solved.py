"""Figures that the engine solves are in few cells, and these are known."""

from dataclasses import replace

import pytest

from pennyweight.model.inputs import INPUTS
from pennyweight.workbook.inspection.expected import (
    beside_issued_places,
    input_places,
    issued_places,
    own_places,
    pristine,
    solved_places,
)
from pennyweight.workbook.package.contents import read_contents
from tests.books import book_at, example_figures
from tests.thorough import sampled

PRICE, GRADE = INPUTS["gold_price"], INPUTS["ore_grade"]
NEAR, RICHER = PRICE.value("us") * 0.95, GRADE.value("us") * 1.1
WITHOUT_PRICE = INPUTS.keys() - {"gold_price"}
AGREED = next(
    kind
    for kind in INPUTS["contract_kind"].choices
    if kind != INPUTS["contract_kind"].value("us")
)
NEARLY = {"ore_grade": GRADE.value("us") * 1.05, "gold_price": PRICE.value("us") * 0.9}
"""All but turns the verdict: what is said of no change then is not said."""
RICH = ({"ore_grade": RICHER, "contract_kind": AGREED}, None)
"""Inputs that differ from the example, and those that are the user's own."""
OTHERS = [
    [(NEARLY | {"contract_kind": AGREED}, WITHOUT_PRICE)],
    [RICH, ({"gold_price": NEAR}, WITHOUT_PRICE)],
    [
        RICH,
        ({"gold_price": PRICE.within("us")[0]}, None),
        ({"gold_price": NEAR}, None),
        ({}, WITHOUT_PRICE),
    ],
]


@pytest.mark.parametrize("others", sampled(OTHERS, 3))
def test_the_solved_places_are_where_values_without_formula_differ(others, tmp_path):
    """Verdicts, contracts and what is missing differ between the workbooks."""
    example = read_contents(book_at(tmp_path / "book.xlsx")).sheets
    found = set()
    for inputs, given in others:
        figures = example_figures(inputs)
        fresh = pristine(replace(figures, given=given or figures.given))
        for sheet, cells in fresh.sheets.items():
            found |= {
                (sheet, place)
                for place, cell in cells.items()
                if not cell.formula and example[sheet][place].value != cell.value
            }
    records = issued_places().keys() | beside_issued_places().keys()
    entered = input_places().keys() | records | own_places()
    assert found - entered == solved_places()


def test_what_the_engine_stored_is_marked_as_issued(tmp_path):
    """It stays when an input changes; the page shows it no longer then."""
    cells = read_contents(book_at(tmp_path / "book.xlsx")).sheets["Answer"]
    places = [place for sheet, place in solved_places() if sheet == "Answer"]
    told = [place for place in places if "turns the verdict" in str(cells[place].value)]
    assert len(told) == 1
    assert cells[told[0][0], told[0][1] - 1].value == "As issued:"
