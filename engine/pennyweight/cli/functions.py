"""``pennyweight functions``: the trade functions."""

from pathlib import Path

import typer

from .arguments import ForceOption, argument, option, output_option


def functions(
    name: argument(
        str, "One function, or a word such as power. Without it, all are listed."
    ) = "",
    book: option(
        Path | None,
        "Write the function book: named functions for Excel without Python.",
        metavar="FILE.xlsx",
    ) = None,
    add_to: option(
        Path | None, "Add the named functions to a copy of BOOK.", metavar="BOOK.xlsx"
    ) = None,
    output: output_option(Path | None, "That copy (.xlsx).") = None,
    vba: option(
        Path | None,
        "Write the functions as macros, without Python.",
        metavar="FILE.bas",
    ) = None,
    force: ForceOption = False,
):
    """List the trade functions, explain one, or write them for a spreadsheet."""
    from ..errors import CallError

    if book or add_to or vba:
        if name:
            raise CallError(
                f"All functions are written: leave out {name}, or leave out the file "
                f"to have {name} explained."
            )
        _write(book, add_to, output, vba, force)
        return
    if output:
        raise CallError("--output is for the copy that --add-to makes: add --add-to.")
    from rich.console import Console

    from ..trade.catalogue import catalogue, find, search

    console = Console(highlight=False, markup=False)
    found = search(name)
    if name not in catalogue() and found:
        _list(found, console)
        return
    _explain(find(name), console)
    if others := ", ".join(other for other in found if other != name):
        console.print(f"\nSee also: {others}")


def _write(book, add_to, output, vba, force):
    """Write the functions for a spreadsheet."""
    from ..errors import CallError

    if book:
        from ..addins.function_book import write_function_book

        typer.echo(f"Written: {write_function_book(book, force)}")
    if add_to:
        from ..addins.named_functions import add_functions

        if output is None:
            raise CallError("--add-to needs --output: the name of the copy to write.")
        typer.echo(f"Written: {add_functions(add_to, output, force)}")
    if vba:
        from ..addins.vba_functions import write_module

        typer.echo(f"Written: {write_module(vba, force)}")
        typer.echo("In Excel: Alt+F11, File, Import File. Then type =DWT_ in a cell.")
    else:
        typer.echo("Open it in current Excel and type =DWT_ in a cell.")


def _list(functions, console):
    from rich.table import Table

    from ..trade.catalogue import contract_of, topic_of

    table = Table(box=None, pad_edge=False, padding=(0, 2))
    for head in ("topic", "function", "what it gives"):
        table.add_column(head, no_wrap=head != "what it gives")
    topic = ""
    for name, function in functions.items():
        here = topic_of(function)
        table.add_row(
            here if here != topic else "", name, contract_of(function).summary
        )
        topic = here
    console.print(table)
    console.print("\n'pennyweight functions NAME' explains one.")


def _explain(function, console):
    from ..errors import CannotTrace
    from ..trade.catalogue import call_of, contract_of, sheet_formula, topic_of

    contract = contract_of(function)
    console.print(f"{topic_of(function)}.{call_of(function)}\n")
    console.print(contract.sections[""])
    for title in ("Parameters", "Returns", "Validity", "Raises", "Source", "Examples"):
        if title in contract.sections:
            console.print(f"\n{title}")
            for line in contract.sections[title].splitlines():
                console.print(f"  {line}")
    console.print("\nIn a sheet of your own, with names or cells for the arguments")
    try:
        console.print(f"  {sheet_formula(function)}")
    except CannotTrace as reason:
        console.print(f"  none: {reason}")
