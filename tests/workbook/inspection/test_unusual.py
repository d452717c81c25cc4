"""Workbooks with extreme entries: every cell recalculated elsewhere."""

import math

import numpy as np
import pytest

from pennyweight.errors import BadValue
from pennyweight.workbook.write import book_bytes
from tests.books import book_at, made_book
from tests.thorough import sampled

from ...model.drawing import converted, unusual
from ...oracles.package import formula_cells, stored_cells

EDGES = {
    "nothing is worth anything": {"gold_price": 200.0, "ore_grade": 0.0001},
    "no waiting and no loan": {
        "build_months": 0.0,
        "loan_share": 0.0,
        "refiner_days": 0.0,
        "stores": 0.0,
        "hold_up": 0.0,
        "reclamation_bond": 0.0,
    },
    "work all year on little ore": {"season_months": 12.0, "ore_tons": 1.0},
    "ore for longer than the plan": {"ore_tons": 5_000_000.0},
    "one month a year": {"season_months": 1.0, "build_months": 36.0},
    "no charges, no tax, no interest": {
        "tax_rate": 0.0,
        "discount_rate": 0.0,
        "loan_rate": 0.0,
        "royalty_rate": 0.0,
        "refining_charge": 0.0,
    },
    "no samples": {f"sample_weight_{row:02d}": 0.0 for row in range(1, 61)},
    "no gold in the test lot": {
        **{f"screen_tails_share_{row:02d}": 0.0 for row in range(1, 7)},
        **{f"screen_caught_gold_{row:02d}": 0.0 for row in range(1, 7)},
        "lot_button_mass": 0.0,
        "lot_slag_gold": 0.0,
        "lot_hold_up": 0.0,
        "lot_middlings_grade": 0.0,
    },
    "payments at the start, straight line": {
        "payment_timing": "start",
        "depreciation_method": "straight line",
        "mill_kind": "hammer mill",
        "power_source": "grid",
        "estimate_class": 1.0,
    },
}

pytestmark = pytest.mark.filterwarnings("ignore::pennyweight.errors.OutsideRange")


def disagreeing(path, program):
    """Cells that differ by more than 1e-9, measured by the largest of their sheet."""
    stored, found = stored_cells(path), program.recalculate(path)
    wrong, noise = [], {sheet: _noise(stored, sheet) for sheet in stored}
    for sheet, cell in sorted(formula_cells(path)):
        ours, theirs = stored[sheet].get(cell, ""), found[sheet].get(cell, "")
        numbers = isinstance(ours, float) and isinstance(theirs, float)
        if numbers and math.isclose(ours, theirs, rel_tol=1e-9, abs_tol=noise[sheet]):
            continue
        if ours != theirs:
            wrong.append((sheet, cell, ours, theirs))
    return wrong


def _noise(stored, sheet):
    """What rounding leaves of the largest figure of the cash flow and of the sheet."""
    rows = [*stored["Cash flow"].values(), *stored[sheet].values()]
    return 1e-12 * max(abs(value) for value in rows if isinstance(value, float))


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("case", "units"),
    sampled(
        ((case, ("us", "metric")[place % 2]) for place, case in enumerate(EDGES)),
        every=9,
    ),
)
def test_every_cell_at_an_edge(case, units, libreoffice, tmp_path):
    path = tmp_path / "book.xlsx"
    inputs = converted(EDGES[case], "us", units)
    book_at(path, units, **inputs)
    assert disagreeing(path, libreoffice) == []


@pytest.mark.thorough
@pytest.mark.parametrize(("seed", "units"), [(1, "metric"), (0, "us"), (2, "us")])
def test_every_cell_of_unusual_plans(seed, units, libreoffice, tmp_path):
    path = tmp_path / "book.xlsx"
    inputs = unusual(np.random.default_rng(seed), units)
    book_at(path, units, **inputs)
    assert disagreeing(path, libreoffice) == []


@pytest.mark.thorough
@pytest.mark.parametrize("program", ["gnumeric", "iron"])
def test_every_cell_of_an_unusual_plan_in_other_programs(program, request, tmp_path):
    path = tmp_path / "book.xlsx"
    path.write_bytes(book_bytes(made_book(unusual(np.random.default_rng(7)))))
    assert disagreeing(path, request.getfixturevalue(program)) == []


def test_what_contradicts_itself_makes_no_book():
    with pytest.raises(BadValue, match="Change one of them"):
        made_book({"bullion_fineness": 999.0, "silver_fineness": 2.0})
