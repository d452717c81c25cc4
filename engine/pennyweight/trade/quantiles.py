"""Quantiles by SciPy, for which spreadsheets have functions as well."""

from typing import Any


def student_t(confidence: Any, freedom: Any) -> Any:
    """Half-width of Student's two-sided interval, in standard errors.

    Its formula is TINV.

    Examples
    --------
    >>> round(float(student_t(0.95, 3)), 4)
    3.1824
    """
    from scipy.special import stdtrit

    return stdtrit(freedom, (1 + confidence) / 2)


def normal_score(place: Any, count: Any) -> Any:
    """Expected value of the i-th of n sorted standard normal values.

    By Blom's approximation, (i - 3/8)/(n + 1/4); its formula is NORMSINV.

    Examples
    --------
    >>> round(float(normal_score(1, 5)), 4)
    -1.1798
    """
    return normal_quantile((place - 0.375) / (count + 0.25))


def normal_quantile(share: Any) -> Any:
    """Quantile of the standard normal distribution.

    Its formula is NORMSINV.

    Examples
    --------
    >>> round(float(normal_quantile(0.95)), 4)
    1.6449
    """
    from scipy.special import ndtri

    return ndtri(share)


def normal_half_width(confidence: Any) -> Any:
    """Half-width of the normal distribution's two-sided interval, in standard errors.

    Examples
    --------
    >>> round(float(normal_half_width(0.9)), 4)
    1.6449
    """
    return normal_quantile((1 + confidence) / 2)
