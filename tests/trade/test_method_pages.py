"""The worked examples of the pages on size reduction run and give what they say."""

import doctest
from pathlib import Path

import pytest

PAGES = Path(__file__).parents[2] / "docs" / "method"


@pytest.mark.parametrize(
    "page", ["units", "sizes", "crushing", "grinding", "mills", "wear"]
)
def test_examples_of_the_page(page):
    path = PAGES / f"{page}.md"
    failed, tried = doctest.testfile(str(path), module_relative=False)
    assert tried > 0
    assert failed == 0
