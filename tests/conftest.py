"""Fixtures that every test may use: the programs that recalculate our workbooks."""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from tests.oracles import gnumeric as gnumeric_oracle
from tests.oracles import iron as iron_oracle
from tests.oracles import libreoffice as libreoffice_oracle
from tests.oracles import pictures

gc.set_threshold(50_000, 20, 1000)
"""Fixtures hold large workbooks; looking for waste among them took an eighth."""

os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
"""Hundreds of processes that tests start would each compile the package again."""

pytest_plugins = ("tests.evidence",)
"""Counts the trade functions by their best kind of evidence, at the end of a run."""


def _require(lacking: str | None) -> None:
    """Skip where a program is missing; on CI, where all must be there, fail."""
    if lacking and os.environ.get("CI"):
        pytest.fail(lacking)
    if lacking:
        pytest.skip(lacking)


@pytest.fixture(scope="session")
def libreoffice() -> Iterator[libreoffice_oracle.LibreOffice]:
    """One LibreOffice for the whole run, its own in each worker process."""
    _require(libreoffice_oracle.missing())
    with libreoffice_oracle.LibreOffice() as office:
        yield office


@pytest.fixture(scope="session")
def gnumeric() -> gnumeric_oracle.Gnumeric:
    """Gnumeric by its converter."""
    _require(gnumeric_oracle.missing())
    return gnumeric_oracle.Gnumeric()


@pytest.fixture(scope="session")
def iron() -> iron_oracle.Iron:
    """IronCalc in this process."""
    _require(iron_oracle.missing())
    return iron_oracle.Iron()


@pytest.fixture(scope="session")
def render_pages(libreoffice) -> Callable[..., list[Path]]:
    """Draw a book's printed pages in a folder: ``render_pages(book, folder)``."""
    _require(pictures.missing())
    return partial(pictures.render, office=libreoffice)
