"""Suppress warnings about equations used outside their range of validity."""

import contextlib
import warnings
from collections.abc import Iterator

from ..errors import OutsideRange


@contextlib.contextmanager
def without_range_warnings() -> Iterator[None]:
    """Suppress such warnings in a block, or in a function that it decorates.

    The judgement of the base case reports them once. Among thousands of trials, some
    are always outside.
    """
    with warnings.catch_warnings(action="ignore", category=OutsideRange):
        yield
