"""Writing an expression as the text of a formula.

Spreadsheets differ from Python: a minus sign binds tighter than a power, and
powers are taken from left to right in some programs, from right to left in others.
Where programs disagree, brackets decide.
"""

import math

from ..errors import CannotTrace
from .expression import Constant, Expression, Operation, Reference, express

COMPARISON, SUM, PRODUCT, POWER, SIGN, ATOM = range(1, 7)
RANK = {
    **dict.fromkeys(("<", "<=", ">", ">=", "=", "<>"), COMPARISON),
    **dict.fromkeys("+-", SUM),
    **dict.fromkeys("*/", PRODUCT),
    "^": POWER,
    "negative": SIGN,
}
NO_ANSWER = "none"
"""What a cell shows where the engine has no answer (not-a-number)."""


def formula(expression):
    """Write an expression as a formula, with its equals sign.

    Parameters
    ----------
    expression : Expression, float, bool or str

    Returns
    -------
    formula : str

    Raises
    ------
    CannotTrace
        When the answer would be an array, which one ordinary cell cannot hold.
    """
    expression = express(expression)
    if expression.spread:
        raise CannotTrace(f"{expression!r} is a whole range; one cell cannot hold it.")
    return "=" + text(expression)


def text(expression):
    """Write an expression as formula text, without the equals sign."""
    if isinstance(expression, Reference):
        return expression.address
    if isinstance(expression, Constant):
        return _constant(expression.value)
    if expression.symbol == "negative":
        return "-" + _bracketed(expression.operands[0], SIGN, leading=False)
    if expression.symbol in RANK:
        return _binary(expression)
    return (
        f"{expression.symbol}({','.join(text(part) for part in expression.operands)})"
    )


def _constant(value):
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, str):
        return '"' + value.replace('"', '""') + '"'
    if isinstance(value, float) and math.isnan(value):
        return f'"{NO_ANSWER}"'
    if float(value).is_integer() and abs(value) < 1e15:
        return str(int(value))
    return repr(float(value)).upper()


def _binary(operation):
    left, right = operation.operands
    rank = RANK[operation.symbol]
    # Equal ranks on the right keep their brackets: the order of rounding stays.
    left_rank = rank + 1 if rank in (POWER, COMPARISON) else rank
    before = _bracketed(left, left_rank, leading=rank != POWER)
    return before + operation.symbol + _bracketed(right, rank + 1, leading=False)


def _bracketed(expression, least, leading=True):
    written = text(expression)
    signed = _rank(expression) == SIGN
    if _rank(expression) < least or (signed and not leading):
        return f"({written})"
    return written


def _rank(expression: Expression) -> int:
    if isinstance(expression, Operation):
        return RANK.get(expression.symbol, ATOM)
    if isinstance(expression, Constant) and not isinstance(expression.value, str):
        return SIGN if expression.value < 0 else ATOM
    return ATOM
