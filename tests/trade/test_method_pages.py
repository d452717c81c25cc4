"""The worked examples of the pages on method run and give what they say."""

import doctest
from pathlib import Path

import pytest

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
