"""Expression tree of a traced function: constants, references, operations.

NumPy dispatches every function called on an `Expression` to it; the result is a larger
`Expression`. The tree and the dispatch depend on each other, so they share a module.
"""

import functools
import inspect
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, ClassVar, NoReturn

import numpy as np
from numpy.lib.mixins import NDArrayOperatorsMixin

from ..errors import CannotTrace
from .symbols import (
    ADVICE,
    ARITHMETIC,
    COLLAPSING,
    COMPARISONS,
    ELEMENTWISE,
    LOGICAL,
    OVER_RANGE,
)
from .writing import LONGEST, Written, write_constant, write_operation


class Expression(NDArrayOperatorsMixin):
    """A spreadsheet value that is not known yet.

    Attributes
    ----------
    kind : {"number", "truth", "text"}
        Kind of the value.
    spread : bool
        Whether it is a range of cells, not one value.
    """

    __formula__: ClassVar[bool] = True
    kind: str = "number"
    spread: bool = False

    def __array_ufunc__(
        self, ufunc: np.ufunc, method: str, *inputs: Any, **options: Any
    ) -> "Expression":
        return _trace_ufunc(ufunc, method, inputs, options)

    def __array_function__(
        self, function: Callable, types: Any, args: tuple, options: dict
    ) -> "Expression":
        return _trace_function(function, args, options)

    def __bool__(self) -> NoReturn:
        raise CannotTrace(
            f"{self!r} has no truth value while its formula is being written: "
            "use np.where, np.logical_and, np.logical_or or np.logical_not."
        )

    def _refuse(self, *_: Any) -> NoReturn:
        raise CannotTrace(
            f"{self!r} is not a number yet: keep to NumPy functions, "
            "without float(), int(), len(), iteration or indexing."
        )

    __float__ = __int__ = __complex__ = __index__ = __len__ = __iter__ = _refuse
    __round__ = __getitem__ = _refuse
    __hash__ = None  # type: ignore[assignment]

    def written(self) -> Written:
        """Text of the formula of this value, with its operator precedence."""
        raise NotImplementedError

    def __repr__(self) -> str:
        return self.written().text


@dataclass(eq=False, repr=False)
class Constant(Expression):
    """A number, truth value or text in the formula."""

    value: Any

    def __post_init__(self) -> None:
        if isinstance(self.value, str | np.str_):
            self.kind = "text"
        elif isinstance(self.value, bool | np.bool_):
            self.kind = "truth"

    def written(self) -> Written:
        return write_constant(self.value)


@dataclass(eq=False, repr=False)
class Reference(Expression):
    """A defined name, a cell address or a range of cells.

    Parameters
    ----------
    address : str
        As in a formula: ``"Gold_price"``, ``"B7"``, ``"'Cash flow'!F9:F20"``.
    kind : {"number", "truth", "text"}
    spread : bool
        True for a range of cells.
    across : bool
        Whether a range runs across the sheet, not down.
    """

    address: str
    kind: str = "number"
    spread: bool = False
    across: bool = False

    def written(self) -> Written:
        return Written(self.address)


@dataclass(eq=False, repr=False)
class Operation(Expression):
    """An operator or a spreadsheet function applied to expressions."""

    symbol: str
    operands: tuple[Any, ...]
    kind: str = "number"
    spread: bool = False

    def written(self) -> Written:
        return write_operation(self.symbol, [part.written() for part in self.operands])


def express(value: Any) -> Expression:
    """Convert a plain value to an expression; expressions pass through.

    Parameters
    ----------
    value : float, int, bool, str or Expression

    Returns
    -------
    expression : Expression

    Raises
    ------
    CannotTrace
        For arrays and other values that cannot be in one cell.
    """
    if isinstance(value, Expression):
        return value
    if isinstance(value, np.ndarray) and value.ndim == 0:
        return express(value.item())
    if isinstance(value, bool | int | float | str | np.generic):
        if isinstance(value, np.generic):
            value = value.item()
        if isinstance(value, float) and np.isinf(value):
            raise CannotTrace("An infinite number cannot stand in a formula.")
        return Constant(value)
    raise CannotTrace(f"A {type(value).__name__} cannot stand in a formula: {value!r}")


def formula(expression: Any) -> str:
    """Write an expression as a formula, with its equals sign.

    Parameters
    ----------
    expression : Expression, float, bool or str

    Returns
    -------
    formula : str

    Raises
    ------
    CannotTrace
        If the result is an array, or the text is too long for a cell.
    """
    expression = express(expression)
    if expression.spread:
        raise CannotTrace(f"{expression!r} is a whole range; one cell cannot hold it.")
    text = "=" + expression.written().text
    if len(text) > LONGEST:
        raise CannotTrace(
            f"The formula has {len(text):,} characters; a cell takes {LONGEST:,}."
        )
    return text


def _trace_ufunc(
    ufunc: np.ufunc, method: str, inputs: tuple, options: dict
) -> Expression:
    """Expression for a NumPy ufunc called on expressions."""
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


def _composed(ufunc: np.ufunc, operands: tuple[Expression, ...]) -> Expression:
    """Ufuncs that spreadsheets have only as a combination of others."""
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


def _operation(
    symbol: str, operands: tuple[Expression, ...], kind: str = "number"
) -> Operation:
    spread = any(operand.spread for operand in operands)
    return Operation(symbol, operands, kind, spread)


def _numeric(symbol: str, operands: tuple[Expression, ...]) -> Operation:
    """Arithmetic. Truth values may only be factors, on which all programs agree."""
    for operand in operands:
        if operand.kind == "text":
            raise CannotTrace(f"{operand!r} is text; {symbol} needs numbers.")
    truths = [operand for operand in operands if operand.kind == "truth"]
    whole = all(operand.spread for operand in truths)
    if truths and (symbol != "*" or (truths == [*operands] and not whole)):
        raise CannotTrace(
            f"A comparison cannot enter {symbol}: use np.where or np.logical_and."
        )
    return _operation(symbol, operands)


def _collapsing(symbol: str, operands: tuple[Expression, ...]) -> Operation:
    if any(operand.spread for operand in operands):
        raise CannotTrace(
            f"{symbol} in a spreadsheet runs over all cells of a range, not cell by "
            "cell: write a line along the same axis instead."
        )
    return _numeric(symbol, _flat(symbol, operands))


def _logical(symbol: str, operands: tuple[Expression, ...]) -> Operation:
    for operand in operands:
        if operand.kind != "truth":
            raise CannotTrace(f"{symbol} needs comparisons; {operand!r} is not one.")
        if operand.spread:
            raise CannotTrace(f"{symbol} over a range does not go cell by cell.")
    return _operation(symbol, _flat(symbol, operands), "truth")


def _flat(symbol: str, operands: tuple[Expression, ...]) -> tuple[Expression, ...]:
    """Flatten nested calls: MIN(MIN(a, b), c) becomes MIN(a, b, c)."""
    parts: list[Expression] = []
    for operand in operands:
        if isinstance(operand, Operation) and operand.symbol == symbol != "NOT":
            parts += operand.operands
        else:
            parts.append(operand)
    return tuple(parts)


def _trace_function(function: Callable, args: tuple, options: dict) -> Expression:
    """Expression for a NumPy function called on expressions."""
    handler = FUNCTIONS.get(function)
    if function in OVER_RANGE:
        handler = functools.partial(_over_range, OVER_RANGE[function])
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


def _over_range(symbol: str, values: Any, axis: Any = None) -> Operation:
    values = express(values)
    if not isinstance(values, Reference) or not values.spread:
        raise CannotTrace(f"{symbol} needs a whole range: give the line its own row.")
    return Operation(symbol, (values,))


def _where(condition: Any, yes: Any, no: Any) -> Any:
    if isinstance(condition, bool | np.bool_):
        return yes if condition else no
    condition, yes, no = express(condition), express(yes), express(no)
    if condition.kind != "truth":
        raise CannotTrace(f"np.where needs a comparison; {condition!r} is not one.")
    if condition.spread:
        raise CannotTrace("IF over a range does not go cell by cell: multiply instead.")
    empty = isinstance(yes, Constant) and yes.value != yes.value
    return _operation("IF", (condition, yes, no), no.kind if empty else yes.kind)


def _clip(values: Any, low: Any, high: Any) -> Any:
    return np.minimum(np.maximum(values, low), high)


def _sum(values: Any, axis: Any = None) -> Operation:
    values = express(values)
    if not values.spread:
        raise CannotTrace(f"{values!r} is one value; np.sum needs a range.")
    if isinstance(values, Reference):
        return Operation("SUM", (values,))
    factors = _factors(values)
    whole = all(isinstance(part, Reference) and part.spread for part in factors)
    plain = all(part.kind == "number" for part in factors)
    return Operation("SUMPRODUCT", tuple(factors) if whole and plain else (values,))


def _factors(values: Expression) -> list[Expression]:
    if isinstance(values, Operation) and values.symbol == "*":
        return [*_factors(values.operands[0]), *_factors(values.operands[1])]
    return [values]


def _interp(x: Any, points: Any, values: Any) -> Any:
    """Interpolation in a table of constants: a first value plus a ramp per interval."""
    points, values = np.asarray(points, float), np.asarray(values, float)
    total = express(float(values[0]))
    steps = zip(points, points[1:], values, values[1:], strict=False)
    for low, high, start, end in steps:
        # Twelve digits are easier to read, and their error is negligible.
        slope = float(f"{(end - start) / (high - low):.12g}")
        reach = _clip(x, float(low), float(high)) - float(low)
        if slope > 0:
            total = total + slope * reach
        if slope < 0:
            total = total - -slope * reach
    return total


def _quantifier(symbol: str) -> NoReturn:
    raise CannotTrace(f"{symbol} over a range: compare a sum with a count instead.")


FUNCTIONS: dict[Callable, Callable[..., Any]] = {
    np.where: _where,
    np.clip: _clip,
    np.sum: _sum,
    np.interp: _interp,
    np.dot: lambda left, right: _sum(left * right),
    np.all: lambda values: _quantifier("AND"),
    np.any: lambda values: _quantifier("OR"),
}
