"""Evaluation of the few formulas that are not lines of the model.

They are flags of changed inputs, counts, totals and copies of names. They are evaluated
from their syntax trees, with the expected values of the cells that they read.
"""

import math
import operator

from .formula_tree import NoTree, tree

_COMPARE = {
    "=": operator.eq,
    "<>": operator.ne,
    "<": operator.lt,
    ">": operator.gt,
    "<=": operator.le,
    ">=": operator.ge,
}
_ARITHMETIC = {
    "+": operator.add,
    "-": operator.sub,
    "*": operator.mul,
    "/": operator.truediv,
    "^": operator.pow,
}


class CannotTell(ValueError):
    """A formula with another function than these few."""


def evaluate(formula, sheet, value_at, value_of):
    """Evaluate a formula.

    Parameters
    ----------
    formula, sheet : str
        The formula and its sheet.
    value_at : callable
        ``value_at(sheet, (row, column))`` with the sheet in lower case; None for an
        empty cell.
    value_of : callable
        ``value_of(name)`` with the defined name in upper case.

    Returns
    -------
    value : float, str or bool

    Raises
    ------
    CannotTell
        For functions that are not among the few.
    """
    try:
        found = _Worker(value_at, value_of).value(tree(formula, sheet))
    except (NoTree, TypeError, ArithmeticError, LookupError) as error:
        raise CannotTell(str(error)) from None
    return 0.0 if found is None else found


class _Worker:
    def __init__(self, value_at, value_of):
        self.value_at, self.value_of = value_at, value_of

    def value(self, node):
        kind, *parts = node
        if kind in ("number", "text", "truth"):
            return parts[0]
        if kind == "cell":
            return self.value_at(parts[0], (parts[1], parts[2]))
        if kind == "name":
            return self.value_of(parts[0])
        if kind in _COMPARE or kind in _ARITHMETIC:
            return _of_two(kind, *(self.value(part) for part in parts))
        return self._operation(kind, parts)

    def _operation(self, kind, parts):
        if kind == "negative":
            return -(self.value(*parts) or 0)
        if kind == "&":
            return "".join(_as_text(self.value(part)) for part in parts)
        if kind == "IF" and len(parts) == 3:
            return self.value(parts[1] if self.value(parts[0]) else parts[2])
        if kind == "COUNTIF" and parts[0][0] == "area":
            wanted = self.value(parts[1])
            if isinstance(wanted, str) and set(wanted) & set("<>=*?~"):
                raise CannotTell("COUNTIF with a condition")
            wanted = _comparable(wanted)
            return float(sum(_comparable(v) == wanted for v in self._all(parts[:1])))
        if kind in ("SUM", "MIN", "MAX", "COUNT"):
            numbers = [v for v in self._all(parts) if _is_number(v)]
            known = {"SUM": math.fsum, "MIN": min, "MAX": max, "COUNT": len}
            return float(known[kind](numbers)) if numbers else 0.0
        if kind == "SUMPRODUCT" and len(parts) == 1:
            return math.fsum(map(float, self._column(parts[0])))
        if kind in ("AND", "OR"):
            answers = [bool(self.value(part)) for part in parts]
            return all(answers) if kind == "AND" else any(answers)
        raise CannotTell(kind)

    def _column(self, part):
        """Values of an area, or of an operation on areas cell by cell."""
        kind, *parts = part
        if kind == "area":
            return list(self._all([part]))
        if kind not in _COMPARE and kind not in _ARITHMETIC:
            return [self.value(part)]
        left, right = (self._column(one) for one in parts)
        rows = max(len(left), len(right))
        left, right = (one * rows if len(one) == 1 else one for one in (left, right))
        return [_of_two(kind, *pair) for pair in zip(left, right, strict=True)]

    def _all(self, parts):
        for kind, *where in parts:
            if kind == "area":
                sheet, top, left, bottom, right = where
                if (bottom - top + 1) * (right - left + 1) > 100_000:
                    raise CannotTell("a large area")
                for row in range(top, bottom + 1):
                    for column in range(left, right + 1):
                        yield self.value_at(sheet, (row, column))
            else:
                yield self.value((kind, *where))


def _of_two(kind, left, right):
    if kind in _ARITHMETIC:
        return _ARITHMETIC[kind](float(left or 0), float(right or 0))
    pair = _comparable(_filled(left, right)), _comparable(_filled(right, left))
    return _COMPARE[kind](*pair)


def _is_number(value):
    return isinstance(value, int | float) and not isinstance(value, bool)


def _filled(value, other):
    """The value of an empty cell: an empty text beside a text, else 0."""
    if value is not None:
        return value
    return "" if isinstance(other, str) else 0.0


def _comparable(value):
    """Sort key: numbers to 15 digits, then texts without regard to case."""
    if isinstance(value, str):
        return 1, value.lower()
    return 0, float(f"{value:.15g}") if isinstance(value, float) else value


def _as_text(value):
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)
