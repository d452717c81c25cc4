"""Every line calculated with pint quantities, in a registry without conversions.

Each word of the book is a dimension of its own: the ton of the book, its grade, mass,
length, volume and power, the short ton, the ounce, the dollar, and every unit of time.
What turns one into another are the model's named constants alone, so that a forgotten
one shows. Only what trade functions state (m, mm, um, kg, t, kW) converts by itself.
"""

import functools
import inspect
import warnings
from contextlib import ExitStack
from unittest.mock import patch

import numpy as np
import pint

from pennyweight.model.inputs import INPUTS
from pennyweight.model.line import closing, lagged
from pennyweight.model.mill_model import MODEL
from pennyweight.model.units import CONSTANTS
from pennyweight.trade import money, quantiles

DEFINITIONS = """
ton = [ton_of_the_book]
grade = [grade_of_the_book]
mass = [book_mass]
length = [length_of_the_book]
size = [size_of_the_book]
volume = [volume_of_the_book]
power = [power_of_the_book]
short_ton = [short_ton]
oz = [troy_ounce]
dollar = [money] = _ = money
person = [person]
count = 1
minute = [minute]
hour = [hour]
day = [day]
week = [week]
month = {month}
year = [year]
m = [distance]
mm = 0.001 * m
um = 0.001 * mm
kg = [matter]
g = 0.001 * kg
t = 1000 * kg = _ = tonne
kW = [kilowatt]
kWh = kW * hour
rpm = 1 / minute
"""
STRICT, COUNTED = "[month]", "[]"
"""A month as a time of its own, or as the period of the plan, which is only counted."""

TIMES = ("year", "month")
PURE = ("-", "share", "count", "check", "mixed")
"""Units of numbers that are no quantity."""

PERIODIC = {
    # function of trade.money: power of the period in its arguments and its answer
    "periods_to_discount": ({"period": 1}, 1),
    "discount_factor": ({"rate": -1, "periods": 1}, 0),
    "present_value_at": ({"rate": -1, "periods": 1}, 0),
    "loan_payment": ({"rate": -1, "periods": 1}, -1),
}

PURE_FUNCTIONS = ("student_t", "normal_score", "normal_quantile")
"""Functions of trade.quantiles that take and give pure numbers."""


@functools.cache
def registry(month):
    """Give the registry in which a month is as said."""
    made = pint.UnitRegistry(None)
    made.load_definitions(DEFINITIONS.format(month=month).strip().splitlines())
    return made


class Measures:
    """The quantities of one registry, and lines worked out with them."""

    def __init__(self, month, values):
        """Take what a month is, and the engine's values of every line."""
        self.registry, self.values = registry(month), values

    def unit(self, text):
        """Give the unit that a line, an input or a constant states."""
        if text in PURE:
            return self.registry.dimensionless
        text = text.replace("$", "dollar")
        return self.registry.parse_units(text.replace("1/", "1 / "))

    def quantity(self, value, text):
        """Give a number its unit; words have none."""
        value = np.asarray(value)
        if value.dtype.kind in "US":
            return value.item() if value.ndim == 0 else value
        return self.registry.Quantity(value.astype(float)[()], self.unit(text))

    def problem(self, line, place):
        """Say what is wrong with the units of a line at a place; else None."""
        try:
            answer = self._worked_out(line, place)
            return self._compare(line, answer, self.values[line.name][place])
        except (pint.DimensionalityError, pint.UnitStrippedWarning) as error:
            return str(error)

    def _worked_out(self, line, place):
        with ExitStack() as stack:
            for name, (powers, answer) in PERIODIC.items():
                counted = self.per_period(getattr(money, name), powers, answer)
                stack.enter_context(patch.object(money, name, counted))
            for name in PURE_FUNCTIONS:
                plain = self.of_numbers(getattr(quantiles, name))
                stack.enter_context(patch.object(quantiles, name, plain))
            stack.enter_context(np.errstate(all="ignore"))
            stack.enter_context(warnings.catch_warnings())
            warnings.simplefilter("error", pint.UnitStrippedWarning)
            at = dict(zip(line.over, place, strict=True))
            return line.function(*(self._read(name, at) for name in line.parameters))

    def _read(self, name, at):
        if lagged(name):
            return self._opening(MODEL.lines[closing(name)], at)
        value = np.asarray(
            MODEL.axes[name].values if name in MODEL.axes else self.values[name]
        )
        own = MODEL.axes_of(name)
        if own and set(own) & set(at):
            value = value[tuple(at.get(axis, slice(None)) for axis in own)]
        return self.quantity(value, stated_unit(name))

    def _opening(self, line, at):
        ((_, index),) = at.items()
        if index > 0:
            return self.quantity(self.values[line.name][index - 1], line.unit)
        if not line.start:
            return self.quantity(0.0, line.unit)
        return self.quantity(self.values[line.start], stated_unit(line.start))

    def _compare(self, line, answer, engine):
        if isinstance(engine.item(), str):
            return None if line.unit == "-" else f"a word in {line.unit}"
        found = self.registry.Quantity(answer).m_as(self.unit(line.unit))
        same = np.isclose(found, engine, rtol=1e-9, atol=1e-6, equal_nan=True)
        return None if same else f"{found} instead of {engine} {line.unit}"

    def per_period(self, function, powers, answer):
        """Let a function that counts in periods take rates a period and times.

        All of its rates and times must be of one unit of time, which is the period.
        """
        signature = inspect.signature(function)

        @functools.wraps(function)
        def checked(*args, **kwargs):
            bound = signature.bind(*args, **kwargs).arguments
            period = self._period({name: bound[name] for name in powers}, powers)
            for name, power in powers.items():
                bound[name] = bound[name].m_as(period**power)
            return function(**bound) * self.registry.Quantity(1.0, period**answer)

        return checked

    def of_numbers(self, function):
        """Let a function of scipy's, which knows no quantities, take pure numbers."""

        @functools.wraps(function)
        def checked(*args):
            found = function(*(self.registry.Quantity(a).m_as("") for a in args))
            return self.registry.Quantity(found, "")

        return checked

    def _period(self, counted, powers):
        for time in TIMES:
            period = self.registry.parse_units(time)
            if all(part.check(period ** powers[n]) for n, part in counted.items()):
                return period
        units = {name: str(part.units) for name, part in counted.items()}
        raise pint.DimensionalityError(units, "one unit of time")


def stated_unit(name):
    """Give the unit of a line, an input, a constant or an axis, as text."""
    if name in CONSTANTS:
        return CONSTANTS[name][1]
    for table in (MODEL.lines, INPUTS, MODEL.axes):
        if name in table:
            return table[name].unit
    raise LookupError(name)
