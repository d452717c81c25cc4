"""Registry of the worksheet functions, built from the functions' contracts.

Excel and LibreOffice get the same names, arguments and help from here. The trade
functions are added automatically, those of the model by `model_blocks`.
"""

import functools
import inspect
from dataclasses import dataclass
from pathlib import Path

from ..trade.catalogue import catalogue, topic_of
from ..trade.function_contract import UNITS, takes_units
from ..trade.function_contract_terms import (
    Contract,
    Parameter,
    contract_of,
    read_contract,
)
from ..trade.unit_systems import METRIC, us_unit

PREFIX = "DWT_"
LONGEST_HELP = 255
"""What Excel's function wizard shows of a description."""

MODEL_FILE = Path(__file__).with_name("model_blocks.json")
"""What the docstrings in `model_blocks` state; `make docs` writes it."""

REFUSED = ("name", "output", "error", "base", "p80")
"""Arguments that the macro language or a sheet would take for something else."""
BLOCKS = ("names", "values", "cell")
"""Kinds of arguments that are passed on as blocks of cells."""


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
        """Whether it takes whole blocks of cells."""
        return self.result in ("table", "text")

    @functools.cached_property
    def lists(self):
        """Whether some argument is read as a whole list."""
        return any(argument.kind == "list" for argument in self.arguments)

    def signature(self, optional="[{}]"):
        """Names of the arguments; ``optional`` is the form of those not required."""
        names = [
            a.name if a.required else optional.format(a.name) for a in self.arguments
        ]
        return ", ".join(names)


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
    """Name of an argument in a worksheet; a reserved word of macros gets an article.

    Examples
    --------
    >>> argument_name("error")
    'the_error'
    """
    return f"the_{name}" if name in REFUSED else name


def _trade(function):
    contract = contract_of(function)
    return _entry(
        function,
        contract,
        f"Pennyweight {topic_of(function)}",
        _function_help(contract),
    )


def _model(function):
    contract = read_contract(function.__name__, MODEL_FILE)
    return _entry(function, contract, "Pennyweight model", shortened(contract.summary))


def _entry(function, contract: Contract, category, words):
    given = inspect.signature(function).parameters
    arguments = [
        _argument(terms, given[name].default)
        for name, terms in contract.parameters.items()
        if terms.kind != "axis"
    ]
    if _differs(function, contract):
        arguments.append(_units_argument(contract))
    return SheetFunction(
        sheet_name(function),
        function,
        tuple(arguments),
        category,
        words,
        contract.result,
    )


def _argument(terms, default):
    required = default is inspect.Parameter.empty
    whole = terms.kind == "number" and terms.shape in ("1-D", "2-D")
    return Argument(
        argument_name(terms.name),
        terms.name,
        "list" if whole else terms.kind,
        required,
        None if required else default,
        None if terms.kind in BLOCKS else terms,
        _argument_help(terms, required, default),
    )


def _differs(function, contract):
    """Whether a function has another result in US units, so that it converts."""
    alike = getattr(function, "any_units", True)
    return not alike and takes_units(function) and contract.converts


def _units_argument(contract):
    """The unit system, for functions in which the two differ."""
    stated = [terms.unit for terms in contract.parameters.values()]
    stated += [unit for _, unit in contract.returns]
    pairs = {unit: us_unit(unit) for unit in stated if us_unit(unit) != unit}
    conversions = ", ".join(f"{us} for {metric}" for metric, us in pairs.items())
    words = f"metric, or us: {conversions}. metric when left out."
    return Argument("units", "units", "choice", False, METRIC, UNITS, words)


def _argument_help(terms, required, default):
    parts = [terms.description] if terms.description else []
    if terms.kind not in BLOCKS:
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
    allowed = terms.interval.words(terms.unit)
    return f"{allowed[0].upper()}{allowed[1:]}."


def _function_help(contract):
    given = [
        name if unit == "-" else f"{name}, {unit}" for name, unit in contract.returns
    ]
    return shortened(f"{contract.summary} Gives: {'; '.join(given)}.".replace("_", " "))


def shortened(text):
    """Cut a text at a word so that the wizard shows it whole."""
    if len(text) <= LONGEST_HELP:
        return text
    return text[: LONGEST_HELP - 1].rpartition(" ")[0] + "…"
