"""Every trade function's docstring is a contract that its signature keeps."""

import doctest
import importlib
import inspect

import pint
import pytest

from pennyweight import bond_energy, mill_power
from pennyweight.errors import BadValue, OutsideRange
from pennyweight.trade.catalogue import TOPICS, catalogue
from pennyweight.trade.docstring import Interval, contract

FUNCTIONS = catalogue()
REGISTRY = pint.UnitRegistry()
REGISTRY.define("money = [money]")
each_function = pytest.mark.parametrize("name", FUNCTIONS)


@each_function
def test_parameters_are_those_of_the_signature(name):
    terms = FUNCTIONS[name].contract()
    signature = inspect.signature(FUNCTIONS[name]).parameters
    assert list(terms.parameters) == list(signature)


@each_function
def test_sections_are_complete(name):
    sections = FUNCTIONS[name].contract().sections
    assert sections[""].split("\n")[0].endswith(".")
    for title in ("Parameters", "Returns", "Source", "Examples"):
        assert sections.get(title), title


@each_function
def test_units_are_known(name):
    terms = FUNCTIONS[name].contract()
    units = [parameter.unit for parameter in terms.parameters.values()]
    for unit in [*units, *(unit for _, unit in terms.returns)]:
        assert unit == "-" or REGISTRY.parse_units(unit) is not None


@each_function
def test_what_holds_speaks_of_parameters(name):
    terms = FUNCTIONS[name].contract()
    lines = terms.sections.get("Holds", "").splitlines()
    heads = [line for line in lines if line and not line[0].isspace()]
    assert len(heads) == len(terms.holds), heads
    assert all(parameter in terms.parameters for parameter, _, _ in terms.holds)


@each_function
def test_numbers_out_of_range_are_refused(name):
    function = FUNCTIONS[name]
    for parameter in function.contract().parameters.values():
        if parameter.kind == "number":
            for nonsense in (float("nan"), "ore", None, []):
                if nonsense is None and parameter.optional:
                    continue
                with pytest.raises(BadValue, match=parameter.name):
                    from pennyweight.trade.docstring import check

                    check(nonsense, parameter, name)


@pytest.mark.parametrize("topic", [*TOPICS, "quantiles"])
def test_examples_run(topic):
    module = importlib.import_module(f"pennyweight.trade.{topic}")
    failed, tried = doctest.testmod(module)
    assert tried and not failed


def test_interval_ends():
    half_open = Interval.parse("(0, 1]")
    assert half_open.outside(0.0) and not half_open.outside(1.0)
    assert half_open.words("g") == "above 0 and at most 1 g"


def test_a_warning_says_why():
    with pytest.warns(OutsideRange, match="diameter"):
        mill_power(0.305, 0.305, 0.2, 0.7)


def test_quantities_are_converted_to_the_stated_units():
    sizes = REGISTRY.Quantity(50.8, "mm"), REGISTRY.Quantity(3.175, "mm")
    with pytest.warns(OutsideRange, match="feed_f80"):
        energy = bond_energy(REGISTRY.Quantity(12.74, "kWh/ton"), *sizes)
    assert energy.m_as("kWh/ton") == pytest.approx(1.69574, abs=5e-6)


def test_quantities_are_held_to_the_same_ranges():
    sizes = REGISTRY.Quantity(12.7, "mm"), REGISTRY.Quantity(0.15, "mm")
    with pytest.raises(BadValue, match="work_index is -14 kWh/ton"):
        bond_energy(REGISTRY.Quantity(-14, "kWh/ton"), *sizes)


def test_a_missing_unit_is_refused():
    with pytest.raises(BadValue, match="feed_f80 needs a unit"):
        bond_energy(REGISTRY.Quantity(12.74, "kWh/ton"), 50_800, 3_175)


def test_a_docstring_off_the_grammar_is_refused():
    @contract
    def unclear(size):
        """Size.

        Parameters
        ----------
        size: number
        """
        return size

    from pennyweight.trade.docstring import CATALOGUE

    CATALOGUE.pop("unclear")
    with pytest.raises(BadValue, match="cannot read the parameter line"):
        unclear(3)
