"""Validation of arguments in functions without Python: tests, errors, messages.

The rules are those of `cell_values`: an error value stays that error, a blank is #N/A,
a wrong kind is #VALUE!, a number out of range is #NUM!. A blank is never zero.
"""

import functools
import math
from typing import NamedTuple

import numpy as np

from ..formulas import Expression, Reference
from ..formulas.expression import Operation, express
from ..trade.function_contract_terms import contract_of
from ..trade.unit_systems import US, US_UNITS, factor
from .tracing import omitted, reference


class Fault(NamedTuple):
    """A possible fault: its test, the error value shown, and the message."""

    test: Expression
    shown: Expression
    words: str


def truth(symbol, *operands):
    """A spreadsheet operation that is true or false."""
    return Operation(symbol, operands, "truth")


def chosen(test, yes, no):
    """One of two values, cell by cell."""
    return Operation("IF", (test, express(yes), express(no)))


def either(*tests):
    """Whether any test is true, cell by cell."""
    return functools.reduce(lambda one, other: truth("OR", one, other), tests)


def findings(traced):
    """Every possible fault of a call, in the order in which they are tested.

    Parameters
    ----------
    traced : Traced

    Returns
    -------
    groups : list of list of list of Fault
        Wrong kinds by argument, then numbers out of range, then the rules between
        arguments. The first fault of a group counts.
    """
    arguments = traced.entry.arguments
    kinds = [_of(argument, _wrong_kind(argument)) for argument in arguments]
    ranges = [_of(argument, _outside(argument, traced.entry)) for argument in arguments]
    rules = {
        repr(rule): Fault(truth("NOT", rule), NUM, words)
        for rule, words in traced.rules[::-1]
    }
    return [kinds, ranges, [[rule] for rule in [*rules.values()][::-1]]]


def _of(argument, found):
    """The faults of one argument; one that was omitted has none."""
    found = list(found)
    if found and not argument.required:
        found.insert(0, Fault(omitted(argument), express(0), ""))
    return found


CELL = "?"
"""Marks a reference to an argument as given, without its default."""

NA, VALUE, NUM = Reference("#N/A"), Reference("#VALUE!"), Reference("#NUM!")


def _wrong_kind(argument):
    """Faults of a cell: an error value, a blank, or another kind of content."""
    if argument.kind == "list":
        yield from _wrong_list(argument)
        return
    given, name = Reference(CELL + argument.name), argument.name
    yield Fault(truth("ISERROR", given), given, f"{name} is an error: correct it.")
    wanted = "a word" if argument.kind == "choice" else "a number"
    wanted = "TRUE or FALSE" if argument.kind == "switch" else wanted
    if argument.required:
        blank = truth("ISBLANK", given)
        yield Fault(blank, NA, f"{name} is blank: enter {wanted}.")
    if argument.kind == "choice":
        known = either(*(given == choice for choice in argument.terms.choices))
        choices = ", ".join(argument.terms.choices)
        words = f"{name} must be one of {choices}."
        yield Fault(truth("NOT", known), VALUE, words)
    elif argument.kind == "switch":
        number = Operation("+", (given, express(0)))
        neither = Operation("*", (number != 0, number != 1))
        wrong = chosen(truth("ISTEXT", given), True, neither)
        yield Fault(wrong, VALUE, f"{name} must be TRUE or FALSE.")
    else:
        wrong = either(truth("ISTEXT", given), truth("ISLOGICAL", given))
        yield Fault(wrong, VALUE, f"{name} must be a number.")


def warnings(traced):
    """Warnings of values outside the range of validity of an equation.

    Parameters
    ----------
    traced : Traced

    Returns
    -------
    findings : list of Fault
        They show no error value. An argument that is a list has no warning.
    """
    arguments = {a.parameter: a for a in traced.entry.arguments if a.kind == "number"}
    return [
        Fault(test, NA, f"Warning: {name} is outside {interval.text}: {reason}.")
        for name, interval, reason in contract_of(traced.entry.function).holds
        if name in arguments
        for test in _beyond(arguments[name], traced.entry, interval)
    ]


def _outside(argument, entry):
    """Faults of a number out of range, in either unit system."""
    if argument.kind not in ("number", "list"):
        return
    terms = argument.terms
    words = terms.interval.words(terms.unit)
    if _has_units(entry) and terms.unit in US_UNITS:
        us = contract_of(entry.function, US).parameters[argument.parameter]
        words += f" (us: {us.interval.words(us.unit)})"
    for outside in _beyond(argument, entry, terms.interval):
        if argument.kind == "list":
            outside = Operation("SUM", (chosen(outside, 1, 0),)) > 0
        yield Fault(outside, NUM, f"{argument.name} must be {words}.")


def _has_units(entry):
    return any(argument.name == "units" for argument in entry.arguments)


def _beyond(argument, entry, interval):
    """The test whether an argument is outside an interval; none if it has no bounds."""
    value, unit = reference(argument), argument.terms.unit
    if _has_units(entry) and unit in US_UNITS:
        value = value * factor(unit, Reference("units", "text"))
    tests = []
    if math.isfinite(interval.low):
        below = np.less if interval.low_closed else np.less_equal
        tests.append(below(value, interval.low))
    if math.isfinite(interval.high):
        above = np.greater if interval.high_closed else np.greater_equal
        tests.append(above(value, interval.high))
    if tests:
        yield either(*tests)


def _wrong_list(argument):
    """Faults of any cell of a list, by counts, which every program evaluates alike."""
    given, name = reference(argument), argument.name
    total = Operation("SUM", (given,))
    cells = Operation(
        "*", (Operation("ROWS", (given,)), Operation("COLUMNS", (given,)))
    )
    yield Fault(truth("ISERROR", total), total, f"{name} has an error: correct it.")
    for count, shown, problem in (
        ("COUNTA", NA, "has a blank cell: enter a number"),
        ("COUNT", VALUE, "must be numbers"),
    ):
        wrong = cells > Operation(count, (given,))
        yield Fault(wrong, shown, f"{name} {problem}.")
