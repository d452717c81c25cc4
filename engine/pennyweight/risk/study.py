"""Study of a risk analysis: inputs that vary, distributions, correlations."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from ..errors import BadValue, CallError
from ..model.allowed import allowed, complete
from ..model.axes import MONTHS
from ..model.inputs import INPUTS, inputs_in
from ..model.jobs import CONTRACT
from ..model.rules import check_rules
from ..model.run import run
from ..model.sources import as_entered, measured
from ..model.units import Units
from . import gold_price
from .distribution_kinds import check_bounds, distribution
from .distributions import Distribution, Lognormal, Median, Pert, Triangular
from .measured_grade import grade_by_samples
from .range_warnings import without_range_warnings
from .ranges import CAPITAL, PARTS_OF_CAPITAL, own_range, uncertain

YEAR = 12
CONSTANT = 1e-12
"""Largest ratio of spread to median that counts as rounding error."""

SHAPES = {"median": Median, "triangular": Triangular, "pert": Pert}


@dataclass(kw_only=True)
class Study:
    """Inputs of a claim, and the distributions of those that vary.

    Attributes
    ----------
    inputs : dict
        Every input of the base case.
    units : {"us", "metric"}
    distributions : dict of str to Distribution
        Of each input that varies.
    correlations : dict of (str, str) to float
        Correlation coefficients of the normal scores (Gaussian copula).
    volatility : float
        Of the gold price, per year; for a price path only.
    path : bool
        Whether the gold price is a monthly random walk.
    quoted : tuple of str
        Inputs that keep their figure, since it is quoted.
    """

    inputs: dict[str, Any]
    units: Units
    distributions: dict[str, Distribution]
    correlations: dict[tuple[str, str], float] = field(default_factory=dict)
    volatility: float = gold_price.VOLATILITY
    path: bool = False
    quoted: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """The inputs that vary, in the order of drawing."""
        return tuple(self.distributions)

    @property
    def walks(self) -> int:
        """Number of draws for the gold price path."""
        return MONTHS if self.path else 0


@without_range_warnings()
def make_study(
    inputs=None,
    units="us",
    vary=None,
    correlations=None,
    gold="flat",
    volatility=None,
    shape="median",
    ranges=None,
    quoted=(),
):
    """Make a study of the plan's inputs.

    Parameters
    ----------
    inputs : mapping, optional
        As for `pennyweight.model.run.run`, single values.
    units : {"us", "metric"}
    vary : mapping of str to Distribution or (kind, numbers), optional
        Distributions in place of the ranges; ``("fixed", [value])`` keeps an input
        constant, and ``("samples", [])`` takes the grade's uncertainty from the
        samples.
    correlations : mapping of (str, str) to float, optional
        Correlation coefficients.
    gold : {"flat", "path", "table"}
        Model of the gold price, unless ``vary`` or ``ranges`` gives it: one mean price
        for the whole life, a monthly random walk, or the low and high of the table of
        inputs.
    volatility : float, optional
        Of the gold price, per year; default: `gold_price.VOLATILITY`.
    shape : {"median", "triangular", "pert"}
        Distribution over the ranges: the plan's value is its median, or its mode.
    ranges : mapping of str to (float, float), optional
        The user's own low and high of inputs, in the units of the inputs. Such an
        input varies between them, whatever the table of inputs says. Ranges of inputs
        that the plan takes from measurements are not used.
    quoted : collection of str, optional
        Inputs whose figure is quoted: it stays, unless ``vary`` or ``ranges`` gives
        another. The gold price moves after the quote.

    Returns
    -------
    study : Study

    Raises
    ------
    BadValue
        For ranges out of order, distributions outside the bounds of their input, or
        correlations that contradict one another.
    CallError
        For a distribution of an input that is not a number, or one that has no such
        form; for a volatility that the gold price does not use.
    """
    read = complete(inputs or {}, units)
    check_rules(read, units=units)
    given = as_entered(read, units)
    if gold == "table" and volatility is not None:
        raise CallError(
            f"Volatility {volatility:g}: the gold price by its low and high (table) "
            "has none. Leave the volatility out, or take flat or path."
        )
    if volatility is not None and (
        "gold_price" in (vary or {})
        or (gold == "flat" and "gold_price" in (ranges or {}))
    ):
        raise CallError(
            f"Volatility {volatility:g}: the gold price varies as you gave it, by its "
            "own low and high or distribution, which does not use this. Leave it out."
        )
    volatility = gold_price.VOLATILITY if volatility is None else volatility
    gold_price.check_volatility(volatility)
    stated = {
        name: _stated(name, how, units, read) for name, how in (vary or {}).items()
    }
    if read["grade_source"] == "samples":
        stated.setdefault("ore_grade", grade_by_samples(read, units))
    ends = {n: e for n, e in (ranges or {}).items() if n not in measured(read)}
    distributions = _from_ranges(given, units, shape, ends)
    kept = {*quoted} - {*ends, *stated, "gold_price"}
    kept = tuple(name for name in distributions if name in kept)
    distributions = {n: h for n, h in distributions.items() if n not in kept}
    if gold == "flat" and "gold_price" not in ends:
        distributions["gold_price"] = _flat(given, units, volatility)
        _check_distribution("gold_price", distributions["gold_price"], read, units)
    walks = gold == "path" and "gold_price" not in stated
    if walks:
        distributions.pop("gold_price", None)
    distributions.update(stated)
    study = Study(
        inputs=given,
        units=units,
        distributions={n: h for n, h in distributions.items() if not _constant(h)},
        correlations=dict(correlations or {}),
        volatility=volatility,
        path=walks and volatility > 0,
        quoted=kept,
    )
    for name, how in stated.items():
        if _constant(how):
            given[name] = how.middle()
    check_rules(given, units=units)
    score_matrix(study)
    return study


def _constant(how):
    """Whether a distribution is constant, such as one of equal measurements."""
    return how.spread() <= CONSTANT * abs(how.middle())


def _from_ranges(inputs, units, shape, own):
    """Distributions over the ranges in the table of inputs and the user's ranges."""
    ranges = uncertain(inputs, units)
    ranges |= {name: own_range(name, own[name], inputs, units) for name in own}
    if own.keys() & set(PARTS_OF_CAPITAL):
        ranges.pop(CAPITAL, None)
    return {name: SHAPES[shape](*ends) for name, ends in ranges.items()}


def _flat(inputs, units, volatility):
    """Distribution of one mean gold price, for the whole life or a contract's year.

    Its mean is the price of the base case.
    """
    life = run(inputs, units, wanted=["life_months"])["life_months"]
    months = YEAR if inputs["job"] == CONTRACT else max(float(life), 1.0)
    deviation = gold_price.flat_deviation(volatility, months / YEAR)
    return Lognormal(inputs["gold_price"] * np.exp(-(deviation**2) / 2), deviation)


def _stated(name, how, units, read):
    if not INPUTS[name].numeric:
        raise CallError(f"{INPUTS[name].label} is not a number. Only numbers can vary.")
    if isinstance(how, Distribution):
        made = how
    elif not isinstance(how, tuple | list) or len(how) != 2:
        raise CallError(
            f"{INPUTS[name].label}: give a kind and its numbers, such as "
            f"('triangular', [20, 25, 30]), not {how!r:.60}."
        )
    elif how[0] == "samples" and name == "ore_grade" and not len(how[1]):
        made = grade_by_samples(read, units)
    else:
        made = distribution(*how)
    _check_distribution(name, made, read, units)
    return made


def _check_distribution(name, how, read, units):
    entry = inputs_in(read)[name]
    check_bounds(how, *entry.within(units), entry.label, allowed(entry, units))


def score_matrix(study):
    """Correlation matrix of the inputs that are correlated.

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
        If the correlations contradict one another.
    """
    names = tuple(dict.fromkeys(name for pair in study.correlations for name in pair))
    for name in names:
        if name not in study.distributions:
            raise BadValue(
                f"Correlation: {_label(name)} does not vary"
                + (
                    " as one price; it is a path. Set gold to flat."
                    if name == "gold_price" and study.path
                    else ". Give it a distribution."
                )
            )
    matrix = np.eye(len(names))
    for (first, second), share in study.correlations.items():
        if first == second or not -1 <= share <= 1:
            raise BadValue(
                f"Correlation of {_label(first)} and {_label(second)}: {share:g}. Give "
                "two different inputs and a coefficient from -1 to 1."
            )
        here, there = names.index(first), names.index(second)
        matrix[here, there] = matrix[there, here] = share
    if names and np.linalg.eigvalsh(matrix)[0] < -1e-12:
        raise BadValue(
            f"The correlations between {', '.join(map(_label, names))} contradict one "
            "another (the matrix is not positive semidefinite). Change at least one."
        )
    return names, matrix


def _label(name):
    return INPUTS[name].label if name in INPUTS else name
