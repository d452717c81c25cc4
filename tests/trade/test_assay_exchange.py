"""Exchange of assays: inside, at and outside the limit, and the umpire."""

import pytest

from pennyweight.errors import BadValue
from pennyweight.trade import assay_exchange as e

from ..evidence import evidence
from .holding import arrays_are_scalars, refuses_nonsense

CLAUSE = "sale contract, lawinsider.com, method for determining final analysis (c): "
CLAUSE += "the mean of both where they are near enough; the figures are ours"
TERMS = "refiner's terms, ophirrefinery.com, assaying: the mean within 0.05 % of gold; "
TERMS += "the figures are ours"
RULES = "the umpire's rules of the trade, worked by hand"

GOOD = {
    e.settled_assay: {"first": 0.3, "second": 0.4, "split_limit": 0.02, "umpire": 0.3},
    e.nearer_assay: {"first": 0.3, "second": 0.4, "umpire": 0.33},
    e.umpire_share: {"first": 0.3, "second": 0.4, "split_limit": 0.02, "umpire": 0.3},
}


@evidence("settled_assay", "derived", CLAUSE)
@pytest.mark.parametrize(("second", "mean"), [(8.25, 8.125), (8.5, 8.25), (8, 8)])
def test_inside_and_at_the_limit_the_mean(second, mean):
    assert e.settled_assay(8, second, 0.5) == mean
    assert e.settled_assay(8, second, 0.5, umpire=99) == mean


@evidence("settled_assay", "derived", TERMS)
def test_a_bar_within_the_limit():
    assert e.settled_assay(921.0, 921.5, 0.5) == 921.25


def test_just_outside_it_takes_an_umpire():
    with pytest.raises(BadValue, match="too far apart"):
        e.settled_assay(8, 8.5000001, 0.5)


@pytest.mark.parametrize("unit", [1, 240 / 7, 1000])
@pytest.mark.parametrize(
    ("first", "second", "limit"),
    [(0.32, 0.30, 0.02), (0.3, 0.33, 0.03), (1.1, 1.0, 0.1), (0.431, 0.401, 0.03)],
)
def test_decimals_exactly_at_the_limit_are_halved(first, second, limit, unit):
    """As people reckon; in binary fractions some of them differ by a hair more."""
    first, second, limit = first * unit, second * unit, limit * unit
    mean = pytest.approx((first + second) / 2)
    assert e.settled_assay(first, second, limit) == mean
    assert e.umpire_share(first, second, limit, umpire=2 * first) == 0
    with pytest.raises(BadValue, match="too far apart"):
        e.settled_assay(first, second, limit * 0.9999)


@pytest.mark.parametrize(
    ("first", "second", "umpire"),
    [(0.3, 0.4, 0.35), (0.1, 0.7, 0.4), (0.41, 0.43, 0.42)],
)
def test_a_tie_of_decimals_is_a_tie(first, second, umpire):
    for one, other in ((first, second), (second, first)):
        assert e.umpire_share(one, other, 0.001, umpire) == 0.5
        assert e.nearer_assay(one, other, umpire) == pytest.approx(umpire)


@evidence("settled_assay", "derived", RULES)
@evidence("nearer_assay", "derived", RULES)
@pytest.mark.parametrize(
    ("umpire", "middle", "nearest", "alone"),
    [
        (9, 9, 8.5, 9),  # between, nearer to first
        (11, 11, 11.5, 11),  # between, nearer to second
        (10, 10, 10, 10),  # in the middle
        (13, 12, 12.5, 13),  # beyond second
        (7, 8, 7.5, 7),  # beyond first
    ],
)
def test_the_umpire(umpire, middle, nearest, alone):
    for rule, answer in (("middle", middle), ("nearest", nearest), ("umpire", alone)):
        assert e.settled_assay(8, 12, 0.5, umpire, rule) == answer
        assert e.settled_assay(12, 8, 0.5, umpire, rule) == answer


@evidence("umpire_share", "derived", "the loser pays, both halve a tie, by hand")
def test_who_pays_the_umpire():
    assert e.umpire_share(8, 12, 0.5, 9) == 0
    assert e.umpire_share(8, 12, 0.5, 11) == 1
    assert e.umpire_share(8, 12, 0.5, 10) == 0.5
    assert e.umpire_share(8, 8.5, 0.5, 12) == 0


@pytest.mark.parametrize("function", GOOD)
def test_nonsense_and_arrays(function):
    refuses_nonsense(function, **GOOD[function])
    row = tuple(float(value) for value in GOOD[function].values())
    arrays_are_scalars(function, row, row)


def test_an_unknown_rule_is_refused():
    with pytest.raises(BadValue, match="rule"):
        e.settled_assay(1, 2, 0.1, 1.5, rule="loudest")
