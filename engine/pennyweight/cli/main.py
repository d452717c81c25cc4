"""The command line: it reads, calls the engine, and prints."""

import gc
import os
import re
import sys
import warnings
from typing import Annotated

import typer

from ..errors import WRITTEN, OutsideRange, PennyweightError, plain
from .break_even import break_even
from .calc import app as calc_app
from .cases import cases
from .compare import compare
from .excel import app as excel_app
from .functions import functions
from .inspect import inspect
from .judge import judge
from .learn import learn
from .new import new
from .quote import quote
from .renew import renew
from .report import report
from .risk import risk
from .season import season
from .settle import settle

HELP = "The economics of a small gold mill, in spreadsheets that everyone can open."
INTERRUPTED = 130
NOT_A_NUMBER = {
    "number": "Enter a number with a decimal point, such as 12.5, without commas.",
    "integer": "Enter a whole number without commas, such as 1000.",
}
"""Messages in place of those of the library that reads options."""

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help=HELP,
)


def _version(wanted: bool):
    if wanted:
        from .. import __version__

        typer.echo(f"pennyweight {__version__}")
        raise typer.Exit


@app.callback(help=HELP)
def _options(
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_version, is_eager=True, help="Show the version."
        ),
    ] = False,
):
    pass


for command in (
    new,
    judge,
    quote,
    settle,
    report,
    risk,
    season,
    learn,
    cases,
    break_even,
    compare,
    inspect,
    renew,
    functions,
):
    app.command()(command)
app.add_typer(excel_app, name="excel")
app.add_typer(calc_app, name="calc")


def main(arguments=None):
    """Run the command line; no traceback reaches the user.

    Parameters
    ----------
    arguments : list of str, optional
        Instead of those of the process.
    """
    WRITTEN.clear()
    # A workbook is many objects; looking for waste among them takes a twentieth.
    gc.set_threshold(50_000, 20, 50)
    # Judge reports which equations are outside their range of validity.
    warnings.simplefilter("ignore", OutsideRange)
    try:
        code = app(arguments, standalone_mode=False)
        if code == INTERRUPTED:
            raise KeyboardInterrupt  # the library returns this code for an interrupt
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
    """The command that was called wrongly, with the usual name of the program."""
    names, context = [], getattr(error, "ctx", None)
    while context and context.parent:
        names.insert(0, context.info_name)
        context = context.parent
    return " ".join(["pennyweight", *names])


def _stop_unknown(error):
    """End with a message: errors of the call come from click, others are defects."""
    if hasattr(error, "exit_code") and hasattr(error, "format_message"):
        message = error.format_message().replace("Value error, ", "")
        for library, own in NOT_A_NUMBER.items():
            message = re.sub(f"Input should be a valid {library}.*", own, message)
        _stop(f"{message}\nTry '{_called(error)} --help'.", 2)
    if os.environ.get("PENNYWEIGHT_DEBUG"):
        raise error
    if isinstance(error, OSError) and error.filename is None:
        _stop(f"The screen output cannot be written: {error.strerror}. {_ended()}", 1)
    _stop(
        f"An unforeseen fault ({type(error).__name__}: {error}). {_ended()} "
        "Please report it, with the workbook if you can.",
        1,
    )


def _ended(otherwise="Nothing was written."):
    """Sentence on the files written before the command ended early."""
    files = ", ".join(map(str, WRITTEN))
    return f"Written: {files}." if files else otherwise


def _stop(message, code):
    # Text from a file may be in the message; it must not control the terminal.
    print("\n".join(map(plain, message.splitlines())), file=sys.stderr)
    sys.exit(code)
