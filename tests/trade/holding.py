"""Checks of any trade function: invalid arguments are refused, arrays equal scalars."""

import warnings

import numpy as np
import pytest

from pennyweight.errors import BadValue, OutsideRange
from pennyweight.trade.function_contract_terms import contract_of

NEVER_NUMBERS = [np.nan, np.inf, -np.inf, "", "twelve", [], [[]]]


def _nonsense(parameter):
    interval = parameter.interval
    bad = [
        value for value in NEVER_NUMBERS if value is not None or not parameter.optional
    ]
    if np.isfinite(interval.low):
        bad += [interval.low - 1, [interval.low - 1]]
        bad += [] if interval.low_closed else [interval.low]
    if np.isfinite(interval.high):
        bad += [interval.high + 1]
        bad += [] if interval.high_closed else [interval.high]
    return bad


def refuses_nonsense(function, **good):
    """Put each kind of nonsense into each argument of a good call, one at a time."""
    for name, parameter in contract_of(function).parameters.items():
        if parameter.kind == "number":
            for bad in _nonsense(parameter):
                with pytest.raises(BadValue, match=name):
                    function(**{**good, name: bad})
        if parameter.kind == "choice":
            with pytest.raises(BadValue, match=name):
                function(**{**good, name: "no such choice"})
        if parameter.kind == "switch":
            for bad in ("no", "", None, 2, [True, 0.5]):
                with pytest.raises(BadValue, match=f"{name}.*True or False"):
                    function(**{**good, name: bad})


def arrays_are_scalars(function, *rows):
    """Hold an array call to the scalar calls row by row, and scalars to be scalars."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutsideRange)
        alone = [function(*row) for row in rows]
        for answer in alone:
            assert isinstance(answer, float), type(answer)
        columns = [np.array(column) for column in zip(*rows, strict=True)]
        together = function(*columns)
        assert together.shape == (len(rows),)
        assert together == pytest.approx(np.array(alone), rel=1e-14, nan_ok=True)
        grid = function(*(np.atleast_1d(column)[:1] for column in columns))
        assert grid.shape == (1,)
