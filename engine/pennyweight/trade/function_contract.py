"""Decorator that checks the arguments of trade functions, and their registry.

The terms are in `function_contract_terms`. Numbers outside the allowed range raise
`BadValue`; numbers outside the range of validity warn with `OutsideRange`. References
to spreadsheet cells pass through unchanged, so that the function becomes a formula.
Quantities with units are converted to the stated units; the result gets its unit.
"""

import functools
import math
import os
import sys
import warnings
from collections.abc import Callable
from decimal import Decimal
from numbers import Real
from typing import Any, TypeVar, overload

import numpy as np
from numpy.typing import NDArray

from ..arguments import shown
from ..errors import BadValue, OutsideRange, nearest
from .conditions import BrokenRule
from .function_contract_terms import USUAL, Contract, Interval, Parameter, contract_of
from .unit_systems import METRIC, SYSTEMS, US_UNITS, factor

HERE = os.path.dirname(__file__)

CATALOGUE: dict[str, Callable] = {}
"""All trade functions by name, in the order of import."""


Number = float | NDArray[np.float64]
"""Result of a trade function. Cells (`formulas.Expression`) and quantities with units
are allowed as well, with results of their kind; annotations cover numbers only."""
Switch = bool | NDArray[np.bool_]
Choice = str | NDArray[np.str_]

SIMPLE = {float, int, str, bool, np.float64, np.ndarray, np.bool_}
"""Types of neither cells nor quantities: most calls need no closer look."""

Function = TypeVar("Function", bound=Callable)


@overload
def contract(function: Function) -> Function: ...


@overload
def contract(*, any_units: bool) -> Callable[[Function], Function]: ...


def contract(function: Any = None, *, any_units: bool = False) -> Any:
    """Check the arguments of a trade function by its contract, and register it.

    Parameters
    ----------
    function : callable
    any_units : bool
        Whether the equation is valid in any consistent units, so that quantities pass
        through unchanged; else they are converted to the units stated.
    """
    if function is None:
        return functools.partial(contract, any_units=any_units)

    @functools.wraps(function)
    def checked(*args: Any, **kwargs: Any) -> Any:
        units = METRIC
        if "units" in kwargs and takes_units(function):
            units = kwargs.pop("units")
            if not hasattr(units, "__formula__"):
                units = _choice(str(units), UNITS, function.__name__)
        figures = (units, *args, *kwargs.values())
        simple = SIMPLE.issuperset(map(type, figures))
        traced = not simple and any(hasattr(f, "__formula__") for f in figures)
        named = isinstance(units, str)
        if traced and named and units == METRIC:
            return function(*args, **kwargs)
        terms = contract_of(checked, units if named else METRIC)
        names = tuple(terms.parameters)
        if len(args) > len(names) or not kwargs.keys() <= {*names[len(args) :]}:
            return function(*args, **kwargs)  # Python raises for the wrong call
        given = dict(zip(names, args, strict=False)) | kwargs
        if traced:
            return _in_units(function, contract_of(checked), units, given)
        if not simple:
            _refuse_other_index(function.__name__, given)
        if not simple and any(hasattr(f, "magnitude") for f in figures):
            if any_units:
                return function(**given)
            return _with_units(checked, terms, given)
        return _of_numbers(checked, terms, units, given)

    checked.any_units = any_units  # type: ignore[attr-defined]
    CATALOGUE[function.__name__] = checked
    return checked


def _refuse_other_index(where: str, given: dict) -> None:
    """Refuse pandas values with different labels, which would be taken by position."""
    indexes = {name: getattr(value, "index", len) for name, value in given.items()}
    labelled = {n: index for n, index in indexes.items() if not callable(index)}
    first, *others = labelled.values() or [None]
    if not all(first.equals(index) for index in others):
        raise BadValue(
            f"{where}: {' and '.join(labelled)} have different indexes, and would "
            "be taken by position. Align them (a, b = a.align(b)), or give their "
            "to_numpy()."
        )


def _of_numbers(checked: Callable, terms: Contract, units: str, given: dict) -> Any:
    """Call with plain numbers, after checking them against the terms."""
    function = checked.__wrapped__  # type: ignore[attr-defined]
    values = {
        name: check(value, terms.parameters[name], function.__name__)
        for name, value in given.items()
    }
    for name, interval, reason in terms.holds:
        _warn(values.get(name), terms.parameters[name], interval, reason, function)
    try:
        if units != METRIC:
            return plain(_in_units(function, contract_of(checked), units, values))
        return plain(function(**values))
    except BrokenRule as error:
        raise _broken(function.__name__, terms, given, error) from None
    except BadValue:
        raise
    except (ValueError, ArithmeticError) as error:
        raise _cannot(function.__name__, values, error) from error


def _broken(where: str, terms: Contract, given: dict, rule: BrokenRule) -> BadValue:
    """Error for a broken rule between arguments, with function and arguments."""
    told = []
    for name, value in given.items():
        unit = terms.parameters[name].unit
        told.append(f"{name} {shown(value)}{'' if unit == '-' else f' {unit}'}")
    return BadValue(f"{where}: {rule} Given: {', '.join(told)}.")


def _cannot(where: str, values: dict, error: Exception) -> BadValue:
    """Error for arguments that are allowed alone but not together."""
    lengths = {name: np.shape(value) for name, value in values.items()}
    told = ", ".join(f"{name} {shape}" for name, shape in lengths.items() if shape)
    if len({shape for shape in lengths.values() if shape}) > 1:
        return BadValue(
            f"{where}: the lists differ in shape: {told}. Give lists of one length, or "
            "single values."
        )
    return BadValue(f"{where}: these arguments have no answer ({error}).")


UNITS = Parameter(
    "units",
    "choice",
    "-",
    "array_like",
    Interval.parse(USUAL["interval"]),
    SYSTEMS,
    False,
    "Unit system of the figures and of the answer.",
)
"""Parameter that every function has in addition to its own."""


def takes_units(function: Callable) -> bool:
    """Whether a function may be called in US units; unit conversions may not."""
    return not function.__module__.endswith(".units")


def _in_units(function: Callable, terms: Contract, units: Any, given: dict) -> Any:
    """Call with figures in the units of a system; the result is in the same system."""
    figures = {
        name: value * factor(terms.parameters[name].unit, units)
        if terms.parameters[name].unit in US_UNITS and value is not None
        else value
        for name, value in given.items()
    }
    answer = function(**figures)
    scales = [factor(unit, units) for _, unit in terms.returns]
    if isinstance(answer, dict):
        return {name: part / scales[0] for name, part in answer.items()}
    if isinstance(answer, tuple):
        return tuple(part / by for part, by in zip(answer, scales, strict=True))
    return answer if terms.returns[0][1] not in US_UNITS else answer / scales[0]


def plain(answer: Any) -> Any:
    """Convert single NumPy numbers to Python's, also inside tuples and mappings."""
    if isinstance(answer, dict):
        return {name: plain(part) for name, part in answer.items()}
    if isinstance(answer, tuple) and not hasattr(answer, "_fields"):
        return tuple(plain(part) for part in answer)
    is_number = isinstance(answer, np.generic | np.ndarray) and np.ndim(answer) == 0
    return answer.item() if is_number else answer


def check(value: Any, parameter: Parameter, where: str) -> Any:
    """Check one argument against the terms of its parameter.

    Parameters
    ----------
    value : object
        The argument.
    parameter : Parameter
        The terms.
    where : str
        Name of the function, for the message.

    Returns
    -------
    value : float, ndarray, str or bool
        The argument, numbers as floating point.

    Raises
    ------
    BadValue
        For text instead of a number or truth value, blanks, NaN, masked values, and
        values out of range.
    """
    single = parameter.kind == "number" and parameter.shape == "array_like"
    if single and isinstance(value, float):
        number = float(value)  # Python's floats compare much faster than NumPy's
        if math.isfinite(number) and not parameter.interval.outside(number):
            return number
    if not isinstance(value, float | str) and np.ma.is_masked(value):
        raise BadValue(
            f"{where}: {parameter.name} has missing or masked values; leave them out."
        )
    if parameter.kind == "choice":
        return _choice(value, parameter, where)
    if parameter.kind == "switch":
        return _switch(value, parameter, where)
    if parameter.kind == "axis":
        return value
    if parameter.optional and value is None:
        return None
    numbers = _numbers(value, parameter, where)
    wrong = ~np.isfinite(numbers) | parameter.interval.outside(numbers)
    if wrong.any():
        worst = numbers[wrong].flat[0]
        unit = "" if parameter.unit == "-" else f" {parameter.unit}"
        wanted = parameter.interval.words(parameter.unit)
        if not np.isfinite(worst) and "finite" not in wanted:
            wanted += " and finite"
        raise BadValue(
            f"{where}: {parameter.name} is {worst:g}{unit}; it must be {wanted}."
        )
    return numbers


def _numbers(value: Any, parameter: Parameter, where: str) -> Any:
    try:
        numbers = np.asarray(value)
        exact = numbers.dtype == object and all(map(_is_number, numbers.flat))
        if not (exact or numbers.dtype.kind in "iuf") or numbers.size == 0:
            raise ValueError
        numbers = numbers.astype(float)
    except (TypeError, ValueError, OverflowError):
        raise BadValue(
            f"{where}: {parameter.name} is {shown(value)}; it must be numbers: "
            f"{parameter.interval.words(parameter.unit)}."
        ) from None
    if parameter.shape in ("1-D", "2-D") and numbers.ndim < int(parameter.shape[0]):
        raise BadValue(
            f"{where}: {parameter.name} has {numbers.ndim} dimensions; "
            f"it needs at least {parameter.shape[0]}: give a list of numbers."
        )
    return numbers


def _is_number(value: Any) -> bool:
    return isinstance(value, Real | Decimal) and not isinstance(value, bool)


def _switch(value: Any, parameter: Parameter, where: str) -> Any:
    """Check a truth value, or 1 or 0; a word such as "no" would count as true."""
    cells = np.asarray(value)
    if cells.dtype.kind not in "biuf" or not np.isin(cells, (0, 1)).all():
        raise BadValue(
            f"{where}: {parameter.name} is {shown(value)}; it must be True or False."
        )
    return value


def _choice(value: Any, parameter: Parameter, where: str) -> Any:
    if isinstance(value, str) and value in parameter.choices:
        return value
    try:
        words = list(np.unique(np.asarray(value, dtype=str)))
    except ValueError:
        words = []  # lists of several lengths
    words = words or [str(value)]
    unknown = [str(word) for word in words if word not in parameter.choices]
    if unknown:
        raise BadValue(
            f"{where}: {parameter.name} is {shown(unknown[0])}; it must be one of "
            f"{', '.join(parameter.choices)}.{nearest(unknown[0], parameter.choices)}"
        )
    return value


def _warn(
    value: Any,
    parameter: Parameter,
    interval: Interval,
    reason: str,
    function: Callable,
) -> None:
    if value is None or not np.any(interval.outside(value)):
        return
    unit = "" if parameter.unit == "-" else f" {parameter.unit}"
    said = f"{parameter.name} is outside {interval.text}{unit}"
    warnings.warn(
        f"{function.__name__}: {said}: {reason}",
        OutsideRange,
        stacklevel=_stack_level(),
    )


def _stack_level() -> int:
    """Stack level of the first call from outside the trade functions."""
    frame, levels = sys._getframe(1), 1
    while frame.f_back and os.path.dirname(frame.f_code.co_filename) == HERE:
        frame, levels = frame.f_back, levels + 1
    return levels


def _with_units(function: Callable, terms: Contract, arguments: dict) -> Any:
    """Call with quantities: convert to the stated units; add the unit of the result."""
    numbers = {}
    for name, value in arguments.items():
        parameter = terms.parameters[name]
        if hasattr(value, "magnitude"):
            registry = value._REGISTRY
            value = value.to(_unit(parameter.unit)).magnitude
        elif parameter.kind == "number" and parameter.unit != "-" and np.any(value):
            raise BadValue(
                f"{function.__name__}: {name} needs a unit, {parameter.unit}"
            )
        numbers[name] = value
    answer = function(**numbers)
    units = [unit for _, unit in terms.returns]
    if isinstance(answer, tuple):
        return tuple(
            registry.Quantity(part, _unit(unit))
            for part, unit in zip(answer, units, strict=True)
        )
    if isinstance(answer, dict):
        return {n: registry.Quantity(v, _unit(units[0])) for n, v in answer.items()}
    return registry.Quantity(answer, _unit(units[0]))


def _unit(text: str) -> str:
    return "dimensionless" if text in ("-", "fraction") else text
