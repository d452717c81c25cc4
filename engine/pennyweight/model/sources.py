"""Figures that the plan may take from measurements in place of what is entered."""

from .run import run

SOURCES = {
    # choice: what the plan reads, and the input that it stands for
    "grade_source": {"planned_grade": "ore_grade"},
    "recovery_source": {
        "measured_recovery": "gravity_recovery",
        "measured_middlings": "middlings_share",
        "planned_first_pull": "first_pull",
        "planned_second_pull": "second_pull",
        "planned_middlings_pull": "middlings_pull",
    },
}
"""Choices that let the plan read measured figures."""
IN_USE = {name: line for read in SOURCES.values() for line, name in read.items()}
"""Lines that hold what the plan reads, measured or entered, by the input."""


def measured(inputs):
    """Inputs that the plan does not use, since it takes a measured value."""
    chosen = [read for choice, read in SOURCES.items() if _is_measured(inputs, choice)]
    return {name for read in chosen for name in read.values()}


def _is_measured(inputs, choice):
    return inputs.get(choice, "entered") != "entered"


def as_entered(inputs, units, choices=tuple(SOURCES)):
    """Enter the measured figures that the plan reads, so that they can be moved.

    Parameters
    ----------
    inputs : mapping
        As for `run`, single values.
    units : {"us", "metric"}
    choices : iterable of str, optional
        Those of `SOURCES` that are turned to ``entered``.

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
