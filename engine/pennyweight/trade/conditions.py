"""Conditions between arguments, which one argument's range cannot express."""

import contextlib
import contextvars
from collections.abc import Iterator
from typing import Any

import numpy as np

from ..errors import BadValue


class BrokenRule(BadValue):
    """A condition that fails; the contract adds the function and its arguments."""


_rules: contextvars.ContextVar[list | None] = contextvars.ContextVar("rules")


@contextlib.contextmanager
def collected() -> Iterator[list]:
    """Keep the conditions on references that `require` meets meanwhile.

    Yields
    ------
    rules : list of (Expression, str)
        Each condition and its words.
    """
    rules: list = []
    token = _rules.set(rules)
    try:
        yield rules
    finally:
        _rules.reset(token)


def require(condition: Any, message: str) -> None:
    """Raise when a condition fails for any element.

    A condition on references to cells has no truth yet: it is left to the workbook's
    own validation, or kept by `collected`.

    Parameters
    ----------
    condition : bool or array of bool
        What must be so.
    message : str
        What must be so, in words.

    Raises
    ------
    BadValue
        When the condition is false anywhere.

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
