"""Metal balances, against an examination paper, a solver and textbook cases."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import balance as b
from pennyweight.trade.recovery import tail_recovery

from ..evidence import evidence
from ..published import balances as known
from .holding import arrays_are_scalars, refuses_nonsense

BALANCE = "numpy.linalg.solve of the three mass balances"

GOOD = {
    b.mass_pull: {"feed": 8, "concentrate": 250, "tail": 1.5},
    b.two_product_recovery: {"feed": 8, "concentrate": 250, "tail": 1.5},
    b.three_product_pulls: {
        "feed": 3.6,
        "first": 58,
        "second": 4,
        "tail": 0.2,
        "feed_other": 4.4,
        "first_other": 5,
        "second_other": 52,
        "tail_other": 0.4,
    },
    b.product_recovery: {"pull": 0.02, "product": 30, "feed": 0.8},
}


@evidence("two_product_recovery", "read", known.TWO_PRODUCTS_SOURCE)
@evidence("mass_pull", "derived", known.TWO_PRODUCTS_SOURCE + " (step)")
@evidence("product_recovery", "derived", known.TWO_PRODUCTS_SOURCE + " (step)")
def test_two_products_of_an_examination():
    case = known.TWO_PRODUCTS
    assays = case["feed"], case["concentrate"], case["tail"]
    assert b.two_product_recovery(*assays) == pytest.approx(case["recovery"], abs=5e-6)
    pull = b.mass_pull(*assays)
    assert pull == pytest.approx(9 / 29, rel=1e-14)
    assert b.product_recovery(pull, 30, 10) == b.two_product_recovery(*assays)


@evidence("two_product_recovery", "memory", "textbook case 0.8, 25, 0.15, recalled")
def test_two_products_recalled():
    case = known.RECALLED
    found = b.two_product_recovery(case["feed"], case["concentrate"], case["tail"])
    assert found == pytest.approx(case["recovery"], abs=5e-5)


@given(st.floats(0.1, 100), st.floats(0, 0.99), st.floats(1.5, 1e4))
def test_two_products_balance(feed, share, enrichment):
    tail, concentrate = share * feed, enrichment * feed
    pull = b.mass_pull(feed, concentrate, tail)
    metal = pull * concentrate + (1 - pull) * tail
    assert metal == pytest.approx(feed, rel=1e-9)
    assert 0 <= b.two_product_recovery(feed, concentrate, tail) <= 1 + 1e-12


def test_a_rich_concentrate_leaves_the_tail_to_decide():
    found = b.two_product_recovery(10, 1e9, 1.5)
    assert found == pytest.approx(1 - 1.5 / 10, rel=1e-6)
    assert found == pytest.approx(tail_recovery(10, 1.5), rel=1e-6)
    assert b.two_product_recovery(10, 20, 10) == 0
    assert b.two_product_recovery(10, 10, 0) == 1


@evidence("three_product_pulls", "package", BALANCE)
@given(
    st.tuples(*[st.floats(0.01, 5)] * 4),
    st.floats(20, 70),
    st.floats(20, 70),
    st.tuples(st.floats(0.1, 10), st.floats(0.1, 10)),
)
def test_three_products_against_a_solver(low, lead, zinc, cross):
    feed, tail = low[:2], low[2:]
    first, second = (lead, cross[0]), (cross[1], zinc)
    pulls = np.linalg.solve(
        [[1, 1, 1], *zip(first, second, tail, strict=True)], [1, *feed]
    )
    found = b.three_product_pulls(
        feed[0], first[0], second[0], tail[0], feed[1], first[1], second[1], tail[1]
    )
    assert found == pytest.approx(tuple(pulls[:2]), rel=1e-9, abs=1e-9)


def test_three_products_that_two_would_do_for():
    # A second concentrate that nothing goes to leaves the two-product formula.
    pull = b.mass_pull(3, 60, 0.5)
    other = pull * 1 + (1 - pull) * 1.8
    first, second = b.three_product_pulls(3, 60, 2, 0.5, other, 1, 40, 1.8)
    assert second == pytest.approx(0, abs=1e-12)
    assert first == pytest.approx(pull, rel=1e-12)
    with pytest.raises(BadValue, match="must differ"):
        b.three_product_pulls(3, 60, 60, 0.5, 4, 5, 5, 0.5)


@pytest.mark.parametrize(
    ("assays", "reason"),
    [
        ((10, 5, 1), "feed must not be richer"),
        ((1, 20, 2), "tail must not be richer"),
        ((2, 2, 2), "tail must be poorer"),
    ],
)
def test_assays_that_contradict(assays, reason):
    with pytest.raises(BadValue, match=reason):
        b.two_product_recovery(*assays)


@pytest.mark.parametrize("function", GOOD, ids=lambda f: f.__name__)
def test_nonsense(function):
    refuses_nonsense(function, **GOOD[function])


ELEMENTWISE = [function for function in GOOD if function != b.three_product_pulls]


@pytest.mark.parametrize("function", ELEMENTWISE, ids=lambda f: f.__name__)
def test_arrays(function):
    row = tuple(GOOD[function].values())
    arrays_are_scalars(function, row, tuple(0.99 * value for value in row))
