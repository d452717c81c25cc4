"""Contents of a newly written workbook: the same as read from its file."""

import io
import zipfile
from dataclasses import replace

import pytest

from pennyweight.workbook.book import make_book
from pennyweight.workbook.inspection.fresh import contents_of_fresh
from pennyweight.workbook.layout import LINE_SHEETS
from pennyweight.workbook.package.contents import contents_of
from pennyweight.workbook.write import book_bytes
from tests.books import example_figures
from tests.thorough import sampled

NASTY = 'A & <B> "é" _x0041_ '
HELD = ("sheets", "names", "spelt", "states", "hidden_lines", "notes", "parts")


@pytest.mark.parametrize(
    ("inputs", "units", "given"),
    sampled(
        [
            ({"job": "lot", "claim_name": NASTY}, "metric", ("job", "claim_name")),
            ({"claim_name": NASTY}, "us", None),
        ],
        2,
    ),
)
def test_cells_are_those_that_are_read_back(inputs, units, given):
    figures = example_figures(inputs, units)
    book = make_book(replace(figures, given=given or figures.given))
    with zipfile.ZipFile(io.BytesIO(book_bytes(book))) as package:
        read = contents_of(package, "")
    fresh = contents_of_fresh(book, LINE_SHEETS)
    for what in HELD:
        assert getattr(fresh, what) == getattr(read, what), what
