"""Suppress warnings about equations used outside their range of validity."""

import functools
import warnings

from ..errors import OutsideRange


def without_range_warnings(function):
    """Suppress such warnings in a function.

    The judgement of the base case reports them once. Among thousands of trials, some
    are always outside.

    Parameters
    ----------
    function : callable

    Returns
    -------
    function : callable
    """

    @functools.wraps(function)
    def quiet(*args, **options):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OutsideRange)
            return function(*args, **options)

    return quiet
