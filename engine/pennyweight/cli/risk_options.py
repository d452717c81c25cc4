"""Reading the options of ``pennyweight risk``, and its progress bar."""

import contextlib
import sys

from ..errors import CallError
from ..plan import input_called
from .screen import console


def distribution_of(text):
    """Read a distribution such as ``ore_grade=lognormal:0.28,0.25``.

    Returns
    -------
    name : str
    how : tuple
        Kind and numbers.

    Raises
    ------
    CallError

    Examples
    --------
    >>> distribution_of("wage=triangular:25,29,36")
    ('wage', ('triangular', [25.0, 29.0, 36.0]))
    """
    name, equals, rest = text.rpartition("=")  # labels may have one, too
    kind, _, numbers = rest.partition(":")
    try:
        values = [float(part) for part in numbers.split(",") if part.strip()]
    except ValueError:
        values = None
    if not equals or not kind or values is None:
        raise CallError(
            f"{text!r} is not a distribution. Write INPUT=KIND:NUMBERS, such as "
            "ore_grade=lognormal:0.28,0.25."
        )
    return input_called(name), (kind.strip(), values)


def correlation(text):
    """Read a correlation such as ``gold_price,silver_price=0.7``.

    Returns
    -------
    pair : tuple of str
    coefficient : float

    Raises
    ------
    CallError
    """
    names, _, share = text.rpartition("=")
    parts = names.split(",")
    cuts = range(1, len(parts))
    pairs = [(",".join(parts[:cut]), ",".join(parts[cut:])) for cut in cuts]
    try:
        return _named(pairs) if pairs else _refuse(text), float(share)
    except ValueError:
        return _refuse(text)


def _named(pairs):
    """The pair of inputs, whose labels may have commas."""
    for number, pair in enumerate(pairs, 1):
        try:
            return tuple(input_called(words) for words in pair)
        except CallError:
            if number == len(pairs):
                raise


def _refuse(text):
    raise CallError(
        f"{text!r} is not a correlation. Write INPUT,INPUT=R, such as "
        "gold_price,silver_price=0.7."
    )


@contextlib.contextmanager
def progress(trials, quiet=False):
    """Progress bar of the trials on the error stream, removed at the end.

    Yields
    ------
    tick : callable
        Takes the number of trials done since the last call.
    """
    if quiet or not sys.stderr.isatty():
        yield lambda done: None
        return
    from rich.progress import Progress

    with Progress(console=console(stderr=True), transient=True) as bar:
        task = bar.add_task("Trials", total=trials)
        yield lambda done: bar.advance(task, done)
