"""Quotes, statements and ledgers from a book."""

from pathlib import Path
from typing import Annotated

import typer

BookArgument = Annotated[Path, typer.Argument(metavar="BOOK", help="A workbook.")]
OutOption = Annotated[
    Path, typer.Option("-o", "--output", metavar="FILE", help="Output file (.xlsx).")
]
ForceOption = Annotated[
    bool, typer.Option("--force", help="Replace a file that is there already.")
]


def quote(book: BookArgument, output: OutOption, force: ForceOption = False):
    """Write the customer's quote: terms, charges, and what the customer keeps."""
    from ..documents.quote import make_quote
    from ..workbook.files import write_whole
    from .reading import read_book

    _refuse([output], [book])
    reading = read_book(book)
    page = make_quote(reading.inputs, reading.units)
    typer.echo(f"Written: {write_whole(output, page.content(), force)}")


def _refuse(outputs, inputs):
    """Refuse a name that is not a workbook's, and an output that is an input."""
    from ..workbook.files import refuse_inputs, refuse_other_ending

    refuse_other_ending(outputs[0])
    refuse_inputs(outputs, inputs)


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
    output: OutOption,
    lots: LotsOption = None,
    confirm: ConfirmOption = "",
    force: ForceOption = False,
):
    """Write the settlement statement of a lot, or the ledger of several lots."""
    from .reading import read_book

    copy = output.with_suffix(".csv")
    outputs = [output] if lots else [output, copy]
    _refuse(outputs, [book, lots] if lots else [book])
    reading = read_book(book)
    if lots:
        _ledger(reading, lots, output, confirm, force)
    else:
        _statement(reading, outputs, confirm, force)


def _ledger(reading, lots, output, confirm, force):
    from ..documents.ledger import WHAT, ledger
    from ..documents.lots import read_lots
    from ..workbook.csv_file import read_csv
    from ..workbook.files import write_whole

    table = read_lots(read_csv(lots, WHAT), reading.units, lots.name)
    content, owed = ledger(reading.inputs, reading.units, table, confirm)
    typer.echo(f"Written: {write_whole(output, content, force)}")
    who = "The owner owes the mill" if owed < 0 else "The mill owes the owner"
    typer.echo(f"{who} ${abs(owed):,.2f}.")


def _statement(reading, outputs, confirm, force):
    """A page for both sides, and its audit copy beside it."""
    from ..documents.statement import audit, make_statement
    from ..model.units import shown
    from ..workbook.files import write_together

    page = make_statement(reading.inputs, reading.units, confirm, reading.given)
    contents = (page.content(), audit(page))
    for path in write_together(dict(zip(outputs, contents, strict=True)), force):
        typer.echo(f"Written: {path}")
    assay = f"{page.values['settle_assay']:.{3 if reading.units == 'us' else 2}f}"
    assay = f"{assay} {shown('grade', reading.units)}"
    typer.echo(f"Settlement assay: {assay}, {page.values['settle_how']}.")
    words, net = str(page.values["settle_words"]), abs(page.values["printed_net"])
    typer.echo(f"{words[0].upper()}{words[1:]} ${net:,.2f}.")
