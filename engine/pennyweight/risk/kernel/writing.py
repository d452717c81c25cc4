"""One operation as text of Python that numba can compile."""

import functools
import math

from .order import NoKernel

BETWEEN = {
    **{symbol: symbol for symbol in ("+", "-", "*", "/", "<", "<=", ">", ">=")},
    "=": "==",
    "<>": "!=",
    "^": "**",
    "MOD": "%",
    "AND": "&",
    "OR": "|",
}
BEFORE = {"negative": "-", "NOT": "not "}
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
"""What joins the elements of a range, and the answer for none."""


def literal(value):
    """A constant as source text; numbers are floating throughout."""
    if isinstance(value, bool):
        return str(value)
    return "math.nan" if math.isnan(value) else repr(float(value))


def operation(symbol, args):
    """An operation of spreadsheets applied to the texts of its operands.

    Parameters
    ----------
    symbol : str
    args : list of str
        Names or literals.

    Returns
    -------
    text : str
    """
    if symbol in BETWEEN:
        return f" {BETWEEN[symbol]} ".join(args)
    if symbol in BEFORE:
        return BEFORE[symbol] + args[0]
    if symbol in CALLS:
        return f"{CALLS[symbol]}({', '.join(args)})"
    if symbol in EXTREMES:
        call = EXTREMES[symbol]
        return functools.reduce(lambda one, other: f"{call}({one}, {other})", args)
    raise NoKernel(f"the operation {symbol} is not known to it")
