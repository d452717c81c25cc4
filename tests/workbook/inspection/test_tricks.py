"""The catalogue of tricks: each has its kind of finding, and nothing else does."""

import pytest

from tests.thorough import sampled

from ...fuzz.counting import drawn_fault
from ...fuzz.kinds import KINDS, OTHERS
from ...fuzz.quick import workbook
from .tricks import ALLOWED, ELSE, TRICKS, UNUSABLE

ROWS = [(kind, trick) for kind, tricks in TRICKS.items() for trick in tricks]


LAST = {TRICKS[kind][name].kind: name for kind, name in ROWS}


def one_of_each():
    """The last trick of every second kind of finding; others in the thorough run."""
    every_time = list(LAST.values())[::2]
    return [
        pytest.param(
            kind,
            name,
            marks=[] if name in every_time else [pytest.mark.thorough],
            id=name,
        )
        for kind, name in ROWS
    ]


STRICT = ("settings", "sight", "objects", "rules")
"""Kinds of which some are found by ``inspect --strict`` only."""


def altered(change, strict=True):
    parts = dict(workbook().parts)
    change(parts)
    assert parts != workbook().parts
    return workbook().inspect(parts, strict)


@pytest.mark.parametrize(("kind", "name"), one_of_each())
def test_a_trick_is_found(kind, name):
    trick = TRICKS[kind][name]
    found = altered(trick.change, kind in STRICT)
    told = {finding.kind for finding in found.findings}
    assert found.outcome == trick.outcome, (found.reason, told)
    if found.outcome == UNUSABLE:
        assert trick.kind in found.reason
        return
    assert trick.kind in told
    for finding in found.findings:
        assert finding.found or finding.expected
        assert finding.effect and finding.mend


@pytest.mark.parametrize("name", sampled(ALLOWED, 4))
def test_what_is_allowed_is_not_called_a_change(name):
    found = altered(ALLOWED[name])
    assert found.outcome == "as issued", (found.reason, found.findings)


@pytest.mark.parametrize("kind", sampled([*KINDS, *OTHERS], 2))
def test_what_is_drawn_at_random_is_called_what_it_is(kind, tmp_path):
    """One of each kind; ``python -m tests.fuzz kinds`` draws as many as you like."""
    outcome, fault, _ = drawn_fault(kind, 20260601, tmp_path)
    assert not fault, outcome


def test_the_catalogue_is_long():
    assert len(ROWS) > 100 and len(ALLOWED) > 15
    assert ELSE == "something else changed"
