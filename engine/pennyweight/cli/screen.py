"""Output on the terminal: tables, text from files, JSON, progress."""

import contextlib
import json

import typer
from rich.console import Console
from rich.markup import escape
from rich.table import Table

from ..errors import plain
from ..plain_values import plain_values

LOOK_AGAIN = 5
"""Sentences on unusual figures of a table on a screen."""


def console(**options):
    """A console without automatic colours."""
    return Console(highlight=False, **options)


def table(*heads, right=()):
    """A table without lines.

    Parameters
    ----------
    *heads : str
    right : collection of int
        Columns of figures: right-aligned, and never cut or wrapped.

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
    """Text from a file without characters that style or control the terminal."""
    return escape(plain(text))


def echo_json(values):
    """Print values as JSON."""
    typer.echo(json.dumps(plain_values(values), indent=2))


def opened(book):
    """Read a workbook, and print its notes on the error stream."""
    from ..opening import read

    plan = read(book)
    echo_notes(plan)
    return plan


def echo_notes(plan):
    """Print the notes of a workbook's reading on the error stream."""
    for note in plan.notes:
        typer.echo(note, err=True)


def say_currency(plan):
    """Print what $ stands for, where a screen has it and money is no US dollars."""
    if plan.money_sign != "$":
        told = f"$ stands for {plan.money_sign} on this screen; nothing is converted."
        console(stderr=True).print(safe(told))


def say_stand_ins(words, as_json=False):
    """Print, before a result, the sentence on must-haves that are estimates."""
    if words:
        console(stderr=as_json).print(safe(words))


def say_look_again(sentences, as_json=False):
    """Print, before a result, the first sentences on unusual figures of a table."""
    screen, more = console(stderr=as_json), len(sentences) - LOOK_AGAIN
    for sentence in sentences[:LOOK_AGAIN]:
        screen.print(safe(sentence))
    if more > 0:
        screen.print(f"And {more} more.")


@contextlib.contextmanager
def counting(words):
    """A progress line with a count; nothing if the output is not a terminal."""
    with console(stderr=True).status(words) as status:
        yield lambda done: status.update(f"{words}: {done:,}")
