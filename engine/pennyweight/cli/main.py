"""The command line. Thin: it reads, asks the engine, and prints."""

import os
import sys
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from ..errors import PennyweightError
from .calc import app as calc_app
from .contract import quote, settle
from .excel import app as excel_app
from .functions import functions
from .risk import risk
from .share import compare, inspect, renew
from .what_if import break_even, cases

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help="The economics of a small gold mill, in spreadsheets that everyone can open.",
)

INTERRUPTED = 130

BookArgument = Annotated[Path, typer.Argument(metavar="BOOK", help="A workbook.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for programs.")]
ForceOption = Annotated[
    bool, typer.Option("--force", help="Replace a file that is there already.")
]


class Units(StrEnum):
    """The two unit systems."""

    us = "us"
    metric = "metric"


def _version(wanted: bool):
    if wanted:
        from .. import __version__

        typer.echo(f"pennyweight {__version__}")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True)
    ] = False,
):
    """The economics of a small gold mill, in spreadsheets that everyone can open."""


@app.command()
def new(
    book: BookArgument,
    units: Annotated[
        Units | None, typer.Option(help="Unit system of the book: us when left out.")
    ] = None,
    example: Annotated[
        bool, typer.Option("--example", help="The worked example, under its own name.")
    ] = False,
    theirs: Annotated[
        Path | None,
        typer.Option("--from", help="Take the inputs of another book of ours."),
    ] = None,
    force: ForceOption = False,
):
    """Write a fresh workbook, ready to be filled."""
    from ..workbook.book import make_book
    from ..workbook.files import refuse_other_ending
    from ..workbook.write import write_book

    refuse_other_ending(book)
    if theirs:
        made, left_behind = _carried(theirs, units and units.value)
    else:
        names = {} if example else {"claim_name": "My claim", "prepared_by": ""}
        made, left_behind = make_book(names, units.value if units else "us"), []
    written = write_book(made, book, force)
    for sentence in left_behind:
        typer.echo(f"Not carried over: {sentence}")
    typer.echo(f"Written: {written}")
    typer.echo("Change the yellow cells on the sheet Inputs, save, and run")
    typer.echo(f"  pennyweight judge {written}")


@app.command()
def judge(book: BookArgument, as_json: JsonOption = False):
    """Say whether the claim pays, why, and what would turn it."""
    from ..model.judgement import judge as judged
    from .reading import read_book

    reading = read_book(book)
    judgement = judged(reading.inputs, reading.units, reading.given, reading.ranges)
    if as_json:
        import json

        typer.echo(json.dumps(judgement.as_json(), indent=2))
    else:
        from .judge_screen import show_judgement

        show_judgement(judgement)


app.command()(functions)
app.command()(quote)
app.command()(settle)
app.command()(risk)
app.command()(cases)
app.command()(break_even)
app.command()(compare)
app.command()(inspect)
app.command()(renew)
app.add_typer(excel_app, name="excel")
app.add_typer(calc_app, name="calc")


def _carried(theirs, units):
    from ..workbook.book import make_book
    from ..workbook.carry import carry_from

    found = carry_from(theirs, units)
    made = make_book(
        found.complete,
        found.units,
        found.statuses,
        found.bases,
        found.inputs,
        found.ranges,
    )
    return made, found.left_behind


def main(arguments=None):
    """Run the command line; no traceback reaches the user.

    Parameters
    ----------
    arguments : list of str, optional
        Instead of those of the process.
    """
    try:
        code = app(arguments, standalone_mode=False)
        if code == INTERRUPTED:
            raise KeyboardInterrupt  # the library answers an interrupt with this code
    except PennyweightError as error:
        _stop(str(error), error.exit_code)
    except (KeyboardInterrupt, EOFError):
        _stop(_ended("Stopped; nothing was written."), INTERRUPTED)
    except Exception as error:
        _stop_unknown(error)
    else:
        if isinstance(code, int) and code:
            sys.exit(code)


def _called(error):
    """The command whose call is wrong, however the program itself was started."""
    names, context = [], getattr(error, "ctx", None)
    while context and context.parent:
        names.insert(0, context.info_name)
        context = context.parent
    return " ".join(["pennyweight", *names])


def _stop_unknown(error):
    """Errors of the call itself come from click; anything else is a fault of ours."""
    if hasattr(error, "exit_code") and hasattr(error, "format_message"):
        _stop(f"{error.format_message()}\nTry '{_called(error)} --help'.", 2)
    if os.environ.get("PENNYWEIGHT_DEBUG"):
        raise error
    _stop(
        f"An unforeseen fault ({type(error).__name__}: {error}). {_ended()} "
        "Please report it, with the workbook if you can.",
        1,
    )


def _ended(otherwise="Nothing was written."):
    """Which files were written before the command ended early."""
    from ..workbook.files import WRITTEN

    return f"Written: {', '.join(map(str, WRITTEN))}." if WRITTEN else otherwise


def _stop(message, code):
    from ..workbook.package.text_part import plain

    # What a file says may stand in the message; it must not steer the terminal.
    print("\n".join(map(plain, message.splitlines())), file=sys.stderr)
    sys.exit(code)
