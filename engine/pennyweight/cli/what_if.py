"""Named cases compared with the base case, and break-even values."""

import json
from pathlib import Path
from typing import Annotated

import typer

BookArgument = Annotated[Path, typer.Argument(metavar="BOOK", help="Workbook (.xlsx).")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON, for programs.")]


def cases(
    book: BookArgument,
    table: Annotated[
        Path,
        typer.Argument(
            metavar="CASES.csv",
            help="Table: one row per input, one column per case; empty: base case.",
        ),
    ],
    as_json: JsonOption = False,
):
    """Compare named cases with the base case."""
    from ..documents.case_table import WHAT, read_cases
    from ..risk.cases import case_notes, compare_cases
    from ..workbook.csv_file import read_csv
    from .reading import read_book

    reading = read_book(book)
    named = read_cases(read_csv(table, WHAT), reading.units)
    found = compare_cases(reading.inputs, reading.units, named)
    notes = case_notes(reading.inputs, reading.units, named)
    if as_json:
        told = {
            name: {
                "inputs": named.get(name, {}),
                "notes": notes.get(name, []),
                **found[name],
            }
            for name in found
        }
        _echo_json(told)
        return
    from .what_if_screen import show_cases

    show_cases(found, named, reading, notes)


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
            help="Name or label of a result.",
        ),
    ] = "net_present_value",
    target: Annotated[
        float, typer.Option("--at", help="Target value of the result.")
    ] = 0.0,
    as_json: JsonOption = False,
):
    """Find the input value at which a result reaches a target."""
    from dataclasses import asdict

    from ..model.inputs import input_called
    from ..risk.sensitivity import result_called
    from ..risk.solver import break_even as solved
    from .reading import read_book

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
