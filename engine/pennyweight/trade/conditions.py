"""Conditions between arguments, which one argument's range cannot express."""

from typing import Any

import numpy as np

from ..errors import BadValue


def require(condition: Any, message: str) -> None:
    """Raise when a condition fails for any element.

    A condition on references to cells has no truth yet and is left to the
    workbook's own validation.

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
    if not hasattr(condition, "__formula__") and not np.all(condition):
        raise BadValue(f"{message[0].upper()}{message[1:]}.")
