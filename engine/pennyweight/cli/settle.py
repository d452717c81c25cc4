"""``pennyweight settle``: what is paid for a lot, or for several."""

from pathlib import Path
from typing import Annotated

import typer

from .arguments import BookArgument, ForceOption, OutputOption
from .screen import counting, echo_notes

LotsOption = Annotated[
    Path | None,
    typer.Option(
        "--lots", metavar="LOTS.csv", help="Table of several lots; writes a ledger."
    ),
]
ConfirmOption = Annotated[
    str,
    typer.Option(
        "--confirm-balance",
        metavar="REASON",
        help="Pay although the gold balance is outside the tolerance; printed.",
    ),
]


def settle(
    book: BookArgument,
    output: OutputOption,
    lots: LotsOption = None,
    confirm: ConfirmOption = "",
    force: ForceOption = False,
):
    """Write the settlement statement of a lot, or the ledger of several lots."""
    from ..plan import read

    plan = read(book)
    echo_notes(plan)
    if lots:
        with counting("Lots written") as progress:
            owed = plan.ledger(output, lots, force, confirm, progress)
        for written in (output, output.with_suffix(".csv")):
            typer.echo(f"Written: {written}")
        who = "The owner owes the mill" if owed < 0 else "The mill owes the owner"
        typer.echo(f"{who} {plan.money(abs(owed))}.")
        return
    path = plan.settle(output, force, confirm)
    for written in (path, path.with_suffix(".csv")):
        typer.echo(f"Written: {written}")
    _say_settled(plan)


def _say_settled(plan):
    results = plan.results
    assay = plan.text("settle_assay", results["settle_assay"])
    typer.echo(f"Settlement assay: {assay}, {results['settle_how']}.")
    words, net = results["settle_words"], plan.money(abs(results["settle_net"]))
    typer.echo(f"{words[0].upper()}{words[1:]} {net}.")
