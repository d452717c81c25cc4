"""Call of a function of the registry with the contents of cells.

Both add-ins, Excel's and LibreOffice's, call `answer`. It never raises: a call that
cannot be answered gives an error value, and the reason is stored.
"""

import functools
import warnings

import numpy as np

from ..errors import BadValue, CallError, OutsideRange, PennyweightError
from . import reasons
from .cell_arguments import read_cells
from .cell_by_cell import by_cell
from .cell_values import CellError, Refused, block_of, named_rows, shown_cell
from .list_by_list import by_list

MOST_CELLS = 1_000_000


def answer(entry, given, place=""):
    """Evaluate a worksheet function.

    Parameters
    ----------
    entry : SheetFunction
    given : sequence
        One item per argument: None if it was left out, else rows of cells (a
        blank cell is None, an error a `CellError`) or a single cell.
    place : str, optional
        The calling cell, for the reasons.

    Returns
    -------
    rows : list of list
        Numbers, texts, booleans and `CellError`.
    """
    note = functools.partial(_note, entry.name, place)
    reasons.forget(place)
    try:
        with warnings.catch_warnings(record=True) as caught:
            warnings.simplefilter("always", OutsideRange)
            rows = _work_out(entry, given, note)
    except Refused as refusal:
        return note(refusal.marker, str(refusal))
    except BadValue as error:
        return note("#NUM!", str(error))
    except CallError as error:
        return note("#VALUE!", str(error))
    except PennyweightError as error:
        return note("#N/A", str(error))
    except Exception as error:  # a defect must not stop the sheet
        return note("#VALUE!", f"an unforeseen fault ({type(error).__name__}: {error})")
    for warning in caught:
        if issubclass(warning.category, OutsideRange):
            note("", str(warning.message))
    return rows


def _note(name, place, marker, reason):
    """Store a reason, and give the error value as a block."""
    reasons.note(reasons.Reason(name, marker, reason, place))
    return [[CellError(marker)]]


def _work_out(entry, given, note):
    blocks = _blocks(entry, given)
    if entry.of_model:
        pairs = zip(entry.arguments, blocks, strict=True)
        return _listed(
            entry.function(*(a.default if b is None else b for a, b in pairs))
        )
    if entry.lists:
        return by_list(entry, blocks, note)
    if entry.result == "mapping":
        return _mapping(entry, blocks)
    return by_cell(entry, blocks, note)


def _blocks(entry, given):
    """The arguments as rows of cells; None for one that was left out."""
    given = [*given, *(None,) * (len(entry.arguments) - len(given))]
    blocks = []
    for argument, value in zip(entry.arguments, given, strict=True):
        if value is None and argument.required:
            raise Refused("#N/A", f"{argument.name} is missing.")
        block = None if value is None else block_of(value)
        if block is not None and len(block) * len(block[0]) > MOST_CELLS:
            raise Refused("#VALUE!", f"{argument.name} has over {MOST_CELLS} cells.")
        blocks.append(block)
    return blocks


def _mapping(entry, blocks):
    """Names and values in two columns; several rows of inputs give more columns."""
    read, shape = read_cells(entry, blocks)
    given = {}
    for cells in read:
        for refusal in cells.reasons.values():
            raise refusal
        values = np.broadcast_to(cells.values, shape).ravel()
        if values.dtype == object:
            kinds = set(values.tolist())
            if len(kinds) > 1:
                raise Refused("#VALUE!", f"{cells.argument.name} must be one for all.")
            given[cells.argument.parameter] = kinds.pop()
        else:
            given[cells.argument.parameter] = values if values.size > 1 else values[0]
    return named_rows(entry.function(**given))


def _listed(found):
    """The answer of a function of the model, as cells."""
    if isinstance(found, str) or np.ndim(found) == 0:
        found = [[found]]
    return [[shown_cell(cell) for cell in row] for row in found]
