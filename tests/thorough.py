"""Which cases run every time, and which only in the thorough run.

`make test` runs each check on some of its cases, `make thorough` on all.
"""

import pytest


def sampled(cases, every):
    """Cases for ``parametrize`` or for a fixture's ``params``.

    Parameters
    ----------
    cases : iterable
    every : int
        The first case runs every time, and every such case after it: with 3 the
        first, fourth, seventh and so on. The others run in the thorough run only.

    Returns
    -------
    cases : list
    """
    found = []
    for place, case in enumerate(cases):
        values = case if isinstance(case, tuple) else (case,)
        marks = [pytest.mark.thorough] if place % every else []
        found.append(pytest.param(*values, marks=marks))
    return found
