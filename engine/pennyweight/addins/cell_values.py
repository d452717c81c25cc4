"""Contents of cells by kind: numbers, blanks, text, booleans, errors."""

import numpy as np


class CellError(str):
    """An error value in a cell; its text is what the cell shows."""

    __slots__ = ()


class BlankOrZero:
    """A single cell that is blank or zero: Calc passes both as 0."""


class Refused(Exception):
    """A call that cannot be answered.

    Attributes
    ----------
    marker : str
        The error value that the cell shows.
    """

    def __init__(self, marker, reason):
        super().__init__(reason)
        self.marker = marker


def block_of(value):
    """Convert a value from a spreadsheet program to rows of cells.

    Parameters
    ----------
    value : scalar, sequence or sequence of sequences

    Returns
    -------
    rows : sequence of sequences
    """
    if not isinstance(value, tuple | list):
        return ((value,),)
    if value and isinstance(value[0], tuple | list):
        return value
    return (value,)


def kind_of(cell):
    """Name the kind of a cell's content, for messages."""
    if cell is None:
        return "blank"
    if isinstance(cell, BlankOrZero):
        return "blank or 0"
    if isinstance(cell, CellError):
        return f"the error {cell}"
    if isinstance(cell, bool):
        return str(cell).upper()
    return f"the text {cell!r}" if isinstance(cell, str) else f"{cell:g}"


def number(cell, name):
    """Read a cell as a number; raise `Refused` for anything else.

    An error value stays that error, a blank is #N/A, text and booleans are #VALUE!.
    """
    if type(cell) is float:
        return cell
    if isinstance(cell, int) and not isinstance(cell, bool):
        return float(cell)
    raise Refused(*fault(cell, name))


def fault(cell, name):
    """Error value and reason for a cell that is not a number."""
    if isinstance(cell, CellError):
        return str(cell), f"{name} is {kind_of(cell)}; correct that cell first."
    if cell is None:
        return "#N/A", f"{name} is blank; enter a number."
    if isinstance(cell, BlankOrZero):
        return "#N/A", (
            f"{name} is blank or 0. LibreOffice passes a single blank cell on as 0. "
            'Enter a number; for zero enter the text "0".'
        )
    return "#VALUE!", f"{name} is {kind_of(cell)}; it must be a number."


def text(cell, name):
    """Read a cell as text; raise `Refused` for anything else."""
    if isinstance(cell, CellError):
        raise Refused(*fault(cell, name))
    if cell is None or isinstance(cell, BlankOrZero):
        raise Refused("#N/A", f"{name} is blank; enter a word.")
    if not isinstance(cell, str):
        raise Refused("#VALUE!", f"{name} is {kind_of(cell)}; it must be text.")
    return cell.strip()


def shown(values):
    """Convert answers to cells: not-a-number becomes #N/A, infinite #NUM!.

    Parameters
    ----------
    values : ndarray
        Numbers, booleans or texts, of one dimension.

    Returns
    -------
    cells : list
    """
    cells = values.tolist()
    if values.dtype.kind == "f" and not np.isfinite(values).all():
        return [cell if abs(cell) < np.inf else _unfit(cell) for cell in cells]
    if values.dtype.kind in "iu":
        return [float(cell) for cell in cells]
    return cells


def _unfit(number):
    return CellError("#N/A" if number != number else "#NUM!")


def plain(value):
    """Convert a single answer to a cell."""
    return shown(np.asarray(value).reshape(-1))[0]


def shown_cell(value):
    """Convert a single answer to a cell, if it is not one already."""
    return value if isinstance(value, str | bool) else plain(value)


def named_rows(found):
    """Convert a mapping to rows of a name and its values."""
    if not found:
        raise Refused("#N/A", "nothing applies.")
    return [
        [name, *(shown(np.asarray(value).reshape(-1)))] for name, value in found.items()
    ]
