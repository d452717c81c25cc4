"""What every oracle gives back and takes in: cell values, inputs and failures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class ErrorValue:
    """A cell whose result is an error, with the text its program has for it.

    Programs differ on which error they give for the same fault, so compare
    that there is an error and not which one.
    """

    text: str

    def __str__(self) -> str:
        return self.text


class OracleFailed(RuntimeError):
    """An oracle could not do what it was asked, so there is no answer to compare."""


Value = float | str | bool | ErrorValue
"""One cell's value. A formula that gives empty text is ""; an empty cell is None."""

Cells = dict[str, dict[str, Value]]
"""Every cell that is not empty: ``{"Sheet": {"A1": 3.0}}``."""

Input = float | str | bool | None
"""What can be put in a cell; None empties it."""

Inputs = Mapping[str, Input]
"""Defined names, each of one cell, and what to put there."""
