"""Reading a workbook for a command."""

import typer

from ..workbook import read


def read_book(path):
    """Read a workbook and say which inputs an earlier version did not have.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    reading : workbook.read.Reading
    """
    reading = read.read_book(path)
    if reading.note:
        typer.echo(reading.note, err=True)
    return reading
