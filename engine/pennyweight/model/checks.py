"""Checks of a plan: number passed, and names of those that fail."""

from itertools import repeat

from .mill_model import MODEL
from .run import run
from .units import worded

CHECKS = ("balance", "limit", "measurement")
"""Tables of checks."""
COUNTED = tuple(
    name
    for table in CHECKS
    for name in (f"{table}_holds", f"{table}_counts")
    if name in MODEL.lines
)
"""Lines that `checks` reads."""


def checks(values):
    """Count the checks that apply to the job, and name those that fail.

    Parameters
    ----------
    values : mapping
        From `run`, for one set of inputs.

    Returns
    -------
    checks : dict
        ``passed``, ``failed`` and ``failures``.
    """
    counted = [
        (check, passes)
        for table in CHECKS
        for check, passes, counts in zip(
            MODEL.axes[table].values,
            values[f"{table}_holds"],
            values.get(f"{table}_counts", repeat(1)),
            strict=False,  # every balance counts
        )
        if counts
    ]
    failures = [check for check, passes in counted if not passes]
    return {
        "passed": len(counted) - len(failures),
        "failed": len(failures),
        "failures": failures,
    }


def failed_checks(inputs, units):
    """Names of the checks that fail for some inputs.

    Parameters
    ----------
    inputs : mapping
    units : {"us", "metric"}

    Returns
    -------
    names : list of str
        In the words of the unit system.
    """
    failures = checks(run(inputs, units, COUNTED))["failures"]
    return [worded(check, units) for check in failures]
