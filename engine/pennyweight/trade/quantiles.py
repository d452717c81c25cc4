"""Quantiles that spreadsheets have a function for, by way of scipy's own."""

from typing import Any


def student_t(confidence: Any, freedom: Any) -> Any:
    """Half-width of Student's two-sided interval, in standard errors.

    Its formula is TINV, by way of scipy's own function.

    Examples
    --------
    >>> round(float(student_t(0.95, 3)), 4)
    3.1824
    """
    from scipy.special import stdtrit

    return stdtrit(freedom, (1 + confidence) / 2)


def normal_score(place: Any, count: Any) -> Any:
    """Where the i-th of n sorted normal values is expected, in standard deviations.

    Blom's (i - 3/8)/(n + 1/4); its formula is NORMSINV, by way of scipy's function.

    Examples
    --------
    >>> round(float(normal_score(1, 5)), 4)
    -1.1798
    """
    from scipy.special import ndtri

    return ndtri((place - 0.375) / (count + 0.25))


def normal_quantile(share: Any) -> Any:
    """Standard normal value below which a share lies.

    Its formula is NORMSINV, by way of scipy's function.

    Examples
    --------
    >>> round(float(normal_quantile(0.95)), 4)
    1.6449
    """
    from scipy.special import ndtri

    return ndtri(share)
