"""What the engine solves stands in few cells, and those are known."""

from pennyweight.model.inputs import INPUTS
from pennyweight.workbook.inspection.expected import (
    input_places,
    issued_places,
    own_places,
    pristine,
    solved_places,
)


def test_the_solved_places_are_where_values_without_formula_differ():
    """Verdicts, contracts and what is missing differ between the workbooks."""
    low, _ = INPUTS["gold_price"].within("us")
    kinds = INPUTS["contract_kind"]
    agreed = next(kind for kind in kinds.choices if kind != kinds.value("us"))
    richer = INPUTS["ore_grade"].value("us") * 1.1
    near = INPUTS["gold_price"].value("us") * 0.95
    others = (
        ({"gold_price": low}, None),
        ({"ore_grade": richer, "contract_kind": agreed}, None),
        ({"gold_price": near}, None),
        ({}, INPUTS.keys() - {"gold_price"}),
    )
    example = pristine({}, "us", {}, {}).sheets
    found = set()
    for inputs, given in others:
        for sheet, cells in pristine(inputs, "us", {}, {}, given).sheets.items():
            found |= {
                (sheet, place)
                for place, cell in cells.items()
                if not cell.formula and example[sheet][place].value != cell.value
            }
    entered = input_places().keys() | issued_places().keys() | own_places()
    assert found - entered == solved_places()
