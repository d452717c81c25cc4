"""Errors, as a tree of classes.

    PennyweightError
    ├── BadValue            a number, a word or an array that a function cannot take
    ├── CannotTrace         Python code that has no spreadsheet formula
    ├── ModelError          lines or inputs that do not fit together
    ├── CallError           the command was called wrongly (exit code 2)
    │   └── UnknownName     a name or label that is not known; also a KeyError
    └── WorkbookError       a workbook that cannot be used (exit code 3)

    OutsideRange (a warning)    a value outside the range of validity of an equation

Every message says what is wrong, the value with its unit, what is allowed, where
it is, and what to do.
"""

import difflib
import re
from collections.abc import Iterable
from pathlib import Path

WRITTEN: list[Path] = []
"""Files that this process has written: named when a command ends early."""
_BLANK = re.compile("[\t\n\x0b\x0c\r\x85\u2028\u2029]+")


class PennyweightError(Exception):
    """Any failure that this package raises on purpose.

    Parameters
    ----------
    message : str
    input : str, optional
        Name of the input concerned.
    sheet, cell : str, optional
        Where it is in the workbook.
    value : object, optional
        The value that cannot be used.
    allowed : str, optional
        What is allowed, in a sentence.
    """

    exit_code = 1

    def __init__(
        self,
        message: str,
        *,
        input: str = "",
        sheet: str = "",
        cell: str = "",
        value: object = None,
        allowed: str = "",
    ) -> None:
        super().__init__(message)
        self.input = input
        self.sheet = sheet
        self.cell = cell
        self.value = value
        self.allowed = allowed


class BadValue(PennyweightError, ValueError):
    """A value that makes no sense where it was given."""

    exit_code = 3


class CannotTrace(PennyweightError, TypeError):
    """A Python expression that cannot be written as a spreadsheet formula."""


class ModelError(PennyweightError):
    """Lines or inputs of the model that do not fit together."""


class CallError(PennyweightError):
    """A command or a public function that was called wrongly."""

    exit_code = 2


class UnknownName(CallError, KeyError):
    """A name or label that no input and no result has, or that several have."""

    __str__ = Exception.__str__


class WorkbookError(PennyweightError):
    """A workbook that cannot be read, written or trusted."""

    exit_code = 3


class OutsideRange(UserWarning):
    """A value outside the range of validity of an equation."""


def unreadable(path: object, error: OSError) -> str:
    """The message for a file that cannot be read."""
    if isinstance(error, FileNotFoundError):
        return f"There is no file {path}."
    if isinstance(error, IsADirectoryError):
        return f"{path} is a folder. Name a file."
    return f"Cannot read {path}: {error.strerror}."


def nearest(words: str, known: Iterable[str]) -> str:
    """Suggestion for unknown words, as the end of a message.

    Parameters
    ----------
    words : str
    known : iterable of str

    Returns
    -------
    hint : str
        Empty if nothing is similar.

    Examples
    --------
    >>> nearest("gold_prise", ["gold_price", "wage"])
    ' Did you mean gold_price?'
    """
    folded = {word.casefold(): word for word in known}
    near = difflib.get_close_matches(words.casefold(), list(folded), 1)
    return f" Did you mean {folded[near[0]]}?" if near else ""


def plain(text: object) -> str:
    """One line of text without control characters, for any screen or file.

    Line breaks and tabs become spaces. Invisible characters, and those that change the
    direction of writing or control a terminal, are deleted.

    Examples
    --------
    >>> plain("Tamsel\\tDraw\\x1b[31m")
    'Tamsel Draw[31m'
    """
    line = _BLANK.sub(" ", str(text))
    return line if line.isprintable() else "".join(filter(str.isprintable, line))
