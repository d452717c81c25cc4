"""A trade function's docstring is its contract; this module holds it to that.

The docstring states, for each parameter, its unit and its allowed range::

    Parameters
    ----------
    work_index : array_like [kWh/ton] in (0, inf)
        Work index of the ore, per ton of the kind that the answer is wanted for.
    discharge : {"overflow", "grate"}
    dry : bool

    Returns
    -------
    energy : [kWh/ton]
        ...

    Holds
    -----
    product_p80 in [75, 25000]: the law was fitted between 75 µm and 25 mm

`contract` reads these once, at the first call. Numbers outside the allowed range
raise `BadValue`; numbers outside what ``Holds`` says warn with `OutsideRange`.
References to spreadsheet cells pass through untouched, so that the same function
becomes a formula; quantities with units are converted to the stated units, and
the answer gets its own.
"""

import functools
import inspect
import math
import re
import warnings
from dataclasses import dataclass, field

import numpy as np

from ..errors import BadValue, OutsideRange

CATALOGUE = {}
"""Every trade function under its name, in the order in which modules are read."""

_NUMBER = re.compile(
    r"^(?P<name>\w+) : (?P<shape>array_like|1-D|2-D|float|int)"
    r" \[(?P<unit>[^\]]*)\](?: in (?P<range>[\[(].*[\])]))?(?P<optional>, optional)?$"
)
_CHOICE = re.compile(r"^(?P<name>\w+) : \{(?P<choices>[^}]*)\}(, optional)?$")
_SWITCH = re.compile(r"^(?P<name>\w+) : bool(, optional)?$")
_AXIS = re.compile(r"^(?P<name>\w+) : axis(, optional)?$")
_RETURN = re.compile(r"^(?P<name>\w+) : (?:(?:mapping|tuple) )?\[(?P<unit>[^\]]*)\]")
_HOLDS = re.compile(r"^(?P<name>\w+) in (?P<range>[\[(][^:]*[\])]): (?P<reason>.+)$")


@dataclass(frozen=True)
class Interval:
    """An interval of numbers, open or closed at each end."""

    text: str
    low: float
    high: float
    low_closed: bool
    high_closed: bool

    @classmethod
    def parse(cls, text):
        """Read an interval such as ``(0, 1]`` or ``[75, inf)``."""
        low, high = (float(part) for part in text[1:-1].split(","))
        return cls(text, low, high, text[0] == "[", text[-1] == "]")

    def outside(self, values):
        """Tell, element by element, which values lie outside."""
        below = values < self.low if self.low_closed else values <= self.low
        above = values > self.high if self.high_closed else values >= self.high
        return below | above

    def words(self, unit):
        """Say the interval in words, with its unit."""
        parts = []
        if math.isfinite(self.low):
            parts.append(f"{'at least' if self.low_closed else 'above'} {self.low:g}")
        if math.isfinite(self.high):
            parts.append(f"{'at most' if self.high_closed else 'below'} {self.high:g}")
        words = " and ".join(parts)
        if unit == "-":
            return words or "a finite number"
        return f"{words} {unit}" if words else f"a finite number, in {unit}"


@dataclass(frozen=True)
class Parameter:
    """One parameter as the docstring states it."""

    name: str
    kind: str  # "number", "choice", "switch" or "axis" (of arrays; no cell has one)
    unit: str = "-"
    shape: str = "array_like"
    interval: Interval | None = None
    choices: tuple = ()
    optional: bool = False


@dataclass
class Contract:
    """What a docstring promises about a function."""

    parameters: dict = field(default_factory=dict)
    returns: tuple = ()
    holds: list = field(default_factory=list)
    sections: dict = field(default_factory=dict)


def sections(docstring):
    """Split a docstring into its titled sections; the opening is ``""``."""
    found, title = {"": []}, ""
    lines = inspect.cleandoc(docstring or "").splitlines()
    for here, below in zip(lines, [*lines[1:], ""], strict=True):
        if below and set(below) == {"-"} and here.strip():
            title = here.strip()
            found[title] = []
        elif not (here and set(here) == {"-"}):
            found[title].append(here)
    return {name: "\n".join(body).strip("\n") for name, body in found.items()}


def read_contract(function):
    """Read the contract in a function's docstring.

    Parameters
    ----------
    function : callable
        A trade function, decorated or not.

    Returns
    -------
    contract : Contract

    Raises
    ------
    BadValue
        A line of the docstring that does not follow the grammar.
    """
    found = Contract(sections=sections(inspect.getdoc(function)))
    for text in _heads(found.sections.get("Parameters", "")):
        parameter = _parameter(text, function)
        found.parameters[parameter.name] = parameter
    for text in _heads(found.sections.get("Returns", "")):
        match = _RETURN.match(text)
        if match:
            found.returns += ((match["name"], match["unit"]),)
    for text in _heads(found.sections.get("Holds", "")):
        match = _HOLDS.match(text)
        if match:
            interval = Interval.parse(match["range"])
            found.holds.append((match["name"], interval, match["reason"]))
    return found


def _heads(body):
    return [line for line in body.splitlines() if line and not line[0].isspace()]


def _parameter(text, function):
    if match := _NUMBER.match(text):
        interval = Interval.parse(match["range"] or "(-inf, inf)")
        return Parameter(
            match["name"],
            "number",
            match["unit"],
            match["shape"],
            interval,
            optional=bool(match["optional"]),
        )
    if match := _CHOICE.match(text):
        choices = tuple(word.strip(" \"'") for word in match["choices"].split(","))
        return Parameter(match["name"], "choice", choices=choices)
    if match := _SWITCH.match(text):
        return Parameter(match["name"], "switch")
    if match := _AXIS.match(text):
        return Parameter(match["name"], "axis")
    raise BadValue(f"{function.__name__}: cannot read the parameter line {text!r}")


def contract(function=None, *, any_units=False):
    """Hold a trade function to its docstring and enter it in the catalogue.

    Parameters
    ----------
    function : callable
    any_units : bool
        Whether the equation holds in any consistent units, so that quantities pass
        through as they are; else they are converted to the units stated.
    """
    if function is None:
        return functools.partial(contract, any_units=any_units)
    signature = inspect.signature(function)
    terms = functools.cache(lambda: read_contract(function))

    @functools.wraps(function)
    def checked(*args, **kwargs):
        given = [*args, *kwargs.values()]
        if any(hasattr(value, "__formula__") for value in given):
            return function(*args, **kwargs)
        bound = signature.bind(*args, **kwargs)
        if any(hasattr(value, "magnitude") for value in given):
            if any_units:
                return function(*args, **kwargs)
            return _with_units(checked, terms(), bound.arguments)
        values = {
            name: check(value, terms().parameters[name], function.__name__)
            for name, value in bound.arguments.items()
        }
        for name, interval, reason in terms().holds:
            _warn(values.get(name), name, interval, reason, terms(), function)
        return plain(function(**values))

    checked.contract = terms
    CATALOGUE[function.__name__] = checked
    return checked


def plain(answer):
    """Give single numbers as Python's own, also inside tuples and mappings."""
    if isinstance(answer, dict):
        return {name: plain(part) for name, part in answer.items()}
    if isinstance(answer, tuple) and not hasattr(answer, "_fields"):
        return tuple(plain(part) for part in answer)
    is_number = isinstance(answer, np.generic | np.ndarray) and np.ndim(answer) == 0
    return answer.item() if is_number else answer


def check(value, parameter, where):
    """Hold one argument to its parameter's terms.

    Parameters
    ----------
    value : object
        What was given.
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
        Text where a number or a truth value is due, blanks, not-a-number, or out of
        range.
    """
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
        worst = numbers[wrong].flat[0] if numbers.ndim else float(numbers)
        unit = "" if parameter.unit == "-" else f" {parameter.unit}"
        raise BadValue(
            f"{where}: {parameter.name} is {worst:g}{unit}; it must be "
            f"{parameter.interval.words(parameter.unit)}."
        )
    return numbers if numbers.ndim else float(numbers)


def _numbers(value, parameter, where):
    try:
        numbers = np.asarray(value)
        if numbers.dtype.kind not in "iufb" or numbers.size == 0:
            raise ValueError
        numbers = numbers.astype(float)
    except (TypeError, ValueError):
        raise BadValue(
            f"{where}: {parameter.name} is {value!r}; it must be numbers: "
            f"{parameter.interval.words(parameter.unit)}."
        ) from None
    if parameter.shape in ("1-D", "2-D") and numbers.ndim < int(parameter.shape[0]):
        raise BadValue(
            f"{where}: {parameter.name} has {numbers.ndim} dimensions; "
            f"it needs at least {parameter.shape[0]}: give a list of numbers."
        )
    return numbers


def _switch(value, parameter, where):
    """A truth value, or 1 and 0 for it; a word such as "no" would count as true."""
    cells = np.asarray(value)
    if cells.dtype.kind not in "biuf" or not np.isin(cells, (0, 1)).all():
        raise BadValue(
            f"{where}: {parameter.name} is {value!r}; it must be True or False."
        )
    return value


def _choice(value, parameter, where):
    words = np.unique(np.asarray(value, dtype=str))
    unknown = [str(word) for word in words if word not in parameter.choices]
    if unknown:
        import difflib

        near = difflib.get_close_matches(unknown[0], parameter.choices, 1, 0)
        raise BadValue(
            f"{where}: {parameter.name} is {unknown[0]!r}; it must be one of "
            f"{', '.join(parameter.choices)}. Did you mean {near[0]!r}?"
        )
    return value


def _warn(value, name, interval, reason, terms, function):
    if value is None or not np.any(interval.outside(np.asarray(value))):
        return
    unit = terms.parameters[name].unit
    warnings.warn(
        f"{function.__name__}: {name} is outside {interval.text} {unit}: {reason}",
        OutsideRange,
        stacklevel=4,
    )


def _with_units(function, terms, arguments):
    """Call with quantities: convert to the stated units, give the answer its own."""
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


def _unit(text):
    return "dimensionless" if text in ("-", "fraction") else text
