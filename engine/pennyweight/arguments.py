"""Checks of the arguments that callers pass to the public API."""

from __future__ import annotations

import numbers
from pathlib import Path
from typing import Any, NoReturn

from .errors import CallError


def mapping(given: Any, what: str) -> dict[Any, Any]:
    """A mapping or a pandas Series as a dictionary; None gives an empty one."""
    if given is None:
        return {}
    if hasattr(given, "items") and getattr(given, "ndim", 1) == 1:
        return dict(given.items())
    _refuse(what, "names with their values, such as {'gold_price': 3000}", given)


def number(given: Any, what: str, whole: bool = False) -> Any:
    """A number; a whole one where it counts something."""
    kind = numbers.Integral if whole else numbers.Real
    if isinstance(given, kind) and not isinstance(given, bool):
        return int(given) if whole else float(given)
    _refuse(what, "a whole number" if whole else "a number", given)


def optional_number(given: Any, what: str) -> float | None:
    """A number, or None where it is left out."""
    return None if given is None else number(given, what)


def path(given: Any, what: str = "path") -> Path:
    """The path of a file."""
    if isinstance(given, str | Path) and str(given):
        return Path(given)
    _refuse(what, "the name of a file", given)


def of_kind(given: Any, kind: type, what: str, told: str) -> Any:
    """An object of one class, such as the report of a risk analysis."""
    if isinstance(given, kind):
        return given
    _refuse(what, told, given)


def _refuse(what: str, wanted: str, given: Any) -> NoReturn:
    raise CallError(
        f"{what}: give {wanted}, not {given!r:.60}."
        if isinstance(given, str | int | float | None)
        else f"{what}: give {wanted}, not a {type(given).__name__}.",
        value=given,
    )
