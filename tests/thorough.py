"""Which cases every run tries, and which the thorough run adds.

`make test` tries each check on some of its cases, `make thorough` on all.
"""

import pytest


def sampled(cases, every):
    """Cases for ``parametrize`` or for a fixture's ``params``.

    Parameters
    ----------
    cases : iterable
    every : int
        Each so-manieth case is in every run, beginning with the first; the others
        wait for the thorough run.

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
