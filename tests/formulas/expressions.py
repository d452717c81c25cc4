"""Random expressions, for numbers and for references to cells.

An expression is a tree of tuples. `apply` works it out with NumPy on whatever the
cells stand for: floats give the answer, references give the formula. `fails` tells
whether a spreadsheet meets an error on its way to the answer, which NumPy passes over.
"""

import random

import numpy as np

from pennyweight.formulas import rounded

CELLS = {"A1": 3.7, "B1": -2.25, "C1": 0.0, "D1": 0.4, "E1": 12.0, "F1": -7.0}
CONSTANTS = (0, 1, 2, -3, 0.25, 1.5, -0.6, 10)
EXPONENTS = (2, 3, 0.5, 1.5, -1, -2, -0.5)
BINARY = {
    "add": lambda a, b: a + b,
    "subtract": lambda a, b: a - b,
    "multiply": lambda a, b: a * b,
    "divide": lambda a, b: a / b,
    "minimum": np.minimum,
    "maximum": np.maximum,
    "modulo": lambda a, b: a % b,
}
UNARY = {
    "negative": lambda a: -a,
    "square": np.square,
    "root": np.sqrt,
    "log": np.log,
    "log10": np.log10,
    "exp": np.exp,
    "absolute": abs,
    "sign": np.sign,
    "sine": np.sin,
    "cosine": np.cos,
    "arctangent": np.arctan,
    "floor": np.floor,
    "ceiling": np.ceil,
    "truncate": np.trunc,
    "round": lambda a: rounded(a, 1),
    "clip": lambda a: np.clip(a, -1, 2),
    "interpolate": lambda a: np.interp(a, [-3.0, 1.0, 5.0], [2.0, -1.0, 6.5]),
}
COMPARISON = {
    "less": lambda a, b: a < b,
    "at_most": lambda a, b: a <= b,
    "greater": lambda a, b: a > b,
    "at_least": lambda a, b: a >= b,
    "equal": lambda a, b: a == b,
    "unequal": lambda a, b: a != b,
}
JOINED = {"both": np.logical_and, "either": np.logical_or}
FUNCTIONS = {**BINARY, **UNARY, **COMPARISON, **JOINED}
FUNCTIONS["not"] = np.logical_not
FUNCTIONS["power"] = lambda a, b: a**b
FUNCTIONS["choose"] = np.where
FUNCTIONS["gate"] = lambda truth, a: truth * a


def grow(chance, depth):
    """Grow an expression that reads at least one cell."""
    if depth == 0 or chance.random() < 0.1:
        return chance.choice(list(CELLS))
    kind = chance.random()
    if kind < 0.45:
        parts = [grow(chance, depth - 1), _leaf_or_grown(chance, depth - 1)]
        chance.shuffle(parts)
        return (chance.choice(list(BINARY)), *parts)
    if kind < 0.75:
        return chance.choice(list(UNARY)), grow(chance, depth - 1)
    if kind < 0.87:
        return "power", grow(chance, depth - 1), chance.choice(EXPONENTS)
    if kind < 0.95:
        yes, no = grow(chance, depth - 1), _leaf_or_grown(chance, depth - 1)
        return "choose", _condition(chance, depth - 1), yes, no
    return "gate", _condition(chance, depth - 1), grow(chance, depth - 1)


def _leaf_or_grown(chance, depth):
    return chance.choice(CONSTANTS) if chance.random() < 0.35 else grow(chance, depth)


def _condition(chance, depth):
    kind = chance.random()
    if depth > 0 and kind < 0.2:
        joined = chance.choice(list(JOINED))
        return joined, _condition(chance, depth - 1), _condition(chance, depth - 1)
    if depth > 0 and kind < 0.3:
        return "not", _condition(chance, depth - 1)
    comparison = chance.choice(list(COMPARISON))
    return comparison, grow(chance, max(depth, 0)), _leaf_or_grown(chance, 0)


def apply(tree, cells):
    """Work an expression out on what the cells stand for."""
    if isinstance(tree, tuple):
        return FUNCTIONS[tree[0]](*(apply(part, cells) for part in tree[1:]))
    return cells[tree] if isinstance(tree, str) else tree


def fails(tree, cells):
    """Tell whether some part that a spreadsheet works out is not a finite number."""
    if not isinstance(tree, tuple):
        return False
    parts = tree[1:]
    if tree[0] == "choose":
        taken = parts[1] if apply(parts[0], cells) else parts[2]
        parts = parts[0], taken
    here = np.isfinite(np.asarray(apply(tree, cells), float))
    return any(fails(part, cells) for part in parts) or (
        not here and tree[0] != "choose"
    )


def well_posed(tree, cells):
    """Tell whether the answer does not hang on the last digits of the cells.

    Cells nudged by 1e-13 must move it by less than 1e-11 and not change whether it
    fails; else two sound programs may rightly differ.
    """
    answer, failing = apply(tree, cells), fails(tree, cells)
    chance = random.Random(1)
    for _ in range(6):
        nudged = {
            name: np.float64(value * (1 + chance.uniform(-1e-13, 1e-13)))
            for name, value in cells.items()
        }
        if fails(tree, nudged) != failing:
            return False
        if not failing and abs(apply(tree, nudged) - answer) > 1e-11 * abs(answer):
            return False
    return failing or answer == 0 or 1e-290 < abs(answer) < 1e290


def chosen(count, seed):
    """Give well-posed expressions, each different, the same for the same seed."""
    chance = random.Random(seed)
    cells = {name: np.float64(value) for name, value in CELLS.items()}
    found = {}
    with np.errstate(all="ignore"):
        while len(found) < count:
            tree = grow(chance, 4)
            if isinstance(tree, tuple) and well_posed(tree, cells):
                found[tree] = None if fails(tree, cells) else float(apply(tree, cells))
    return found
