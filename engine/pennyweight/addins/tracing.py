"""Worksheet functions traced with references for their arguments.

A function is called once with a reference for every argument. The result is the body
of a LAMBDA or of a macro. A choice that the Python code branches on, and an argument
that may be None, are traced once for each case.
"""

import functools
from dataclasses import dataclass
from typing import Any

import numpy as np

from ..errors import CannotTrace, PennyweightError
from ..formulas import Expression, Reference
from ..formulas.expression import Operation, express
from ..trade.conditions import collected
from .registry import SheetFunction, registry


@dataclass(frozen=True)
class Traced:
    """A worksheet function as expressions.

    Attributes
    ----------
    entry : SheetFunction
    body : Expression
        The answer.
    rules : tuple of (Expression, str)
        Conditions between the arguments, and their messages.
    """

    entry: SheetFunction
    body: Expression
    rules: tuple


@functools.cache
def traced_functions():
    """Every worksheet function that has a formula, in the order of the registry.

    Returns
    -------
    functions : dict of str to Traced
    """
    found = {}
    for name, entry in registry().items():
        try:
            found[name] = trace(entry)
        except CannotTrace:
            continue
    return found


def trace(entry):
    """Call a function with references for its arguments.

    Parameters
    ----------
    entry : SheetFunction

    Returns
    -------
    traced : Traced

    Raises
    ------
    CannotTrace
        For functions that have no formula.
    """
    if entry.of_model or entry.result != "number":
        raise CannotTrace(f"{entry.name} does not give a single number.")
    given = {argument.parameter: reference(argument) for argument in entry.arguments}
    return Traced(entry, *_cases(entry, given, list(entry.arguments)))


def reference(argument):
    """A reference for an argument: a number, a list, a word or a truth value."""
    kinds = {"choice": "text", "switch": "truth"}
    kind = kinds.get(argument.kind, "number")
    return Reference(argument.name, kind, argument.kind == "list")


def omitted(argument):
    """Whether an argument was left out, as an expression."""
    return Operation("ISOMITTED", (reference(argument),), "truth")


def _cases(entry, given, left):
    """Body and rules; a case for each value of an argument that Python branches on."""
    steering = next((a for a in left if steers(a)), None)
    if steering is None:
        return _called(entry, given)
    others = [argument for argument in left if argument is not steering]
    name = steering.parameter
    if steering.kind == "number":
        tests = [omitted(steering)]
        cases = [None, given[name]]
    else:
        cases = list(steering.terms.choices)
        tests = [given[name] == case for case in cases[:-1]]
    parts = [_cases(entry, {**given, name: case}, others) for case in cases]
    body, rules = parts[-1]
    for test, (case_body, case_rules) in zip(tests[::-1], parts[-2::-1], strict=True):
        body = np.where(test, express(case_body), express(body))
        rules = (
            *((np.logical_or(np.logical_not(test), c), w) for c, w in case_rules),
            *((np.logical_or(test, c), words) for c, words in rules),
        )
    return body, rules


def steers(argument):
    """Whether the Python code branches on an argument, so that it cannot be a cell."""
    if argument.kind == "number":
        return not argument.required and argument.default is None
    return argument.kind == "choice" and argument.name != "units"


def _called(entry, given) -> tuple[Any, tuple]:
    try:
        with collected() as rules:
            body = entry.function(**given)
        body = express(body)
    except CannotTrace:
        raise
    except PennyweightError as error:
        raise CannotTrace(str(error)) from None
    except Exception as error:  # functions of numbers only fail in many ways
        raise CannotTrace(f"{entry.name} works on numbers only ({error}).") from None
    if body.spread:
        raise CannotTrace(f"{entry.name} gives a list.")
    return body, tuple(rules)
