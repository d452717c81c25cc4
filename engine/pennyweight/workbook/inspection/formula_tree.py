"""What a formula means, whatever program wrote it down.

Programs that save a book respell its formulas: spaces, dollar signs, quotes around
sheets, capitals, redundant brackets, more digits of a number. As a tree all of that
is gone.
"""

import functools
import re

from xlsxwriter.utility import xl_rowcol_to_cell

from ..package.sheet_part import MOST_COLUMNS

LONGEST = 8_192
"""Characters that a spreadsheet program allows in a formula."""
DEEPEST = 64
"""Levels of brackets that a spreadsheet program allows."""

_TOKEN = re.compile(
    r"""\s*(?:
    (?P<text>"(?:[^"]|"")*")
  | (?P<number>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)
  | (?P<word>(?:'(?:[^']|'')+'!|[^\W0-9][\w.]*!)?\$?[^\W0-9][\w.\\?]*(?:\$[0-9]+)?)
  | (?P<error>\#[A-Z0-9/]+[!?]?)
  | (?P<sign><=|>=|<>|[-+*/^&=<>%(),:])
  )\s*""",
    re.VERBOSE,
)
_CELL = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7})", re.IGNORECASE)
_BINDING = {
    **dict.fromkeys(("=", "<>", "<", ">", "<=", ">="), 1),
    "&": 2,
    **dict.fromkeys("+-", 3),
    **dict.fromkeys("*/", 4),
    "^": 5,
}
_PREFIX = 6

SYNONYMS = {"T.INV.2T": "TINV", "NORM.S.INV": "NORMSINV", "LOGNORM.INV": "LOGINV"}
"""Newer names that programs give to functions when they save."""


class NoTree(ValueError):
    """A formula that is not put together from what our books use."""


@functools.lru_cache(maxsize=40_000)
def tree(formula, sheet):
    """Take a formula apart.

    Parameters
    ----------
    formula : str
        With its equals sign.
    sheet : str
        Where it stands.

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
        When it is not put together from these.
    """
    if len(formula) > LONGEST:
        raise NoTree("It is too long.")
    reader = _Reader(_tokens(formula[1:]), sheet)
    found = reader.expression()
    if reader.kind:
        raise NoTree(f"{reader.word} is out of place.")
    return found


def readdressed(formula, sheet, move):
    """Write a formula with other addresses.

    Parameters
    ----------
    formula : str
        With its equals sign.
    sheet : str
        Where it stands.
    move : callable
        ``move(sheet, row, column)``, the sheet in small letters, gives the new
        sheet, row and column, or None where there is none.

    Returns
    -------
    formula : str
        As it was, when it is not understood or an address has no new place.

    Examples
    --------
    >>> readdressed("=Rate*SUM(B2:B4)", "Plant", lambda *at: (at[0], at[1] + 1, at[2]))
    '=Rate*SUM(B3:B5)'
    """
    if len(formula) > LONGEST:
        return formula
    try:
        tokens = _tokens(formula[1:])
    except NoTree:
        return formula
    written, whose = [], sheet.lower()
    for place, (kind, word) in enumerate(tokens):
        called = tokens[place + 1 : place + 2] == [("sign", "(")]
        before, mark, last = word.rpartition("!")
        spot = _spot(last) if kind == "word" and not called else None
        if spot:
            ends = place and tokens[place - 1] == ("sign", ":")
            whose = whose if ends and not mark else _plain_sheet(before) or sheet
            there = move(whose.lower(), *spot)
            if there is None:
                return formula
            word = xl_rowcol_to_cell(*there[1:])
            if mark:
                word = "'" + there[0].replace("'", "''") + "'!" + word
        written.append(word)
    return "=" + "".join(written)


def _plain_sheet(written):
    if written.startswith("'"):
        written = written[1:-1].replace("''", "'")
    return written


def _tokens(text):
    found, place = [], 0
    while place < len(text):
        match = _TOKEN.match(text, place)
        if not match:
            raise NoTree(f"{text[place : place + 20]} is not understood.")
        found.append((match.lastgroup, match[match.lastgroup]))
        place = match.end()
    return found


class _Reader:
    """Reads tokens one after the other, each operator binding as it should."""

    def __init__(self, tokens, sheet):
        self.tokens, self.sheet, self.place, self.depth = tokens, sheet, -1, 0
        self.advance()

    def advance(self):
        """Go to the next token; give the present one's word."""
        word = self.word if self.place >= 0 else ""
        self.place += 1
        inside = self.place < len(self.tokens)
        self.kind, self.word = self.tokens[self.place] if inside else ("", "")
        return word

    def expression(self, least=1):
        """Read an expression whose operators bind at least so tightly."""
        self.depth += 1
        if self.depth > 3 * DEEPEST:
            raise NoTree("Its brackets go too deep.")
        left = self._operand()
        while self.kind == "sign":
            if self.word == "%":
                self.advance()
                left = _divided_by_hundred(left)
                continue
            binding = _BINDING.get(self.word, 0)
            if binding < least:
                break
            symbol = self.advance()
            left = (symbol, left, self.expression(binding + 1))
        self.depth -= 1
        return left

    def _operand(self):
        kind, word = self.kind, self.advance()
        if kind == "number":
            return ("number", float(word))
        if kind == "text":
            return ("text", word[1:-1].replace('""', '"'))
        if kind == "word":
            return self._word(word)
        if kind == "error":
            return ("error", word)
        if word == "(":
            inner = self.expression()
            self._expect(")")
            return inner
        if word in ("-", "+"):
            inner = self.expression(_PREFIX)
            if word == "+":
                return inner
            known = inner[0] == "number"
            return ("number", -inner[1]) if known else ("negative", inner)
        raise NoTree(f"{word or 'Its end'} is out of place.")

    def _expect(self, word):
        if self.word != word or self.kind != "sign":
            raise NoTree(f"{word} is missing.")
        self.advance()

    def _word(self, word):
        if self.word == "(":
            name = word.upper().removeprefix("_XLFN.")
            return self._call(SYNONYMS.get(name, name))
        sheet, _, last = word.rpartition("!")
        sheet = self._sheet(sheet)
        spot = _spot(last)
        if spot and self.word == ":":
            self.advance()
            end = _spot(self.advance().rpartition("!")[2])
            if not end:
                raise NoTree(f"{word} begins a range that has no end.")
            return ("area", sheet, *spot, *end)
        if spot:
            return ("cell", sheet, *spot)
        upper = last.upper()
        if not sheet and upper in ("TRUE", "FALSE"):
            return ("truth", upper == "TRUE")
        return ("name", upper)

    def _sheet(self, written):
        return (_plain_sheet(written) or self.sheet).lower()

    def _call(self, name):
        self.advance()
        arguments = []
        while (self.kind, self.word) != ("sign", ")"):
            if arguments:
                self._expect(",")
            arguments.append(self.expression())
        self.advance()
        if name in ("TRUE", "FALSE") and not arguments:
            return ("truth", name == "TRUE")
        return (name, *arguments)


def _divided_by_hundred(operand):
    known = operand[0] == "number"
    return ("number", operand[1] / 100) if known else ("%", operand)


def _spot(word):
    """Row and column of an address; None for a name."""
    found = _CELL.fullmatch(word)
    if not found:
        return None
    column = 0
    for letter in found[1].upper():
        column = column * 26 + ord(letter) - 64
    if column > MOST_COLUMNS:
        return None
    return int(found[2]) - 1, column - 1
