"""The grade at which a contract type equals the agreed one, for both sides."""

import numpy as np

from .inputs import INPUTS
from .mill import MODEL
from .run import run

KINKS = ("purchase_deduction", "purchase_low_grade", "purchase_high_grade")
"""Grades at which the payable schedule turns; the margin is smooth between them."""


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
        By contract type; not-a-number if the two never meet, or always do.

    Source
    ------
    scipy.optimize.elementwise.find_root (Chandrupatla 1997).
    """
    from scipy.optimize.elementwise import find_root

    kinds = MODEL.axes["contract"].values
    base = run(inputs, units, KINKS)
    agreed = kinds.index(str(base["contract_kind"]))

    def gaps(grades):
        values = run({**inputs, "custom_grade": grades}, units, ("owner_margin",))
        margins = values["owner_margin"]
        return margins - margins[agreed]

    def gap(grades, kind):
        return gaps(grades)[np.asarray(kind, int), np.arange(len(grades))]

    low, high = INPUTS["custom_grade"].within(units)
    ends = np.unique([low, *np.clip([base[name] for name in KINKS], low, high), high])
    nodes = np.unique([*ends, *_vertices(gaps, ends)])
    at_nodes = gaps(nodes)
    at_nodes = np.where(np.all(at_nodes == 0, axis=1, keepdims=True), 1, at_nodes)
    grades = np.min(np.where(at_nodes == 0, nodes, np.inf), axis=1)
    kind, place = np.nonzero(at_nodes[:, :-1] * at_nodes[:, 1:] < 0)
    if len(kind):
        found = find_root(gap, (nodes[place], nodes[place + 1]), args=(kind,))
        np.minimum.at(grades, kind, found.x)
    return np.where(np.isfinite(grades), grades, np.nan)


def _vertices(gaps, ends):
    """Where the parabola through three points of a segment has its vertex."""
    low, high = ends[:-1], ends[1:]
    middle, half = (low + high) / 2, (high - low) / 2
    below, at, above = (gaps(grades) for grades in (low, middle, high))
    with np.errstate(all="ignore"):
        offset = half * (below - above) / (below + above - at - at) / 2
    return (middle + offset)[np.abs(offset) < half]
