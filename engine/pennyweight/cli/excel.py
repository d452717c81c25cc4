"""The commands of the Excel door."""

from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(no_args_is_help=True, help="Buttons and functions for Excel.")

MacroBook = Annotated[
    Path, typer.Argument(metavar="BOOK.xlsm", help="A macro workbook.")
]


@app.command()
def new(
    book: MacroBook,
    units: Annotated[str, typer.Option(help="us or metric.")] = "us",
    source: Annotated[
        Path | None, typer.Option("--from", help="Take the inputs of this workbook.")
    ] = None,
    example: Annotated[bool, typer.Option("--example", help="The example.")] = False,
    force: Annotated[bool, typer.Option("--force", help="Replace files.")] = False,
):
    """Write a macro workbook with buttons, made for this machine."""
    from ..addins.excel.workbook import new_workbook
    from ..workbook.book import make_book

    if source is not None:
        from .reading import read_book

        read = read_book(source)
        made = make_book(read.inputs, read.units, read.statuses, read.bases)
    else:
        names = {} if example else {"claim_name": "My claim", "prepared_by": ""}
        made = make_book(names, _units(units))
    for path in new_workbook(made, book, force):
        typer.echo(f"Written: {path}")
    typer.echo("Open it in Excel, enable macros, and press Run on the sheet Buttons.")
    typer.echo("For the functions: Alt+F11, File, Import File, the .bas beside it.")


@app.command()
def refresh(book: MacroBook):
    """Renew the script and the functions of a macro workbook."""
    from ..addins.excel.workbook import named
    from ..errors import CallError

    if not named(book).exists():
        raise CallError(f"There is no file {book}.")
    from ..addins.excel.buttons import refresh as renew

    for line in renew(book):
        typer.echo(line)


@app.command()
def doctor(book: Annotated[Path | None, typer.Argument(metavar="BOOK.xlsm")] = None):
    """Say what keeps Excel's functions or buttons from working, and the mend."""
    from ..addins.excel.doctor import examine
    from .findings_screen import show_findings

    raise SystemExit(show_findings(examine(workbook=book)))


def _units(word):
    from ..errors import CallError
    from ..model.units import SYSTEMS

    if word not in SYSTEMS:
        raise CallError(f"--units is {word!r}; it must be us or metric.")
    return word
