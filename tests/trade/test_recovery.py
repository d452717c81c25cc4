"""Recovery and mass balances, against textbooks and linear algebra."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue, OutsideRange
from pennyweight.trade import recovery as r

from ..evidence import evidence
from ..published import balances as known
from .holding import arrays_are_scalars, refuses_nonsense

TAILS = "practice: a tail of 1.5 g/t from 10 g/t is 85 %"

GOOD = {
    r.recovery_by_size: {"gold": [1, 2, 3], "recovery": [0.2, 0.6, 0.9]},
    r.tail_grade: {"head": 10, "fixed_tail": 1.5, "proportional_tail": 0.2},
    r.tail_recovery: {"head": 10, "fixed_tail": 1.5, "proportional_tail": 0.2},
    r.two_stage_recovery: {"first": 0.5, "second": 0.2},
    r.staged_recovery: {"stages": [0.5, 0.2, 0.25]},
    r.tables_needed: {"feed": 25, "capacity": 10},
}
ROWS_OR_PAIRS = (r.recovery_by_size, r.staged_recovery)
ELEMENTWISE = [function for function in GOOD if function not in ROWS_OR_PAIRS]


@evidence("recovery_by_size", "derived", known.SIZES_SOURCE)
def test_total_of_size_grades():
    assert r.recovery_by_size(*known.SIZES) == pytest.approx(
        known.SIZES_RECOVERY, rel=1e-14
    )


def test_sizes_weigh_by_gold_and_over_the_last_axis():
    gold = np.array([[1.0, 3.0], [2.0, 0.0]])
    found = r.recovery_by_size(gold, [0.4, 0.8])
    assert found == pytest.approx([0.7, 0.4], rel=1e-14)
    assert r.recovery_by_size([2e9, 6e9], [0.4, 0.8]) == pytest.approx(0.7)
    with pytest.raises(BadValue, match="above zero"):
        r.recovery_by_size([0, 0], [0.4, 0.8])


@evidence("tail_grade", "practice", TAILS)
@evidence("tail_recovery", "derived", "what is not in the tail, of what was fed")
def test_constant_and_proportional_tails():
    # Common practice; no published case was found.
    assert r.tail_recovery(10, 1.5) == pytest.approx(0.85, rel=1e-14)
    assert r.tail_grade(10, 1.5, 0.2) == pytest.approx(3.5, rel=1e-14)
    assert r.tail_recovery([1, 1.5, 3], 1.5).tolist() == [0, 0, 0.5]
    assert r.tail_recovery(5) == 1


@given(st.floats(0.01, 100), st.floats(0, 100), st.floats(0, 1))
def test_tails_never_exceed_the_head(head, fixed, proportional):
    assert 0 <= r.tail_grade(head, fixed, proportional) <= head
    richer = r.tail_recovery(2 * head, fixed, proportional)
    assert 0 <= r.tail_recovery(head, fixed, proportional) <= richer + 1e-12


@evidence("two_stage_recovery", "derived", "gold let go twice: (1 - R1)(1 - R2)")
@evidence("staged_recovery", "derived", "gold followed from stage to stage")
@given(st.lists(st.floats(0, 1), min_size=1, max_size=6))
def test_stages(stages):
    left = 1.0
    for stage in stages:
        left -= left * stage
    assert r.staged_recovery(stages) == pytest.approx(1 - left, rel=1e-12, abs=1e-12)
    assert r.two_stage_recovery(stages[0], stages[-1]) == pytest.approx(
        r.staged_recovery([stages[0], stages[-1]]), rel=1e-14
    )


def test_stages_over_the_last_axis():
    found = r.staged_recovery([[0.5, 0.2], [0.0, 1.0]])
    assert found == pytest.approx([0.6, 1.0], rel=1e-14)


@evidence("tables_needed", "derived", known.TABLES_SOURCE + " (range read)")
def test_tables():
    low, high = known.TABLES_A_DAY
    assert r.tables_needed(25, [low, high]).tolist() == [5, 2]
    assert r.tables_needed(0, 10) == 0
    assert r.tables_needed(20, 10) == 2
    assert r.tables_needed(0.1 * 3 * 100, 10) == 3  # of 30.000000000000004 tons
    for capacity in (low - 1, high + 1):
        with pytest.warns(OutsideRange, match="5 to 20 tons"):
            r.tables_needed(25, capacity)


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_nonsense(function):
    refuses_nonsense(function, **GOOD[function])


@pytest.mark.parametrize("function", ELEMENTWISE, ids=lambda f: f.__name__)
def test_arrays(function):
    row = tuple(GOOD[function].values())
    arrays_are_scalars(function, row, tuple(0.99 * value for value in row))
