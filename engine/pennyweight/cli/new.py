"""``pennyweight new``: a new workbook."""

from typing import Literal

import typer

from .arguments import (
    BookArgument,
    ExampleOption,
    ForceOption,
    SourceOption,
    UnitsOption,
    option,
)

ENTERED_ON = {
    "test": "sheets Start, Inputs and Test lot",
    "mill": "sheets Start and Inputs",
}
"""Where a job's figures are entered, if not on the sheet Start alone."""


def new(
    book: BookArgument,
    units: UnitsOption = None,
    example: ExampleOption = False,
    source: SourceOption = None,
    ask: option(
        bool, "Ask for the figures that are needed, then judge.", "--ask"
    ) = False,
    job: option(
        Literal["claim", "contract", "lot", "test", "mill", "everything"] | None,
        "Ask for, and show, only what this job needs; else everything.",
        "--for",
    ) = None,
    currency: option(
        str | None, "Currency of all money, such as GHS; default: US dollars."
    ) = None,
    exchange_rate: option(
        float | None, "Units of that currency in one US dollar, for the estimates."
    ) = None,
    with_functions: option(
        bool,
        "Include the trade functions as named functions, for Excel 365.",
        "--with-functions",
    ) = False,
    force: ForceOption = False,
):
    """Write a new workbook."""
    plan = new_plan(units, example, source)
    plan = plan.for_job(job) if job else plan
    notes = plan.notes
    chosen = {"currency": currency, "exchange_rate": exchange_rate}
    if any(chosen.values()):
        plan = plan.change({n: value for n, value in chosen.items() if value})
    if ask:
        plan = _asked(plan, book, example, force)
    written = _write(plan, book, force, with_functions)
    for note in notes:
        typer.echo(note)
    typer.echo(f"Written: {written}")
    if ask:
        from .judge import show_judgement

        show_judgement(plan)
        return
    if example:
        typer.echo("This is the worked example, an invented claim. See what it says:")
    elif source:
        typer.echo(f"It has the inputs of {source}. See what it says:")
    else:
        sheets = ENTERED_ON.get(job, "sheet Start")
        typer.echo(f"Enter your figures on the {sheets}, save, then judge:")
    typer.echo(f"  pennyweight judge {written}")


def _write(plan, book, force, with_functions):
    if not with_functions:
        return plan.write(book, force)
    from ..addins.named_functions import write_with_functions

    return write_with_functions(plan, book, force)


def _asked(plan, book, example, force):
    """The plan with the answers; the output is checked before the questions."""
    from ..errors import CallError
    from .ask import ask_must_haves

    if example:
        raise CallError("The example has every figure. Leave out --ask or --example.")
    plan.may_write(book, force)
    return ask_must_haves(plan)


def new_plan(units, example, source):
    """The plan of a new workbook: empty, the example, or from another workbook."""
    from .. import opening, plan
    from ..errors import CallError

    if example and source:
        raise CallError("Choose one of --example and --from.")
    if source:
        return opening.carry_over(source, units)
    if example:
        return opening.example(units or "us")
    return plan.Plan(units=units or "us")
