"""Amounts of a settlement in whole cents."""

import functools
import inspect

import numpy as np


def in_cents(function):
    """The function of an amount, in whole cents; half a cent is rounded up."""
    own = inspect.signature(function)
    rounding = [
        inspect.Parameter(name, inspect.Parameter.POSITIONAL_OR_KEYWORD)
        for name in ("cents", "rounded_up")
    ]

    @functools.wraps(function)
    def amount(*reads):
        *values, cents, rounded_up = reads
        return np.floor(function(*values) * cents + rounded_up) / cents

    amount.__signature__ = own.replace(parameters=[*own.parameters.values(), *rounding])
    return amount
