"""Figures that the plan may take from measurements in place of what is entered."""

from .run import run

SOURCES = {
    # choice: (what the plan reads, the input that it stands for)
    "grade_source": ("planned_grade", "ore_grade"),
    "recovery_source": ("measured_recovery", "gravity_recovery"),
}
"""Choices that let the plan read a measured figure."""
IN_USE = {name: line for line, name in SOURCES.values()}
"""Lines that hold what the plan reads, measured or entered, by the input."""


def measured(inputs):
    """Inputs that the plan does not use, since it takes a measured value."""
    chosen = (name for name in SOURCES if inputs.get(name, "entered") != "entered")
    return {SOURCES[name][1] for name in chosen}


def as_entered(inputs, units):
    """Enter the measured figures that the plan reads, so that they can be moved.

    Parameters
    ----------
    inputs : mapping
        As for `run`, single values.
    units : {"us", "metric"}

    Returns
    -------
    inputs : mapping
        With the same results.
    """
    chosen = {c: s for c, s in SOURCES.items() if inputs.get(c, "entered") != "entered"}
    if not chosen:
        return inputs
    planned = run(inputs, units, wanted=[line for line, _ in chosen.values()])
    entered = dict(inputs)
    for choice, (line, name) in chosen.items():
        entered[choice], entered[name] = "entered", float(planned[line])
    return entered
