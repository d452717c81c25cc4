"""Grade from few samples: means, how far they can be trusted, and when not to."""

import numpy as np

from .conditions import require
from .docstring import contract

SICHEL_TERMS = 160
"""Terms of Sichel's series; enough for log variances far beyond those of ore."""


@contract(any_units=True)
def arithmetic_mean(assays):
    """Mean of assays of equal weight, over the last axis.

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)
        Any unit of grade.

    Returns
    -------
    mean : [g/t]

    Raises
    ------
    BadValue
        When an assay is negative or no number.

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
def weighted_mean(assays, weights, axis=-1):
    """Mean of assays weighted by width, length or mass, over the last axis.

    sum(assay x weight) / sum(weight)

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)
        Any unit of grade.
    weights : 1-D [-] in [0, inf)
        Width of each channel, length of each core or mass of each lot, in one unit.
    axis : axis
        Axis over which the mean is taken; the last when left out.

    Returns
    -------
    mean : [g/t]

    Raises
    ------
    BadValue
        When all weights are zero, their number is another than that of the assays,
        or an argument is out of range.

    Source
    ------
    Common practice: the foot-ounce method of averaging samples.

    Examples
    --------
    >>> weighted_mean([10, 40], [1.5, 0.5])
    17.5
    """
    require(same_length(assays, weights), "each number needs a weight of its own")
    total = np.sum(weights, axis=axis)
    require(total > 0, "at least one weight must be above zero")
    return np.sum(assays * weights, axis=axis) / total


def same_length(first, second):
    """Tell whether two rows are equally long; ranges of cells are taken to be."""
    return len({row.shape[-1] for row in (first, second) if hasattr(row, "shape")}) < 2


@contract
def largest_share(assays):
    """Share of the arithmetic mean that the richest assay alone brings.

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
        When no assay is above zero, or one is out of range.

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
def coefficient_of_variation(assays):
    """Standard deviation over mean, over the last axis. Not a live formula.

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
        For a single assay, for zeros alone, or when one is out of range.

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
def arithmetic_interval(assays, confidence=0.95):
    """Interval for the mean of normally distributed assays. Not a live formula.

    mean ± t s / sqrt(n), t of Student with n - 1 degrees of freedom

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)
        At least two, along the last axis.
    confidence : array_like [-] in (0, 1)

    Returns
    -------
    low : [g/t]
        Below zero where the assays scatter: a sign that they are not normal.
    high : [g/t]

    Raises
    ------
    BadValue
        For a single assay, or when an argument is out of range.

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


def student_t(confidence, freedom):
    """Half-width of Student's two-sided interval, in standard errors.

    Its formula is TINV, by way of scipy's own function.

    Examples
    --------
    >>> round(float(student_t(0.95, 3)), 4)
    3.1824
    """
    from scipy.special import stdtrit

    return stdtrit(freedom, (1 + confidence) / 2)


def logarithms(assays, constant):
    """Logarithms of assays, with a constant added so that zeros have one too."""
    require(assays.shape[-1] > 1, "it takes at least two assays to show a spread")
    require(
        assays + constant > 0,
        "an assay of zero has no logarithm: give an additive constant above zero, "
        "such as half the detection limit, or use the arithmetic mean",
    )
    return np.log(assays + constant)


@contract
def sichel_factor(count, variance):
    """What the geometric mean is multiplied by, Sichel's gamma.

    1 + V/2 + sum over r >= 2 of (n-1)^(r-1) V^r / (2^r r! (n+1)(n+3)...(n+2r-3)),
    which is the confluent hypergeometric limit function 0F1((n-1)/2; (n-1)V/4).

    Parameters
    ----------
    count : array_like [-] in [2, inf)
        Number of samples, n.
    variance : array_like [-] in [0, inf)
        Of the natural logarithms, divided by n: V.

    Returns
    -------
    factor : [-]
        At least 1; exp(V/2) for very many samples, cosh(sqrt(V)) for two.

    Raises
    ------
    BadValue
        When an argument is out of range.

    Source
    ------
    Sichel 1952, Trans. Instn Min. Metall. 61, 261-288; Sichel 1966, J. South African
    Inst. Min. Metall. 67, 155-200; Finney 1941, J. Royal Stat. Soc. Suppl. 7,
    155-161.

    Examples
    --------
    >>> round(sichel_factor(10, 1), 3)
    1.615
    """
    term, factor = 1.0, 1.0
    for order in range(1, SICHEL_TERMS + 1):
        term = sichel_term(term, order, count, variance)
        factor = factor + term
    return factor


def sichel_term(former, order, count, variance):
    """Next term of Sichel's series, from the one before it (the first is 1).

    Examples
    --------
    >>> sichel_term(1.0, 1, 10, 1.0)
    0.5
    """
    return former * (count - 1) * variance / (2 * order * (count + 2 * order - 3))


@contract
def lognormal_mean(assays, constant=0.0):
    """Mean grade from few lognormal samples, after Finney and Sichel.

    exp(mean of ln x) x gamma_n(V), the unbiased mean of least variance; see
    `sichel_factor`. Not a live formula.

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)
        At least two, along the last axis.
    constant : array_like [g/t] in [0, inf)
        Added before the logarithm and taken off afterwards: for zeros, and for
        assays whose logarithms are skewed (three-parameter lognormal).

    Returns
    -------
    mean : [g/t]

    Raises
    ------
    BadValue
        For a single assay, for a zero without a constant, or when one is negative.

    Source
    ------
    Sichel 1952, Trans. Instn Min. Metall. 61, 261-288; Finney 1941, J. Royal Stat.
    Soc. Suppl. 7, 155-161; Krige 1960, J. South African Inst. Min. Metall. 61,
    231-244 (the constant).

    Examples
    --------
    >>> round(lognormal_mean([0.043, 0.236, 0.057, 0.016]), 6)
    0.084519
    """
    logs = logarithms(assays, constant)
    factor = sichel_factor(logs.shape[-1], np.var(logs, axis=-1))
    return np.exp(np.mean(logs, axis=-1)) * factor - constant


@contract
def lognormal_interval(assays, confidence=0.95, constant=0.0):
    """Interval for the mean of lognormal samples, by Cox's method with Student's t.

    exp(m + s²/2 ± t sqrt(s²/n + s⁴/(2(n-1)))), m and s² of the natural logarithms,
    t with n - 1 degrees of freedom. Not a live formula. For a handful of samples
    the upper end is still too low.

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)
        At least two, along the last axis.
    confidence : array_like [-] in (0, 1)
    constant : array_like [g/t] in [0, inf)
        As for `lognormal_mean`.

    Returns
    -------
    low : [g/t]
    high : [g/t]

    Raises
    ------
    BadValue
        For a single assay, for a zero without a constant, or when an argument is
        out of range.

    Source
    ------
    Olsson 2005, Journal of Statistics Education 13(1), "modified Cox"; the method
    is Cox's in Land 1972, Technometrics 14, 145-158.

    Examples
    --------
    >>> [round(end, 3) for end in lognormal_interval([2, 4, 4, 7, 12, 30])]
    [2.976, 36.283]
    """
    logs = logarithms(assays, constant)
    count, variance = logs.shape[-1], np.var(logs, axis=-1, ddof=1)
    middle, error = cox_terms(np.mean(logs, axis=-1), variance, count)
    half = student_t(confidence, count - 1) * error
    return np.exp(middle - half) - constant, np.exp(middle + half) - constant


def cox_terms(mean, variance, count):
    """Middle of Cox's interval for the logarithm of the mean, and its error.

    Examples
    --------
    >>> middle, error = cox_terms(0.0, 1.0, 5)
    >>> round(middle, 3), round(float(error), 3)
    (0.5, 0.57)
    """
    error = np.sqrt(variance / count + variance**2 / (2 * (count - 1)))
    return mean + variance / 2, error


@contract
def lognormal_test(assays, constant=0.0):
    """Shapiro and Wilk's test of the logarithms of assays. Not a live formula.

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)
        At least three, not all equal; one row.
    constant : array_like [g/t] in [0, inf)
        As for `lognormal_mean`.

    Returns
    -------
    statistic : [-]
        W; 1 for logarithms that lie exactly as a normal distribution would.
    probability : [-]
        Of a W as low as this if the assays were lognormal.

    Raises
    ------
    BadValue
        For fewer than three assays, for equal ones, for a zero without a constant,
        or when an argument is out of range.

    Source
    ------
    Shapiro & Wilk 1965, Biometrika 52, 591-611, through scipy.

    Examples
    --------
    >>> round(lognormal_test([0.043, 0.236, 0.057, 0.016])[0], 3)
    0.97
    """
    from scipy.stats import shapiro

    require(assays.ndim == 1, "one row of assays is judged at a time")
    require(assays.size > 2, "it takes at least three assays to judge their shape")
    require(np.ptp(assays) > 0, "equal assays show no spread to judge")
    statistic, probability = shapiro(logarithms(assays, constant))
    return statistic, probability


def lognormal_credible(assays, constant=0.0):
    """Say in words whether assays look lognormal.

    Parameters
    ----------
    assays : 1-D [g/t]
    constant : float [g/t], optional

    Returns
    -------
    words : str

    Raises
    ------
    BadValue
        As `lognormal_test`, except that too few or equal assays are said in words.

    Source
    ------
    Shapiro & Wilk 1965, Biometrika 52, 591-611, at the 5 % level.

    Examples
    --------
    >>> lognormal_credible([0.043, 0.236, 0.057, 0.016])
    'Nothing speaks against lognormal assays (W 0.970, p 0.84), but 4 say little.'
    """
    values = np.atleast_1d(np.asarray(assays))
    if values.size < 3:
        return f"Too few to tell: {values.size} assays; three are the least."
    if values.dtype.kind in "iuf" and np.ptp(values) == 0:
        return "Too alike to tell: the assays are all equal."
    statistic, probability = lognormal_test(assays, constant)
    found = f"(W {statistic:.3f}, p {probability:.2g})"
    if probability < 0.05:
        return f"The assays do not look lognormal {found}: use the arithmetic mean."
    doubt = f", but {values.size} say little." if values.size < 20 else "."
    return f"Nothing speaks against lognormal assays {found}{doubt}"


@contract
def straightness_needed(count):
    """Least correlation of a normal plot that still looks normal, at 5 %.

    1.0063 - 0.1288/sqrt(n) - 0.6118/n + 1.3505/n^2, for the correlation between the
    sorted values and normal scores at (i - 3/8)/(n + 1/4).

    Parameters
    ----------
    count : array_like [-] in [4, inf)
        Number of samples, n.

    Returns
    -------
    correlation : [-]

    Raises
    ------
    BadValue
        For fewer than four samples.

    Source
    ------
    Ryan & Joiner 1976, Normal probability plots and tests for normality, Pennsylvania
    State University.

    Examples
    --------
    >>> round(straightness_needed(10), 4)
    0.9179
    """
    return 1.0063 - 0.1288 / np.sqrt(count) - 0.6118 / count + 1.3505 / count**2


def normal_score(place, count):
    """Where the i-th of n sorted normal values is expected, in standard deviations.

    Blom's (i - 3/8)/(n + 1/4); its formula is NORMSINV, by way of scipy's function.

    Examples
    --------
    >>> round(float(normal_score(1, 5)), 4)
    -1.1798
    """
    from scipy.special import ndtri

    return ndtri((place - 0.375) / (count + 0.25))


@contract
def mean_grade(assays, method="arithmetic", constant=0.0):
    """Mean grade by one method or the other; see `mean_grade_methods`.

    Not a live formula.

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)
        At least two for the lognormal mean.
    method : {"arithmetic", "lognormal"}
    constant : array_like [g/t] in [0, inf)
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


def mean_grade_methods(assays, constant=0.0):
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
    'Always unbiased; the richest assay brings 35 % of it.'
    """
    share = 100 * largest_share(assays)
    return {
        "arithmetic": f"Always unbiased; the richest assay brings {share:.0f} % of it.",
        "lognormal": lognormal_credible(assays, constant),
    }
