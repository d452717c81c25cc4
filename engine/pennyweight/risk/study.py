"""What is uncertain about a claim: which inputs, how far, and what goes together."""

from dataclasses import dataclass, field

import numpy as np

from ..errors import BadValue, CallError
from ..model.axes import MONTHS
from ..model.inputs import INPUTS, allowed, complete
from ..model.lookup import unknown
from ..model.rules import check_rules
from ..model.run import run
from ..model.sources import as_entered
from . import price
from .distributions import Distribution, Lognormal, Pert, Triangular
from .kinds import distribution, hold_within
from .measured import grade_by_samples
from .quiet import quietly
from .ranges import uncertain

PRICES = ("flat", "path", "table")
"""How the gold price is uncertain: one mean price for the whole life, a walk over the
months, or between the low and the high of the table of inputs."""

STILL = 1e-12
"""Spread, over the middle, that is nothing but rounding."""

SHAPES = {"triangular": Triangular, "pert": Pert}


@dataclass
class Study:
    """A claim and what is uncertain about it.

    Attributes
    ----------
    inputs : dict
        Every input, as planned.
    units : {"us", "metric"}
    spreads : dict of str to Distribution
        Of each uncertain input.
    correlations : dict of (str, str) to float
        Between the normal scores of two inputs (a Gaussian copula).
    volatility : float
        Of the gold price, a year; used by a path only.
    path : bool
        Whether the gold price walks from month to month.
    """

    inputs: dict
    units: str
    spreads: dict
    correlations: dict = field(default_factory=dict)
    volatility: float = price.VOLATILITY
    path: bool = False

    @property
    def names(self):
        """The uncertain inputs, in the order of drawing."""
        return tuple(self.spreads)

    @property
    def walks(self):
        """How many draws the path of the gold price takes."""
        return MONTHS if self.path else 0


@quietly
def make_study(
    inputs=None,
    units="us",
    vary=None,
    only=False,
    correlations=None,
    gold="flat",
    volatility=price.VOLATILITY,
    shape="triangular",
):
    """Say what is uncertain about a claim.

    Parameters
    ----------
    inputs : mapping, optional
        As for `pennyweight.model.run.run`, single values.
    units : {"us", "metric"}
    vary : mapping of str to Distribution or (kind, numbers), optional
        In place of the table's ranges; ``("fixed", [value])`` leaves an input out,
        and ``("samples", [])`` takes the grade's uncertainty from the samples.
    only : bool
        Whether nothing else varies, and the gold price as planned.
    correlations : mapping of (str, str) to float, optional
    gold : {"flat", "path", "table"}
        How the gold price is uncertain, unless ``vary`` says it.
    volatility : float
        Of the gold price, a year.
    shape : {"triangular", "pert"}
        Of the table's ranges.

    Returns
    -------
    study : Study

    Raises
    ------
    BadValue
        For ranges that fall, distributions that leave their input's bounds, or a
        correlation matrix that is none.
    CallError
        For unknown inputs and words.
    """
    read = complete(inputs or {}, units)
    check_rules(read, units=units)
    given = as_entered(read, units)
    if shape not in SHAPES or gold not in PRICES:
        raise CallError(
            f"Shape {shape!r}, gold price {gold!r}: use one of {', '.join(SHAPES)}, "
            f"and one of {', '.join(PRICES)}."
        )
    price.check_volatility(volatility)
    stated = {
        name: _stated(name, how, units, read) for name, how in (vary or {}).items()
    }
    if read["grade_source"] == "samples" and not only:
        stated.setdefault("head_grade", grade_by_samples(read, units))
    spreads = {} if only else _from_table(given, units, shape)
    walks = gold == "path" and not only and "gold_price" not in stated
    if walks:
        spreads.pop("gold_price", None)
    elif gold == "flat" and not only:
        spreads["gold_price"] = _flat(given, units, volatility)
        _hold("gold_price", spreads["gold_price"], units)
    spreads.update(stated)
    study = Study(
        given,
        units,
        {name: how for name, how in spreads.items() if not _still(how)},
        dict(correlations or {}),
        volatility,
        walks and volatility > 0,
    )
    for name, how in stated.items():
        if _still(how):
            given[name] = how.middle()
    check_rules(given, units=units)
    score_matrix(study)
    return study


def _still(how):
    """Whether it always gives the same value, as measures that are all equal do."""
    return how.spread() <= STILL * abs(how.middle())


def _from_table(inputs, units, shape):
    ranges = uncertain(inputs, units)
    return {name: SHAPES[shape](*ends) for name, ends in ranges.items()}


def _flat(inputs, units, volatility):
    """One price for the whole life, its mean the price planned."""
    life = run(inputs, units, wanted=["life_months"])["life_months"]
    deviation = price.flat_deviation(volatility, max(float(life), 1.0) / 12)
    return Lognormal(inputs["gold_price"] * np.exp(-(deviation**2) / 2), deviation)


def _stated(name, how, units, read):
    if name not in INPUTS:
        raise unknown(name, INPUTS, "input")
    if not INPUTS[name].numeric:
        raise CallError(f"{name} is no number; only numbers can be drawn.")
    if isinstance(how, Distribution):
        made = how
    elif how[0] == "samples" and name == "head_grade" and not len(how[1]):
        made = grade_by_samples(read, units)
    else:
        made = distribution(*how)
    _hold(name, made, units)
    return made


def _hold(name, how, units):
    entry = INPUTS[name]
    hold_within(how, *entry.within(units), entry.label, allowed(entry, units))


def score_matrix(study):
    """Correlations between the inputs that have some, as a matrix.

    Parameters
    ----------
    study : Study

    Returns
    -------
    names : tuple of str
    matrix : ndarray

    Raises
    ------
    BadValue
        When no draws can have these correlations.
    """
    names = tuple(dict.fromkeys(name for pair in study.correlations for name in pair))
    for name in names:
        if name not in study.spreads:
            raise BadValue(
                f"{name} cannot be correlated: it does not vary"
                + (" but walks by itself." if name == "gold_price" else ".")
            )
    matrix = np.eye(len(names))
    for (first, second), share in study.correlations.items():
        if first == second or not -1 <= share <= 1:
            raise BadValue(
                f"Correlation of {first} and {second}: {share:g}; give two different "
                "inputs and a number from -1 to 1."
            )
        here, there = names.index(first), names.index(second)
        matrix[here, there] = matrix[there, here] = share
    if names and np.linalg.eigvalsh(matrix)[0] < -1e-12:
        raise BadValue(
            f"The correlations between {', '.join(names)} contradict one another: no "
            "numbers can have them all (the matrix is not positive semidefinite)."
        )
    return names, matrix
