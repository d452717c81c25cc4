"""Crossings, held against scipy's and against answers known by hand."""

import numpy as np
import pytest
from scipy.optimize import brentq

from pennyweight.model.roots import crossings

SMOOTH = (
    lambda x: np.exp(x) - 5,
    lambda x: x**3 - 2 * x - 5,
    lambda x: np.cos(x) - x,
    lambda x: np.minimum(x - 1.25, 40 * (x - 2)),
    lambda x: 1e-200 * (x - 1 / 3),
)


def at(functions):
    """Functions as `crossings` calls them: each value in the bracket of its own."""

    def function(values, which):
        return np.array([functions[w](v) for w, v in zip(which, values, strict=True)])

    return function


def test_crossings_are_those_of_scipy():
    values, left = crossings(at(SMOOTH), np.zeros(5), np.full(5, 3.0))
    expected = [brentq(f, 0, 3, xtol=1e-15, rtol=1e-14) for f in SMOOTH]
    assert values == pytest.approx(expected, rel=1e-12)
    assert np.all(np.abs(left) <= 1e-13)


def test_a_jump_is_closed_in_on_and_leaves_its_height():
    functions = [lambda x, at=at: 1.0 if x > at else -2.0 for at in (0.3, 0.0)]
    values, left = crossings(at(functions), [0, 0], [1, 1])
    assert values == pytest.approx([0.3, 0.0], rel=1e-15, abs=1e-300)
    assert set(left) <= {1.0, -2.0}


def test_ends_of_one_sign_have_no_crossing_and_an_end_may_be_one():
    functions = [lambda x: x + 1, lambda x: x - 2, lambda x: x]
    values, _ = crossings(at(functions), np.zeros(3), np.full(3, 2.0))
    assert np.isnan(values[0])
    assert values[1:].tolist() == [2.0, 0.0]


def test_a_bracket_with_no_answers_inside_stays_without():
    functions = [lambda x: {0.0: -1.0, 1.0: 1.0}.get(x, np.nan)]
    values, _ = crossings(at(functions), [0], [1])
    assert np.isnan(values[0])
