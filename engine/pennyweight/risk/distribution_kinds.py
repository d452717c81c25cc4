"""Distributions by name, and checks against the bounds of an input."""

import numpy as np

from ..errors import BadValue
from .distributions import Lognormal, MeanOf, Median, Normal, Pert, Triangular, Uniform

OUTSIDE_AT_MOST = 0.01
"""Largest probability outside the bounds of an input; such draws are clipped."""

KINDS = {
    # kind: (distribution, names of its parameters; None: any number of measurements)
    "fixed": (lambda value: Uniform(value, value), ("value",)),
    "uniform": (Uniform, ("low", "high")),
    "median": (Median, ("low", "median", "high")),
    "triangular": (Triangular, ("low", "most likely", "high")),
    "pert": (Pert, ("low", "most likely", "high")),
    "normal": (Normal, ("mean", "standard deviation")),
    "lognormal": (Lognormal, ("median", "standard deviation of the logarithm")),
    "assays": (lambda *given: MeanOf(given, True), None),
    "lots": (lambda *given: MeanOf(given), None),
}


def distribution(kind, numbers):
    """Make a distribution from its kind and its numbers.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    numbers : sequence of float

    Returns
    -------
    distribution : Distribution

    Raises
    ------
    BadValue
        For an unknown kind, a wrong number of parameters, or wrong parameters.

    Examples
    --------
    >>> distribution("triangular", [1, 2, 4]).ends
    (1.0, 4.0)
    """
    if not isinstance(kind, str) or kind not in KINDS:
        raise BadValue(
            f"{kind!r} is not a distribution. Use one of {', '.join(KINDS)}."
        )
    make, wanted = KINDS[kind]
    try:
        numbers = [float(number) for number in numbers]
    except (TypeError, ValueError):
        raise BadValue(f"{kind}: give a list of numbers, not {numbers!r}.") from None
    if wanted is not None and len(numbers) != len(wanted):
        raise BadValue(
            f"{kind}: {len(numbers)} numbers were given. It needs {len(wanted)}: "
            f"{', '.join(wanted)}."
        )
    return make(*numbers)


def check_bounds(chosen, low, high, label, allowed):
    """Raise if a distribution exceeds the bounds of its input.

    The ends must be within the bounds. An unbounded distribution may have a
    probability of `OUTSIDE_AT_MOST` outside; such draws are clipped and counted.

    Parameters
    ----------
    chosen : Distribution
    low, high : float
    label, allowed : str
        For the message.
    """
    if chosen.ends is not None:
        outermost = chosen.ends
    else:
        outermost = chosen.quantile(np.array([OUTSIDE_AT_MOST, 1 - OUTSIDE_AT_MOST]))
    slack = 1e-12 * max(abs(low), abs(high))
    if outermost[0] < low - slack or outermost[1] > high + slack:
        part = "it" if chosen.ends is not None else "98% of it"
        raise BadValue(
            f"{label}: the distribution exceeds the bounds of the input; {part} is "
            f"from {outermost[0]:.6g} to {outermost[1]:.6g}. {allowed}"
        )
