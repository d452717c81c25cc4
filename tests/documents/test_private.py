"""Private figures do not change a paper, not by a byte."""

import numpy as np
import pytest

from pennyweight.documents.quote import make_quote
from pennyweight.documents.statement import make_statement
from pennyweight.errors import BadValue
from pennyweight.model.inputs import INPUTS
from pennyweight.model.mill_model import MODEL
from pennyweight.model.run import run

from ..thorough import sampled
from .test_quote import PRIVATE as OF_QUOTE

KINDS = MODEL.axes["contract"].values
WITHOUT_HOURS = [
    k for k in KINDS if k not in ("by the hour", "cost plus", "own mixture")
]
"""Types whose quote says nothing of mill hours, nor of the rates of cost plus."""
PRICED = {"silver_price", "silver_payable", "silver_fineness", "fineness"}
"""The refiner's and the market's: they enter the customer's silver credit."""
PRIVATE = [
    name
    for name in OF_QUOTE
    if name in INPUTS
    and INPUTS[name].numeric
    and not INPUTS[name].family
    and name not in PRICED
] + ["season_lots", "target_margin", "waiting_margin", "cleanup_share"]


def other(name):
    """Another value of an input."""
    entry = INPUTS[name]
    low, high = entry.low, entry.high
    if low == "":
        low, high = entry.minimum, entry.maximum
    value = low if entry.example == high else high
    return float(value)


def fits(change):
    """Whether a change contradicts no other input."""
    try:
        run(change, wanted=())
    except BadValue:
        return False
    return True


PAPERS = [
    (make_quote, WITHOUT_HOURS),
    (make_statement, [*WITHOUT_HOURS, "by the hour"]),
]


@pytest.mark.parametrize("sample", sampled([3, 1], 2))
@pytest.mark.parametrize(("make", "kinds"), PAPERS)
def test_all_private_figures_at_once_move_no_paper(make, kinds, sample):
    """Of every third contract type; in the thorough run of each."""
    changed = {}
    for name in sorted({*PRIVATE} - SHOWN[make]):
        if fits({**changed, name: other(name)}):
            changed[name] = other(name)
    assert len(changed) > 60
    for kind in kinds[::sample]:
        terms = {"contract_kind": kind}
        before = make(terms, "us").content()
        assert make({**terms, **changed}, "us").content() == before, kind


LOTS = {"cleanup_share", "furnace_recovery"}
PULLS = {"first_pull", "second_pull", "middlings_pull"}
SHOWN = {make_quote: LOTS | PULLS, make_statement: LOTS | PULLS}
"""They are on the paper, as figures of the customer's lot or its tailings' weight."""


@pytest.mark.thorough
@pytest.mark.parametrize("make", [make_quote, make_statement])
def test_each_private_figure_alone_moves_no_paper(make):
    before = make({}, "us").content()
    moved = [
        name
        for name in sorted({*PRIVATE} - SHOWN[make])
        if fits({name: other(name)})
        and make({name: other(name)}, "us").content() != before
    ]
    assert moved == []


def test_a_figure_that_is_shown_moves_the_paper():
    """The comparison would see a leak."""
    before = make_quote({}, "us").content()
    assert make_quote({"gold_payable": 0.97}, "us").content() != before
    assert np.isfinite(other("wage"))
