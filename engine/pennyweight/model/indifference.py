"""Indifference grade: the grade at which a contract type equals the agreed one."""

from functools import lru_cache

import numpy as np

from .allowed import complete
from .inputs import INPUTS, families
from .mill_model import MODEL
from .run import run

KINKS = ("purchase_deduction", "purchase_low_grade", "purchase_high_grade")
"""Kinks of the payable schedule; the margin is smooth between them."""
BELOW = 1 - 1e-12
"""Factor for the grade just below a step."""


def indifference_grades(inputs, units):
    """Find the lowest grade at which each contract type equals the agreed one.

    Between two kinks of the payable schedule a margin is a polynomial of at most
    second degree, so that two margins meet at most once on either side of its vertex.

    Parameters
    ----------
    inputs : mapping
        As for `run`, single values.
    units : {"us", "metric"}

    Returns
    -------
    grades : ndarray
        By contract type; NaN if the two margins are never equal, or always.

    Source
    ------
    scipy.optimize.elementwise.find_root (Chandrupatla 1997).
    """
    return _solved(tuple(complete(inputs, units).items()), units).copy()


@lru_cache(maxsize=16)
def _solved(inputs, units):
    """`indifference_grades`, cached: a command needs the same more than once."""
    from scipy.optimize.elementwise import find_root

    inputs = dict(inputs)
    kinds = MODEL.axes["contract"].values
    base = run(inputs, units, (*KINKS, "purchase_high_payable", "owner_margin"))
    agreed = kinds.index(str(base["contract_kind"]))

    def gaps(grades):
        changed = {**inputs, "custom_grade": grades}
        margins = run(changed, units, ("owner_margin",), base=base)["owner_margin"]
        return margins - margins[agreed]

    def gap(grades, kind):
        return gaps(grades)[np.asarray(kind, int), np.arange(len(grades))]

    low, high = INPUTS["custom_grade"].within(units)
    ends = np.unique(np.clip([low, *_kinks(base), high], low, high))
    nodes = np.unique([*ends, *_vertices(gaps, ends)])
    at_nodes = gaps(nodes)
    at_nodes = np.where(np.all(at_nodes == 0, axis=1, keepdims=True), 1, at_nodes)
    grades = np.min(np.where(at_nodes == 0, nodes, np.inf), axis=1)
    kind, place = np.nonzero(at_nodes[:, :-1] * at_nodes[:, 1:] < 0)
    if len(kind):
        found = find_root(gap, (nodes[place], nodes[place + 1]), args=(kind,))
        np.minimum.at(grades, kind, found.x)
    return np.where(np.isfinite(grades), grades, np.nan)


def _kinks(base):
    """Grades at which the payable gold has a kink or a jump, and grades just below.

    The minimum deduction applies from the grade at which (g - d) (p + r (g - g0)) =
    g - m, on the sliding scale and at each constant share.
    """
    found = [base[name] for name in KINKS]
    rows = zip(*(families()[n] for n in ("step_from", "step_paid")), strict=True)
    used = [(base[grade], base[share]) for grade, share in rows if base[share] > 0]
    found += [grade * side for grade, _ in used for side in (1, BELOW)]
    least, deduction = base["purchase_least_deduction"], base["purchase_deduction"]
    low, share = base["purchase_low_grade"], base["purchase_low_payable"]
    rise = (base["purchase_high_payable"] - share) / base["purchase_grade_span"]
    flat = [(0, one) for one in (share, base["purchase_high_payable"])]
    for slope, start in [*flat, (rise, share - rise * low), *((0, s) for _, s in used)]:
        turn = (slope, start - slope * deduction - 1, least - deduction * start)
        roots = np.roots(turn)
        found += roots[np.isreal(roots)].real.tolist()
    return [float(grade) for grade in found]


def _vertices(gaps, ends):
    """Vertex of the parabola through three points of each segment."""
    low, high = ends[:-1], ends[1:]
    middle, half = (low + high) / 2, (high - low) / 2
    below, at, above = (gaps(grades) for grades in (low, middle, high))
    with np.errstate(all="ignore"):
        offset = half * (below - above) / (below + above - at - at) / 2
    return (middle + offset)[np.abs(offset) < half]
