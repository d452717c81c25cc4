"""Quotes from a book."""

from pathlib import Path
from typing import Annotated

import typer

from ..errors import CallError

BookArgument = Annotated[Path, typer.Argument(metavar="BOOK", help="A workbook.")]
OutOption = Annotated[
    Path, typer.Option("-o", "--output", metavar="FILE", help="What to write.")
]
ForceOption = Annotated[
    bool, typer.Option("--force", help="Replace a file that is there already.")
]


def quote(book: BookArgument, output: OutOption, force: ForceOption = False):
    """Write the customer's quote: terms, and what is left to the owner."""
    from ..workbook.files import write_whole
    from ..workbook.quote import make_quote
    from ..workbook.read import read_book

    reading = read_book(book)
    page = make_quote(reading.inputs, reading.units)
    typer.echo(f"Written: {write_whole(_as_xlsx(output, book), page.content(), force)}")


def _as_xlsx(path, book):
    if path.suffix.lower() != ".xlsx":
        raise CallError(f"{path}: the name of a workbook ends in .xlsx.")
    if path.resolve() == Path(book).resolve():
        raise CallError(f"{path} is the book itself: choose another name.")
    return path
