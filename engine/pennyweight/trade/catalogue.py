"""Catalogue of trade functions, with search and formulas."""

import importlib
import inspect
from collections.abc import Callable
from typing import Any

from ..errors import CallError, CannotTrace, nearest
from .function_contract import CATALOGUE
from .function_contract_terms import contract_of

TOPICS = (
    "units",
    "sieves",
    "sizes",
    "crushing",
    "comminution",
    "efficiency",
    "size_reduction",
    "mill_charge",
    "mills",
    "motors",
    "wear",
    "screening",
    "pulp",
    "balance",
    "recovery",
    "gravity",
    "head",
    "samples",
    "lognormal",
    "grains",
    "sampling",
    "assay_exchange",
    "bullion",
    "cutoff",
    "contracts",
    "purchase",
    "settlement",
    "scaling",
    "money",
    "depreciation",
    "tax",
    "partners",
    "key_figures",
)
"""Modules of trade functions, in the order of the work."""


def catalogue() -> dict[str, Callable]:
    """All trade functions by name, in the order of the topics.

    Returns
    -------
    functions : dict of str to callable
    """
    for topic in TOPICS:
        importlib.import_module(f".{topic}", __package__)
    names = sorted(CATALOGUE, key=lambda name: TOPICS.index(topic_of(CATALOGUE[name])))
    return {name: CATALOGUE[name] for name in names}


def topic_of(function: Callable) -> str:
    """Name of the module that defines a function."""
    return function.__module__.rpartition(".")[2]


def call_of(function: Callable) -> str:
    """Signature of a function, with defaults but without types."""
    given = inspect.signature(function).parameters.values()
    plain = [part.replace(annotation=inspect.Parameter.empty) for part in given]
    return f"{function.__name__}{inspect.Signature(plain)}"


def find(name: str) -> Callable:
    """Find a trade function by name.

    Parameters
    ----------
    name : str

    Returns
    -------
    function : callable

    Raises
    ------
    CallError
        For an unknown name, with the nearest one.
    """
    functions = catalogue()
    if name in functions:
        return functions[name]
    raise CallError(
        f"There is no function named {name}.{nearest(name, functions)} "
        "'pennyweight functions' lists them."
    )


def search(words: str) -> dict[str, Callable]:
    """Search for functions whose name or summary has all words, key figures first.

    Parameters
    ----------
    words : str
        Empty for every function, in the order of the topics.

    Returns
    -------
    functions : dict of str to callable

    Examples
    --------
    >>> list(search("power"))[0]
    'power_drawn'
    """
    wanted = words.lower().replace("_", " ").split()
    found = {
        name: function
        for name, function in catalogue().items()
        if all(
            word in f"{name.replace('_', ' ')} {contract_of(function).summary.lower()}"
            for word in wanted
        )
    }
    first = [n for n in found if wanted and topic_of(found[n]) == "key_figures"]
    first.sort(key=lambda name: not all(word in name for word in wanted))
    return {name: found[name] for name in [*first, *found]}


def traced(function: Callable) -> Any:
    """Trace a function: an expression in its parameters.

    Parameters
    ----------
    function : callable
        A trade function.

    Returns
    -------
    expression : Expression
        With the parameters' names, capitalised, in place of cells.

    Raises
    ------
    CannotTrace
        For functions that have no formula.
    """
    from ..formulas import Reference

    arguments = {}
    for name, parameter in inspect.signature(function).parameters.items():
        terms = contract_of(function).parameters[name]
        if terms.kind in ("choice", "axis") or terms.optional:
            if parameter.default is inspect.Parameter.empty:
                raise CannotTrace(f"{name} has to be chosen first.")
            arguments[name] = parameter.default
            continue
        kind = "truth" if terms.kind == "switch" else "number"
        whole = terms.shape in ("1-D", "2-D")
        arguments[name] = Reference(name[0].upper() + name[1:], kind, whole)
    try:
        return function(**arguments)
    except CannotTrace:
        raise
    except Exception as error:  # functions for numbers only can fail in any way
        raise CannotTrace(f"It works on numbers only ({error}).") from None


def sheet_formula(function: Callable) -> str:
    """Formula of a function, for use in a sheet.

    Parameters
    ----------
    function : callable
        A trade function.

    Returns
    -------
    formula : str

    Raises
    ------
    CannotTrace
        For functions that have no formula.
    """
    from ..formulas import formula

    return formula(traced(function))
