"""What a book holds besides its formulas: inputs, their status, the answers."""

from dataclasses import dataclass, field

from .. import __version__
from ..model.inputs import INPUTS
from ..model.run import run
from ..model.switching_values import turning_points


@dataclass
class Book:
    """A book of one operation.

    Attributes
    ----------
    inputs : dict
        Every input under its name, in the units of the book.
    units : {"us", "metric"}
    statuses, bases : dict of str to str
        How sure each input is, and where it comes from.
    values : dict of str to ndarray
        Every line, worked out by the engine.
    turnings : list of Turning
        What would turn the verdict.
    """

    inputs: dict
    units: str
    statuses: dict
    bases: dict
    values: dict = field(default_factory=dict)
    turnings: list = field(default_factory=list)
    version: str = __version__


def make_book(inputs=None, units="us", statuses=None, bases=None):
    """Work out a book from inputs; what is left out is the example's.

    Parameters
    ----------
    inputs : mapping, optional
    units : {"us", "metric"}
    statuses, bases : mapping of str to str, optional

    Returns
    -------
    book : Book
    """
    values = run(inputs, units)
    return Book(
        {name: values[name].item() for name in INPUTS},
        units,
        {name: (statuses or {}).get(name, e.status) for name, e in INPUTS.items()},
        {name: (bases or {}).get(name, e.basis) for name, e in INPUTS.items()},
        values,
        turning_points(inputs or {}, units),
    )
