"""Whether two formulas are the same, however a program has spelt them."""

import functools

from openpyxl.formula import Tokenizer

SYNONYMS = {
    "T.INV.2T(": "TINV(",
    "NORM.S.INV(": "NORMSINV(",
}
"""Newer names that programs give to functions when they save."""


@functools.lru_cache(maxsize=100_000)
def spelling(formula):
    """Write a formula in one spelling: names in capitals, numbers to 13 digits.

    Parameters
    ----------
    formula : str
        With its equals sign.

    Returns
    -------
    spelling : str

    Examples
    --------
    >>> spelling("=sum('Years'!$F$2:$P$2)") == spelling("=SUM(Years!$F$2:$P$2)")
    True
    """
    return "".join(
        _token(token)
        for token in Tokenizer(formula).items
        if token.type != "WHITE-SPACE"
    )


def _token(token):
    value = token.value
    if token.type == "OPERAND" and token.subtype == "NUMBER":
        return f"{float(value):.13g}"
    if token.type == "OPERAND" and token.subtype == "TEXT":
        return value
    value = value.upper().replace("_XLFN.", "").replace("'", "")
    return SYNONYMS.get(value, value)


def same_formula(one, other):
    """Tell whether two formulas are the same.

    Parameters
    ----------
    one, other : str

    Returns
    -------
    same : bool
    """
    if one == other:
        return True
    try:
        return spelling(one) == spelling(other)
    except Exception:  # what no tokenizer can read is no formula of ours
        return False
