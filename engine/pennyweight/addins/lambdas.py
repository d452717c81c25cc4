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
    names = ", ".join(a.name if a.required else f"[{a.name}]" for a in entry.arguments)
    comment = shortened(f"({names}) {entry.help}")
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
    shared = Shared(names)
    root = shared.add(answer)
    pairs += shared.name_parts(root)
    body = shared.text(root)
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


class Shared:
    """Parts of expressions, each kept once, lowered to what goes cell by cell."""

    def __init__(self, names):
        """Take what stands for each argument."""
        self.names = names
        self.parts, self.places, self.known = [], {}, {}
        self.named = {}

    def add(self, expression):
        """Enter an expression, and give its place."""
        if id(expression) not in self.known:
            place = self._entered(expression)
            self.known[id(expression)] = (place, expression)  # keeps the id in use
        return self.known[id(expression)][0]

    def _entered(self, expression):
        if isinstance(expression, Operation):
            return self._operation(expression)
        if isinstance(expression, Reference):
            address = self.names.get(expression.address, expression.address)
            return self._place(Written(address))
        if isinstance(expression, Constant) and expression.value != expression.value:
            return self._place(Written(NA.address))
        return self._place(expression.written())

    def _place(self, key):
        if key not in self.places:
            self.places[key] = len(self.parts)
            self.parts.append(key)
        return self.places[key]

    def _operation(self, expression):
        operands = expression.operands
        if expression.symbol == "ISOMITTED":
            asked = (self.add(Reference(CELL + operands[0].address)),)
            missing = self._place(("_xlfn.ISOMITTED", asked))
            return self._any(missing, self._place(("ISBLANK", asked)))
        places = [self.add(express(operand)) for operand in operands]
        return self._lowered(expression.symbol, places)

    def _lowered(self, symbol, places):
        """Enter an operation that swallows no column."""
        if symbol == "NOT":
            yes, no = (self._place(Written(text)) for text in ("TRUE", "FALSE"))
            return self._place(("IF", (places[0], no, yes)))
        if symbol in PAIRWISE and len(places) > 1:
            return functools.reduce(PAIRWISE[symbol].__get__(self), places)
        return self._place((symbol, tuple(places)))

    def _larger(self, one, other):
        return self._place(("IF", (self._place((">", (one, other))), one, other)))

    def _smaller(self, one, other):
        return self._place(("IF", (self._place(("<", (one, other))), one, other)))

    def _both(self, one, other):
        no = self._place(Written("FALSE"))
        return self._place(("IF", (one, other, no)))

    def _any(self, one, other):
        yes = self._place(Written("TRUE"))
        return self._place(("IF", (one, yes, other)))

    def name_parts(self, root):
        """Name every part that occurs more than once; give names and texts in order."""
        uses = [0] * len(self.parts)
        order, seen = [], set()

        def visit(place):
            uses[place] += 1
            if place in seen:
                return
            seen.add(place)
            part = self.parts[place]
            if not isinstance(part, Written):
                for inner in part[1]:
                    visit(inner)
                order.append(place)

        visit(root)
        pairs = []
        for place in order:
            if uses[place] > 1 and len(text := self.text(place)) >= WORTH_A_NAME:
                self.named[place] = f"_xlpm.x_{len(pairs) + 1}"
                pairs.append((self.named[place], text))
        return pairs

    def text(self, place):
        """The formula of a part."""
        return self._whole(place).text

    def _inner(self, place):
        """A part within another, by its name where it has one."""
        if place in self.named:
            return Written(self.named[place], ATOM)
        return self._whole(place)

    def _whole(self, place):
        part = self.parts[place]
        if isinstance(part, Written):
            return part
        return write_operation(part[0], [self._inner(p) for p in part[1]])


PAIRWISE = {
    "MAX": Shared._larger,
    "MIN": Shared._smaller,
    "AND": Shared._both,
    "OR": Shared._any,
}
"""How a function of several single values goes cell by cell."""
