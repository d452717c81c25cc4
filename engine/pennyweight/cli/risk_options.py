"""Reading the options of ``pennyweight risk``, and its progress bar."""

import contextlib
import sys

from ..errors import CallError


def distribution_of(text):
    """Read a distribution such as ``head_grade=lognormal:0.28,0.25``.

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
    name, equals, rest = text.partition("=")
    kind, _, numbers = rest.partition(":")
    try:
        values = [float(part) for part in numbers.split(",") if part.strip()]
    except ValueError:
        values = None
    if not equals or not kind or values is None:
        raise CallError(
            f"{text!r} is not a distribution. Write INPUT=KIND:NUMBERS, such as "
            "head_grade=lognormal:0.28,0.25."
        )
    return name.strip(), (kind.strip(), values)


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
    names, _, share = text.partition("=")
    pair = tuple(name.strip() for name in names.split(","))
    try:
        return pair if len(pair) == 2 else _refuse(text), float(share)
    except ValueError:
        return _refuse(text)


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
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("Trials", total=trials)
        yield lambda done: bar.advance(task, done)
