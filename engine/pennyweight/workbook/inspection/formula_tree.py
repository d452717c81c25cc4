"""Syntax tree of a formula, the same whatever program saved it.

Programs that save a workbook write its formulas in their own way: spaces, dollar signs,
quotes around sheet names, capitals, redundant brackets, more digits of a number. The
tree has none of these.
"""

import functools

from openpyxl.formula.tokenizer import Token, Tokenizer, TokenizerError
from openpyxl.utils.cell import range_boundaries

from ..package.sheet_part import LONGEST_FORMULA, MOST_COLUMNS

DEEPEST = 64
"""Levels of nesting that a spreadsheet program allows."""

_BINDING = {
    **dict.fromkeys(("=", "<>", "<", ">", "<=", ">="), 1),
    "&": 2,
    **dict.fromkeys("+-", 3),
    **dict.fromkeys("*/", 4),
    "^": 5,
}
_PREFIX = 6
DIGITS = "0123456789."

SYNONYMS = {"T.INV.2T": "TINV", "NORM.S.INV": "NORMSINV", "LOGNORM.INV": "LOGINV"}
"""Newer names of functions that some programs write, with the older ones."""


class NoTree(ValueError):
    """A formula that cannot be parsed."""


@functools.lru_cache(maxsize=40_000)
def tree(formula, sheet):
    """Parse a formula.

    Parameters
    ----------
    formula : str
        With its equals sign.
    sheet : str
        The sheet that it is on.

    Returns
    -------
    tree : tuple
        ``("number", 2.0)``, ``("text", "dry")``, ``("truth", True)``,
        ``("cell", sheet, row, column)``, ``("area", sheet, row, column, row,
        column)``, ``("name", "GOLD_PRICE")``, or an operation with its symbol and
        operands: ``("+", left, right)``, ``("IF", ...)``.

    Raises
    ------
    NoTree
        When it cannot be parsed.
    """
    words = [token for token in tokens_of(formula) if token.type != Token.WSPACE]
    reader = _Reader(words, sheet)
    found = reader.expression()
    if reader.token:
        raise NoTree(f"{reader.token.value} is out of place.")
    return found


def tokens_of(formula):
    """Split a formula into tokens.

    Parameters
    ----------
    formula : str
        With its equals sign.

    Returns
    -------
    tokens : list of openpyxl.formula.tokenizer.Token

    Raises
    ------
    NoTree
        When it is too long or is not a formula.
    """
    if len(formula) > LONGEST_FORMULA:
        raise NoTree("It is too long.")
    try:
        return Tokenizer(formula).items
    except (TokenizerError, IndexError) as error:
        raise NoTree(str(error)) from None


def with_sheets(formula, sheet_of):
    """Write a formula with other sheet names.

    Parameters
    ----------
    formula : str
        With its equals sign.
    sheet_of : mapping of str to str
        New name under the present one in lower case.

    Returns
    -------
    formula : str
        Unchanged if it cannot be parsed.

    Examples
    --------
    >>> with_sheets("=Rate*SUM(Mill!B2:B4)", {"mill": "Plant"})
    "=Rate*SUM('Plant'!B2:B4)"
    """
    written = formula.lower()
    if not any(name.replace("'", "''") in written for name in sheet_of):
        return formula  # splitting it into tokens takes longer
    try:
        tokens = tokens_of(formula)
    except NoTree:
        return formula
    for token in tokens:
        sheet, mark, cells = token.value.rpartition("!")
        new = sheet_of.get(_plain_sheet(sheet).lower())
        if mark and token.subtype == Token.RANGE and new:
            token.value = "'" + new.replace("'", "''") + "'!" + cells
    return "=" + "".join(token.value for token in tokens)


def _plain_sheet(written):
    if written.startswith("'"):
        written = written[1:-1].replace("''", "'")
    return written


class _Reader:
    """Operator-precedence parser."""

    def __init__(self, tokens, sheet):
        self.tokens, self.sheet, self.place, self.depth = tokens, sheet, 0, 0

    @property
    def token(self):
        """The present token, or None at the end."""
        return self.tokens[self.place] if self.place < len(self.tokens) else None

    def next(self, kind, subtype=""):
        """Take the present token if it is of a kind; else return None."""
        token = self.token
        if token is None or token.type != kind or subtype not in ("", token.subtype):
            return None
        self.place += 1
        return token

    def expression(self, least=1):
        """Parse an expression with operators of at least this precedence."""
        self.depth += 1
        if self.depth > 3 * DEEPEST:
            raise NoTree("Its brackets go too deep.")
        left = self._operand()
        while True:
            if self.next(Token.OP_POST):
                left = _divided_by_hundred(left)
                continue
            token = self.token
            infix = token is not None and token.type == Token.OP_IN
            binding = _BINDING.get(token.value, 0) if infix else 0
            if binding < least:
                break
            self.place += 1
            left = (token.value, left, self.expression(binding + 1))
        self.depth -= 1
        return left

    def _operand(self):
        if operand := self.next(Token.OPERAND):
            return self._value(operand)
        if call := self.next(Token.FUNC, Token.OPEN):
            name = call.value[:-1].upper().removeprefix("_XLFN.")
            return self._call(SYNONYMS.get(name, name))
        if self.next(Token.PAREN, Token.OPEN):
            inner = self.expression()
            self._expect(Token.PAREN, Token.CLOSE)
            return inner
        if sign := self.next(Token.OP_PRE):
            inner = self.expression(_PREFIX)
            if sign.value == "+":
                return inner
            known = inner[0] == "number"
            return ("number", -inner[1]) if known else ("negative", inner)
        raise NoTree(
            f"{self.token.value if self.token else 'Its end'} is out of place."
        )

    def _expect(self, kind, subtype):
        if not self.next(kind, subtype):
            raise NoTree("A bracket or a comma is missing.")

    def _value(self, token):
        word = token.value
        if token.subtype == Token.NUMBER and word[0] in DIGITS and "_" not in word:
            return ("number", float(word))
        if token.subtype == Token.TEXT:
            return ("text", word[1:-1].replace('""', '"'))
        if token.subtype == Token.LOGICAL:
            return ("truth", word.upper() == "TRUE")
        if token.subtype == Token.ERROR:
            return ("error", word)
        sheet, _, last = word.rpartition("!")
        cells = _cells(last)
        if not cells:
            return ("name", last.upper())
        return (*cells[:1], (_plain_sheet(sheet) or self.sheet).lower(), *cells[1:])

    def _call(self, name):
        arguments = []
        while not self.next(Token.FUNC, Token.CLOSE):
            if arguments:
                self._expect(Token.SEP, Token.ARG)
            arguments.append(self.expression())
        if name in ("TRUE", "FALSE") and not arguments:
            return ("truth", name == "TRUE")
        return (name, *arguments)


def _divided_by_hundred(operand):
    known = operand[0] == "number"
    return ("number", operand[1] / 100) if known else ("%", operand)


def _cells(word):
    """A cell or an area, rows and columns from 0, without a sheet; None for a name."""
    try:
        left, top, right, bottom = range_boundaries(word)
    except ValueError:
        return None
    if not word.isascii() or None in (left, top) or right > MOST_COLUMNS:
        return None
    if ":" not in word:
        return ("cell", top - 1, left - 1)
    return ("area", top - 1, left - 1, bottom - 1, right - 1)


def is_sum_of_numbers(formula):
    """Whether a formula has only numbers and operators, so that it never changes.

    Examples
    --------
    >>> is_sum_of_numbers("=32240/12.4"), is_sum_of_numbers("=B5/12.4")
    (True, False)
    """
    try:
        tokens = tokens_of(formula)
    except NoTree:
        return False
    return all(
        token.subtype == Token.NUMBER
        if token.type == Token.OPERAND
        else token.type != Token.FUNC
        for token in tokens
    )
