"""The one registry of worksheet functions, from the functions' own docstrings.

Excel and LibreOffice get the same names, arguments and help from here; nothing is
typed twice. The trade functions enter by themselves, the model's by `model_blocks`.
"""

import functools
import inspect
import re
from dataclasses import dataclass

from ..trade.catalogue import catalogue, topic_of
from ..trade.docstring import Parameter, read_contract, sections
from .names import name_faults

PREFIX = "DWT_"
LONGEST_HELP = 255
"""What Excel's function wizard shows of a description."""

_BLOCK = re.compile(r"^(?P<name>\w+) : (?P<kind>names|values|cell)(, optional)?$")
_TABLE = re.compile(r"^\w+ : (?P<kind>mapping|table|text)\b")


@dataclass(frozen=True)
class Argument:
    """One argument of a worksheet function.

    Attributes
    ----------
    name : str
        As the wizard shows it.
    parameter : str
        The function's own name for it.
    kind : {"number", "list", "choice", "switch", "names", "values", "cell"}
        A list is read whole; numbers and choices go through cell by cell.
    required : bool
    default : object
    terms : Parameter or None
        Unit, interval and choices.
    help : str
    """

    name: str
    parameter: str
    kind: str
    required: bool
    default: object
    terms: Parameter | None
    help: str


@dataclass(frozen=True)
class SheetFunction:
    """One worksheet function.

    Attributes
    ----------
    name : str
    function : callable
    arguments : tuple of Argument
    category, help : str
    result : {"number", "row", "mapping", "table", "text"}
    """

    name: str
    function: object
    arguments: tuple
    category: str
    help: str
    result: str

    @property
    def of_model(self):
        """Whether it takes blocks as they are."""
        return self.result in ("table", "text")

    @functools.cached_property
    def lists(self):
        """Whether some argument is read as a whole list."""
        return any(argument.kind == "list" for argument in self.arguments)


@functools.cache
def registry():
    """Give every worksheet function under its name.

    Returns
    -------
    functions : dict of str to SheetFunction
    """
    from . import model_blocks

    found = [_trade(function) for function in catalogue().values()]
    found += [_model(function) for function in model_blocks.FUNCTIONS]
    return {entry.name: entry for entry in found}


def sheet_name(function):
    """Name of a function in a worksheet.

    Examples
    --------
    >>> from pennyweight import bond_energy
    >>> sheet_name(bond_energy)
    'DWT_BOND_ENERGY'
    """
    return PREFIX + function.__name__.upper()


def argument_name(name):
    """Name of an argument in a worksheet; a word that macros keep gets an article.

    Examples
    --------
    >>> argument_name("error")
    'the_error'
    """
    return f"the_{name}" if name_faults(name) else name


def _trade(function):
    contract = function.contract()
    described = _descriptions(contract.sections.get("Parameters", ""))
    arguments = [
        _argument(parameter, contract.parameters[name], described[name])
        for name, parameter in inspect.signature(function).parameters.items()
        if contract.parameters[name].kind != "axis"
    ]
    return SheetFunction(
        sheet_name(function),
        function,
        tuple(arguments),
        f"Pennyweight {topic_of(function)}",
        _function_help(contract),
        _result(contract),
    )


def _model(function):
    found = sections(inspect.getdoc(function))
    described = _descriptions(found["Parameters"]) if "Parameters" in found else {}
    arguments = []
    for name, parameter in inspect.signature(function).parameters.items():
        head, words = described[name]
        block = _BLOCK.match(head)
        terms = None if block else _terms(head, words)
        kind = block["kind"] if block else terms.kind
        arguments.append(_whole(parameter, kind, terms, words))
    summary = found[""].split("\n\n")[0].replace("\n", " ")
    result = _TABLE.match(found["Returns"])["kind"]
    return SheetFunction(
        sheet_name(function),
        function,
        tuple(arguments),
        "Pennyweight model",
        shortened(summary),
        result,
    )


def _terms(head, words):
    """Terms of a choice, by the same grammar as the trade's."""

    def stub():
        pass

    stub.__doc__ = f"Stub.\n\nParameters\n----------\n{head}\n    {words}\n"
    (terms,) = read_contract(stub).parameters.values()
    return terms


def _argument(parameter, terms, described):
    kind = terms.kind
    if kind == "number" and terms.shape in ("1-D", "2-D"):
        kind = "list"
    return _whole(parameter, kind, terms, described[1])


def _whole(parameter, kind, terms, words):
    required = parameter.default is inspect.Parameter.empty
    return Argument(
        argument_name(parameter.name),
        parameter.name,
        kind,
        required,
        None if required else parameter.default,
        terms,
        _argument_help(words, terms, required, parameter.default),
    )


def _descriptions(body):
    """Head line and description of each parameter."""
    found, name = {}, ""
    for line in body.splitlines():
        if line and not line[0].isspace():
            name = line.partition(" :")[0]
            found[name] = (line, "")
        elif line.strip():
            head, words = found[name]
            found[name] = (head, f"{words} {line.strip()}".strip())
    return found


def _argument_help(words, terms, required, default):
    parts = [words] if words else []
    if terms is not None:
        parts.append(_allowed(terms))
    if not required and default not in (None, ""):
        shown = str(default).upper() if isinstance(default, bool) else default
        shown = f"{shown:g}" if isinstance(shown, float) else shown
        parts.append(f"{shown} when left out.")
    elif not required:
        parts.append("May be left out.")
    return shortened(" ".join(parts))


def _allowed(terms):
    if terms.kind == "choice":
        return f"One of: {', '.join(terms.choices)}."
    if terms.kind == "switch":
        return "TRUE or FALSE."
    said = terms.interval.words(terms.unit)
    return f"{said[0].upper()}{said[1:]}."


def _function_help(contract):
    summary = contract.sections[""].split("\n\n")[0].replace("\n", " ")
    given = [
        name if unit == "-" else f"{name}, {unit}" for name, unit in contract.returns
    ]
    return shortened(f"{summary} Gives: {'; '.join(given)}.".replace("_", " "))


def _result(contract):
    if _TABLE.match(contract.sections.get("Returns", "")):
        return "mapping"
    return "row" if len(contract.returns) > 1 else "number"


def shortened(text):
    """Cut a text at a word so that the wizard shows it whole."""
    if len(text) <= LONGEST_HELP:
        return text
    return text[: LONGEST_HELP - 1].rpartition(" ")[0] + "…"
