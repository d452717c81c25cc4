"""The adversary's catalogue: every trick is called what it is, and nothing else is."""

import pytest

from ...fuzz import saves
from ...fuzz.counting import drawn_fault
from ...fuzz.kinds import KINDS, OTHERS
from ...fuzz.quick import workbook
from .tricks import ALLOWED, ELSE, TRICKS, UNUSABLE

ROWS = [(kind, trick) for kind, tricks in TRICKS.items() for trick in tricks]


def altered(change):
    parts = dict(workbook().parts)
    change(parts)
    assert parts != workbook().parts
    return workbook().inspect(parts)


@pytest.mark.parametrize(("kind", "name"), ROWS, ids=[name for _, name in ROWS])
def test_a_trick_is_found(kind, name):
    trick = TRICKS[kind][name]
    found = altered(trick.change)
    told = {finding.kind for finding in found.findings}
    assert found.outcome == trick.outcome, (found.reason, told)
    if found.outcome == UNUSABLE:
        assert trick.kind in found.reason
        return
    assert trick.kind in told
    for finding in found.findings:
        assert finding.found or finding.expected
        assert finding.effect and finding.mend


@pytest.mark.parametrize("name", ALLOWED)
def test_what_is_allowed_is_not_called_a_change(name):
    found = altered(ALLOWED[name])
    assert found.outcome == "as issued", (found.reason, found.findings)


@pytest.mark.parametrize("kind", [*KINDS, *OTHERS])
def test_what_is_drawn_at_random_is_called_what_it_is(kind, tmp_path):
    """Two of each kind; ``python -m tests.fuzz kinds`` draws as many as you like."""
    for seed in (20260601, 20260602):
        outcome, fault, _ = drawn_fault(kind, seed, tmp_path)
        assert not fault, (kind, seed, outcome)


def test_saves_made_meanwhile_and_kills_lose_nothing():
    """One of each command; ``python -m tests.fuzz.saves`` tries some hundreds."""
    assert saves.main(2, 2, seed=20260601) == 0


def test_the_catalogue_is_long():
    assert len(ROWS) > 100 and len(ALLOWED) > 15
    assert ELSE == "something else changed"
