"""The buttons of a macro workbook: judge, compare, risk, install functions."""

import json
import subprocess
import sys
from pathlib import Path

from ...errors import PennyweightError, WorkbookError
from ...workbook.files import scratch_folder
from .. import sheet_jobs
from .macro_workbook import (
    BUTTON_SHEET,
    JOB_CELL,
    JOBS,
    OTHER_CELL,
    SEED_CELL,
    TRIALS_CELL,
    write_companions,
)
from .open_book import caller, put_sheet, read_open

SECONDS = 600


def main():
    """Run the job chosen on the sheet Buttons."""
    book = caller()
    job = str(book.sheets[BUTTON_SHEET].range(JOB_CELL).value or "")
    jobs = {
        "judge": judge,
        "compare": compare,
        "risk": risk,
        "chances": risk,  # former name, in workbooks made earlier
        "install functions": install_functions,
    }
    if job not in jobs:
        raise WorkbookError(
            f"{BUTTON_SHEET}!{JOB_CELL} is {job!r}; choose one of {', '.join(JOBS)}."
        )
    jobs[job](book)


def judge(book=None):
    """Judge the open workbook as it is, saved or not."""
    book = book or caller()
    put_sheet(book, "Judgement", read_open(book).judge().rows())


def compare(book=None):
    """Compare the open workbook with another file."""
    book = book or caller()
    other = str(book.sheets[BUTTON_SHEET].range(OTHER_CELL).value or "").strip('" ')
    if not other:
        raise WorkbookError(f"Enter the other file's path in {BUTTON_SHEET}!B6.")
    other = Path(book.fullname).parent / other
    put_sheet(book, "Comparison", _apart(book, "compare", out=str(other)))


def risk(book=None):
    """Run the risk analysis for the open book."""
    book = book or caller()
    sheet = book.sheets[BUTTON_SHEET]
    cells = {"trials": TRIALS_CELL, "seed": SEED_CELL}
    given = {name: sheet.range(cell).value for name, cell in cells.items()}
    options = {name: int(value) for name, value in given.items() if value is not None}
    put_sheet(book, "Risk analysis", _apart(book, "risk", **options))


chances = risk
"""Former name, which macro modules made earlier call."""


def _apart(book, job, **options):
    """Rows of a job's results for the inputs of the open workbook.

    The job runs in another process, so that a long run cannot block Excel's.
    """
    with scratch_folder() as folder:
        name = Path(book.name).with_suffix(".xlsx").name
        path = read_open(book).write(folder / name)
        done = subprocess.run(
            [sys.executable, "-m", sheet_jobs.__name__],
            input=json.dumps({"job": job, "path": str(path), **options}),
            capture_output=True,
            text=True,
            timeout=SECONDS,
        )
    if done.returncode != 0:
        last = done.stderr.strip().rpartition("\n")[2]
        raise WorkbookError(last or f"{job} gave no answer.")
    answer = json.loads(done.stdout)
    if "rows" not in answer:
        raise WorkbookError(answer["said"])
    return answer["rows"]


def install_functions(book=None):
    """Import the macro module into the open workbook, with help; Windows only."""
    book = book or caller()
    module = write_companions(Path(book.fullname))[1]
    try:
        components = book.api.VBProject.VBComponents
    except Exception:
        raise WorkbookError(
            "Excel does not let programs add macros. Either tick File, Options, Trust "
            "Center, Trust Center Settings, Macro Settings, 'Trust access to the VBA "
            f"project object model', or press Alt+F11 and import {module} by hand."
        ) from None
    for component in list(components):
        if component.Name == "Pennyweight":
            components.Remove(component)
    components.Import(str(module))
    describe(book)


def describe(book):
    """Give the functions their help and category in Excel's wizard."""
    from ..registry import registry

    for entry in registry().values():
        helps = [argument.help for argument in entry.arguments]
        book.app.api.MacroOptions(
            Macro=f"'{book.name}'!{entry.name}",
            Description=entry.help,
            Category=entry.category,
            ArgumentDescriptions=helps or None,
        )


def refresh(path):
    """Renew the files beside a macro workbook, and its functions if it is open.

    Parameters
    ----------
    path : Path

    Returns
    -------
    messages : list of str
    """
    script, module = write_companions(path)
    messages = [f"Written: {script}", f"Written: {module}"]
    try:
        import xlwings as xw

        book = xw.books[path.name]
        install_functions(book)
        messages.append(f"The functions in {path.name} are renewed; save it.")
    except PennyweightError as error:
        messages.append(str(error))
    except Exception:
        messages.append(
            f"To renew the functions: open {path.name}, press Alt+F11, remove the "
            f"module Pennyweight, and import {module.name} by File, Import File."
        )
    return messages
