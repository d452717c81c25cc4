"""``pennyweight risk``: how likely it is that a claim pays, and what that hangs on."""

import math
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

BookArgument = Annotated[Path, typer.Argument(metavar="BOOK", help="A workbook.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for programs.")]
ForceOption = Annotated[
    bool, typer.Option("--force", help="Replace a copy that is there already.")
]
TRIALS = 16384


class Gold(StrEnum):
    """How the gold price is uncertain."""

    flat = "flat"
    path = "path"
    table = "table"


class Shape(StrEnum):
    """Shape of the table's ranges."""

    triangular = "triangular"
    pert = "pert"


def risk(
    book: BookArgument,
    trials: Annotated[
        int, typer.Option(help="Sets of inputs to draw; rounded up.")
    ] = TRIALS,
    seed: Annotated[
        int, typer.Option(help="The same seed gives the same figures.")
    ] = 0,
    funds: Annotated[
        float | None,
        typer.Option(help="Own money at hand; what the plan needs when left out."),
    ] = None,
    gold: Annotated[
        Gold,
        typer.Option(
            help="Gold price: one uncertain mean, a walk over the months, or the "
            "table's low and high."
        ),
    ] = Gold.flat,
    volatility: Annotated[
        float | None, typer.Option(help="Of the gold price, a year; 0.15 is 15 %.")
    ] = None,
    shape: Annotated[
        Shape, typer.Option(help="Shape of the ranges between low and high.")
    ] = Shape.triangular,
    vary: Annotated[
        list[str] | None,
        typer.Option(
            help="Another distribution, as INPUT=KIND:NUMBERS; for example "
            "head_grade=lognormal:0.28,0.25 or gravity_recovery=lots:0.58,0.66,0.61 "
            "or wage=fixed:29. May be repeated."
        ),
    ] = None,
    correlate: Annotated[
        list[str] | None,
        typer.Option(help="As INPUT,INPUT=SHARE, from -1 to 1. May be repeated."),
    ] = None,
    assay_scatter: Annotated[
        float | None,
        typer.Option(help="Scatter of one assay over its mean; from the samples."),
    ] = None,
    lot_scatter: Annotated[
        float, typer.Option(help="Scatter of one test lot's recovery over its mean.")
    ] = 0.1,
    lot_cost: Annotated[
        float | None,
        typer.Option(help="What one more test lot costs; without it there is no net."),
    ] = None,
    rate: Annotated[
        bool, typer.Option("--rate", help="The rate of return too; takes far longer.")
    ] = False,
    as_json: JsonOption = False,
    output: Annotated[
        Path | None,
        typer.Option(
            "-o",
            "--output",
            metavar="COPY",
            help="Enter the figures into a copy, and leave the book as it is.",
        ),
    ] = None,
    fill: Annotated[
        bool, typer.Option(help="Enter the figures into the book's sheet Chance.")
    ] = True,
    force: ForceOption = False,
):
    """Say how likely the claim pays, what that hangs on, and what more is worth."""
    from ..risk import price, report
    from ..risk.analysis import check_trials
    from ..risk.study import make_study
    from ..workbook.read import read_book
    from .risk_options import correlation, distribution_of, progress

    if output is not None:
        _check_output(output, force)
    check_trials(trials)
    reading = read_book(book)
    study = make_study(
        reading.inputs,
        reading.units,
        vary=dict(distribution_of(text) for text in vary or ()),
        correlations=dict(correlation(text) for text in correlate or ()),
        gold=gold.value,
        volatility=price.VOLATILITY if volatility is None else volatility,
        shape=shape.value,
    )
    with progress(trials, quiet=as_json) as tick:
        found = report.make_report(
            study,
            trials,
            seed,
            funds,
            rate,
            assay_scatter,
            lot_scatter,
            math.nan if lot_cost is None else lot_cost,
            tick,
        )
    if as_json:
        import json

        typer.echo(json.dumps(report.as_json(found), indent=2))
    else:
        from .risk_screen import show_report

        show_report(found)
    if fill or output is not None:
        _enter(found, reading, book, output, quiet=as_json)


def _enter(found, reading, book, output, quiet):
    """Fill the sheet; a book that cannot be filled now does not undo the answer."""
    from ..errors import WorkbookError
    from ..workbook.risk_sheet.fill import fill_chance

    try:
        written = fill_chance(book, found, reading.inputs, output)
    except WorkbookError as error:
        if output is not None:
            raise
        typer.echo(f"Not entered into the book: {error}", err=True)
    else:
        if not quiet:
            typer.echo(f"Entered on the sheet Chance of {written}")


def _check_output(path, force):
    """Refuse before the work what would be refused after it."""
    from ..errors import CallError
    from ..workbook.files import refuse_other_ending

    refuse_other_ending(path)
    if path.exists() and not force:
        raise CallError(
            f"{path} exists already: choose another name, or add --force to replace it."
        )
