"""The text of a formula, from the texts of its parts.

Spreadsheets differ from Python: a minus sign binds tighter than a power, and
powers are taken from left to right in some programs, from right to left in others.
Where programs disagree, brackets decide.
"""

import math
from typing import Any, NamedTuple

COMPARISON, SUM, PRODUCT, POWER, SIGN, ATOM = range(1, 7)
RANK = {
    **dict.fromkeys(("<", "<=", ">", ">=", "=", "<>"), COMPARISON),
    **dict.fromkeys("+-", SUM),
    **dict.fromkeys("*/", PRODUCT),
    "^": POWER,
}
LONGEST = 8192
"""Characters of a formula that a cell of Excel takes."""
NO_ANSWER = "n/a"
"""What a cell shows where the engine has no answer (not-a-number)."""


class Written(NamedTuple):
    """A part of a formula: its text, and how tightly it binds."""

    text: str
    rank: int = ATOM


def write_constant(value: Any) -> Written:
    """A number, a truth value or a text as spreadsheets write it."""
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
    """An operator between its parts, with a gap about it, or a function."""
    if symbol == "negative":
        return Written("-" + _bracketed(parts[0], SIGN, leading=False), SIGN)
    if symbol not in RANK:
        return Written(f"{symbol}({','.join(part.text for part in parts)})")
    left, right = parts
    rank = RANK[symbol]
    # Equal ranks on the right keep their brackets: the order of rounding stays.
    left_rank = rank + 1 if rank in (POWER, COMPARISON) else rank
    before = _bracketed(left, left_rank, leading=rank != POWER)
    after = _bracketed(right, rank + 1, leading=False)
    return Written(f"{before}{gap}{symbol}{gap}{after}", rank)


def _bracketed(part: Written, least: int, leading: bool) -> str:
    if part.rank < least or (part.rank == SIGN and not leading):
        return f"({part.text})"
    return part.text
