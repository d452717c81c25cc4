"""Calls of every trade function, taken from the examples in its own docstring."""

import contextlib
import doctest
import functools
import inspect
import io
import sys
import warnings

import numpy as np

from pennyweight.addins.registry import registry
from pennyweight.model.allowed import complete
from pennyweight.model.run import run


def at_estimates(given, units="us"):
    """The model's values with every other input at its estimate."""
    return run(complete(given, units, "estimate"), units)


@functools.cache
def trade_calls():
    """Give (entry, sheet arguments, the engine's answer) of every example call."""
    found = []
    for entry in registry().values():
        if entry.of_model:
            continue
        for arguments, answer in _recorded(entry.function):
            given = [
                None
                if arguments.get(a.parameter) is None
                else cells(arguments[a.parameter])
                for a in entry.arguments
            ]
            found.append((entry, given, answer))
    return found


def _recorded(function):
    signature = inspect.signature(function)
    calls = []

    @functools.wraps(function)
    def recorder(*args, **kwargs):
        answer = function(*args, **kwargs)
        units = {name: kwargs.pop(name) for name in ("units",) if name in kwargs}
        given = signature.bind(*args, **kwargs).arguments
        calls.append(({**given, **units}, answer))
        return answer

    module = sys.modules[function.__module__]
    scope = {**vars(module), function.__name__: recorder}
    with warnings.catch_warnings(), contextlib.redirect_stdout(io.StringIO()):
        warnings.simplefilter("ignore")
        for example in doctest.DocTestParser().get_examples(function.__doc__):
            with contextlib.suppress(ValueError):  # examples of refusals
                exec(compile(example.source, "<example>", "single"), scope)
    return calls


def cells(value):
    """A Python value as the cells that would hold it: lists lie in a row."""
    if isinstance(value, str | bool):
        return ((value,),)
    array = np.atleast_2d(np.asarray(value))
    kind = str if array.dtype.kind == "U" else float
    return tuple(tuple(kind(cell) for cell in row) for row in array)


def expected(answer):
    """The engine's answer as the block that a sheet should show."""
    if isinstance(answer, dict):
        return [[name, *_row(value)] for name, value in answer.items()]
    if isinstance(answer, tuple):
        parts = [_row(part) for part in answer]
        return parts if len(parts[0]) > 1 else [[part[0] for part in parts]]
    if np.ndim(answer) == 2:
        return [_row(row) for row in answer]
    return [_row(answer)]


def _row(value):
    if isinstance(value, str):
        return [value]
    return [_cell(item) for item in np.atleast_1d(np.asarray(value)).tolist()]


def _cell(item):
    if isinstance(item, float) and not np.isfinite(item):
        return "#N/A" if np.isnan(item) else "#NUM!"
    return item


LAST_DIGITS = 1e-14
"""NumPy's power of an array may differ from that of a number by one unit in the last
place: on processors with AVX-512 it has a loop of its own. A difference of two powers
makes it a few."""


def same(found, wanted, tolerance=LAST_DIGITS):
    """Say whether two blocks agree, numbers within a relative tolerance."""
    if len(found) != len(wanted):
        return False
    return all(
        len(one) == len(other)
        and all(_alike(a, b, tolerance) for a, b in zip(one, other, strict=True))
        for one, other in zip(found, wanted, strict=True)
    )


def _alike(one, other, tolerance):
    if isinstance(one, str) or isinstance(other, str):
        return one == other
    return abs(one - other) <= tolerance * max(abs(one), abs(other))
