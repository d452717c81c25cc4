"""Offices that the tests of add-ins share: a start takes 3 s, installing included."""

import pytest

from tests.addins.calc_office import CalcOffice
from tests.conftest import _require
from tests.oracles.office import missing


def _office(extension):
    _require(missing())
    office = CalcOffice(extension=extension)
    try:
        yield office
    finally:
        office.end()


@pytest.fixture(scope="session")
def calc():
    """LibreOffice with the extension in its private profile."""
    yield from _office(extension=True)


@pytest.fixture(scope="session")
def macro_office():
    """LibreOffice without the extension: its cells know the macros of a workbook."""
    yield from _office(extension=False)
