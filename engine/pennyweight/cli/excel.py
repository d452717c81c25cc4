"""``pennyweight excel``: buttons and functions for Excel."""

import sys
from pathlib import Path

import typer

from .arguments import (
    ExampleOption,
    ForceOption,
    SourceOption,
    UnitsOption,
    argument,
)

app = typer.Typer(no_args_is_help=True, help="Buttons and functions for Excel.")

MacroBook = argument(Path, "A macro workbook.", metavar="BOOK.xlsm")


@app.command()
def new(
    book: MacroBook,
    units: UnitsOption = None,
    source: SourceOption = None,
    example: ExampleOption = False,
    force: ForceOption = False,
):
    """Write a macro workbook with buttons, for this machine."""
    from ..addins.excel.macro_workbook import new_workbook
    from .new import new_plan

    plan = new_plan(units, example, source)
    for note in plan.notes:
        typer.echo(note)
    for path in new_workbook(plan.book(), book, force):
        typer.echo(f"Written: {path}")
    if not sys.platform.startswith(("win", "darwin")):
        typer.echo("It cannot be used on this system: it names this machine's Python.")
        return
    typer.echo("Open it in Excel, enable macros, and press Run on the sheet Buttons.")
    typer.echo("For the functions: Alt+F11, File, Import File, the .bas beside it.")


@app.command()
def install():
    """Install the add-in: a button on the ribbon of every workbook."""
    from ..addins.excel.addin import install as put_in

    for line in put_in():
        typer.echo(line)


@app.command()
def uninstall():
    """Remove the add-in and its script."""
    from ..addins.excel.addin import uninstall as take_out

    for line in take_out():
        typer.echo(line)


@app.command()
def refresh(book: MacroBook):
    """Update the script and the functions of a macro workbook."""
    from ..addins.excel.macro_workbook import named
    from ..errors import CallError

    if not named(book).exists():
        raise CallError(f"There is no file {book}.")
    from ..addins.excel.buttons import refresh as renew

    for line in renew(book):
        typer.echo(line)


@app.command()
def doctor(book: argument(Path | None, metavar="BOOK.xlsm") = None):
    """Check why the functions or buttons do not work in Excel, and how to fix it."""
    from ..addins.excel.doctor import examine
    from .diagnosis_screen import show_checks

    raise SystemExit(show_checks(examine(workbook=book)))
