"""Check the values and ranges that a user gives for a plan."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NoReturn

import numpy as np

from ..arguments import shown
from ..errors import BadValue, CallError, UnknownName
from .allowed import check
from .entries import has_range
from .inputs import INPUTS, families, input_called, inputs_in


class Inputs(dict[str, Any]):
    """Values of a plan by name or label of the input; read-only."""

    def __missing__(self, words: str) -> Any:
        name = input_called(words)
        if name not in self.keys():
            raise UnknownName(f"{INPUTS[name].label} is not among these inputs.")
        return self[name]

    __contains__, get = Mapping.__contains__, Mapping.get  # by label, too

    def _fixed(self, *_args: Any, **_named: Any) -> NoReturn:
        raise CallError(
            "A plan stays as it is. Use its method change, which gives a new plan."
        )

    __setitem__ = __delitem__ = __ior__ = _fixed  # type: ignore[assignment]
    clear = pop = popitem = setdefault = update = _fixed  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return Inputs, (dict(self),)


def checked(
    given: Mapping[str, Any], units: str, plan: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """Check that each value is single and within its bounds; return them by name.

    Bounds of money are in the currency of the values, else in that of ``plan``.
    """
    found: dict[str, Any] = {}
    table = inputs_in({**(plan or {}), **_of_currency(given, units)})
    for name, value in distinct(_single(given)).items():
        entry = table[name]
        if not isinstance(value, str) and np.iterable(value):
            raise BadValue(
                f"{entry.label}: a plan takes a single value, not "
                f"{type(value).__name__}. Use grid for several values.",
                input=name,
                value=value,
            )
        found[name] = check(entry, value, units)
    return found


def distinct(given: Iterable[tuple[str, Any]]) -> dict[str, Any]:
    """Values by the name of the input; raises if one is given twice."""
    found: dict[str, Any] = {}
    for words, value in given:
        name = input_called(words)
        if name in found:
            raise CallError(f"{INPUTS[name].label} is given twice: leave one out.")
        found[name] = value
    return found


def _of_currency(given: Mapping[str, Any], units: str) -> dict[str, Any]:
    """The currency and the exchange rate among the values, checked."""
    named = {input_called(words): value for words, value in _single(given)}
    return {
        name: check(INPUTS[name], named[name], units)
        for name in ("currency", "exchange_rate")
        if name in named and not np.ndim(named[name])
    }


def _single(given: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """The values given; a list for a table of inputs becomes one value per entry."""
    for words, value in given.items():
        members = families().get(words)
        if members is None:
            yield words, value
            continue
        label = INPUTS[members[0]].label.rpartition(", ")[0]
        if isinstance(value, str) or np.ndim(value) != 1:
            raise BadValue(
                f"{label}: give a list of values, at most {len(members)}, not "
                f"{shown(value)}."
            )
        if len(value) > len(members):
            raise BadValue(
                f"{label}: {len(value)} values are given; {len(members)} are the most."
            )
        yield from zip(members, value, strict=False)


def checked_ranges(
    given: Mapping[str, tuple[float, float]], units: str, plan: Mapping[str, Any]
) -> dict[str, tuple[float, float]]:
    """Check that each low and high is in order and within bounds."""
    found = {}
    for words, ends in given.items():
        name = input_called(words)
        entry = inputs_in(plan)[name]
        pair = list(ends) if np.iterable(ends) else []
        if len(pair) != 2 or any(map(np.iterable, pair)) or not entry.numeric:
            raise BadValue(
                f"{entry.label}: a range is a low and a high number, not {ends!r}.",
                input=name,
                value=ends,
            )
        if not has_range(entry):
            raise BadValue(
                f"{entry.label}: a workbook has no cells for its low and high. Leave "
                "the range out.",
                input=name,
                value=ends,
            )
        low, high = (check(entry, end, units) for end in pair)
        if low > high:
            raise BadValue(
                f"{entry.label}: low {low:g} is above high {high:g}. Exchange them.",
                input=name,
                value=ends,
            )
        found[name] = (low, high)
    return found
