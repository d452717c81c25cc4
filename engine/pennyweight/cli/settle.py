"""``pennyweight settle``: settlement statement of a lot, or ledger of several."""

from pathlib import Path

import typer

from .arguments import BookArgument, ForceOption, OutputOption, option
from .screen import counting, echo_notes

HELD = 3
"""Exit code if some lots of a table cannot be settled yet."""


def settle(
    book: BookArgument,
    output: OutputOption,
    lots: option(
        Path | None, "Table of several lots; writes a ledger.", metavar="LOTS.csv"
    ) = None,
    terms: option(
        list[Path] | None,
        "Workbook with other terms that lots follow; may be repeated.",
        metavar="OTHER.xlsx",
    ) = None,
    provisional: option(
        bool,
        "A provisional statement: the refiner has not settled.",
        "--provisional",
    ) = False,
    on: option(
        str,
        "Day to which days past due and late interest of a ledger count; default: the "
        "latest date of the table.",
        "--on",
        metavar="DAY",
    ) = "",
    prices: option(
        Path | None,
        "Published prices, a date and a price per line; with --price-day.",
        metavar="PRICES.csv",
    ) = None,
    day: option(
        str,
        "2026-07-14, or 2026-07-01:2026-07-31 for the average of a period.",
        "--price-day",
        metavar="DAY",
    ) = "",
    confirm: option(
        str,
        "Reason for settling outside the gold balance tolerance; it is printed.",
        "--confirm-balance",
        metavar="REASON",
    ) = "",
    force: ForceOption = False,
):
    """Write the settlement statement of a lot, or the ledger of several lots."""
    from ..errors import CallError
    from ..opening import read

    if bool(prices) != bool(day) or (lots and (prices or provisional)):
        raise CallError(
            "--prices and --price-day belong together, and to the statement of one "
            "lot, as does --provisional. A table of lots has a column price."
        )
    if (terms or on) and not lots:
        name = "--terms" if terms else "--on"
        raise CallError(f"{name} belongs to a table of lots: add --lots LOTS.csv.")
    plan = read(book)
    if lots:
        with counting("Lots written") as progress:
            others = [read(path) for path in terms or ()]
            owed = plan.ledger(output, lots, force, confirm, progress, others, on)
        for written in (output, output.with_suffix(".csv")):
            typer.echo(f"Written: {written}")
        echo_notes(plan)
        _say_owed(plan, owed)
        for one in (plan, *others):
            if draft := one.statement_draft(ledger=True):
                typer.echo(f"Warning: {one.path.name}: {draft}", err=True)
        for reason in plan.held:
            typer.echo(f"Held, not in the ledger: {reason}", err=True)
        if plan.held:
            typer.echo(
                "A lot held for its gold balance alone is settled with "
                '--confirm-balance "reason"; the ledger then names the reason.',
                err=True,
            )
            raise typer.Exit(HELD)
        return
    echo_notes(plan)
    if prices:
        plan = plan.priced(prices, day)
    path = plan.settle(output, force, confirm, provisional)
    for written in (path, path.with_suffix(".csv")):
        typer.echo(f"Written: {written}")
    _say_settled(plan, provisional)
    for warning in (
        *plan.judge().look_again,
        plan.statement_draft(provisional=provisional),
    ):
        if warning:
            typer.echo(f"Warning: {warning}", err=True)


def _say_owed(plan, owed):
    """Print what the mill owes and what it is owed, never set off between owners."""
    to_owners, by_owners = (sum(max(s * n, 0) for n in owed.values()) for s in (1, -1))
    if to_owners or not by_owners:
        typer.echo(f"The mill owes {plan.money(to_owners)} over all lots.")
    if by_owners:
        typer.echo(f"The mill is owed {plan.money(by_owners)} over all lots.")
    typer.echo("The sheet Customers shows what of it is due.")


def _say_settled(plan, provisional):
    results = plan.results
    assay = plan.text("settle_assay", results["settle_assay"])
    typer.echo(f"Settlement assay: {assay}, {results['settle_how']}.")
    words, net = results["settle_words"], plan.money(abs(results["settle_net"]))
    if not provisional:
        typer.echo(f"{words[0].upper()}{words[1:]} {net}.")
        return
    due = plan.money(results["provisional_due"])
    typer.echo(f"Provisional balance: {words} {net}. Payable now: {due}.")
