"""The worked examples of the method pages run and give the results shown."""

import doctest
from pathlib import Path

import pytest

from ..evidence import LABELS

METHOD = Path(__file__).parents[2] / "docs" / "method"


HEADINGS = ["Equations", "Range of validity", "Example", "Safety", "References"]
each_page = pytest.mark.parametrize(
    "path", sorted(METHOD.glob("*.md")), ids=lambda path: path.stem
)


@each_page
def test_pages_have_the_same_headings(path):
    lines = path.read_text(encoding="utf-8").splitlines()
    assert [line[3:] for line in lines if line.startswith("## ")] == HEADINGS


@each_page
def test_examples_of_the_page(path):
    failed, tried = doctest.testfile(str(path), module_relative=False)
    assert tried > 0
    assert failed == 0


def test_functions_without_a_source_say_what_to_measure_instead(request):
    page = (METHOD.parent / "evidence.md").read_text("utf-8")
    best = {}
    for item in request.session.items:
        for mark in item.iter_markers("evidence"):
            name, label, _ = mark.args
            place = LABELS.index(label)
            best[name] = min(place, best.get(name, place))
    weak = [n for n, place in best.items() if place >= LABELS.index("memory")]
    if len(best) < 150:
        pytest.skip("counts the evidence of all tests of tests/trade")
    assert [name for name in weak if f"`{name}`" not in page] == []
