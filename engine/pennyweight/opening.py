"""Opening the example, and workbooks of this version and of earlier ones."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from . import arguments
from .model.allowed import complete
from .model.entries import has_range
from .model.inputs import INPUTS, is_filled_in
from .model.units import Units
from .plan import Plan, refuse_unless_free

if TYPE_CHECKING:
    from .documents.comparison import Change
    from .workbook.inspection.findings import Inspection
    from .workbook.read import Reading


@arguments.typechecked
def example(units: Units = "us") -> Plan:
    """The worked example: an invented claim with every input given.

    Parameters
    ----------
    units : {"us", "metric"}

    Returns
    -------
    plan : Plan
    """
    given = {name: entry.value(units) for name, entry in INPUTS.items()}
    given = {
        name: value
        for name, value in given.items()
        if value != "" and not is_filled_in(INPUTS[name], value, units)
    }
    ranges = {
        name: (entry.value(units, "example_low"), entry.value(units, "example_high"))
        for name, entry in INPUTS.items()
        if has_range(entry) and entry.example_low != ""
    }
    plan = Plan(given, units=units, ranges=ranges)
    return plan._with(
        statuses={name: entry.status for name, entry in INPUTS.items()},
        bases={name: entry.basis for name, entry in INPUTS.items()},
    )


@arguments.typechecked
def read(path: str | Path) -> Plan:
    """Read a plan from a workbook.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    plan : Plan

    Raises
    ------
    WorkbookError
        When the file is not a workbook of pennyweight, or has inputs that cannot be
        used; each is named with sheet and cell.
    """
    from .workbook.read import read_book

    return of_reading(read_book(path), Path(path))


def of_reading(reading: Reading, path: Path | None = None) -> Plan:
    """Make the plan that was read from a workbook, on disk or open in Excel."""
    usual = complete(reading.given, reading.units, "estimate")
    plan = Plan(
        reading.given,
        units=reading.units,
        ranges=reading.ranges,
        estimates={n: v for n, v in reading.inputs.items() if v != usual[n]},
    )
    return plan._with(
        statuses=reading.statuses,
        bases=reading.bases,
        path=path,
        shown=reading.answer,
        notes=[reading.note] if reading.note else [],
    )


@arguments.typechecked
def carry_over(path: str | Path, units: Units | None = None) -> Plan:
    """Take the inputs over from a workbook that was altered or is old.

    Parameters
    ----------
    path : str or Path
    units : {"us", "metric"}, optional
        Those of the workbook when left out.

    Returns
    -------
    plan : Plan
        Its ``notes`` say what was not carried over, and why.
    """
    from .workbook.carry import carry_from

    found = carry_from(path, units)
    plan = Plan(found.inputs, units=found.units, ranges=found.ranges)
    return plan._with(
        statuses=found.statuses,
        bases=found.bases,
        _tables=(Path(path),),
        notes=[f"Not carried over: {what}" for what in found.left_behind],
    )


@arguments.typechecked
def inspect(
    path: str | Path, strict: bool = False, book: str | Path | None = None
) -> Inspection:
    """Compare every cell of a workbook or a paper with the one as issued.

    Parameters
    ----------
    path : str or Path
    strict : bool
        Whether to look also for what hides or changes a figure on screen.
    book : str or Path, optional
        For a quote, a statement or a report of a test lot: its workbook.

    Returns
    -------
    inspection : Inspection
        ``outcome`` is as issued, inputs changed, something else changed, not
        calculated, or cannot be used.
    """
    if book is not None:
        from .documents.paper_check import inspect_paper

        return inspect_paper(path, read(book))
    from .workbook.inspection.inspect import inspect_book

    return inspect_book(path, strict)


@arguments.typechecked
def changed_inputs(mine: str | Path, theirs: str | Path) -> list[Change]:
    """Inputs that differ between two workbooks, also where entries are unusable.

    Parameters
    ----------
    mine, theirs : str or Path

    Returns
    -------
    changes : list of Change
        Without effects, their values in words; of an unusable entry, its text.

    Raises
    ------
    WorkbookError
        When one of them cannot be read for another reason.
    """
    from .documents.compare import changed_inputs

    return changed_inputs(mine, theirs)


@arguments.typechecked
def renew(
    path: str | Path, output: str | Path | None = None, force: bool = False
) -> int:
    """Update the results in a workbook from its present inputs; change nothing else.

    Parameters
    ----------
    path : str or Path
    output : str or Path, optional
        Another file to write; the workbook itself when left out.
    force : bool
        Whether that other file may be replaced if it is there already.

    Returns
    -------
    count : int
        Number of cells whose value changed.
    """
    from .workbook.renew import renew_book

    if output:
        refuse_unless_free(output, force)
    return renew_book(path, output)
