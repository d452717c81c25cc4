"""Whether two formulas are the same, however a program has spelt them."""

import math

from .formula_tree import NoTree, tree

CLOSE = 1e-12
"""Programs save numbers in a formula with 15 digits."""


def same_formula(one, other, sheet=""):
    """Tell whether two formulas of a cell mean the same.

    Parameters
    ----------
    one, other : str
        With their equals signs.
    sheet : str, optional
        Where they stand; its own name may be left out.

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
    """A reference to cells without what programs spell in several ways.

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
