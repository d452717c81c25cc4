"""Long lists of names as one test a group; a failure shows the name it stopped at."""

import itertools

import pytest

from pennyweight.model.inputs import INPUTS
from pennyweight.model.mill_model import MODEL


def section(name):
    """Section of an input."""
    return INPUTS[name].section


def sheet(name):
    """Sheet of a line."""
    return MODEL.lines[name].sheet


def grouped(names, group):
    """Lists of names for ``parametrize``, one for each group."""
    names = sorted(names, key=group)
    return [
        pytest.param(list(found), id=title)
        for title, found in itertools.groupby(names, group)
    ]
