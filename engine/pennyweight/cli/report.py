"""``pennyweight report``: report of a test lot for the owner of the ore."""

import typer

from .arguments import BookArgument, ForceOption, OutputOption
from .screen import opened


def report(book: BookArgument, output: OutputOption, force: ForceOption = False):
    """Write the report of a test lot for the owner of the ore."""
    plan = opened(book)
    typer.echo(f"Written: {plan.test_report(output, force)}")
    if draft := plan.test_report_draft():
        typer.echo(f"Warning: {draft}", err=True)
