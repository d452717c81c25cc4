"""Conditions between arguments, which the range of one argument cannot express."""

import contextlib
import contextvars
from collections.abc import Iterator
from typing import Any

import numpy as np

from ..errors import BadValue


class BrokenRule(BadValue):
    """A failed condition; `function_contract` adds the function and its arguments."""


_rules: contextvars.ContextVar[list | None] = contextvars.ContextVar("rules")


@contextlib.contextmanager
def collected() -> Iterator[list]:
    """Collect the conditions on references that `require` is called with.

    Yields
    ------
    rules : list of (Expression, str)
        Each condition and its message.
    """
    rules: list = []
    token = _rules.set(rules)
    try:
        yield rules
    finally:
        _rules.reset(token)


def require(condition: Any, message: str) -> None:
    """Raise if a condition fails for any element.

    A condition on references to cells has no truth value yet: the validation of the
    workbook checks it, or `collected` keeps it.

    Parameters
    ----------
    condition : bool or array of bool
        Condition that must be true.
    message : str
        The same in words.

    Raises
    ------
    BadValue
        If the condition is false for any element.

    Examples
    --------
    >>> require(3 > 2, "three must be above two")
    """
    words = f"{message[0].upper()}{message[1:]}."
    if hasattr(condition, "__formula__"):
        rules = _rules.get(None)
        if rules is not None:
            rules.append((condition, words))
    elif not np.all(condition):
        raise BrokenRule(words)
