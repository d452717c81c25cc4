"""Worksheet functions as named LAMBDAs: native formulas of Excel, without Python.

The body of each is the trace of the Python function. LET names common subexpressions.
MAX, MIN, AND and OR would reduce a column to one value; they are written as IF, which
works cell by cell.
"""

import functools
from dataclasses import dataclass

from ..errors import CannotTrace
from ..formulas import Reference
from ..formulas.expression import Constant, Operation, express
from ..formulas.writing import ATOM, LONGEST, Written, write_operation
from .common_subexpressions import CommonSubexpressions
from .guards import CELL, NA, chosen, findings, warnings
from .registry import PREFIX, shortened
from .tracing import traced_functions

WHY = f"{PREFIX}WHY_"
MOST_NAMES = 126
"""The most names in one LET."""
WORTH_A_NAME = 16
"""Length in characters from which a common subexpression gets a name."""


@dataclass(frozen=True)
class Lambda:
    """A named function.

    Attributes
    ----------
    name : str
    text : str
        As a file stores it.
    comment : str
        What Excel shows while the name is typed.
    """

    name: str
    text: str
    comment: str


@functools.cache
def lambdas():
    """Every function that fits a cell, each with the one that explains its errors.

    Returns
    -------
    lambdas : dict of str to Lambda
    """
    found = {}
    for traced in traced_functions().values():
        try:
            pair = (answering(traced), explaining(traced))
        except CannotTrace:
            continue
        found |= {one.name: one for one in pair}
    return found


def answering(traced):
    """The function itself: it gives an error value or the answer."""
    guarded = traced.body
    for group in reversed(findings(traced)):
        faults = [_first(found, "shown", 0) for found in group if found]
        if faults:
            fault = functools.reduce(lambda one, other: one + other, faults)
            guarded = chosen(Operation("ISERROR", (fault,), "truth"), fault, guarded)
    entry = traced.entry
    comment = shortened(f"({entry.signature()}) {entry.help}")
    return Lambda(entry.name, _written(traced, guarded), comment)


def explaining(traced):
    """The explaining function: why a call shows an error, or a warning; else empty."""
    entry = traced.entry
    words = _first(warnings(traced), "words", "")
    for group in reversed(findings(traced)):
        for found in reversed([found for found in group if found]):
            message = _first(found, "words", "")
            words = chosen(message != "", message, words)
    name = WHY + entry.name.removeprefix(PREFIX)
    comment = f"Says why {entry.name} shows an error, or warns, for the same arguments."
    return Lambda(name, _written(traced, words), comment)


def _first(found, what, otherwise):
    """The error value or the words of the first fault that applies."""
    answer = express(otherwise)
    for finding in reversed(found):
        answer = chosen(finding.test, getattr(finding, what), answer)
    return answer


def _written(traced, answer):
    """The text of a LAMBDA, as a file stores it."""
    names, pairs = {}, []
    for argument in traced.entry.arguments:
        name = f"_xlpm.{argument.name}"
        names[CELL + argument.name] = names[argument.name] = name
        if not argument.required and argument.default is not None:
            default = express(argument.default).written().text
            names[argument.name] = f"{name}_"
            given = f"IF(ISBLANK({name}),{default},{name})"
            pairs.append((f"{name}_", f"IF(_xlfn.ISOMITTED({name}),{default},{given})"))
    root = CellByCell(names).lowered(answer)
    shared = CommonSubexpressions()
    texts = Texts(shared)
    for part in shared.count(root):
        if shared.uses[shared.number(part)] > 1:
            pairs += texts.named(part)
    body = texts.text(root)
    if pairs:
        if len(pairs) > MOST_NAMES:
            raise CannotTrace(f"{traced.entry.name} needs {len(pairs)} names.")
        body = f"_xlfn.LET({','.join(map(','.join, pairs))},{body})"
    parameters = "".join(
        f"{'_xlpm' if argument.required else '_xlop'}.{argument.name},"
        for argument in traced.entry.arguments
    )
    text = f"_xlfn.LAMBDA({parameters}{body})"
    if len(text) > LONGEST:
        raise CannotTrace(f"{traced.entry.name} has {len(text):,} characters.")
    return text


class CellByCell:
    """Rewrites expressions to work cell by cell, each subexpression once."""

    def __init__(self, names):
        """Take the name of each argument."""
        self.names, self.known = names, {}

    def lowered(self, expression):
        """The expression, rewritten to work cell by cell."""
        if id(expression) not in self.known:
            found = self._lowered(expression)
            self.known[id(expression)] = found, expression  # keeps the id in use
        return self.known[id(expression)][0]

    def _lowered(self, expression):
        if isinstance(expression, Reference):
            return Reference(self.names.get(expression.address, expression.address))
        if isinstance(expression, Constant) and expression.value != expression.value:
            return NA
        if not isinstance(expression, Operation):
            return expression
        symbol, operands = expression.symbol, expression.operands
        if symbol == "ISOMITTED":
            asked = self.lowered(Reference(CELL + operands[0].address))
            missing = Operation("_xlfn.ISOMITTED", (asked,))
            return chosen(missing, True, Operation("ISBLANK", (asked,)))
        operands = [self.lowered(express(operand)) for operand in operands]
        if symbol == "NOT":
            return chosen(operands[0], False, True)
        if symbol in PAIRWISE and len(operands) > 1:
            return functools.reduce(PAIRWISE[symbol], operands)
        return Operation(symbol, tuple(operands))


PAIRWISE = {
    "MAX": lambda one, other: chosen(Operation(">", (one, other)), one, other),
    "MIN": lambda one, other: chosen(Operation("<", (one, other)), one, other),
    "AND": lambda one, other: chosen(one, other, False),
    "OR": lambda one, other: chosen(one, True, other),
}
"""Functions of several single values as nested IF, pair by pair."""


class Texts:
    """The formulas of subexpressions; those that occur more than once get a name."""

    def __init__(self, shared):
        """Take the common subexpressions."""
        self.shared, self.names = shared, {}

    def named(self, part):
        """Name a subexpression that is long enough; return its name and text."""
        text = self.text(part)
        if len(text) < WORTH_A_NAME:
            return []
        name = f"_xlpm.x_{len(self.names) + 1}"
        self.names[self.shared.number(part)] = Written(name, ATOM)
        return [(name, text)]

    def text(self, part):
        """The formula of a subexpression."""
        return self._whole(part).text

    def _whole(self, part):
        if not isinstance(part, Operation):
            return part.written()
        parts = [self._inner(express(operand)) for operand in part.operands]
        return write_operation(part.symbol, parts)

    def _inner(self, part):
        """A subexpression within another, by its name if it has one."""
        return self.names.get(self.shared.number(part)) or self._whole(part)
