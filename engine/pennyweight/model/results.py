"""Results of a plan, by name or label."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from ..errors import UnknownName
from .lookup import called
from .mill_model import MODEL


class Values(dict[str, np.ndarray]):
    """Arrays of all inputs, constants and lines, by name or label."""

    def __missing__(self, words: str) -> np.ndarray:
        return self[name_of(words)]

    __contains__, get = Mapping.__contains__, Mapping.get  # by label, too


class Results(Mapping[str, Any]):
    """Results of a plan, by name or label.

    Single results are numbers or texts; rows and tables are arrays. A result without
    an answer is NaN.
    """

    def __init__(self, values: Mapping[str, np.ndarray]) -> None:
        self._values = values

    def __getitem__(self, words: str) -> Any:
        value = self._values[name_of(words)]
        return value.item() if np.ndim(value) == 0 else value

    def __iter__(self) -> Iterator[str]:
        return iter(MODEL.lines)

    def __len__(self) -> int:
        return len(MODEL.lines)

    def __repr__(self) -> str:
        return f"<Results: {len(self)} lines, by name or by label>"


def result_called(words: str) -> str:
    """Name of a single line, by its name or label.

    Examples
    --------
    >>> result_called("Operating margin per ton")
    'margin_per_ton'
    """
    try:
        return called(words, single_lines(), "result")
    except UnknownName:
        for line in MODEL.lines.values():
            if words in (line.name, line.label):
                raise UnknownName(
                    f"{line.label} is not a single result: it has a figure for each "
                    f"{' and '.join(line.over)}, on the sheet {line.sheet}, and in "
                    f"Python in plan.results[{line.name!r}]."
                ) from None
        raise


def single_lines() -> dict[str, Any]:
    """The lines with a single value, by name."""
    return {name: line for name, line in MODEL.lines.items() if not line.over}


def name_of(words: str) -> str:
    """Name of an input or a result; single values take precedence over rows."""
    if isinstance(words, str) and (words in MODEL.inputs or words in MODEL.lines):
        return words
    try:
        return called(words, {**MODEL.inputs, **single_lines()}, "result")
    except UnknownName:
        return called(words, {**MODEL.inputs, **MODEL.lines}, "result")
