"""Inputs that the plan may take from measurements instead of the value entered."""

from .run import run

SOURCES = {
    # choice: line that the plan reads, and the input that it replaces
    "grade_source": {"planned_grade": "ore_grade"},
    "recovery_source": {
        "measured_recovery": "gravity_recovery",
        "measured_middlings": "middlings_share",
        "planned_first_pull": "first_pull",
        "planned_second_pull": "second_pull",
        "planned_middlings_pull": "middlings_pull",
    },
}
"""Choices between values entered and measured."""
IN_USE = {name: line for read in SOURCES.values() for line, name in read.items()}
"""Lines with the value that the plan uses, measured or entered, by input."""


def measured(inputs):
    """Inputs that the plan does not use, since it uses measured values."""
    chosen = [read for choice, read in SOURCES.items() if _is_measured(inputs, choice)]
    return {name for read in chosen for name in read.values()}


def _is_measured(inputs, choice):
    return inputs.get(choice, "entered") != "entered"


def as_entered(inputs, units, choices=tuple(SOURCES)):
    """Inputs with the measured values entered, so that they can be changed.

    Parameters
    ----------
    inputs : mapping
        As for `run`, single values.
    units : {"us", "metric"}
    choices : iterable of str, optional
        Choices of `SOURCES` to set to ``entered``.

    Returns
    -------
    inputs : mapping
        With the same results.
    """
    chosen = {c: SOURCES[c] for c in choices if _is_measured(inputs, c)}
    if not chosen:
        return inputs
    read = {line: name for lines in chosen.values() for line, name in lines.items()}
    planned = run(inputs, units, wanted=list(read))
    figures = {name: float(planned[line]) for line, name in read.items()}
    return {**inputs, **dict.fromkeys(chosen, "entered"), **figures}
