"""Common subexpressions, so that each is calculated once."""

import collections
import itertools

from ..formulas.expression import Operation, express


class CommonSubexpressions:
    """One number for equal subexpressions, and how often each is used.

    Attributes
    ----------
    uses : Counter
        By number.
    """

    def __init__(self):
        self.uses = collections.Counter()
        self._numbers, self._known = {}, {}

    def number(self, expression):
        """The number that equal subexpressions share."""
        if id(expression) not in self._known:
            if isinstance(expression, Operation):
                inner = map(self.number, map(express, expression.operands))
                what = (expression.symbol, *inner)
            else:
                what = expression.written()
            number = self._numbers.setdefault(what, len(self._numbers))
            self._known[id(expression)] = number, expression  # keeps the id in use
        return self._known[id(expression)][0]

    def count(self, expression):
        """Count every use within an expression.

        Returns
        -------
        operations : list of Operation
            The new ones, each after its operands.
        """
        number = self.number(expression)
        self.uses[number] += 1
        if self.uses[number] > 1 or not isinstance(expression, Operation):
            return []
        operands = map(express, expression.operands)
        return [*itertools.chain(*map(self.count, operands)), expression]
