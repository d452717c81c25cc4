"""What if: named cases side by side, and where a result takes a value."""

import json
from pathlib import Path
from typing import Annotated

import typer

BookArgument = Annotated[Path, typer.Argument(metavar="BOOK", help="A workbook.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for programs.")]


def cases(
    book: BookArgument,
    table: Annotated[
        Path,
        typer.Argument(
            metavar="CASES.csv",
            help="A line an input, a column a case; empty is as in the book.",
        ),
    ],
    as_json: JsonOption = False,
):
    """Set named cases beside the plan in the book."""
    from ..documents.case_table import WHAT, read_cases
    from ..risk.cases import compare_cases
    from ..workbook.csv_file import read_csv
    from ..workbook.read import read_book

    reading = read_book(book)
    named = read_cases(read_csv(table, WHAT), reading.units)
    found = compare_cases(reading.inputs, reading.units, named)
    if as_json:
        told = {name: {"inputs": named.get(name, {}), **found[name]} for name in found}
        _echo_json(told)
        return
    from .what_if_screen import show_cases

    show_cases(found, named, reading)


def break_even(
    book: BookArgument,
    moved: Annotated[
        str, typer.Argument(metavar="INPUT", help="Name or label of an input.")
    ],
    result: Annotated[
        str,
        typer.Option(
            "--of",
            metavar="RESULT",
            help="Name or label of a single line of the model.",
        ),
    ] = "net_present_value",
    target: Annotated[
        float, typer.Option("--at", help="What the result is to be.")
    ] = 0.0,
    as_json: JsonOption = False,
):
    """Say at which value of one input a result takes a value, all else as planned."""
    from dataclasses import asdict

    from ..model.inputs import input_called
    from ..risk.sensitivity import result_called
    from ..risk.solver import break_even as solved
    from ..workbook.read import read_book

    reading = read_book(book)
    name = input_called(moved)
    result = result_called(result)
    found = solved(reading.inputs, reading.units, name, result, target)
    if as_json:
        _echo_json({**asdict(found), "units": reading.units})
        return
    from .what_if_screen import show_break_even

    show_break_even(found, reading.units)


def _echo_json(values):
    from ..risk.report import plain

    typer.echo(json.dumps(plain(values), indent=2))
