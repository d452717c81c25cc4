"""Check of the engine's outcome for an altered file."""

import functools
import time

from pennyweight.workbook.inspection.inspect import inspect_book
from pennyweight.workbook.layout import layout

from .truth import calculated, same_numbers

SECONDS = 10.0
"""Of the processor, for one file; the first of a process builds what others find."""


def fault_of(path, pristine):
    """Inspect an altered file and say what is wrong with the answer.

    Parameters
    ----------
    path : Path
    pristine : bytes
        The file before it was altered.

    Returns
    -------
    outcome : str
    fault : str
        Empty when the answer is right.
    seconds : float
    """
    start = time.process_time()
    try:
        found = inspect_book(path)
    except Exception as error:
        return "raised", f"{type(error).__name__}: {error}", time.process_time() - start
    seconds = time.process_time() - start
    fault = ""
    if seconds > SECONDS:
        fault = f"it took {seconds:.0f} s"
    elif found.outcome == "cannot be used" and not found.reason:
        fault = "unusable without a reason"
    elif found.outcome == "as issued":
        fault = _wrongly_sound(path.read_bytes(), pristine)
    elif found.outcome == "something else changed":
        fault = _wrong_verdict(path.read_bytes(), found)
    return found.outcome, fault, seconds


def _wrongly_sound(content, pristine):
    """No formula and no stored value may have changed in a book that is sound."""
    try:
        cells = calculated(content)
    except Exception as error:  # what a plain reader cannot read is not sound
        return f"sound, but {type(error).__name__}: {error}"
    return "" if same_numbers(_known(pristine), cells) else "altered, but sound"


_known = functools.cache(calculated)
"""Files as they were before are few."""


def _wrong_verdict(content, found):
    """A verdict shown in the book that is not the engine's must be among findings."""
    from pennyweight.model.run import run

    place = layout().places["verdict"]
    try:
        shown = calculated(content).get((place.sheet, place.cell()))
    except Exception:
        return ""
    told = str(run(found.reading.inputs, found.reading.units)["verdict"])
    named = any(
        (f.sheet, f.cell) == (place.sheet, place.cell()) for f in found.findings
    )
    if shown and shown[2] != told and not named:
        many = any(
            f.kind in ("no stored values", "sheet missing") for f in found.findings
        )
        return "" if many else f"it shows {shown[2]!r}; the engine says {told!r}"
    return ""
