"""``pennyweight quote``: what a customer is offered."""

import typer

from .arguments import BookArgument, ForceOption, OutputOption
from .screen import echo_notes


def quote(book: BookArgument, output: OutputOption, force: ForceOption = False):
    """Write the quote for a customer: terms, charges, and the customer's net."""
    from ..plan import read

    plan = read(book)
    echo_notes(plan)
    typer.echo(f"Written: {plan.quote(output, force)}")
    if draft := plan.quote_draft():
        typer.echo(f"Warning: {draft}", err=True)
