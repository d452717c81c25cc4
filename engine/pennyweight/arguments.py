"""Checks of the arguments of the public API.

`typechecked` compares each call of a public function, or of a class's methods, with the
annotations. A wrong call raises an error before any work.
"""

from __future__ import annotations

import functools
import inspect
import re
from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from numbers import Integral, Real
from os import PathLike
from pathlib import Path
from reprlib import Repr
from typing import Any, NoReturn, TypeVar, get_args

import numpy as np

from .errors import CallError, nearest

Public = TypeVar("Public", bound=Callable[..., Any])

WANTED = {
    "bool": "True or False",
    "int": "a whole number",
    "float": "a number",
    "str": "a text",
    "date": "a date",
    "Path": "the name of a file",
    "DataFrame": "a pandas DataFrame",
    "Mapping": "names with their values, such as {'gold_price': 3000}",
    "Callable": "a function",
    "Axes": "axes of matplotlib",
    "Plan": "a plan",
    "Report": "the report that risk returned",
    "Season": "the plan that season returned",
    "Learned": "the figures that learn returned",
}
"""What is allowed, by the class in an annotation."""
NAME = "the name or label as text"
WANTED_AS = {
    **dict.fromkeys(("moved", "name", "names", "result", "results"), NAME),
    "margin": "'20%' of the income, or '$150/hour' of the mill",
    "other": "a plan to compare with",
    "confirm_balance": "the reason as text",
}
"""What is allowed for some arguments, by name."""
LEAST = {"workers": 1, "seed": 0, "count": 0, "digits": 1}
"""Least value of a whole number, by the name of its argument."""
LISTS = ("Sequence", "Iterable", "tuple")
_OR = re.compile(r" \| (?![^\[]*\])")
_KIND = re.compile(r"(?:\w+\.)*(\w+)(?:\[(.*?)(?:, \.\.\.)?\])?")

_short = Repr()
_short.maxstring = _short.maxother = _short.maxlong = 60
shown = _short.repr
"""A value as Python writes it, shortened if it is long."""


def typechecked(public: Public) -> Public:
    """Check the calls of a function, or of a class's public methods, by annotations.

    Arguments are converted: numbers to Python's own, names of files to paths, mappings
    to dictionaries, and a single text to a list where a list of texts is allowed.
    """
    if isinstance(public, type):
        for name, method in list(vars(public).items()):
            if inspect.isfunction(method) and (name == "__init__" or name[0] != "_"):
                setattr(public, name, typechecked(method))
        return public

    @functools.wraps(public)
    def call(*args: Any, **named: Any) -> Any:
        signature = _signature(public)
        try:
            given = signature.bind(*args, **named)
        except TypeError:
            return public(*args, **named)  # Python says what is wrong with the call
        for name, value in given.arguments.items():
            parameter = signature.parameters[name]
            several = parameter.kind in (
                parameter.VAR_POSITIONAL,
                parameter.VAR_KEYWORD,
            )
            if not several and value is not parameter.default:
                kind, known = parameter.annotation, public.__globals__
                given.arguments[name] = _taken(value, kind, name, known)
        return public(*given.args, **given.kwargs)

    return call  # type: ignore[return-value]


_signature = functools.cache(inspect.signature)


def _taken(given: Any, annotation: Any, what: str, known: Mapping[str, Any]) -> Any:
    """One argument converted to its annotation; raises if it does not fit.

    ``known`` has the names that the annotation may use, such as unions of words.
    """
    if not isinstance(annotation, str):
        return given
    kinds = _OR.split(annotation)
    if "Path" in kinds:
        kinds = [kind for kind in kinds if kind != "str"]
    wanted, near = [], ""
    for kind in kinds:
        name, inside = _KIND.fullmatch(kind).groups()  # type: ignore[union-attr]
        words = get_args(known.get(name)) or (name == "Literal" and inside)
        if words:
            choices = re.findall(r"\w+", words) if isinstance(words, str) else words
            if isinstance(given, str) and given in choices:
                return given
            wanted += map(repr, choices)
            near = nearest(given, choices) if isinstance(given, str) else ""
        elif name in LISTS:
            if isinstance(given, str) and inside == "str":
                return [given]
            if isinstance(given, Iterable) and not isinstance(given, str | bytes):
                each = [_taken(one, inside, what, known) for one in given]
                return tuple(each) if name == "tuple" else each
            wanted.append("a list")
        else:
            value = _one(given, name, what)
            if value is not _REFUSED:
                return value
            least = f" of {LEAST[what]} or more" if what in LEAST else ""
            wanted.append(WANTED.get(name, name) + least * (name == "int"))
    if "None" in wanted:
        wanted.remove("None")
    refuse(what, WANTED_AS.get(what) or " or ".join(wanted), given, near)


_REFUSED = object()


def _one(given: Any, kind: str, what: str) -> Any:
    """A single argument converted to a kind; `_REFUSED` if it is not of that kind."""
    truth = isinstance(given, bool | np.bool_)
    if kind == "Any" or (kind == "None" and given is None):
        return given
    if kind == "bool" and truth:
        return bool(given)
    if kind == "int" and isinstance(given, Integral) and not truth:
        return int(given) if given >= LEAST.get(what, given) else _REFUSED
    if kind == "float" and isinstance(given, Real | Decimal) and not truth:
        return given if isinstance(given, int | float) else float(given)
    if kind == "Path" and isinstance(given, str | PathLike) and str(given):
        return Path(given)
    if kind == "Mapping" and hasattr(given, "items") and getattr(given, "ndim", 1) == 1:
        return dict(given.items())
    if kind == "Callable" and callable(given):
        return given
    same = any(base.__name__ == kind for base in type(given).__mro__)
    return given if same and kind not in ("bool", "int", "float") else _REFUSED


def mapping(given: Any, what: str) -> dict[Any, Any]:
    """Convert a mapping or a pandas Series to a dictionary; None to an empty one."""
    return _taken(given, "Mapping | None", what, {}) or {}


def number(given: Any, what: str) -> float:
    """Convert a number to Python's own."""
    return _taken(given, "float", what, {})


def refuse(what: str, wanted: str, given: Any, near: str = "") -> NoReturn:
    """Raise for an argument: what it is, and what is allowed."""
    raise CallError(
        f"{what}: give {wanted}, not {shown(given)}.{near}"
        if isinstance(given, str | int | float | Decimal | None)
        else f"{what}: give {wanted}, not a {type(given).__name__}.",
        value=given,
    )
