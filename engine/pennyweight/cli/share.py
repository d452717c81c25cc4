"""The commands for books that travel: compare, inspect and renew."""

import contextlib
import json
from pathlib import Path
from typing import Annotated

import typer

JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for programs.")]


@contextlib.contextmanager
def _status(words):
    """A line that counts on, for people who wait; nothing for programs."""
    from rich.console import Console

    console = Console(stderr=True)
    with console.status(words) as status:
        yield lambda done: status.update(f"{words}: {done:,}")


def compare(
    mine: Annotated[Path, typer.Argument(metavar="MINE", help="The book you sent.")],
    theirs: Annotated[
        Path, typer.Argument(metavar="THEIRS", help="The book that came back.")
    ],
    output: Annotated[
        Path | None, typer.Option("-o", help="Write the comparison as a workbook.")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace OUTPUT.")] = False,
    as_json: JsonOption = False,
):
    """Say what changed in a book, and what each change did to the money."""
    from ..documents.compare import compare_books
    from ..workbook.files import refuse_inputs
    from .share_screen import show_comparison

    refuse_inputs([output] if output else [], [mine, theirs])
    with _status("Working out the combinations of changes") as progress:
        comparison = compare_books(mine, theirs, progress)
    if output:
        from ..documents.comparison_book import write_comparison

        write_comparison(comparison, output, force)
    if as_json:
        typer.echo(json.dumps(comparison.as_json(), indent=2))
        return
    show_comparison(comparison)
    if output:
        typer.echo(f"Written: {output}")


def inspect(
    book: Annotated[Path, typer.Argument(metavar="BOOK", help="A workbook.")],
    as_json: JsonOption = False,
    strict: Annotated[
        bool, typer.Option("--strict", help="End with code 3 for an altered book too.")
    ] = False,
):
    """Say whether a book is whole: sound, altered (and where), or unusable."""
    from ..workbook.inspection.inspect import SOUND, UNUSABLE, inspect_book
    from .share_screen import show_inspection

    inspection = inspect_book(book)
    if as_json:
        typer.echo(json.dumps(inspection.as_json(), indent=2))
    else:
        show_inspection(inspection)
    if inspection.outcome == UNUSABLE or (strict and inspection.outcome != SOUND):
        raise typer.Exit(3)


def renew(
    book: Annotated[Path, typer.Argument(metavar="BOOK", help="A workbook.")],
    output: Annotated[
        Path | None, typer.Option("-o", help="Write there instead of into the book.")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace OUTPUT.")] = False,
):
    """Put the engine's results for its present inputs into a book; all else stays."""
    from ..errors import CallError
    from ..workbook.files import refuse_other_ending
    from ..workbook.renew import renew_book

    if output:
        refuse_other_ending(output)
    if output and output.exists() and not force:
        raise CallError(
            f"{output} exists already: choose another name, or add --force."
        )
    count = renew_book(book, output)
    typer.echo(
        f"Written: {output or book} ({count} cell{'' if count == 1 else 's'} renewed)"
    )
