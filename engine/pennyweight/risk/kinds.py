"""Distributions by their names, and holding them to the bounds of an input."""

import numpy as np

from ..errors import BadValue
from .distributions import Fixed, Lognormal, MeanOf, Normal, Pert, Triangular, Uniform

OUTSIDE_AT_MOST = 0.01
"""Largest probability of values outside an input's bounds that clipping may hide."""

KINDS = {
    # kind: (distribution, what its numbers are; None for any number of measures)
    "fixed": (Fixed, ("value",)),
    "uniform": (Uniform, ("low", "high")),
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
        For an unknown kind, a wrong count of numbers, or numbers that do not fit.

    Examples
    --------
    >>> distribution("triangular", [1, 2, 4]).ends
    (1.0, 4.0)
    """
    if kind not in KINDS:
        raise BadValue(f"There is no distribution {kind!r}; use {', '.join(KINDS)}.")
    make, wanted = KINDS[kind]
    if wanted is not None and len(numbers) != len(wanted):
        raise BadValue(
            f"{kind}: {len(numbers)} numbers; it takes {len(wanted)}: "
            f"{', '.join(wanted)}."
        )
    return make(*(float(number) for number in numbers))


def hold_within(chosen, low, high, label, allowed):
    """Raise when a distribution leaves the bounds of its input.

    Ends must lie within; of tails without end a part of `OUTSIDE_AT_MOST` may lie
    outside, and is then clipped and counted.

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
        reach = "reaches" if chosen.ends is not None else "spreads"
        raise BadValue(
            f"{label}: its distribution {reach} from {outermost[0]:.6g} to "
            f"{outermost[1]:.6g}, beyond what the input may be. {allowed}"
        )
