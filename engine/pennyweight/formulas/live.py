"""Live cells: the formula and its stored value, from one function."""

import functools
import itertools
from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from .expression import Operation, Reference, express, formula

FIRST = 0xE000
"""First of the characters that no text has: they stand for the cells of a formula."""


class Live(NamedTuple):
    """A cell or a part of a formula, and its value."""

    cell: Reference
    value: Any

    @property
    def formula(self) -> str:
        """The formula of a cell with this value."""
        return f"={self.cell.address}"


def live(function: Callable[..., Any], *reads: Any) -> Live:
    """Formula and value of a cell, from a function of other cells.

    Parameters
    ----------
    function : callable
    *reads : Live or (Expression, value) or constant
        Its arguments.

    Returns
    -------
    live : Live

    Examples
    --------
    >>> ore, grade = Live(Reference("Ore"), 200.0), Live(Reference("Grade"), 0.5)
    >>> gold = live(lambda tons, grade: tons * grade, ore, grade)
    >>> gold.formula, gold.value
    ('=Ore*Grade', 100.0)
    """
    pairs = [read if isinstance(read, tuple) else (read, read) for read in reads]
    with np.errstate(all="ignore"):
        value = function(*(value for _, value in pairs))
    value = value.item() if hasattr(value, "item") else value
    if value is None:  # a formula that reads an empty cell gives 0
        value = 0.0
    arguments = [cell for cell, _ in pairs]
    if any(isinstance(cell, Operation) for cell in arguments):
        return Live(Reference(*_written(function, arguments)), value)
    cells = [cell for cell in arguments if isinstance(cell, Reference)]
    kinds = (
        (c.kind, c.spread, c.across) if isinstance(c, Reference) else c
        for c in arguments
    )
    text, kind = _traced(function, tuple(kinds))
    places = {FIRST + at: cell.address for at, cell in enumerate(cells)}
    return Live(Reference(text.translate(places), kind), value)


@functools.lru_cache(maxsize=512)
def _traced(function: Callable[..., Any], reads: tuple[Any, ...]) -> tuple[str, str]:
    """Text and kind of the formula of a function, with characters for its cells.

    Rows of a sheet differ only in addresses, so a function is traced once for all of
    them. A tuple in ``reads`` is of a cell; anything else is a constant.
    """
    places = itertools.count(FIRST)
    arguments = [
        Reference(chr(next(places)), *read) if isinstance(read, tuple) else read
        for read in reads
    ]
    return _written(function, arguments)


def _written(function: Callable[..., Any], arguments: list[Any]) -> tuple[str, str]:
    """Text and kind of the formula of a function."""
    expression = express(function(*arguments))
    return formula(expression).removeprefix("="), expression.kind
