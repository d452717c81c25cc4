"""Kick's and Rittinger's laws against printed examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pennyweight.errors import BadValue
from pennyweight.trade import size_reduction as c

from ..evidence import evidence
from .holding import arrays_are_scalars, refuses_nonsense

COULSON = "Coulson & Richardson's Chemical Engineering vol. 2, example 2.1"
TUTORIAL = "course tutorial Size Reduction 4, March 2023, question 1 (scribd 640305369)"
KNOWN = {
    "known_energy": 13.0,
    "known_feed": 50.0,
    "known_product": 10.0,
    "feed": 75.0,
    "product": 25.0,
}


@evidence("rittinger_energy", "read", COULSON)
@evidence("kick_energy", "read", COULSON)
def test_blake_crusher():
    # 13.0 kW/(kg/s) from 50 to 10 mm; asked: 75 to 25 mm.
    assert c.rittinger_energy(13, 50, 10, 75, 25) == pytest.approx(4.333, abs=0.0005)
    assert c.kick_energy(13, 50, 10, 75, 25) == pytest.approx(8.874, abs=0.0005)
    assert c.rittinger_energy(13, 50, 10, 75, 25) == pytest.approx(13 / 3, rel=1e-14)


@evidence("rittinger_energy", "read", TUTORIAL)
@evidence("kick_energy", "read", TUTORIAL)
def test_crusher_of_the_tutorial():
    # 7.5 kW for 0.8 kg/s from 26.7 to a mean of 5.255 mm; asked: 16.5 to 2.2 mm.
    known = (7.5 / 0.8, 26.7, 5.255, 16.5, 2.2)
    assert c.rittinger_energy(*known) == pytest.approx(24.16, abs=0.005)
    assert c.kick_energy(*known) == pytest.approx(11.62, abs=0.005)


@given(st.floats(1, 50), st.floats(1.05, 20))
def test_the_laws_return_the_known_energy(product, ratio):
    known = (product * ratio, product)
    assert c.rittinger_energy(7, *known, *known) == pytest.approx(7, rel=1e-12)
    assert c.kick_energy(7, *known, *known) == pytest.approx(7, rel=1e-12)
    # The same ratio costs Kick the same at any size, Rittinger half at twice the size.
    twice = (2 * known[0], 2 * known[1])
    assert c.kick_energy(7, *known, *twice) == pytest.approx(7, rel=1e-12)
    assert c.rittinger_energy(7, *known, *twice) == pytest.approx(3.5, rel=1e-12)


@evidence("size_reduction_methods", "memory", "Hukki 1961, Trans. AIME 220, 403-408")
def test_each_law_in_its_range():
    assert list(c.size_reduction_methods(25_000)) == ["kick_energy", "bond_energy"]
    assert list(c.size_reduction_methods([150, 1000])) == ["bond_energy"]
    assert list(c.size_reduction_methods(20)) == ["bond_energy", "rittinger_energy"]
    assert list(c.size_reduction_methods(5)) == ["rittinger_energy"]
    assert c.size_reduction_methods([5, 50_000]) == {}


def test_nonsense_is_refused():
    refuses_nonsense(c.rittinger_energy, **KNOWN)
    refuses_nonsense(c.kick_energy, **KNOWN)
    refuses_nonsense(c.size_reduction_methods, product_p80=100.0)


@pytest.mark.parametrize("law", [c.rittinger_energy, c.kick_energy])
def test_product_coarser_than_feed_is_refused(law):
    for bad in [(13, 10, 10, 75, 25), (13, 10, 50, 75, 25), (13, 50, 10, 25, 75)]:
        with pytest.raises(BadValue, match="product"):
            law(*bad)


def test_arrays():
    for law in (c.rittinger_energy, c.kick_energy):
        arrays_are_scalars(law, (13, 50, 10, 75, 25), (2, 40, 10, 30, 30))
