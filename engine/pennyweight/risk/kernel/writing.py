"""Operations as Python source that numba can compile."""

import functools
import math

from .order import NoKernel

INFIX = {
    **{symbol: symbol for symbol in ("+", "-", "*", "/", "<", "<=", ">", ">=")},
    "=": "==",
    "<>": "!=",
    "^": "**",
    "MOD": "%",
    "AND": "&",
    "OR": "|",
}
PREFIX = {"negative": "-", "NOT": "not "}
CALLS = {
    "SQRT": "math.sqrt",
    "EXP": "math.exp",
    "LN": "math.log",
    "LOG10": "math.log10",
    "ABS": "abs",
    "SIN": "math.sin",
    "COS": "math.cos",
    "TAN": "math.tan",
    "ASIN": "math.asin",
    "ACOS": "math.acos",
    "ATAN": "math.atan",
    "INT": "np.floor",
    "TRUNC": "np.trunc",
    "SIGN": "np.sign",
    "IF": "choose",
}
EXTREMES = {"MAX": "np.maximum", "MIN": "np.minimum"}

REDUCTIONS = {
    "SUM": ("+", "0.0"),
    "SUMPRODUCT": ("+", "0.0"),
    "MAX": ("MAX", "-np.inf"),
    "MIN": ("MIN", "np.inf"),
}
"""Operation that combines the elements of a range, and its result for no elements."""


def literal(value):
    """A constant as source text; all numbers are floats."""
    if isinstance(value, bool):
        return str(value)
    return "math.nan" if math.isnan(value) else repr(float(value))


def operation(symbol, args):
    """A spreadsheet operation as source text, from the texts of its operands.

    Parameters
    ----------
    symbol : str
    args : list of str
        Names or literals.

    Returns
    -------
    text : str
    """
    if symbol in INFIX:
        return f" {INFIX[symbol]} ".join(args)
    if symbol in PREFIX:
        return PREFIX[symbol] + args[0]
    if symbol in CALLS:
        return f"{CALLS[symbol]}({', '.join(args)})"
    if symbol in EXTREMES:
        call = EXTREMES[symbol]
        return functools.reduce(lambda one, other: f"{call}({one}, {other})", args)
    raise NoKernel(f"the operation {symbol} is not known to it")
