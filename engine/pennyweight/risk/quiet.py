"""Leaving out warnings that would come thousands of times."""

import functools
import warnings

from ..errors import OutsideRange


def quietly(function):
    """Have a function not warn of equations used beyond where they hold.

    The plan's own judgement tells of them; among thousands of draws some always
    stray.
    """

    @functools.wraps(function)
    def quiet(*args, **options):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OutsideRange)
            return function(*args, **options)

    return quiet
