"""One node as a line of Python that numba can compile."""

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
        args = [f"(1.0 if {a} else 0.0)" if n.kind == "truth" else a for n, a in kinds]
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


def larger(first, second, sign=">"):
    """The larger (or smaller) of two; not-a-number passes through, as in NumPy."""
    return f"{first} if ({first} {sign} {second}) | ({first} != {first}) else {second}"


def _power(node, args):
    exponent = node.args[1].detail if node.args[1].op == "const" else None
    return f"{args[0]} * {args[0]}" if exponent == 2 else f"{args[0]} ** {args[1]}"


def _extreme(sign):
    def write(node, args):
        text = args[0]
        for arg in args[1:]:
            text = larger(f"({text})" if " " in text else text, arg, sign)
        return text

    return write


_OTHER = {
    "negative": lambda node, args: f"-{args[0]}",
    "NOT": lambda node, args: f"not {args[0]}",
    "IF": lambda node, args: f"{args[1]} if {args[0]} else {args[2]}",
    "MOD": lambda node, args: f"{args[0]} % {args[1]}",
    "SIGN": lambda node, args: f"np.sign({args[0]})",
    "^": _power,
    "MAX": _extreme(">"),
    "MIN": _extreme("<"),
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
