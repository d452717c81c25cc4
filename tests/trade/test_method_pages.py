"""The worked examples of the pages on method run and give what they say."""

import doctest
from pathlib import Path

import pytest

METHOD = Path(__file__).parents[2] / "docs" / "method"


@pytest.mark.parametrize(
    "path", sorted(METHOD.glob("*.md")), ids=lambda path: path.stem
)
def test_examples_of_the_page(path):
    failed, tried = doctest.testfile(str(path), module_relative=False)
    assert tried > 0
    assert failed == 0
