"""One node as a line of Python that numba can compile."""

import functools
import math

from .nodes import NoKernel

WIDTH = 16
"""Trials that go through every loop together."""

BINARY = {"+", "-", "*", "/", "<", "<=", ">", ">="}
FUNCTIONS = {
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
}


_EXTREMES = {"max": "larger", "min": "smaller"}
"""Functions of `choice` for the reductions to an end."""


def literal(value):
    """A constant as source text; numbers are floating throughout."""
    if isinstance(value, bool):
        return str(value)
    if math.isnan(value):
        return "math.nan"
    return repr(float(value))


def operation(node, args):
    """An operation applied to the texts of its operands.

    Parameters
    ----------
    node : Node
    args : list of str
        Names or literals.

    Returns
    -------
    text : str
    """
    if node.op == "*":
        kinds = zip(node.args, args, strict=True)
        args = [f"choose({a}, 1.0, 0.0)" if n.kind == "truth" else a for n, a in kinds]
    if node.op in BINARY:
        return f"{args[0]} {node.op} {args[1]}"
    if node.op in ("=", "<>"):
        return f"{args[0]} {'==' if node.op == '=' else '!='} {args[1]}"
    if node.op in ("AND", "OR"):
        return (" & " if node.op == "AND" else " | ").join(f"({arg})" for arg in args)
    if node.op in FUNCTIONS:
        return f"{FUNCTIONS[node.op]}({args[0]})"
    writer = _OTHER.get(node.op)
    if writer is None:
        raise NoKernel(f"the operation {node.op} is not known to it")
    return writer(node, args)


def first_of(node):
    """What a reduction begins with."""
    return {"+": "0.0", "max": "-np.inf", "min": "np.inf"}[node.detail[0]]


def joined(node, total, found):
    """A reduction so far, and one element more."""
    symbol = node.detail[0]
    if symbol == "+":
        return f"{total} + {found}"
    return f"{_EXTREMES[symbol]}({total}, {found})"


def _power(node, args):
    exponent = node.args[1].detail if node.args[1].op == "const" else None
    return f"{args[0]} * {args[0]}" if exponent == 2 else f"{args[0]} ** {args[1]}"


def _extreme(symbol):
    def write(node, args):
        return functools.reduce(lambda a, b: f"{_EXTREMES[symbol]}({a}, {b})", args)

    return write


_OTHER = {
    "negative": lambda node, args: f"-{args[0]}",
    "NOT": lambda node, args: f"not {args[0]}",
    "IF": lambda node, args: f"choose({', '.join(args)})",
    "MOD": lambda node, args: f"{args[0]} % {args[1]}",
    "SIGN": lambda node, args: f"np.sign({args[0]})",
    "^": _power,
    "MAX": _extreme("max"),
    "MIN": _extreme("min"),
}


class Scope:
    """Lines of source at one depth, and the names of what they worked out.

    Parameters
    ----------
    outer : Scope, optional
        Whose names are known here too.
    """

    def __init__(self, outer=None):
        self.outer, self.lines, self.names = outer, [], {}

    def find(self, key):
        """Name under which something was worked out here or further out."""
        scope = self
        while scope is not None:
            if key in scope.names:
                return scope.names[key]
            scope = scope.outer
        return None

    def put(self, key, name, text):
        """Work something out under a name."""
        self.lines.append(f"{name} = {text}")
        self.names[key] = name
        return name


def indented(lines, depth=1):
    """Move lines to the right."""
    return ["    " * depth + line for line in lines]
