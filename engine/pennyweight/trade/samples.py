"""Grade from few samples: means, confidence intervals and choice of method."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .function_contract import Choice, Number, contract
from .lognormal import lognormal_credible, lognormal_mean
from .quantiles import student_t


@contract(any_units=True)
def arithmetic_mean(assays: ArrayLike) -> Number:
    """Arithmetic mean of assays.

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)
        Any unit of grade.

    Returns
    -------
    mean : [g/t]

    Source
    ------
    Definition.

    Examples
    --------
    >>> arithmetic_mean([2, 4, 12])
    6.0
    """
    return np.mean(assays, axis=-1)


@contract(any_units=True)
def weighted_mean(assays: ArrayLike, weights: ArrayLike, axis: int = -1) -> Number:
    """Weighted mean of assays, by width, length or mass.

    sum(assay x weight) / sum(weight)

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)
        Any unit of grade.
    weights : 1-D [-] in [0, inf)
        Width of each channel, length of each core or mass of each lot, in one unit.
    axis : axis, optional
        Axis over which the mean is taken; the last when left out.

    Returns
    -------
    mean : [g/t]

    Raises
    ------
    BadValue
        When all weights are zero, or there are more or fewer than assays.

    Source
    ------
    Common practice: the foot-ounce method of averaging samples.

    Examples
    --------
    >>> weighted_mean([10, 40], [1.5, 0.5])
    17.5
    """
    require(same_length(assays, weights, axis), "each number needs a weight of its own")
    total = np.sum(weights, axis=axis)
    require(total > 0, "at least one weight must be above zero")
    return np.sum(assays * weights, axis=axis) / total


@contract
def effective_number(weights: ArrayLike, axis: int = -1) -> Number:
    """Effective number of samples in a weighted mean.

    (sum w)^2 / sum w^2. The variance of a weighted mean is that of one sample divided
    by this number, where the samples are independent and scatter alike.

    Parameters
    ----------
    weights : 1-D [-] in [0, inf)
        In one unit, as for `weighted_mean`.
    axis : axis, optional
        Axis of the samples; the last when left out.

    Returns
    -------
    number : [-]
        The number of samples where all weights are equal; near 1 where one sample
        carries most of the weight.

    Raises
    ------
    BadValue
        When all weights are zero.

    Source
    ------
    Kish 1965, Survey Sampling, Wiley; Kish 1992, J. Official Statistics 8, 183-200.

    Examples
    --------
    >>> round(effective_number([100, 1, 1, 1, 1, 1, 1, 1, 1, 1]), 3)
    1.187
    """
    squares = np.sum(weights * weights, axis=axis)
    require(squares > 0, "at least one weight must be above zero")
    total = np.sum(weights, axis=axis)
    return total * total / squares


def same_length(first: Any, second: Any, axis: int = -1) -> bool:
    """Whether two rows have the same length; ranges of cells are assumed to."""
    rows = [row for row in (first, second) if hasattr(row, "shape")]
    return len({row.shape[axis] for row in rows}) < 2


@contract
def largest_share(assays: ArrayLike) -> Number:
    """Share of the richest assay in the sum of the assays.

    max / sum over the last axis. Near 1 the mean is the accident of one sample.

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)

    Returns
    -------
    share : [-]

    Raises
    ------
    BadValue
        When no assay is above zero.

    Source
    ------
    Definition.

    Examples
    --------
    >>> largest_share([1, 2, 17])
    0.85
    """
    total = np.sum(assays, axis=-1)
    require(total > 0, "at least one assay must be above zero")
    return np.max(assays, axis=-1) / total


@contract
def coefficient_of_variation(assays: ArrayLike) -> Number:
    """Coefficient of variation of assays.

    Not a live formula.

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)
        At least two.

    Returns
    -------
    variation : [-]
        Above about 1 the arithmetic mean of few samples says little.

    Raises
    ------
    BadValue
        For a single assay, or for zeros alone.

    Source
    ------
    Definition, with n - 1 in the variance.

    Examples
    --------
    >>> coefficient_of_variation([2, 4, 6])
    0.5
    """
    require(assays.shape[-1] > 1, "it takes at least two assays to show a spread")
    mean = arithmetic_mean(assays)
    require(mean > 0, "at least one assay must be above zero")
    return np.std(assays, axis=-1, ddof=1) / mean


@contract
def arithmetic_interval(
    assays: ArrayLike, confidence: ArrayLike = 0.95
) -> tuple[Number, Number]:
    """Confidence interval for the mean of normal assays, by Student's t.

    Not a live formula.

    mean ± t s / sqrt(n), t of Student with n - 1 degrees of freedom

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)
        At least two, along the last axis.
    confidence : array_like [-] in (0, 1), optional

    Returns
    -------
    low : [g/t]
        Below zero where the assays scatter: a sign that they are not normal.
    high : [g/t]

    Raises
    ------
    BadValue
        For a single assay.

    Source
    ------
    Student 1908, Biometrika 6, 1-25; NIST/SEMATECH e-Handbook of Statistical
    Methods, section 1.3.5.2.

    Examples
    --------
    >>> [round(end, 4) for end in arithmetic_interval([8, 10, 12, 14])]
    [6.8915, 15.1085]
    """
    count = assays.shape[-1]
    require(count > 1, "it takes at least two assays to give an interval")
    error = np.std(assays, axis=-1, ddof=1) / np.sqrt(count)
    half = student_t(confidence, count - 1) * error
    mean = arithmetic_mean(assays)
    return mean - half, mean + half


@contract
def mean_grade(
    assays: ArrayLike, method: Choice = "arithmetic", constant: ArrayLike = 0.0
) -> Number:
    """Mean grade of assays by one of `mean_grade_methods`.

    Not a live formula.

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)
        At least two for the lognormal mean.
    method : {"arithmetic", "lognormal"}, optional
    constant : array_like [g/t] in [0, inf), optional
        As for `lognormal_mean`; the arithmetic mean has no need of it.

    Returns
    -------
    mean : [g/t]

    Raises
    ------
    BadValue
        As the mean that is asked for.

    Source
    ------
    `arithmetic_mean`; `lognormal_mean`.

    Examples
    --------
    >>> round(mean_grade([1.2, 3.4, 0.8, 15.0, 2.2], "lognormal"), 2)
    4.11
    """
    if method == "lognormal":
        return lognormal_mean(assays, constant)
    return arithmetic_mean(assays)


def mean_grade_methods(assays: ArrayLike, constant: float = 0.0) -> dict[str, str]:
    """Say of each method of `mean_grade` whether it suits these assays, and why.

    Parameters
    ----------
    assays : 1-D [g/t]
    constant : float [g/t], optional

    Returns
    -------
    methods : dict of str
        A sentence under each method's name.

    Raises
    ------
    BadValue
        As `lognormal_credible`.

    Source
    ------
    Sichel 1966, J. South African Inst. Min. Metall. 67, 155-200.

    Examples
    --------
    >>> mean_grade_methods([2.0, 2.1, 1.9])["arithmetic"]
    'Always unbiased; the richest assay is 35% of it.'
    """
    share = 100 * largest_share(assays)
    return {
        "arithmetic": f"Always unbiased; the richest assay is {share:.0f}% of it.",
        "lognormal": lognormal_credible(assays, constant),
    }
