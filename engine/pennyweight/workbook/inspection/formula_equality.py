"""Equality of formulas, without regard to how a program writes them."""

import math

from .formula_tree import NoTree, tree

CLOSE = 1e-12
"""Relative tolerance: programs save numbers in a formula with 15 digits."""


def same_formula(one, other, sheet=""):
    """Whether two formulas of a cell mean the same.

    Parameters
    ----------
    one, other : str
        With their equals signs.
    sheet : str, optional
        Their sheet, whose name may be left out in a reference.

    Returns
    -------
    same : bool

    Examples
    --------
    >>> same_formula("=-(A1)*2^(1)", "=-$a$1 * 2^1.0")
    True
    >>> same_formula("=Feed/2", "=Feed/2.1")
    False
    """
    if one == other:
        return True
    try:
        return _same(tree(one, sheet), tree(other, sheet))
    except NoTree:
        return False


def plain_reference(text):
    """A reference to cells in one spelling: no dollar signs or quotes, lower case.

    Examples
    --------
    >>> plain_reference("='Cash flow'!$B$7")
    'cash flow!b7'
    """
    return text.strip().lstrip("=").replace("$", "").replace("'", "").lower()


def _same(one, other):
    if type(one) is not type(other):
        return False
    if isinstance(one, tuple):
        return len(one) == len(other) and all(map(_same, one, other))
    if isinstance(one, float):
        return math.isclose(one, other, rel_tol=CLOSE)
    return one == other
