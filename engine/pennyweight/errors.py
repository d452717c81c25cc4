"""What can go wrong, as a tree of classes.

    PennyweightError
    ├── BadValue            a number, a word or an array that a function cannot take
    ├── CannotTrace         Python that has no equal in a spreadsheet
    ├── ModelError          lines or inputs that do not fit together
    ├── CallError           the command was called wrongly (exit code 2)
    │   └── UnknownName     a name or label that is not known; also a KeyError
    └── WorkbookError       a workbook that cannot be used (exit code 3)

    OutsideRange (a warning)    a value beyond where the equation was shown to hold

Every message says what is wrong, the value with its unit, what is allowed, where
it stands, and what to do.
"""

import difflib
import re
from collections.abc import Iterable
from pathlib import Path

WRITTEN: list[Path] = []
"""Files that this process has written: told when a command ends early."""
_BLANK = re.compile("[\t\n\x0b\x0c\r\x85\u2028\u2029]+")


class PennyweightError(Exception):
    """Any failure that this package raises on purpose.

    Parameters
    ----------
    message : str
    input : str, optional
        Name of the input concerned.
    sheet, cell : str, optional
        Where it stands in the workbook.
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
    """A value outside the range in which the equation was shown to hold."""


def unreadable(path: object, error: OSError) -> str:
    """Why a file cannot be read, as a message."""
    if isinstance(error, FileNotFoundError):
        return f"There is no file {path}."
    if isinstance(error, IsADirectoryError):
        return f"{path} is a folder. Name a file."
    return f"Cannot read {path}: {error.strerror}."


def nearest(words: str, known: Iterable[str]) -> str:
    """What was perhaps meant by words that are not known, as the end of a message.

    Parameters
    ----------
    words : str
    known : iterable of str

    Returns
    -------
    hint : str
        Empty when nothing is near.

    Examples
    --------
    >>> nearest("gold_prise", ["gold_price", "wage"])
    ' Did you mean gold_price?'
    """
    folded = {word.casefold(): word for word in known}
    near = difflib.get_close_matches(words.casefold(), list(folded), 1)
    return f" Did you mean {folded[near[0]]}?" if near else ""


def plain(text: object) -> str:
    """One line of text without control characters, fit for any screen or file.

    Line breaks and tabs become spaces; what cannot be seen, or would turn the
    direction of writing or steer a terminal, goes.

    Examples
    --------
    >>> plain("Tamsel\\tDraw\\x1b[31m")
    'Tamsel Draw[31m'
    """
    line = _BLANK.sub(" ", str(text))
    return line if line.isprintable() else "".join(filter(str.isprintable, line))
