"""The single change that would turn the verdict, with the figure it takes."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ..errors import BadValue
from .allowed import complete
from .inputs import INPUTS
from .run import run
from .sources import as_entered

BASIS = {
    "gold_price": "flat; a table by year moves with it",
    "ore_grade": "in the ground, before dilution",
    "gravity_recovery": "of the gold in mill feed",
    "operating_cost_factor": "on all operating cost",
    "capital_cost_factor": "on all initial capital",
}
"""Inputs of which one alone may turn the verdict, and what each is reckoned on."""

TURNABLE = tuple(BASIS)

WEIGHED = ("net_present_value", "life_margin")
"""Lines by which the claim pays, or does not."""
READ = (*WEIGHED, "capital", "life_cost", "middlings_share")
"""Lines of the plan as it is."""


@dataclass(frozen=True)
class SwitchingValue:
    """The value of one input at which the verdict turns.

    Attributes
    ----------
    name : str
    now, needed : float
        ``needed`` is not-a-number when nothing within the bounds turns it.
    """

    name: str
    now: float
    needed: float

    @property
    def basis(self) -> str:
        """What the input is reckoned on."""
        return BASIS.get(self.name, "")

    @property
    def change(self) -> float:
        """Needed over present value, less 1; not-a-number where that means nothing."""
        return self.needed / self.now - 1 if self.now else np.nan


def switching_values(inputs, units, names=TURNABLE):
    """Find where each input, changed alone, makes the claim just pay.

    The claim pays while neither the operating margin over the plan nor the net present
    value is below zero. Between the bounds of an input the lesser of the two, measured
    by its size at the ends, is brought to zero by bracketed root finding. A grade or
    recovery that the plan takes from measurements is moved as if it were entered.

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
    """As `switching_values`; a command asks for the same more than once."""
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
        result = run({**inputs, **changed}, units, WEIGHED)
        worth = result["net_present_value"] / (1 + abs(base["capital"]))
        margin = result["life_margin"] / (1 + abs(base["life_cost"]))
        return np.minimum(worth, margin)

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
    """The plan with measured figures entered, and what is read of it."""
    entered = as_entered(inputs, units)
    try:
        return entered, run(entered, units, READ)
    except BadValue:  # a figure was measured that nobody may enter: it stays as it is
        return inputs, run(inputs, units, READ)


def _bounds(base, units, names):
    """Bounds within which each input is moved; gold cannot be caught twice."""
    for name in names:
        low, high = INPUTS[name].within(units)
        if name == "gravity_recovery":
            high = min(high, 1 - float(base["middlings_share"]))
        yield low, high
