"""Alterations of one cell, by mistake or on purpose."""

import re

LEAST = 1e-4
"""Smallest change of a stored value; rounding leaves far less."""


def alter_cell(cell, generator):
    """Alter a cell so that it no longer is what belongs there.

    Parameters
    ----------
    cell : Cell
    generator : random.Random

    Returns
    -------
    altered : Cell or None
        None for a cell that was emptied.
    how : str
    """
    ways = dict(FORMULA_WAYS if cell.formula else FIXED_WAYS)
    if cell.kind != "n":
        ways.pop("value", None)
    how = generator.choice(sorted(ways))
    return ways[how](cell, generator), how


def _overwritten(cell, generator):
    return cell._replace(formula="", kind="n", value=generator.uniform(1, 9))


def _value_kept(cell, _generator):
    """The formula goes, the number that it gave stays: the commonest slip."""
    return cell._replace(formula="")


def _text(cell, _generator):
    return cell._replace(formula="", kind="text", value="as agreed")


def _error(cell, _generator):
    return cell._replace(kind="e", value="#REF!")


def _emptied(_cell, _generator):
    return None


def _value(cell, generator):
    step = max(abs(cell.value) * generator.choice([1e-6, 0.01, 2.0]), LEAST)
    sign = generator.choice([-1, 1])
    return cell._replace(value=cell.value + sign * step)


def _formula(cell, generator):
    formula = cell.formula
    if re.fullmatch(r"=[0-9]+", formula):
        # A sign or a factor leaves nothing as it is: that would alter no figure.
        return cell._replace(formula=formula + "+1")
    ways = [
        formula + "+1",
        formula + "*1.0001",
        "=-(" + formula[1:] + ")",
        "=IF(1=1," + formula[1:] + ",0)",
        *(_swapped(formula, *pair) for pair in ("+-", "*/", "<>")),
        re.sub(
            r"(?<![\w.\"])([A-Z]{1,2})([0-9]+)(?![\w(])", _next_row, formula, count=1
        ),
    ]
    return cell._replace(formula=generator.choice([w for w in ways if w != formula]))


def _swapped(formula, sign, other):
    """One operator for another, outside of quoted text."""
    if '"' in formula or sign + "=" in formula or "<>" in formula:
        return formula
    return formula.replace(sign, other, 1)


def _next_row(found):
    return f"{found[1]}{int(found[2]) + 1}"


def _other_text(cell, _generator):
    return cell._replace(kind="text", value=f"{cell.value} or so")


FORMULA_WAYS = {
    "overwritten": _overwritten,
    "value kept": _value_kept,
    "text": _text,
    "error": _error,
    "emptied": _emptied,
    "value": _value,
    "formula": _formula,
}
FIXED_WAYS = {"other text": _other_text, "emptied": _emptied, "value": _value}
