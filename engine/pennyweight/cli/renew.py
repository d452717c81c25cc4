"""``pennyweight renew``: update of a workbook's results for its present inputs."""

from pathlib import Path

import typer

from .arguments import BookArgument, ForceOption, output_option


def renew(
    book: BookArgument,
    output: output_option(
        Path | None, "Write another file; do not change the workbook."
    ) = None,
    force: ForceOption = False,
):
    """Update the results of a workbook from its inputs; change nothing else."""
    from .. import opening

    count = opening.renew(book, output, force)
    cells = "cell" if count == 1 else "cells"
    typer.echo(f"Written: {output or book} ({count} {cells} renewed)")
