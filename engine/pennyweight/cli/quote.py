"""``pennyweight quote``: quote for a customer, and charges for a margin."""

from pathlib import Path

import typer

from .arguments import BookArgument, ForceOption, JsonOption, OptionalOutput, option
from .screen import console, echo_json, opened, safe, table


def quote(
    book: BookArgument,
    output: OptionalOutput = None,
    margin: option(
        str,
        "Say what to charge for this margin, 20% or $150/hour; for the mill only.",
        metavar="MARGIN",
    ) = "",
    lots: option(
        Path | None,
        "With --margin: price each lot of a table of customers and lots.",
        metavar="LOTS.csv",
    ) = None,
    force: ForceOption = False,
    json: JsonOption = False,
):
    """Write the quote for a customer; or say what to charge for a margin."""
    from ..errors import CallError

    if not margin and (lots or json or not output):
        raise CallError(
            "Give -o FILE.xlsx for the quote, or --margin 20% for what to charge."
        )
    plan = opened(book)
    if not margin:
        typer.echo(f"Written: {plan.quote(output, force)}")
        if draft := plan.quote_draft():
            typer.echo(f"Warning: {draft}", err=True)
        _say_margin(plan)
        return
    prices = plan.charges(margin, lots, output, force)
    if json:
        echo_json(
            {
                "wanted": prices.wanted,
                "lots": prices.names,
                "charges": prices.rows,
                "by_season_load": prices.by_load,
                "season_load": prices.load,
            }
        )
    else:
        _show(prices)
    if output:
        typer.echo(f"Written: {output}", err=json)


MARGINS = (
    ("season_mill_margin", "if every hour of the season is sold"),
    ("season_margin_booked", "if the booked lots bear the season's fixed cost"),
    ("season_margin_left", "if the booked lots bear capital cost, too"),
)
"""Margins of a season by the cost counted, from the highest to the lowest."""


def margins_of_a_lot(plan):
    """Sentences on the mill's margin of a lot, by the cost that is counted."""
    row = plan.contracts.loc[plan.inputs["contract_kind"]]
    lots = plan.results["lots_milled"]
    each = [(row[name] / lots, words) for name, words in MARGINS]
    text = ", ".join(f"{plan.money(amount)} {words}" for amount, words in each)
    yield f"For the mill only, margin of a lot: {text}."
    name = "crew_paid_for"
    yield f"{plan.label(name)}: {plan.inputs[name]}."
    if losses := [words for amount, words in each if amount < 0]:
        yield f"Warning: the mill loses money {losses[0]}."


def _say_margin(plan):
    """Print the mill's margin on the error stream, apart from the quote."""
    for text in margins_of_a_lot(plan):
        typer.echo(text, err=True)
    if missing := plan.must_haves():
        count = f"{len(missing)} figures are" if len(missing) > 1 else "a figure is"
        typer.echo(
            f"Warning: the mill's cost is an estimate: {count} missing.", err=True
        )
    if plan.results["season_load"] > 1:
        typer.echo("Warning: the booked lots need more than the season.", err=True)


def _show(prices):
    for note in prices.notes:
        console().print(note)
    heads = ["", *(basis.replace(" with", "\nwith") for basis in prices.bases)]
    for at, lot in enumerate(prices.names):
        console().print(f"\n{safe(lot)}")
        shown = table(*heads, right=range(1, 5))
        for name, row in prices.rows.items():
            unit = prices.unit(name)
            label = prices.label(name) + (f", {unit}" if unit else "")
            shown.add_row(label, *(prices.text(name, v) for v in row[:, at]))
        console().print(shown)
