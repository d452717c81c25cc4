"""Write formulas as text.

Spreadsheets differ from Python: a minus sign has a higher precedence than a power, and
programs differ in the order of repeated powers. Brackets are added where they differ.
"""

import math
from typing import Any, NamedTuple

COMPARISON, TEXT, SUM, PRODUCT, POWER, SIGN, ATOM = range(1, 8)
RANK = {
    **dict.fromkeys(("<", "<=", ">", ">=", "=", "<>"), COMPARISON),
    "&": TEXT,
    **dict.fromkeys("+-", SUM),
    **dict.fromkeys("*/", PRODUCT),
    "^": POWER,
}
LONGEST = 8192
"""Most characters of a formula in Excel."""
NO_ANSWER = "n/a"
"""Text of a cell for a result without an answer (NaN)."""


class Written(NamedTuple):
    """Text of a part of a formula, with its operator precedence."""

    text: str
    rank: int = ATOM


def write_constant(value: Any) -> Written:
    """Write a number, truth value or text."""
    if isinstance(value, bool):
        return Written("TRUE" if value else "FALSE")
    if isinstance(value, str):
        return Written('"' + value.replace('"', '""') + '"')
    if math.isnan(value):
        return Written(f'"{NO_ANSWER}"')
    rank = SIGN if value < 0 else ATOM
    if float(value).is_integer() and abs(value) < 1e15:
        return Written(str(int(value)), rank)
    return Written(repr(float(value)).upper(), rank)


def write_operation(symbol: str, parts: list[Written], gap: str = "") -> Written:
    """Write an operator between its operands, with a gap around it, or a function."""
    if symbol == "negative":
        return Written("-" + _bracketed(parts[0], SIGN, leading=False), SIGN)
    if symbol not in RANK:
        return Written(f"{symbol}({','.join(part.text for part in parts)})")
    left, right = parts
    rank = RANK[symbol]
    # Brackets stay around equal ranks on the right, to keep the order of rounding.
    left_rank = rank + 1 if rank in (POWER, COMPARISON) else rank
    before = _bracketed(left, left_rank, leading=rank != POWER)
    after = _bracketed(right, rank + 1, leading=False)
    return Written(f"{before}{gap}{symbol}{gap}{after}", rank)


def _bracketed(part: Written, least: int, leading: bool) -> str:
    if part.rank < least or (part.rank == SIGN and not leading):
        return f"({part.text})"
    return part.text
