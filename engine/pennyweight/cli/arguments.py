"""Arguments and options that several commands share."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

BookArgument = Annotated[Path, typer.Argument(metavar="BOOK", help="Workbook (.xlsx).")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON, for programs.")]
ForceOption = Annotated[bool, typer.Option("--force", help="Replace existing files.")]
OUTPUT = typer.Option("-o", "--output", metavar="FILE", help="Output file (.xlsx).")
OutputOption = Annotated[Path, OUTPUT]
OptionalOutput = Annotated[Path | None, OUTPUT]


class Job(StrEnum):
    """What a workbook is for."""

    claim = "claim"
    contract = "contract"
    lot = "lot"
    everything = "everything"


class Units(StrEnum):
    """The two unit systems."""

    us = "us"
    metric = "metric"
