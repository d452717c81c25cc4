"""The jobs of the add-in on the open workbook.

A job asks and reports through a window, which tests replace.
"""

from pathlib import Path

from ...errors import PennyweightError, WorkbookError
from ...workbook.risk_sheet.fill import sheet_figures
from ...workbook.risk_sheet.layout import SHEET, placed
from .. import sheet_jobs
from .open_book import caller, put_sheet, read_open

TRIALS = 16384


class Stopped(Exception):
    """The user pressed Cancel."""


def judge(book, window):
    """Judge the plan on a sheet of its own."""
    _show(book, window, sheet_jobs.judge(read_open(book)))


def _show(book, window, answer):
    """Show the answer of a job: its rows on a sheet of their own, and its message."""
    if "rows" in answer:
        put_sheet(book, answer["sheet"], answer["rows"])
    window.say(answer["said"])


def risk(book, window):
    """Run the risk analysis; that of a claim is entered on the sheet Risk."""
    plan = read_open(book)
    of_claim = plan.inputs["job"] != "contract"
    plan.may_tell_risk(entered=of_claim)
    sheet = risk_sheet(book, plan.units) if of_claim else None
    trials = window.number("Trials", TRIALS)
    seed = window.number("Seed: the same one gives the same figures", 0)
    if sheet is None:
        return _show(book, window, sheet_jobs.risk(plan, trials=trials, seed=seed))
    with window.progress("Risk analysis", trials) as tick:
        report = plan.risk(trials, seed, progress=tick)
    enter(sheet, sheet_figures(report, plan))
    window.say(f"{report.summary()[0]} See the sheet {SHEET}.")


def risk_sheet(book, units):
    """The sheet for the risk analysis; refused if its headings were moved."""
    here = {sheet.name: sheet for sheet in book.sheets}
    wrong = "is missing" if SHEET not in here else ""
    if not wrong:
        for at in placed(units)[0].values():
            for column, head in enumerate(at.table.heads):
                found = here[SHEET].range((at.head + 1, column + 1)).value
                if head and found != head:
                    wrong = f"has {found!r} where {head!r} belongs"
    if wrong:
        raise WorkbookError(
            f"The sheet {SHEET} {wrong}, so no results were entered. Make a fresh "
            "workbook with 'pennyweight new --from' and run the analysis there."
        )
    return here[SHEET]


def enter(sheet, figures):
    """Write figures to a sheet; other cells and the protection stay unchanged."""
    locked = sheet.api.ProtectContents
    if locked:
        sheet.api.Unprotect()
        if sheet.api.ProtectContents:
            raise WorkbookError(
                f"The sheet {sheet.name} is protected by a password: remove it first."
            )
    try:
        for (row, column), value in figures.items():
            sheet.range((row + 1, column + 1)).value = value
    finally:
        if locked:
            sheet.api.Protect()


def compare(book, window):
    """Compare with another workbook on a sheet of its own."""
    other = window.open_file("The other workbook")
    if other is None:
        raise Stopped
    with window.progress("Comparison", 0) as tick:
        answer = sheet_jobs.compare(read_open(book), other, tick)
    _show(book, window, answer)


def quote(book, window):
    """Write the customer's quote."""
    _paper(book, window, "quote", "Quote", "quote.xlsx")


def settle(book, window):
    """Write the statement of the lot milled."""
    _paper(book, window, "settle", "Statement", "statement.xlsx")


def _paper(book, window, job, title, name):
    plan = read_open(book)
    path = window.save_file(title, str(Path(book.fullname).parent / name))
    if path is None:
        raise Stopped
    _show(book, window, sheet_jobs.JOBS[job](plan, path))


def renew(book, window):
    """Recalculate the open workbook in Excel."""
    book.app.calculate()
    window.say("Everything was worked out again.")


JOBS = {
    "judge": ("Judge: does it pay, and why", judge),
    "risk": ("Risk: how likely it pays, on the sheet Risk", risk),
    "compare": ("Compare with another workbook", compare),
    "quote": ("Quote for the customer", quote),
    "settle": ("Statement of the lot milled", settle),
    "renew": ("Work everything out again", renew),
}
"""Caption and function of each job."""


def main(offered=JOBS):
    """Let the user choose a job for the open workbook, and do it."""
    from .window import Window

    run(caller(), Window(), offered)


def run(book, window, offered=JOBS):
    """Do a job; an error is shown in the window.

    Parameters
    ----------
    book : xlwings.Book
    window : Window
    offered : mapping of str to (str, callable)
        Jobs to choose from; a single one is done at once.
    """
    job, *others = offered
    if others:
        job = window.choose({name: words for name, (words, _) in offered.items()})
    if job is None:
        return
    try:
        offered[job][1](book, window)
    except Stopped:
        window.say("Stopped. Nothing was changed.")
    except PennyweightError as error:
        window.say(str(error))
