"""Lognormal samples: mean, confidence interval and lognormality tests."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from .conditions import require
from .function_contract import Number, contract
from .quantiles import student_t

SICHEL_TERMS = 160
"""Terms of Sichel's series; enough for log variances much larger than those of ore."""


def logarithms(assays: Any, constant: Any) -> Any:
    """Logarithms of assays plus a constant, so that zeros have one too."""
    require(assays.shape[-1] > 1, "it takes at least two assays to show a spread")
    require(
        assays + constant > 0,
        "an assay of zero has no logarithm: give an additive constant above zero, "
        "such as half the detection limit, or use the arithmetic mean",
    )
    return np.log(assays + constant)


@contract
def sichel_factor(count: ArrayLike, variance: ArrayLike) -> Number:
    """Sichel's factor on the geometric mean of lognormal assays.

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


def sichel_term(former: Any, order: int, count: Any, variance: Any) -> Any:
    """Next term of Sichel's series, from the one before it (the first is 1).

    Examples
    --------
    >>> sichel_term(1.0, 1, 10, 1.0)
    0.5
    """
    return former * (count - 1) * variance / (2 * order * (count + 2 * order - 3))


@contract
def lognormal_mean(assays: ArrayLike, constant: ArrayLike = 0.0) -> Number:
    """Mean grade of few lognormal assays, by Sichel's estimator.

    exp(mean of ln x) x gamma_n(V), the unbiased mean of least variance; see
    `sichel_factor`. Not a live formula.

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)
        At least two, along the last axis.
    constant : array_like [g/t] in [0, inf), optional
        Added before the logarithm and taken off afterwards: for zeros, and for
        assays whose logarithms are skewed (three-parameter lognormal).

    Returns
    -------
    mean : [g/t]

    Raises
    ------
    BadValue
        For a single assay, or for a zero without a constant.

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
def lognormal_interval(
    assays: ArrayLike, confidence: ArrayLike = 0.95, constant: ArrayLike = 0.0
) -> tuple[Number, Number]:
    """Confidence interval for the mean of lognormal assays, by Cox's method.

    exp(m + s²/2 ± t sqrt(s²/n + s⁴/(2(n-1)))), m and s² of the natural logarithms,
    t with n - 1 degrees of freedom. Not a live formula. For a handful of samples
    the upper end is still too low.

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)
        At least two, along the last axis.
    confidence : array_like [-] in (0, 1), optional
    constant : array_like [g/t] in [0, inf), optional
        As for `lognormal_mean`.

    Returns
    -------
    low : [g/t]
    high : [g/t]

    Raises
    ------
    BadValue
        For a single assay, or for a zero without a constant.

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


def cox_terms(mean: Any, variance: Any, count: Any) -> tuple[Any, Any]:
    """Centre and standard error of Cox's interval for the logarithm of the mean.

    Examples
    --------
    >>> middle, error = cox_terms(0.0, 1.0, 5)
    >>> round(middle, 3), round(float(error), 3)
    (0.5, 0.57)
    """
    error = np.sqrt(variance / count + variance**2 / (2 * (count - 1)))
    return mean + variance / 2, error


@contract
def lognormal_test(
    assays: ArrayLike, constant: ArrayLike = 0.0
) -> tuple[Number, Number]:
    """Lognormality test of assays, by Shapiro and Wilk.

    Not a live formula.

    Parameters
    ----------
    assays : 1-D [g/t] in [0, inf)
        At least three, not all equal; one row.
    constant : array_like [g/t] in [0, inf), optional
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
        For fewer than three assays, equal assays, or a zero without a constant.

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


def lognormal_credible(assays: ArrayLike, constant: float = 0.0) -> str:
    """Whether assays look lognormal, in words.

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
    Shapiro & Wilk 1965, Biometrika 52, 591-611, at the 5% level.

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
def ryan_joiner_critical(count: ArrayLike) -> Number:
    """Critical correlation of a normal probability plot, by Ryan and Joiner.

    1.0063 - 0.1288/sqrt(n) - 0.6118/n + 1.3505/n^2, for the correlation between the
    sorted values and normal scores at (i - 3/8)/(n + 1/4).

    Parameters
    ----------
    count : array_like [-] in [4, inf)
        Number of samples, n.

    Returns
    -------
    correlation : [-]

    Source
    ------
    Ryan & Joiner 1976, Normal probability plots and tests for normality, Pennsylvania
    State University.

    Examples
    --------
    >>> round(ryan_joiner_critical(10), 4)
    0.9179
    """
    return 1.0063 - 0.1288 / np.sqrt(count) - 0.6118 / count + 1.3505 / count**2
