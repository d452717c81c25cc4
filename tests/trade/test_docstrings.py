"""Every trade function's docstring is a contract that its signature keeps."""

import subprocess
import sys

import pint
import pytest
from docs.docstrings import statements

from pennyweight import bond_energy, mill_power
from pennyweight.addins.registry import registry
from pennyweight.errors import BadValue, OutsideRange
from pennyweight.trade.catalogue import catalogue
from pennyweight.trade.function_contract import check
from pennyweight.trade.function_contract_terms import Interval, contract_of
from tests.groups import grouped

FUNCTIONS = catalogue()
REGISTRY = pint.get_application_registry()
REGISTRY.define("money = [money]")


def topic(name):
    """The module of a function."""
    return FUNCTIONS[name].__module__.rpartition(".")[2]


each_function = pytest.mark.parametrize("names", grouped(FUNCTIONS, topic))


@each_function
def test_sections_are_complete(names):
    for name in names:
        sections = contract_of(FUNCTIONS[name]).sections
        assert sections[""].split("\n")[0].endswith("."), name
        for title in ("Parameters", "Returns", "Source", "Examples"):
            assert sections.get(title), (name, title)


@each_function
def test_units_are_known(names):
    for name in names:
        terms = contract_of(FUNCTIONS[name])
        units = [parameter.unit for parameter in terms.parameters.values()]
        for unit in [*units, *(unit for _, unit in terms.returns)]:
            assert unit == "-" or REGISTRY.parse_units(unit) is not None, name


@each_function
def test_what_holds_speaks_of_parameters(names):
    for name in names:
        terms = contract_of(FUNCTIONS[name])
        spoken_of = {parameter for parameter, _, _ in terms.holds}
        assert spoken_of <= terms.parameters.keys(), name


@each_function
def test_numbers_out_of_range_are_refused(names):
    for name in names:
        for parameter in contract_of(FUNCTIONS[name]).parameters.values():
            if parameter.kind == "number":
                refused(parameter, name)


def refused(parameter, name):
    """Hold that a parameter of a function takes no nonsense."""
    for nonsense in (float("nan"), "ore", None, []):
        if nonsense is None and parameter.optional:
            continue
        with pytest.raises(BadValue, match=parameter.name):
            check(nonsense, parameter, name)


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


PAGE = """Size.

    Parameters
    ----------
    size : {}

    Returns
    -------
    size : [um]
    """


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("number", "cannot read the line"),
        ("array_like [um] in (0, inf), optional", "optional where it has a default"),
        ("array_like [um]\n    other : bool", "lists other parameters"),
    ],
)
def test_a_docstring_off_the_grammar_or_the_signature_is_refused(line, said):
    def unclear(size):
        return size

    unclear.__doc__ = PAGE.format(line)
    with pytest.raises(BadValue, match=said):
        statements(unclear)


@each_function
def test_the_data_file_is_what_the_docstring_states(names):
    for name in names:
        stated = statements(FUNCTIONS[name])
        terms = contract_of(FUNCTIONS[name])
        assert stated["sections"] == terms.sections, f"{name}: run make docs"
        found = [entry["name"] for entry in stated["parameters"]]
        assert found == list(terms.parameters), name


def test_a_wrong_call_is_refused_as_python_refuses_it():
    with pytest.raises(TypeError, match="missing 1 required positional argument"):
        bond_energy(14, 1000)
    with pytest.raises(TypeError, match="takes 3 positional arguments but 4"):
        bond_energy(14, 1000, 100, 5)
    with pytest.raises(TypeError, match="unexpected keyword argument 'product'"):
        bond_energy(14, 1000, product=100)
    with pytest.raises(TypeError, match="multiple values for argument 'work_index'"):
        bond_energy(14, 1000, work_index=14)


WITHOUT_DOCSTRINGS = """
import sys
import pennyweight as pw
from pennyweight.addins.registry import registry
from pennyweight.addins.sheet_call import answer
from pennyweight.cli.main import main

print(pw.bond_energy.__doc__, pw.bond_energy(14.83, 12_700, 150))
print(pw.mill_power(1.2, 1.2, 0.4, 0.75, discharge="grate"))
print(pw.lognormal_mean([0.043, 0.236, 0.057, 0.016]))
try:
    pw.ball_wear(-1)
except pw.BadValue as refusal:
    print(refusal)
entry = registry()["DWT_BOND_ENERGY"]
print(entry.help, answer(entry, [((14.83,),), ((12_700.0,),), ((150.0,),)], ""))
print(registry()["DWT_JUDGE"].help)
sys.argv = ["pennyweight", "functions", "bond_energy"]
main()
"""


def test_all_of_it_works_without_docstrings():
    command = [sys.executable, "-OO", "-c", WITHOUT_DOCSTRINGS]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.stderr == ""
    for said in (
        f"None {bond_energy(14.83, 12_700, 150)}",
        "21.83",
        "0.08451876",
        "ball_wear: abrasion_index is -1; it must be above 0.015 and below 5.",
        "Gives: energy, kWh/ton. [[10.79269459",
        registry()["DWT_JUDGE"].help,
        "product_p80 : array_like [um] in (0, inf)",
        "=10*Work_index*(1/SQRT(Product_p80)-1/SQRT(Feed_f80))",
    ):
        assert said in done.stdout
