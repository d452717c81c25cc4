"""The terminal: tables, text from files, and progress."""

import contextlib
import json

import typer
from rich.console import Console
from rich.markup import escape
from rich.table import Table

from ..errors import plain
from ..plain_values import plain_values


def console(**options):
    """A console that colours nothing by itself."""
    return Console(highlight=False, **options)


def table(*heads, right=()):
    """A table without lines.

    Parameters
    ----------
    *heads : str
    right : collection of int
        Columns of figures: to the right, and never cut or broken.

    Returns
    -------
    table : rich.table.Table
    """
    made = Table(box=None, pad_edge=False, padding=(0, 1))
    for place, head in enumerate(heads):
        if place in right:
            made.add_column(head, justify="right", no_wrap=True, overflow="fold")
        else:
            made.add_column(head, overflow="fold")
    return made


def safe(text):
    """Text of a file that can neither style nor steer the terminal."""
    return escape(plain(text))


def echo_json(values):
    """Print values as JSON."""
    typer.echo(json.dumps(plain_values(values), indent=2))


def opened(book):
    """Read a workbook, and say on the error stream what was left open."""
    from ..opening import read

    plan = read(book)
    echo_notes(plan)
    return plan


def echo_notes(plan):
    """Say on the error stream what the reading of a workbook left open."""
    for note in plan.notes:
        typer.echo(note, err=True)


def say_stand_ins(words, as_json=False):
    """Say before an answer that it takes estimates for what is missing, if it does."""
    if words:
        console(stderr=as_json).print(safe(words))


@contextlib.contextmanager
def counting(words):
    """A line that counts on, for people who wait; nothing for programs."""
    with console(stderr=True).status(words) as status:
        yield lambda done: status.update(f"{words}: {done:,}")
