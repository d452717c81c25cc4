"""Terms of the contract of a trade function: parameters, units, ranges, source.

A function's docstring states the unit and the allowed range of each parameter
(`docs/docstrings.py` shows the grammar). `make docs` writes them into `functions.json`.
Only that file is read when the functions run, so that they work without docstrings
(``python -OO``). A test compares the file with the docstrings.
"""

import functools
import json
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ..errors import PennyweightError
from .unit_systems import METRIC, US, US_UNITS, per_us, us_unit

FUNCTIONS_FILE = Path(__file__).with_name("functions.json")
USUAL = {
    "unit": "-",
    "shape": "array_like",
    "interval": "(-inf, inf)",
    "choices": (),
    "optional": False,
}
"""Default terms of a parameter in the file."""


@dataclass(frozen=True)
class Interval:
    """An interval of numbers, open or closed at each end."""

    text: str
    low: float
    high: float
    low_closed: bool
    high_closed: bool

    @classmethod
    def parse(cls, text: str) -> "Interval":
        """Read an interval such as ``(0, 1]`` or ``[75, inf)``."""
        low, high = (float(part) for part in text[1:-1].split(","))
        return cls(text, low, high, text[0] == "[", text[-1] == "]")

    def outside(self, values: Any) -> Any:
        """Whether values are outside, elementwise."""
        below = values < self.low if self.low_closed else values <= self.low
        above = values > self.high if self.high_closed else values >= self.high
        return below | above

    def over(self, factor: float) -> "Interval":
        """The same interval in a unit that is ``factor`` times as large."""
        low, high = self.low / factor, self.high / factor
        text = f"{self.text[0]}{low:.6g}, {high:.6g}{self.text[-1]}"
        return Interval(text, low, high, self.low_closed, self.high_closed)

    def words(self, unit: str) -> str:
        """The interval in words, with its unit."""
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
    """One parameter as the docstring states it.

    Attributes
    ----------
    name : str
    kind : {"number", "choice", "switch", "axis", "names", "values", "cell"}
        An axis is that of an array, which cells do not have. The last three are blocks
        of cells, for the worksheet functions of the model.
    unit : str
    shape : str
        ``"array_like"``, ``"1-D"``, ``"2-D"``, ``"float"`` or ``"int"``.
    interval : Interval
        Allowed values.
    choices : tuple of str
    optional : bool
        Whether None may be given.
    description : str
    """

    name: str
    kind: str
    unit: str
    shape: str
    interval: Interval
    choices: tuple[str, ...]
    optional: bool
    description: str


@dataclass(frozen=True)
class Contract:
    """Terms of a function, as its docstring states them.

    Attributes
    ----------
    parameters : dict of str to Parameter
    returns : tuple of (name, unit)
    result : {"number", "row", "mapping", "table", "text"}
    holds : tuple of (parameter, Interval, reason)
        The range of validity.
    sections : dict of str to str
        The docstring's titled sections; its opening under ``""``.
    example : dict of str to object
        Arguments of the first call in the examples.
    """

    parameters: dict[str, Parameter]
    returns: tuple[tuple[str, str], ...]
    result: str
    holds: tuple[tuple[str, Interval, str], ...]
    sections: dict[str, str]
    example: dict[str, Any]

    @property
    def summary(self) -> str:
        """First paragraph of the docstring, on one line."""
        return self.sections[""].split("\n\n")[0].replace("\n", " ")

    @property
    def source(self) -> str:
        """Source of the function, on one line."""
        return self.sections.get("Source", "").replace("\n", " ")

    @property
    def converts(self) -> bool:
        """Whether US units differ from those stated."""
        stated = [parameter.unit for parameter in self.parameters.values()]
        return any(
            unit in US_UNITS for unit in (*stated, *(u for _, u in self.returns))
        )

    def in_us_units(self) -> "Contract":
        """The same terms with US units in place of the metric ones."""
        parameters = {
            name: replace(
                terms,
                unit=us_unit(terms.unit),
                interval=terms.interval.over(per_us(terms.unit)),
            )
            if terms.unit in US_UNITS
            else terms
            for name, terms in self.parameters.items()
        }
        holds = tuple(
            (name, interval.over(per_us(self.parameters[name].unit)), reason)
            for name, interval, reason in self.holds
        )
        returns = tuple((name, us_unit(unit)) for name, unit in self.returns)
        return replace(self, parameters=parameters, holds=holds, returns=returns)


@functools.cache
def _statements(file: Path) -> dict[str, dict]:
    return json.loads(file.read_text(encoding="utf-8"))


@functools.cache
def read_contract(name: str, file: Path = FUNCTIONS_FILE) -> Contract:
    """Read the contract of a function by its name.

    Parameters
    ----------
    name : str
    file : Path
        Written by ``make docs``.
    """
    if name not in _statements(file):
        raise PennyweightError(f"{file.name} lacks {name}: run make docs.")
    stated = _statements(file)[name]
    parameters = {
        entry["name"]: _parameter({**USUAL, **entry}) for entry in stated["parameters"]
    }
    holds = tuple(
        (parameter, Interval.parse(interval), reason)
        for parameter, interval, reason in stated["holds"]
    )
    returns = tuple((name, unit) for name, unit in stated["returns"])
    result, sections, example = (
        stated["result"],
        stated["sections"],
        stated.get("example"),
    )
    return Contract(parameters, returns, result, holds, sections, example or {})


def _parameter(stated: dict) -> Parameter:
    interval, choices = Interval.parse(stated["interval"]), tuple(stated["choices"])
    return Parameter(**{**stated, "interval": interval, "choices": choices})


@functools.cache
def contract_of(function: Callable, units: str = METRIC) -> Contract:
    """Contract of a trade function, in metric or US units."""
    terms = read_contract(function.__name__)
    return terms.in_us_units() if units == US else terms
