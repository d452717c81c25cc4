"""Switching values: the value of each input at which the verdict turns."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..errors import BadValue
from .allowed import complete
from .inputs import inputs_in
from .run import run
from .sources import as_entered

BASIS = {
    "gold_price": "flat; a table by year moves with it",
    "ore_grade": "in the ground, before dilution",
    "gravity_recovery": "of the gold in mill feed",
    "operating_cost_factor": "on all operating cost",
    "capital_cost_factor": "on all initial capital",
}
"""Inputs with a switching value, and the basis of each."""

TURNABLE = tuple(BASIS)
NEVER = "never"
"""Word for an input of which no value within the bounds turns the verdict."""

DECIDING = ("net_present_value", "life_margin")
"""Lines that decide whether the claim pays."""
READ = (*DECIDING, "capital", "life_cost", "middlings_share")
"""Lines of the base case to read."""


@dataclass(frozen=True)
class SwitchingValue:
    """The value of one input at which the verdict turns.

    Attributes
    ----------
    name : str
    now, needed : float
        ``needed`` is NaN if no value within the bounds turns the verdict.
    """

    name: str
    now: float
    needed: float

    @property
    def basis(self) -> str:
        """Basis of the input."""
        return BASIS.get(self.name, "")

    @property
    def turns_at(self) -> float | str:
        """``needed``; the word ``never`` if it is NaN."""
        return NEVER if np.isnan(self.needed) else self.needed

    @property
    def change(self) -> float:
        """Relative change to the switching value; NaN if the present value is 0."""
        return self.needed / self.now - 1 if self.now else np.nan


def switching_values(inputs, units, names=TURNABLE):
    """Find the value of each input at which the claim just pays, one at a time.

    The claim pays if neither the operating margin over the plan nor the net present
    value is below zero. Bracketed root finding between the bounds of the input solves
    for the smaller of the two, relative to cost and capital. A grade or recovery that
    the plan takes from measurements is changed as if it were entered.

    Parameters
    ----------
    inputs : mapping
        As for `run`, single values.
    units : {"us", "metric"}
    names : tuple of str

    Returns
    -------
    switching_values : list of SwitchingValue

    Source
    ------
    scipy.optimize.elementwise.find_root (Chandrupatla 1997).
    """
    return list(_solved(tuple(complete(inputs, units).items()), units, names))


@lru_cache(maxsize=16)
def _solved(inputs, units, names):
    """`switching_values`, cached: a command needs the same more than once."""
    from scipy.optimize.elementwise import find_root

    inputs, base = _base(dict(inputs), units)
    low, high = np.transpose(list(_bounds(base, units, names)))
    position = np.arange(len(names))

    def shortfall(values, places):
        places = np.asarray(places, int)
        changed = {
            name: np.where(places == place, values, base[name])
            for place, name in enumerate(names)
        }
        result = run({**inputs, **changed}, units, DECIDING, base=base)
        npv = result["net_present_value"] / (1 + abs(base["capital"]))
        margin = result["life_margin"] / (1 + abs(base["life_cost"]))
        return np.minimum(npv, margin)

    found = find_root(shortfall, (low, high), args=(position,))
    return tuple(
        SwitchingValue(
            name,
            float(base[name]),
            float(found.x[place]) if found.success[place] else float("nan"),
        )
        for place, name in enumerate(names)
    )


def _base(inputs, units):
    """Inputs with measured values entered, and lines of the base case."""
    entered = as_entered(inputs, units)
    try:
        return entered, run(entered, units, READ)
    except BadValue:  # a measured value is outside the bounds: leave it measured
        return inputs, run(inputs, units, READ)


def _bounds(base, units, names):
    """Bounds of each input; recovery and middlings are at most 100% together."""
    table = inputs_in(base)
    for name in names:
        low, high = table[name].within(units)
        if name == "gravity_recovery":
            high = min(high, 1 - float(base["middlings_share"]))
        yield low, high
