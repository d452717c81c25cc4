"""Worksheet functions as named LAMBDAs: native formulas of Excel, without Python.

A body is the trace of the Python function. Parts that occur more than once are named
by LET. MAX, MIN, AND and OR of single values swallow a column silently and are written
as IF, which goes cell by cell.
"""

import functools
from dataclasses import dataclass

from ..errors import CannotTrace
from ..formulas import Reference
from ..formulas.expression import Constant, Operation, express
from ..formulas.writing import ATOM, LONGEST, Written, write_operation
from .guards import CELL, NA, chosen, findings, warnings
from .registry import PREFIX, shortened
from .shared_parts import SharedParts
from .tracing import traced_functions

WHY = f"{PREFIX}WHY_"
MOST_NAMES = 126
"""Names that one LET takes."""
WORTH_A_NAME = 16
"""Characters from which a part that occurs twice gets a name."""


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
    """Every function that fits, and its twin that says what is wrong with a call.

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
    """The function itself: an error value, or the answer."""
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
    """The twin: why a call shows an error, or a warning; empty where all is well."""
    entry = traced.entry
    words = _first(warnings(traced), "words", "")
    for group in reversed(findings(traced)):
        for found in reversed([found for found in group if found]):
            said = _first(found, "words", "")
            words = chosen(said != "", said, words)
    name = WHY + entry.name.removeprefix(PREFIX)
    comment = f"Says why {entry.name} shows an error, or warns, for the same arguments."
    return Lambda(name, _written(traced, words), comment)


def _first(found, what, otherwise):
    """The first finding that applies, as what it shows or says."""
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
    shared = SharedParts()
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
    """Lowers expressions to what swallows no column, each part once."""

    def __init__(self, names):
        """Take what stands for each argument."""
        self.names, self.known = names, {}

    def lowered(self, expression):
        """The same, cell by cell."""
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
"""How a function of several single values goes cell by cell."""


class Texts:
    """The formulas of parts; those that occur more than once get a name."""

    def __init__(self, shared):
        """Take the parts."""
        self.shared, self.names = shared, {}

    def named(self, part):
        """Name a part that is long enough; give its name and text."""
        text = self.text(part)
        if len(text) < WORTH_A_NAME:
            return []
        name = f"_xlpm.x_{len(self.names) + 1}"
        self.names[self.shared.number(part)] = Written(name, ATOM)
        return [(name, text)]

    def text(self, part):
        """The formula of a part."""
        return self._whole(part).text

    def _whole(self, part):
        if not isinstance(part, Operation):
            return part.written()
        parts = [self._inner(express(operand)) for operand in part.operands]
        return write_operation(part.symbol, parts)

    def _inner(self, part):
        """A part within another, by its name where it has one."""
        return self.names.get(self.shared.number(part)) or self._whole(part)
