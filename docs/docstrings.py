"""What the docstring of a function states, for the data that the engine reads.

The docstring states, for each parameter, its unit and its allowed range::

    Parameters
    ----------
    work_index : array_like [kWh/ton] in (0, inf)
        Work index of the ore, per ton of the kind that the answer is wanted for.
    discharge : {"overflow", "grate"}, optional
    dry : bool, optional

    Returns
    -------
    energy : [kWh/ton]
        ...

    Validity
    --------
    product_p80 in [75, 25000]: the law was fitted between 75 µm and 25 mm

A worksheet function of the model takes ``names``, ``values`` or a ``cell`` instead,
and returns a ``table`` or ``text``.
"""

import contextlib
import doctest
import functools
import inspect
import io
import re
import sys
from collections.abc import Callable
from typing import Any

import numpy as np

from pennyweight.errors import BadValue

_PARAMETER = re.compile(
    r"^(?P<name>\w+) : (?:"
    r"(?P<shape>array_like|1-D|2-D|float|int)"
    r" \[(?P<unit>[^\]]*)\](?: in (?P<interval>[\[(].*[\])]))?"
    r"|\{(?P<choices>[^}]*)\}"
    r"|(?P<kind>bool|axis|names|values|cell)"
    r")(?P<optional>, optional)?$"
)
_RETURN = re.compile(
    r"^(?P<name>\w+) : (?P<kind>mapping|tuple|table|text)? ?(?:\[(?P<unit>[^\]]*)\])?$"
)
_HOLDS = re.compile(r"^(\w+) in ([\[(][^:]*[\])]): (.+)$")


def statements(function: Callable) -> dict:
    """Give what a docstring states, as `read_contract` reads it again.

    Parameters
    ----------
    function : callable

    Returns
    -------
    statements : dict

    Raises
    ------
    BadValue
        For a line that does not follow the grammar, or that contradicts the
        signature.
    """
    found = sections(inspect.getdoc(function))
    given = inspect.signature(function).parameters
    described = _entries(found.get("Parameters", ""))
    heads = [_match(_PARAMETER, head, function) for head, _ in described]
    if [head["name"] for head in heads] != list(given):
        raise BadValue(f"{function.__name__}: the docstring lists other parameters.")
    parameters = [
        _parameter(head, words, given[head["name"]].default, function)
        for head, (_, words) in zip(heads, described, strict=True)
    ]
    returns = [
        _match(_RETURN, head, function) for head, _ in _entries(found["Returns"])
    ]
    kind = returns[0]["kind"]
    row = "row" if len(returns) > 1 else "number"
    return {
        "parameters": parameters,
        "returns": [[match["name"], match["unit"] or "-"] for match in returns],
        "result": kind if kind in ("mapping", "table", "text") else row,
        "holds": [
            list(_match(_HOLDS, head, function).groups())
            for head, _ in _entries(found.get("Validity", ""))
        ],
        "sections": found,
    }


def example_call(function: Callable) -> dict:
    """The arguments of the first call of a function in its own examples.

    Parameters
    ----------
    function : callable

    Returns
    -------
    arguments : dict of str to float, str, bool or list
    """
    parameters, calls = inspect.signature(function), []

    @functools.wraps(function)
    def recorder(*args: Any, **kwargs: Any) -> Any:
        units = {name: kwargs.pop(name) for name in ("units",) if name in kwargs}
        calls.append({**parameters.bind(*args, **kwargs).arguments, **units})
        # Not called: a new function has no contract before this is written.
        raise StopIteration

    scope = {**vars(sys.modules[function.__module__]), function.__name__: recorder}
    examples = doctest.DocTestParser().get_examples(inspect.getdoc(function) or "")
    for example in examples:
        if not calls:
            with (
                contextlib.redirect_stdout(io.StringIO()),
                contextlib.suppress(StopIteration),
            ):
                exec(compile(example.source, "<example>", "single"), scope)
    plain = {name: np.asarray(value).tolist() for name, value in calls[0].items()}
    return {name: value for name, value in plain.items() if value is not None}


def sections(docstring: str | None) -> dict[str, str]:
    """Split a docstring into its titled sections; the opening is ``""``."""
    found: dict[str, list[str]] = {"": []}
    title = ""
    lines = inspect.cleandoc(docstring or "").splitlines()
    for here, below in zip(lines, [*lines[1:], ""], strict=True):
        if below and set(below) == {"-"} and here.strip():
            title = here.strip()
            found[title] = []
        elif not (here and set(here) == {"-"}):
            found[title].append(here)
    return {name: "\n".join(body).strip("\n") for name, body in found.items()}


def _entries(body: str) -> list[tuple[str, str]]:
    """Head line and description of each entry of a section."""
    found: list[tuple[str, str]] = []
    for line in body.splitlines():
        if line and not line[0].isspace():
            found.append((line, ""))
        elif line.strip():
            head, words = found[-1]
            found[-1] = (head, f"{words} {line.strip()}".strip())
    return found


def _match(grammar: re.Pattern, text: str, function: Callable) -> re.Match:
    match = grammar.match(text)
    if match is None:
        raise BadValue(f"{function.__name__}: cannot read the line {text!r}.")
    return match


def _parameter(
    match: re.Match, words: str, default: object, function: Callable
) -> dict:
    """One parameter, without what is left at its usual value."""
    required = default is inspect.Parameter.empty
    if required == bool(match["optional"]):
        raise BadValue(
            f"{function.__name__}: {match['name']} is optional where it has a default."
        )
    kind = "choice" if match["choices"] else match["kind"] or "number"
    stated = {"name": match["name"], "kind": kind, "description": words}
    stated["kind"] = "switch" if kind == "bool" else kind
    for part in ("unit", "shape", "interval"):
        if match[part] is not None:
            stated[part] = match[part]
    if match["choices"]:
        stated["choices"] = [word.strip(" \"'") for word in match["choices"].split(",")]
    if default is None:
        stated["optional"] = True
    return stated
