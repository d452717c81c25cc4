"""Books that tests read, written once in each process and copied from then on.

The same inputs give the same bytes, so a copy is as good as a book written anew.
Tests of `write_book` itself, and of books with a text that matters, call it.
"""

import io
from functools import cache
from pathlib import Path

from pennyweight.model.allowed import complete
from pennyweight.model.inputs import INPUTS
from pennyweight.workbook.book import Figures, make_book
from pennyweight.workbook.layout import layout
from pennyweight.workbook.write import book_bytes
from tests.oracles.package import write_changed


def book_at(path, units="us", **inputs):
    """Put a book at a path, as `write_book` does; give the path.

    Parameters
    ----------
    path : str or Path
    units : {"us", "metric"}
    **inputs : float or str
        What differs from the example.
    """
    path = Path(path)
    path.write_bytes(content(units, frozenset(inputs.items())))
    return path


def typed_at(path, **inputs):
    """Put the example at a path, other figures typed over and not yet worked out.

    Written at once, as the engine works nothing out; the figures stored in it are
    the example's still.
    """
    cells = {name: layout().entered[name] for name in inputs}
    changes = {(at.sheet, at.cell()): inputs[name] for name, at in cells.items()}
    write_changed(io.BytesIO(content("us", frozenset())), path, changes)
    return path


@cache
def content(units, inputs):
    """The bytes of such a book; the inputs as pairs."""
    return book_bytes(made_book(dict(inputs), units))


def made_book(inputs=None, units="us", **texts):
    """The example's book with other inputs, all of them the user's own."""
    return make_book(example_figures(inputs, units, **texts))


def example_figures(inputs=None, units="us", statuses=None, bases=None):
    """The example's figures, statuses and bases, where others are not given."""
    return Figures(
        inputs=complete(inputs or {}, units),
        units=units,
        statuses={n: e.status for n, e in INPUTS.items()} | (statuses or {}),
        bases={n: e.basis for n, e in INPUTS.items()} | (bases or {}),
        given=INPUTS.keys(),
    )
