"""Worksheet functions as a macro module: plain VBA, without Python.

The body of each is the trace of the Python function. A function takes single cells,
and ranges for its lists; it refuses the same values as the add-ins.
"""

import functools
import math
import re
from importlib.resources import files

from ..errors import CallError, CannotTrace
from ..formulas import Reference
from ..formulas.expression import Operation, express
from ..formulas.writing import RANK, Written, write_constant, write_operation
from ..workbook.files import write_whole
from .common_subexpressions import CommonSubexpressions
from .guards import CELL, findings
from .tracing import traced_functions

LONGEST_PART = 300
"""Length in characters from which a subexpression gets a line of its own."""
FARTHEST = 1e300
"""Bound of an interval without an end."""

HEAD = files(__package__).joinpath("vba_functions_head.bas").read_text("ascii")
"""The start of the module: reading of cells, sums, and ranges."""

NAMES = {
    "SQRT": "Sqr",
    "LN": "Log",
    "EXP": "Exp",
    "ABS": "Abs",
    "SIN": "Sin",
    "COS": "Cos",
    "TAN": "Tan",
    "ATAN": "Atn",
    "INT": "Int",
    "TRUNC": "Fix",
    "SIGN": "Sgn",
    "ACOS": "DwtAcos",
    "SUM": "DwtSum",
    "SUMPRODUCT": "DwtSumProduct",
}


TAIL = """\
{no_answer}    Exit Function
failed:
    {name} = CVErr(2036)
{no_answer}    Exit Function
refused:
    {name} = fault
End Function
"""


def write_module(path, force=False):
    """Write the macro module.

    Parameters
    ----------
    path : str or Path
        Ends in ``.bas``.
    force : bool
        Whether a file that is there already may be replaced.

    Returns
    -------
    path : Path
    """
    if not str(path).lower().endswith(".bas"):
        raise CallError(f"{path}: the name of a macro module ends in .bas.")
    return write_whole(path, vba_module().encode("ascii"), force)


@functools.cache
def vba_functions():
    """The text of every function that macros can have, under its name."""
    found = {}
    for name, traced in traced_functions().items():
        try:
            found[name] = Procedure(traced).text()
        except CannotTrace:
            continue
    return found


def vba_module():
    """Give the text of the macro module, for the editor's File, Import File."""
    text = HEAD + "\n".join(vba_functions().values())
    return text.rstrip("\n").replace("\n", "\r\n") + "\r\n"


class Procedure:
    """One function being written, line by line."""

    def __init__(self, traced):
        """Take the traced function."""
        self.traced = traced
        self.lines, self.names, self.depth = [], [], 1
        self.scopes, self.shared = [{}], CommonSubexpressions()
        self.may_be_none = False

    def text(self):
        """The whole function."""
        entry = self.traced.entry
        self._read()
        _, ranges, rules = findings(self.traced)
        self.shared.count(self.traced.body)
        for group in (*ranges, *rules):
            for finding in group:
                self.shared.count(finding.test)
        for argument, found in zip(entry.arguments, ranges, strict=True):
            self._refuse_range(argument, found)
        for ((test, _, _),) in rules:
            self._line(f"If {self._value(test).text} Then GoTo failed")
        self._line(f"{entry.name} = {self._value(self.traced.body).text}")
        no_answer = f"    If absent Then {entry.name} = CVErr(2042)\n"
        head = [f"Public Function {entry.name}({entry.signature('Optional {}')})"]
        names = ["fault", *["absent"] * self.may_be_none, *self.names]
        for start in range(0, len(names), 8):
            head.append(f"    Dim {', '.join(names[start : start + 8])}")
        head.append("    On Error GoTo failed")
        no_answer = no_answer if self.may_be_none else ""
        tail = TAIL.format(name=entry.name, no_answer=no_answer)
        return "\n".join([*head, *self.lines, tail])

    def _line(self, text):
        self.lines.append("    " * self.depth + text)

    def _read(self):
        """Read the arguments; the first that is wrong is the answer."""
        for argument in self.traced.entry.arguments:
            name = f"{argument.name}_"
            self.names.append(name)
            read = f"{name} = {_reading(argument)}"
            if argument.required:
                self._line(read)
                continue
            self._line(f"If Not IsMissing({argument.name}) Then {read}")
            if argument.default is not None:
                default = _constant(argument.default).text
                self._line(f"If IsEmpty({name}) Then {name} = {default}")
        self._line("If Not IsEmpty(fault) Then GoTo refused")

    def _refuse_range(self, argument, found):
        """Refuse a number out of range."""
        if not found:
            return
        name = f"{argument.name}_"
        if argument.kind == "list":
            interval = argument.terms.interval
            ends = [interval.low, interval.high]
            low, high = (_constant(min(max(e, -FARTHEST), FARTHEST)).text for e in ends)
            open_ends = f"{not interval.low_closed}, {not interval.high_closed}"
            test = f"DwtOutside({name}, {low}, {high}, {open_ends})"
        else:
            test = self._value(found[-1].test).text
        if argument.required or argument.default is not None:
            self._line(f"If {test} Then GoTo failed")
        else:  # VBA evaluates both sides of And
            self._line(f"If Not IsEmpty({name}) Then")
            self._line(f"    If {test} Then GoTo failed")
            self._line("End If")

    def _value(self, expression):
        """A subexpression in VBA; lines before it calculate what it needs."""
        key = self.shared.number(expression)
        for scope in self.scopes:
            if key in scope:
                return Written(scope[key])
        if isinstance(expression, Reference):
            return Written(f"{expression.address.removeprefix(CELL)}_")
        if not isinstance(expression, Operation):
            return self._constant(expression)
        if expression.symbol == "IF":
            return self._choice(expression)
        operands = [self._value(express(part)) for part in expression.operands]
        written = _operation(expression.symbol, operands)
        if self.shared.uses[key] > 1 or len(written.text) > LONGEST_PART:
            return self._kept(expression, written.text)
        return written

    def _constant(self, expression):
        value = expression.value
        if isinstance(value, float) and math.isnan(value):
            self.may_be_none = True
            self._line("absent = True")
            return Written("0#")
        return _constant(value)

    def _name(self):
        self.names.append(f"x_{len(self.names) + 1}")
        return self.names[-1]

    def _kept(self, expression, text):
        name = self._name()
        self._line(f"{name} = {text}")
        self.scopes[-1][self.shared.number(expression)] = name
        return Written(name)

    def _choice(self, expression):
        """If and Else, because IIf would evaluate both branches."""
        test, *branches = map(express, expression.operands)
        condition, name = self._value(test).text, self._name()
        for head, branch in zip(
            (f"If {condition} Then", "Else"), branches, strict=True
        ):
            self._line(head)
            self.depth += 1
            self.scopes.append({})
            self._line(f"{name} = {self._value(branch).text}")
            self.scopes.pop()
            self.depth -= 1
        self._line("End If")
        self.scopes[-1][self.shared.number(expression)] = name
        return Written(name)


def _reading(argument):
    """How a macro reads an argument."""
    name, needed = argument.name, argument.required
    if argument.kind == "list":
        return f"DwtList({name}, fault)"
    if argument.kind == "switch":
        return f"DwtSwitch({name}, {needed}, fault)"
    if argument.kind == "choice":
        return f'DwtWord({name}, "{"|".join(argument.terms.choices)}", {needed}, fault)'
    return f"DwtNumber({name}, {needed}, fault)"


def _constant(value):
    """A value as macros write it: whole numbers, too, are doubles."""
    if isinstance(value, bool):
        return Written(str(value))
    if isinstance(value, str):
        return write_constant(value)
    text = write_constant(float(value))
    whole = re.fullmatch(r"-?\d+", text.text)
    return Written(f"{text.text}#", text.rank) if whole else text


def _operation(symbol, operands):
    """An operator or a function between its operands."""
    texts = [part.text for part in operands]
    if symbol in ("AND", "OR"):
        joined = f" {symbol.capitalize()} ".join(f"({text})" for text in texts)
        return Written(f"({joined})")
    if symbol == "NOT":
        return Written(f"(Not ({texts[0]}))")
    if symbol == "ISOMITTED":
        return Written(f"IsEmpty({texts[0]})")
    if symbol in ("MAX", "MIN") and len(texts) > 1:
        helper = f"Dwt{symbol.capitalize()}"
        pairs = functools.reduce(lambda one, two: f"{helper}({one}, {two})", texts)
        return Written(pairs)
    if symbol == "AVERAGE":
        return Written(f"(DwtSum({texts[0]}) / (UBound({texts[0]}) + 1))")
    if symbol == "negative" or symbol in RANK:
        return write_operation(symbol, operands, " ")
    if symbol not in NAMES:
        raise CannotTrace(f"Macros have no {symbol}.")
    return Written(f"{NAMES[symbol]}({', '.join(texts)})")
