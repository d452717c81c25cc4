"""Quotes, statements and ledgers from a book."""

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
    from ..documents.quote import make_quote
    from ..workbook.files import write_whole
    from ..workbook.read import read_book

    reading = read_book(book)
    page = make_quote(reading.inputs, reading.units)
    typer.echo(f"Written: {write_whole(_as_xlsx(output, book), page.content(), force)}")


def _as_xlsx(path, book):
    from ..workbook.files import refuse_other_ending

    refuse_other_ending(path)
    if path.resolve() == Path(book).resolve():
        raise CallError(f"{path} is the book itself: choose another name.")
    return path


LotsOption = Annotated[
    Path | None,
    typer.Option("--lots", metavar="LOTS.csv", help="Several lots: write a ledger."),
]


def settle(
    book: BookArgument,
    output: OutOption,
    lots: LotsOption = None,
    force: ForceOption = False,
):
    """Write the statement of the lot milled, or the ledger of several lots."""
    from ..workbook.files import write_whole
    from ..workbook.read import read_book

    _as_xlsx(output, book)
    reading = read_book(book)
    if lots is None:
        _statement(reading, output, force)
        return
    from ..documents.ledger import WHAT, ledger, read_lots
    from ..workbook.csv_file import read_csv

    table = read_lots(read_csv(lots, WHAT), reading.units)
    content, owed = ledger(reading.inputs, reading.units, table)
    typer.echo(f"Written: {write_whole(output, content, force)}")
    who = "the owner owes the mill" if owed < 0 else "the mill owes the owner"
    typer.echo(f"{who}: {abs(owed):,.2f}")


def _statement(reading, output, force):
    """A page for both sides, and its audit copy beside it."""
    from ..documents.statement import audit, make_statement
    from ..model.units import shown
    from ..workbook.files import write_whole

    page = make_statement(reading.inputs, reading.units)
    copy = output.with_suffix(".csv")
    if copy.exists() and not force:
        raise CallError(f"{copy} exists already: add --force to replace it.")
    typer.echo(f"Written: {write_whole(output, page.content(), force)}")
    typer.echo(f"Written: {write_whole(copy, audit(page), force)}")
    assay = f"{page.values['settle_assay']:.4g} {shown('grade', reading.units)}"
    typer.echo(f"assay settled on: {assay}, {page.values['settle_how']}")
    typer.echo(f"{page.values['settle_words']}: {abs(page.values['printed_net']):,.2f}")
