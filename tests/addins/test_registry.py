"""The registry of worksheet functions, and the check of its names."""

import dataclasses
import re

import pytest

from pennyweight.addins.registry import LONGEST_HELP, argument_name, registry, shortened
from pennyweight.trade.catalogue import catalogue
from tests.addins.examples import trade_calls
from tests.addins.naming_rules import RESERVED, name_faults

ENTRIES = list(registry().values())
LONGEST_LINE = 1000
"""Characters that one line of a macro may have, with some to spare."""
MOST_ARGUMENTS = 29
"""Arguments that Excel's function wizard takes in a macro's description."""


def faults(entry):
    """Say what is wrong with the names of a worksheet function."""
    found = [f"{entry.name}: {message}" for message in name_faults(entry.name)]
    if entry.name != entry.name.upper():
        found.append(f"{entry.name}: it is not in capitals")
    names = [argument.name for argument in entry.arguments]
    if len({name.lower() for name in names}) < len(names):
        found.append(f"{entry.name}: two arguments differ only by case")
    for argument in entry.arguments:
        message = name_faults(argument.name)
        if not argument.help:
            message.append("it has no help")
        found += [f"{entry.name}, {argument.name}: {fault}" for fault in message]
    return found + _order_faults(entry)


def _order_faults(entry):
    found = []
    needed = [argument.required for argument in entry.arguments]
    if needed != sorted(needed, reverse=True):
        found.append(f"{entry.name}: an argument that is needed follows an optional")
    if len(needed) > MOST_ARGUMENTS:
        found.append(f"{entry.name}: too many arguments")
    if not entry.help:
        found.append(f"{entry.name}: it has no help")
    line = sum(len(argument.name) + 11 for argument in entry.arguments)
    if line + 2 * len(entry.name) + 120 > LONGEST_LINE:
        found.append(f"{entry.name}: its macro's line is too long")
    return found


def test_every_trade_function_is_in():
    assert {entry.function for entry in ENTRIES} >= set(catalogue().values())


def test_the_model_is_in():
    wanted = {"DWT_JUDGE", "DWT_MARGIN_TABLE", "DWT_TURNING", "DWT_REASON"}
    assert wanted <= set(registry())


def test_names_are_fit_for_both_programs():
    assert [fault for entry in ENTRIES for fault in faults(entry)] == []


def test_help_fits_the_wizard_and_names_the_units():
    for entry in ENTRIES:
        for text in (entry.help, *(argument.help for argument in entry.arguments)):
            assert 0 < len(text) <= LONGEST_HELP, entry.name
            assert "\n" not in text, entry.name
        for argument in entry.arguments:
            unit = argument.terms.unit if argument.terms else "-"
            assert unit == "-" or unit in argument.help, entry.name


def test_no_argument_speaks_of_arrays():
    names = [a.name for a in registry()["DWT_WEIGHTED_MEAN"].arguments]
    assert names == ["assays", "weights"]


def test_bond_energy_in_full():
    entry = registry()["DWT_BOND_ENERGY"]
    assert [argument.name for argument in entry.arguments] == [
        "work_index",
        "feed_f80",
        "product_p80",
    ]
    assert entry.category == "Pennyweight comminution"
    assert "kWh/ton" in entry.help
    assert entry.arguments[0].required


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("NPV10", "reads as a cell"),
        ("p80", "reads as a cell"),
        ("R1C1", "reads as a cell"),
        ("a.b", "only letters"),
        ("Scale", "macro language"),
        ("type", "macro language"),
        ("1st", "only letters"),
    ],
)
def test_linter_refuses(name, message):
    assert message in " ".join(name_faults(name))
    assert name_faults(argument_name("error")) == []


def test_linter_sees_twins_order_and_missing_help():
    entry = registry()["DWT_BOND_ENERGY"]
    first, second, third = entry.arguments
    twin = dataclasses.replace(second, name=first.name.upper())
    late = dataclasses.replace(first, required=False)
    mute = dataclasses.replace(third, help="")
    for arguments, message in (
        ((first, twin, third), "only by case"),
        ((late, second, third), "follows an optional"),
        ((first, second, mute), "no help"),
        ((first,) * 40, "too many"),
    ):
        changed = dataclasses.replace(entry, arguments=arguments)
        assert message in " ".join(faults(changed))


def test_reserved_words_hold_those_known_to_hurt():
    known = {"scale", "type", "end", "date", "currency", "input", "case", "to"}
    assert known | {"next", "error", "base"} <= RESERVED


def test_long_help_is_cut_at_a_word():
    text = shortened("word " * 100)
    assert len(text) <= LONGEST_HELP
    assert re.search(r"word…$", text)


def test_every_trade_function_has_an_example_to_be_tried_with():
    tried = {entry.name for entry, _, _ in trade_calls()}
    assert {entry.name for entry in ENTRIES if not entry.of_model} == tried
