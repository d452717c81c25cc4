"""What NumPy's functions become in a spreadsheet."""

import functools
import inspect

import numpy as np

from ..errors import CannotTrace
from .expression import Constant, Operation, Reference, express

ARITHMETIC = {
    np.add: "+",
    np.subtract: "-",
    np.multiply: "*",
    np.divide: "/",
    np.power: "^",
    np.float_power: "^",
}
COMPARISONS = {
    np.less: "<",
    np.less_equal: "<=",
    np.greater: ">",
    np.greater_equal: ">=",
    np.equal: "=",
    np.not_equal: "<>",
}
ELEMENTWISE = {
    np.sqrt: "SQRT",
    np.exp: "EXP",
    np.log: "LN",
    np.log10: "LOG10",
    np.absolute: "ABS",
    np.fabs: "ABS",
    np.sign: "SIGN",
    np.sin: "SIN",
    np.cos: "COS",
    np.tan: "TAN",
    np.arcsin: "ASIN",
    np.arccos: "ACOS",
    np.arctan: "ATAN",
    np.floor: "INT",
    np.trunc: "TRUNC",
    np.remainder: "MOD",
}
COLLAPSING = {np.maximum: "MAX", np.minimum: "MIN"}
LOGICAL = {np.logical_and: "AND", np.logical_or: "OR", np.logical_not: "NOT"}
OVER_RANGE = {
    np.max: "MAX",
    np.min: "MIN",
    np.mean: "AVERAGE",
    np.prod: "PRODUCT",
}
ADVICE = {
    np.rint: "spreadsheets round halves away from zero: use formulas.rounded",
    np.round: "spreadsheets round halves away from zero: use formulas.rounded",
    np.log1p: "write np.log(1 + x)",
    np.expm1: "write np.exp(x) - 1",
    np.cumsum: "write a line that reads its own opening_ value",
}


def trace_ufunc(ufunc, method, inputs, options):
    """Answer a NumPy ufunc called on expressions with an `Operation`."""
    if method != "__call__" or options:
        raise CannotTrace(
            f"np.{ufunc.__name__} with {method} {options} has no formula."
        )
    operands = tuple(express(value) for value in inputs)
    if ufunc in ARITHMETIC:
        return _numeric(ARITHMETIC[ufunc], operands)
    if ufunc in ELEMENTWISE:
        return _numeric(ELEMENTWISE[ufunc], operands)
    if ufunc in COMPARISONS:
        return _operation(COMPARISONS[ufunc], operands, "truth")
    if ufunc in COLLAPSING:
        return _collapsing(COLLAPSING[ufunc], operands)
    if ufunc in LOGICAL:
        return _logical(LOGICAL[ufunc], operands)
    return _composed(ufunc, operands)


def _composed(ufunc, operands):
    """Ufuncs that a spreadsheet has only as a combination of others."""
    first = operands[0]
    if ufunc is np.negative:
        return _numeric("negative", operands)
    if ufunc is np.positive:
        return first
    if ufunc is np.square:
        return first**2
    if ufunc is np.reciprocal:
        return 1 / first
    if ufunc.__name__ == "stdtrit":  # scipy's quantile of Student's t
        return Operation("TINV", (2 * (1 - operands[1]), first))
    if ufunc.__name__ == "ndtri":  # scipy's quantile of the normal distribution
        return Operation("NORMSINV", (first,))
    if ufunc is np.ceil:
        return -np.floor(-first)
    if ufunc is np.floor_divide:
        return np.floor(first / operands[1])
    advice = ADVICE.get(ufunc, "use functions that spreadsheets share")
    raise CannotTrace(f"np.{ufunc.__name__} has no formula: {advice}.")


def _operation(symbol, operands, kind="number"):
    spread = any(operand.spread for operand in operands)
    return Operation(symbol, operands, kind, spread)


def _numeric(symbol, operands):
    """Arithmetic. A truth value may only be a factor, where all programs agree."""
    for operand in operands:
        if operand.kind == "text":
            raise CannotTrace(f"{operand!r} is text; {symbol} needs numbers.")
    truths = sum(operand.kind == "truth" for operand in operands)
    if truths and (symbol != "*" or truths == len(operands)):
        raise CannotTrace(
            f"A comparison cannot enter {symbol}: use np.where or np.logical_and."
        )
    return _operation(symbol, operands)


def _collapsing(symbol, operands):
    if any(operand.spread for operand in operands):
        raise CannotTrace(
            f"{symbol} in a spreadsheet runs over all cells of a range, not cell by "
            "cell: write a line along the same axis instead."
        )
    return _numeric(symbol, _flat(symbol, operands))


def _logical(symbol, operands):
    for operand in operands:
        if operand.kind != "truth":
            raise CannotTrace(f"{symbol} needs comparisons; {operand!r} is none.")
        if operand.spread:
            raise CannotTrace(f"{symbol} over a range does not go cell by cell.")
    return _operation(symbol, _flat(symbol, operands), "truth")


def _flat(symbol, operands):
    """MIN(MIN(a, b), c) is written MIN(a, b, c)."""
    parts = []
    for operand in operands:
        nested = isinstance(operand, Operation) and operand.symbol == symbol
        parts += operand.operands if nested and symbol != "NOT" else [operand]
    return tuple(parts)


def trace_function(function, args, options):
    """Answer a NumPy function called on expressions with an expression."""
    if function in OVER_RANGE:
        handler = functools.partial(_over_range, OVER_RANGE[function])
    else:
        handler = FUNCTIONS.get(function)
    if handler is None:
        advice = ADVICE.get(function, "use functions that spreadsheets share")
        raise CannotTrace(f"np.{function.__name__} has no formula: {advice}.")
    options = {name: value for name, value in options.items() if name != "axis"}
    try:
        inspect.signature(handler).bind(*args, **options)
    except TypeError:
        raise CannotTrace(
            f"np.{function.__name__} with {', '.join(options) or len(args)} "
            "has no formula: leave the option out."
        ) from None
    return handler(*args, **options)


def _over_range(symbol, values, axis=None):
    values = express(values)
    if not isinstance(values, Reference) or not values.spread:
        raise CannotTrace(f"{symbol} needs a whole range: give the line its own row.")
    return Operation(symbol, (values,))


def _where(condition, yes, no):
    if isinstance(condition, bool | np.bool_):
        return yes if condition else no
    condition, yes, no = express(condition), express(yes), express(no)
    if condition.kind != "truth":
        raise CannotTrace(f"np.where needs a comparison; {condition!r} is none.")
    if condition.spread:
        raise CannotTrace("IF over a range does not go cell by cell: multiply instead.")
    empty = isinstance(yes, Constant) and yes.value != yes.value
    return _operation("IF", (condition, yes, no), no.kind if empty else yes.kind)


def _clip(values, low, high):
    return np.minimum(np.maximum(values, low), high)


def _sum(values, axis=None):
    values = express(values)
    if not values.spread:
        raise CannotTrace(f"{values!r} is one value; np.sum needs a range.")
    if isinstance(values, Reference):
        return Operation("SUM", (values,))
    factors = _factors(values)
    whole = all(isinstance(part, Reference) and part.spread for part in factors)
    plain = all(part.kind == "number" for part in factors)
    return Operation("SUMPRODUCT", tuple(factors) if whole and plain else (values,))


def _factors(values):
    if isinstance(values, Operation) and values.symbol == "*":
        return [*_factors(values.operands[0]), *_factors(values.operands[1])]
    return [values]


def _interp(x, points, values):
    """A table of constants, as a first value plus one clipped ramp per interval."""
    points, values = np.asarray(points, float), np.asarray(values, float)
    total = express(float(values[0]))
    steps = zip(points, points[1:], values, values[1:], strict=False)
    for low, high, start, end in steps:
        # Twelve digits read better and are far below what the check can see.
        slope = float(f"{(end - start) / (high - low):.12g}")
        reach = _clip(x, float(low), float(high)) - float(low)
        if slope > 0:
            total = total + slope * reach
        if slope < 0:
            total = total - -slope * reach
    return total


def _quantifier(symbol, values):
    raise CannotTrace(f"{symbol} over a range: compare a sum with a count instead.")


FUNCTIONS = {
    np.where: _where,
    np.clip: _clip,
    np.sum: _sum,
    np.interp: _interp,
    np.dot: lambda left, right: _sum(left * right),
    np.all: lambda values: _quantifier("AND", values),
    np.any: lambda values: _quantifier("OR", values),
}
