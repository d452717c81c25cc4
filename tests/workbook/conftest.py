"""The example as recalculated by other programs, once in each process."""

import functools

import pytest

from tests.books import book_at

from .resaved import save_changed


@pytest.fixture(scope="session")
def resaved(tmp_path_factory):
    """The example and its copy changed and saved: ``resaved(program, units)``."""

    @functools.cache
    def both(program, units):
        folder = tmp_path_factory.mktemp("resaved")
        path, back = book_at(folder / "book.xlsx", units), folder / "back.xlsx"
        save_changed(program, path, back, units)
        return path, back

    return both


@pytest.fixture(scope="session")
def recalculated(tmp_path_factory):
    """Every cell of the example as a program works it out, with its path."""

    @functools.cache
    def cells(program, units):
        path = book_at(tmp_path_factory.mktemp("example") / "book.xlsx", units)
        return path, program.recalculate(path)

    return cells
