"""``pennyweight new``: a fresh workbook."""

from pathlib import Path
from typing import Annotated

import typer

from .arguments import BookArgument, ForceOption, Units


def new(
    book: BookArgument,
    units: Annotated[
        Units | None, typer.Option(help="Unit system of the workbook; default: us.")
    ] = None,
    example: Annotated[
        bool, typer.Option("--example", help="The worked example, an invented claim.")
    ] = False,
    source: Annotated[
        Path | None,
        typer.Option(
            "--from", metavar="OTHER", help="Take over the inputs of this workbook."
        ),
    ] = None,
    force: ForceOption = False,
):
    """Write a new workbook."""
    plan = new_plan(units and units.value, example, source)
    written = plan.write(book, force)
    for note in plan.notes:
        typer.echo(note)
    typer.echo(f"Written: {written}")
    if example:
        typer.echo("This is the worked example, an invented claim. See what it says:")
    else:
        typer.echo("Enter your figures on the sheet Start, save, then judge:")
    typer.echo(f"  pennyweight judge {written}")


def new_plan(units, example, source):
    """The plan that a new workbook begins with: empty, the example, or another's."""
    from .. import plan
    from ..errors import CallError

    if example and source:
        raise CallError("Choose one of --example and --from.")
    if source:
        return plan.carry_over(source, units)
    return plan.example(units or "us") if example else plan.Plan(units=units or "us")
