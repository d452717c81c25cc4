"""Arguments and options shared by several commands."""

from pathlib import Path
from typing import Annotated, Literal

import typer


def option(kind, help, *names, **more):
    """An option; its name is the parameter's unless others are given."""
    return Annotated[kind, typer.Option(*names, help=help, **more)]


def output_option(kind, help="Output file (.xlsx).", metavar="FILE"):
    """The option that names the file to write."""
    return option(kind, help, "-o", "--output", metavar=metavar)


def argument(kind, help=None, metavar=None):
    """An argument."""
    return Annotated[kind, typer.Argument(metavar=metavar, help=help)]


def number_or_share(text):
    """A number; a share may be written in percent."""
    text = str(text).strip()
    try:
        number = float(text.removesuffix("%"))
    except ValueError:
        raise typer.BadParameter(
            f"{text!r} is not a number. Enter a number with a decimal point, such as "
            "12.5, without commas, or a share such as 85%."
        ) from None
    return number / 100 if text.endswith("%") else number


BookArgument = argument(Path, "Workbook (.xlsx).", metavar="BOOK")
JsonOption = option(bool, "Print JSON, for programs.", "--json")
ForceOption = option(bool, "Replace existing files.", "--force")
OutputOption = output_option(Path)
OptionalOutput = output_option(Path | None)
UnitsOption = option(
    Literal["us", "metric"] | None, "Unit system of the workbook; default: us."
)
ExampleOption = option(bool, "The worked example, an invented claim.", "--example")
SourceOption = option(
    Path | None, "Take over the inputs of this workbook.", "--from", metavar="OTHER"
)
